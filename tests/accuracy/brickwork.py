"""Brickwork read from pictures with truth.

    python -m tests.accuracy.brickwork [scenes [GROUP ...]]

Groups, all if none is named: "painted", walls by formula (tests.brick); "drawn" houses
(tests.pictures); "rendered", the house of sample_images; "impostors" and "look-alikes" of
both kinds; "photographs" of which nobody knows a length but of which courses can be
counted by eye.
"""

import os
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np

from calibration.brickwork.bed_lines import bed_lines
from calibration.brickwork.confidence import SURE
from calibration.brickwork.read import read_brickwork
from calibration.brickwork.result import Brickwork
from calibration.errors import NoBrickwork
from calibration.photo.pixels import load_upright
from calibration.priors import CameraPrior, LensKnowledge, camera_prior
from tests.accuracy.joints import (
    SAMPLES,
    JointTruth,
    joints_drawn,
    joints_rendered,
    lines_off,
)
from tests.brick.chance import (
    RIGHT,
    line_error_px,
    numbered_rightly,
    painted_impostor,
    painted_wall,
    prior_for,
)
from tests.brick.impostors import IMPOSTORS

DOC: Final = (
    Path(os.environ.get("OPENCV_DOC", "/usr/share/doc/opencv-doc")) / "examples/data"
)


@dataclass(frozen=True, slots=True)
class Row:
    """What came of one picture.

    Attributes
    ----------
    group, name : str
    is_brick : bool
    right : bool
        Whether courses and their ratio to the stretchers are counted rightly.
    confidence : float
        Zero if refused.
    line_px, pick_px : float
        RMS of lattice and of single picks against truth; NaN if there is none.
    gauge_error : float
        Relative error of the course by count, against truth.
    seconds : float
        Of processor.
    said : str
    """

    group: str
    name: str
    is_brick: bool
    right: bool
    confidence: float
    line_px: float
    pick_px: float
    gauge_error: float
    seconds: float
    said: str


def _timed(pixels: np.ndarray, prior: CameraPrior) -> tuple[Brickwork | None, float, str]:
    start = time.process_time()
    try:
        found = read_brickwork(pixels, prior)
    except NoBrickwork as refusal:
        return None, time.process_time() - start, refusal.what
    best = found.best
    said = (
        f"{best.bond} {best.ratio:.3f}, {found.courses} courses of {found.course_px:.1f} px"
    )
    return found, time.process_time() - start, said


def _rms(values: np.ndarray) -> float:
    return float(np.sqrt(np.mean((values - np.median(values)) ** 2)))


def painted(count: int) -> Iterator[Row]:
    """Yield walls painted by formula."""
    for number in range(count):
        scene = painted_wall(number)
        focal = scene.camera.focal_px * 1.01 if number % 2 else None
        found, seconds, said = _timed(scene.pixels, prior_for(scene.pixels, focal))
        ratio = scene.wall.stretcher_mm / scene.wall.gauge_mm
        name = f"{number} {scene.wall.bond} {ratio:.2f}"
        if found is None:
            yield _missed("painted walls", name, seconds, said)
            continue
        near = abs(found.best.ratio / ratio - 1.0) < (0.02 if focal else 0.15)
        right = numbered_rightly(found, scene) > RIGHT and near
        kept = np.abs(found.beds.residual) < 3.0 * found.beds.sd
        xy = scene.camera.back_project(found.beds.px[kept], np.zeros(int(kept.sum()))).xy_mm
        slope = float(np.polyfit(found.beds.number[kept], xy[:, 1], 1)[0])
        off = xy[:, 1] / scene.wall.gauge_mm
        pick = _rms((off - np.round(off)) * found.course_px)
        yield Row(
            "painted walls",
            name,
            True,
            right,
            found.best.confidence,
            _rms(line_error_px(found, scene)),
            pick,
            slope / scene.wall.gauge_mm - 1.0,
            seconds,
            said,
        )


def _missed(group: str, name: str, seconds: float, said: str, *, brick: bool = True) -> Row:
    nan = float("nan")
    return Row(group, name, brick, False, 0.0, nan, nan, nan, seconds, said)


def impostors(count: int) -> Iterator[Row]:
    """Yield painted impostors."""
    for name in IMPOSTORS:
        for number in range(count):
            pixels = painted_impostor(name, number)
            found, seconds, said = _timed(pixels, prior_for(pixels))
            row = _missed(
                "painted impostors", f"{name} {number}", seconds, said, brick=False
            )
            yield row if found is None else _claimed(row, found)


def _claimed(row: Row, found: Brickwork) -> Row:
    nan = float("nan")
    return Row(
        row.group,
        row.name,
        row.is_brick,
        False,
        found.best.confidence,
        nan,
        nan,
        nan,
        row.seconds,
        row.said,
    )


def _against(group: str, name: str, pixels: np.ndarray, truth: JointTruth) -> Row:
    height, width = pixels.shape[:2]
    prior = camera_prior(
        (width, height), LensKnowledge(focal_px=truth.camera.focal_px * 1.01)
    )
    found, seconds, said = _timed(pixels, prior)
    if found is None:
        return _missed(group, name, seconds, said)
    kept = np.abs(found.beds.residual) < 3.0 * found.beds.sd
    px, number = found.beds.px[kept], found.beds.number[kept]
    counted, y = truth.counted(px)
    off = counted - number
    off -= np.median(off)
    right = bool(np.mean(np.abs(off) < 0.3) > RIGHT)
    right &= abs(found.best.ratio / truth.ratio - 1.0) < 0.03
    slope = float(np.polyfit(number, y, 1)[0])
    return Row(
        group,
        name,
        True,
        right,
        found.best.confidence,
        lines_off(bed_lines(found), truth) * found.course_px,
        _rms(off[np.abs(off) < 0.3] * found.course_px),
        slope / truth.gauge_mm - 1.0,
        seconds,
        said,
    )


def drawn(count: int) -> Iterator[Row]:
    """Yield drawn houses of brick."""
    from tests.pictures import random_scene

    for number in range(count):
        picture = random_scene(np.random.default_rng([47, number]), kind="brick").draw()
        brick = picture.truth.brick
        truth = joints_drawn(picture.truth)
        name = f"{number} {brick.bond} {brick.format} {brick.palette}"
        yield _against("drawn houses", name, picture.rgb, truth)


def look_alikes(count: int) -> Iterator[Row]:
    """Yield drawn houses of anything else."""
    from tests.pictures import random_scene
    from tests.pictures.covers import COVERS

    for cover in COVERS:
        for number in range(count):
            if cover == "brick":
                continue
            rng = np.random.default_rng([53, number, sum(map(ord, cover))])
            pixels = random_scene(rng, kind=cover).draw().rgb
            found, seconds, said = _timed(pixels, prior_for(pixels))
            row = _missed(
                "drawn look-alikes", f"{cover} {number}", seconds, said, brick=False
            )
            yield row if found is None else _claimed(row, found)


def rendered() -> Iterator[Row]:
    """Yield the rendered house of ``sample_images``."""
    for name in ("front", "gable", "front-messenger"):
        pixels = load_upright(SAMPLES / f"{name}.jpg")
        yield _against("rendered house", name, pixels, joints_rendered(name))


EYE: Final = ((256.0, 39.0), (256.0, 462.0), 12.0)
"""Two joints of scikit-image's brick turned by a quarter, and the courses between them,
counted by eye on an enlargement."""

EYE_RATIO: Final = 2.70
"""Its stretcher, courses: by eye, in the flat texture that the source of
``skimage.data.brick`` leads back to (the warp is written there)."""


_GUESSED: Final = 0.15
"""How far a ratio may be off while the focal length is a guess."""


def photographs() -> Iterator[Row]:
    """Yield photographs: one of which courses were counted by eye, and streets.

    The houses of leuvenA and B have courses of 3 to 5 pixels, finer than is promised, and
    building.jpg has none: these are right if nothing is claimed.
    """
    from skimage import data

    pixels = np.rot90(data.brick(), -1).copy()
    found, seconds, said = _timed(pixels, prior_for(pixels))
    row = _missed("photographs", "brick of scikit-image, turned", seconds, said)
    if found is not None:
        upper, lower, courses = EYE
        v = found.plane.counts(np.array([upper, lower]))[:, 1]
        right = abs(float(v[1] - v[0]) - courses) < 0.3
        right &= abs(found.best.ratio / EYE_RATIO - 1.0) < _GUESSED
        row = replace(row, confidence=found.best.confidence, right=right)
    yield row
    for name in ("leuvenA", "leuvenB", "building"):
        if (DOC / f"{name}.jpg").exists():
            pixels = load_upright(DOC / f"{name}.jpg")
            found, seconds, said = _timed(pixels, prior_for(pixels))
            row = _missed("photographs", name, seconds, said, brick=False)
            yield row if found is None else _claimed(row, found)


def report(rows: list[Row]) -> str:
    """Return the table of groups."""
    lines = [
        "| group | pictures | right | sure | sure and wrong | lattice px | picks px "
        "| gauge error | s, median | s, worst |",
        "|---|---|---|---|---|---|---|---|---|---|",
    ]
    groups = dict.fromkeys(row.group for row in rows)
    lines += [_line(group, [row for row in rows if row.group == group]) for group in groups]
    return "\n".join(lines)


def _line(group: str, rows: list[Row]) -> str:
    sure = [row for row in rows if row.confidence >= SURE]
    bricks = [row for row in rows if row.is_brick]
    good = [row for row in bricks if row.right]
    measured = [row for row in good if np.isfinite(row.line_px)]
    figures = "- | - | -"
    if measured:
        line = np.median([row.line_px for row in measured])
        pick = np.median([row.pick_px for row in measured])
        gauge = np.sqrt(np.mean([row.gauge_error**2 for row in measured]))
        figures = f"{line:.2f} | {pick:.2f} | {gauge:.2%}"
    seconds = [row.seconds for row in rows]
    right = f"{len(good)} of {len(bricks)}" if bricks else "-"
    return (
        f"| {group} | {len(rows)} | {right} | {len(sure)} "
        f"| {sum(not row.right for row in sure)} | {figures} "
        f"| {np.median(seconds):.2f} | {max(seconds):.2f} |"
    )


def main() -> None:
    """Measure and print."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    every: dict[str, Callable[[], Iterator[Row]]] = {
        "rendered": rendered,
        "photographs": photographs,
        "painted": lambda: painted(count),
        "impostors": lambda: impostors(max(1, count // 15)),
        "drawn": lambda: drawn(count),
        "look-alikes": lambda: look_alikes(max(1, count // 15)),
    }
    groups = [every[name] for name in sys.argv[2:] or every]
    rows: list[Row] = []
    for group in groups:
        for row in group():
            rows.append(row)
            odd = row.is_brick != row.right or (row.confidence >= SURE and not row.right)
            if odd or row.group in ("rendered house", "photographs"):
                say(
                    f"{row.group}: {row.name}: {row.confidence:.3f} {row.said} "
                    f"gauge {row.gauge_error:+.2%}, {row.seconds:.2f} s"
                )
    say(report(rows))


def say(text: str) -> None:
    """Write a line now: the report takes minutes."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
