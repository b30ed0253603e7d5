"""How fast a job is measured, beside what a user would pick instead.

Run ``python -m tests.benchmarks.measuring``; docs/performance.md holds a run.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter

import cv2
import numpy as np
from scipy.optimize import least_squares

from calibration.adjustment import adjust, descend
from calibration.network import build_network
from calibration.priors import LensKnowledge, camera_prior
from calibration.references import CountDirection, Courses, Points, Rectangle
from calibration.start import first_cameras, trial_normals
from photomeasure.job.load import job_from_document
from photomeasure.measure import measure_job
from tests.scenes import Noise, new_scene
from tests.simulation.houses import random_house

REPEATS = 15


def best_ms(action, repeats=REPEATS):
    """Return the best and the median of several runs, milliseconds."""
    times = []
    for _ in range(repeats):
        begin = perf_counter()
        action()
        times.append((perf_counter() - begin) * 1e3)
    return min(times), float(np.median(times))


def large_network(seed=1):
    """Return a network of 40 unknowns and 400 observations, and its true camera."""
    still = np.random.default_rng(seed)
    scene = new_scene(np.random.default_rng(seed), still, Noise())
    rng = np.random.default_rng(seed)

    def on_wall(xy):
        picks = scene.camera.project(np.c_[xy, np.zeros(len(xy))])
        return picks + rng.normal(0.0, 1.0, picks.shape)

    grid = np.stack(np.meshgrid(np.linspace(-2500, 2500, 10), np.linspace(-1200, 1600, 10)))
    grid = grid.reshape(2, -1).T
    counts = np.arange(92.0)
    up = np.c_[rng.uniform(-2500, 2500, 92), -1200 + 30.0 * counts]
    along = np.c_[-2500 + 54.0 * counts, rng.uniform(-1200, 1600, 92)]
    references = [
        Points(name="points", picks_px=on_wall(grid), wall_mm=grid, sd_mm=2.0),
        Courses(
            name="up",
            picks_px=on_wall(up),
            counts=counts,
            pitch_mm=30.0,
            pitch_key="up",
            pitch_sd_mm=0.3,
        ),
        Courses(
            name="along",
            picks_px=on_wall(along),
            counts=counts,
            pitch_mm=54.0,
            direction=CountDirection.ALONG,
            pitch_key="along",
            pitch_sd_mm=0.3,
        ),
    ]
    corners = np.array([[0, 0], [900, 0], [900, 1100], [0, 1100]], dtype=float)
    for k, x in enumerate((-2400.0, -1200.0, 0.0, 1200.0)):
        references.append(
            Rectangle(
                name=f"window {k}",
                picks_px=on_wall(corners + np.array([x, -300.0])),
                width_mm=900.0,
                height_mm=1100.0,
            )
        )
    w, h = scene.size_px
    prior = camera_prior((w, h), LensKnowledge(focal_px=scene.camera.focal_px))
    return build_network(references, prior), scene.camera


def adjustment() -> None:
    """Time one adjustment with covariance against a general solver."""
    network, camera = large_network()
    near = network.start(camera)
    rows = len(network.equations(near, network.picks_px).residual)
    print(f"adjustment: {network.size} unknowns, {rows} observations and priors")

    def ours():
        return adjust(network, descend(network, near)[0])

    def general(jacobian):
        def residual(x):
            return network.equations(near.moved(x), network.picks_px).residual

        def slope(x):
            return network.equations(near.moved(x), network.picks_px).jacobian

        found = least_squares(
            residual,
            np.zeros(network.size),
            x_scale=network.scales,
            method="trf",
            jac=slope if jacobian else "2-point",
        )
        covariance = np.linalg.inv(found.jac.T @ found.jac)
        return found, covariance

    rows = [
        ("ours, rigorous, with covariance", best_ms(ours)),
        ("scipy least_squares, our Jacobian", best_ms(lambda: general(True), 5)),
        ("scipy least_squares, numeric Jacobian", best_ms(lambda: general(False), 5)),
        (
            "closed-form start alone",
            best_ms(lambda: first_cameras(network, trial_normals())),
        ),
    ]
    wall, picks = network.references[0].wall_mm, network.references[0].picks_px
    rows.append(
        (
            "cv2.findHomography of the points alone",
            best_ms(lambda: cv2.findHomography(picks, wall)),
        )
    )
    for name, (best, median) in rows:
        print(f"  {name:40} best {best:8.2f} ms   median {median:8.2f} ms")


def homography_error() -> None:
    """Compare lengths with those of a homography of the same door, 200 houses."""
    ours, plane = [], []
    for seed in range(0, 1400, 7):
        scene = random_house(seed, Noise())
        entry = measure_job(job_from_document(scene.job(), Path())).elevations[0]
        door = scene.document["references"][0]
        w, h = door["width_mm"], door["height_mm"]
        square = np.array([[0, 0], [w, 0], [w, h], [0, h]])
        H, _ = cv2.findHomography(np.array(door["corners"]), square)
        for line in entry.measured:
            picks = np.array(line.trace.picks_px)[None]
            xy = cv2.perspectiveTransform(picks, H)[0]
            truth = scene.truth[line.name]
            plane.append(np.hypot(*np.diff(xy, axis=0).T).sum() / truth - 1.0)
            ours.append(line.length_mm / truth - 1.0)
    for name, errors in (("ours", ours), ("findHomography of the door", plane)):
        rms, median = np.sqrt(np.mean(np.square(errors))), np.median(np.abs(errors))
        print(f"  {name:40} rms error {rms:.2%}, median {median:.2%}")


def jobs() -> None:
    """Time whole jobs of many elevations, and how the time grows."""
    documents = [random_house(seed, Noise()).document for seed in range(200)]
    for index, document in enumerate(documents):
        document["name"] = f"elevation {index}"
    for count in (25, 50, 100, 200):
        whole = {"photomeasure_job": 1, "elevations": documents[:count]}
        best, median = best_ms(
            lambda job=whole: measure_job(job_from_document(job, Path())), 3
        )
        print(
            f"  measure, {count:4d} elevations: best {best:7.0f} ms, median {median:7.0f}"
        )


def cold_start() -> None:
    """Time the command from nothing, on a job of one elevation."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.json"
        path.write_text(json.dumps(random_house(0, Noise()).job()))
        command = [sys.executable, "-m", "photomeasure.cli", "measure", str(path)]
        best, median = best_ms(
            lambda: subprocess.run(command, check=True, capture_output=True), 7
        )
    print(f"  photomeasure measure, cold: best {best:.0f} ms, median {median:.0f} ms")


if __name__ == "__main__":
    adjustment()
    print("lengths of 200 simulated houses from one door, 1 px picks")
    homography_error()
    print("whole jobs")
    jobs()
    print("command")
    cold_start()
