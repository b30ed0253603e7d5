"""Bed joints of drawn and rendered walls, and how far lines lie off them."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np

from calibration.camera import Camera
from tests.pictures.truth import Truth

SAMPLES: Final = Path(__file__).parents[2] / "sample_images"


@dataclass(frozen=True, slots=True, eq=False)
class JointTruth:
    """Bed joints of a drawn or rendered wall: count and places, millimetres."""

    count: np.ndarray
    traces: tuple[np.ndarray, ...]
    gauge_mm: float
    ratio: float
    camera: Camera
    foot_mm: np.ndarray

    def wall_mm(self, px: np.ndarray) -> np.ndarray:
        """Return the places (N, 2) on the wall that pixels see."""
        return self.camera.back_project(px, np.zeros(len(px))).xy_mm + self.foot_mm

    def counted(self, px: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the count (N,) at pixels, fractions between joints, and y (N,)."""
        xy = self.wall_mm(px)
        y = np.array([np.interp(xy[:, 0], t[:, 0], t[:, 1]) for t in self.traces])
        order = np.argsort(self.count)
        y, count = y[order], self.count[order]
        value = np.empty(len(px))
        for n in range(len(px)):
            beyond = min(xy[n, 1] - y[0, n], 0.0) + max(xy[n, 1] - y[-1, n], 0.0)
            value[n] = np.interp(xy[n, 1], y[:, n], count) + beyond / self.gauge_mm
        return value, xy[:, 1]


def lines_off(lines: Sequence[np.ndarray], joints: JointTruth) -> float:
    """Return how far a lattice's lines (N, 2) lie off the true joints, rms, courses.

    Over all joints of the wall in the photo, seen or not; without a common shift.
    """
    off = []
    for number, line in enumerate(lines):
        counted, _ = joints.counted(line)
        x = joints.wall_mm(line)[:, 0]
        low, high = joints.traces[0][:, 0].min(), joints.traces[0][:, 0].max()
        known = (counted > joints.count.min()) & (counted < joints.count.max())
        off += (counted - number)[known & (x > low) & (x < high)].tolist()
    return float(np.std(off)) if off else np.nan


def joints_drawn(truth: Truth) -> JointTruth:
    """Return the bed joints of a drawn house of brick."""
    brick = truth.brick
    return JointTruth(
        np.array([joint.count for joint in brick.bed_joints], dtype=np.float64),
        tuple(joint.trace.mm for joint in brick.bed_joints),
        brick.gauge_mm,
        brick.stretcher_mm / brick.gauge_mm,
        truth.view.camera,
        np.asarray(truth.view.foot_mm)[:2],
    )


def joints_rendered(name: str) -> JointTruth:
    """Return the bed joints of a picture of ``sample_images``."""
    data = json.loads((SAMPLES / f"{name}.truth.json").read_text())
    camera = data["camera"]
    place = np.array(camera["position_mm"])
    joints = data["bed_joints"]
    return JointTruth(
        np.arange(len(joints), dtype=np.float64),
        tuple(np.array([at["mm"] for at in joint["at"]]) for joint in joints),
        75.41,
        225.0 * 1.0031 / 75.41,
        Camera(
            focal_px=camera["focal_px"],
            centre_px=np.array(camera["principal_px"]),
            k1=camera["k1"],
            k2=camera["k2"],
            R_wall_from_camera=np.array(camera["rotation_world_from_camera"]),
            standoff_mm=float(place[2]),
        ),
        place[:2],
    )
