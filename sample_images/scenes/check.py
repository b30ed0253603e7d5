"""Check the truth against the pictures: projection, and edges against gradients.

``python -m sample_images.scenes.check`` prints one line an edge. Needs numpy, OpenCV
and Pillow only; the projection is OpenCV's, not the one that made the pictures.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

import cv2
import numpy as np
from PIL import Image

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]
    Picture = NDArray[np.float32]

FOLDER = Path(__file__).resolve().parents[1]
PICTURES = ("front", "gable", "front-messenger")
REACH_PX = 5.0  # an edge is looked for this far to either side
STEP_PX = 0.125
SMOOTH_SIGMA_PX = 0.8
PROFILES = 160

Entry = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """A straight edge that the picture should show.

    Attributes
    ----------
    name : str
        For the report.
    ends_mm : (2, 3) float64
        In the wall frame.
    """

    name: str
    ends_mm: FloatArray


def load_truth(picture: str) -> Entry:
    """Read the truth of one picture."""
    path = FOLDER / f"{picture}.truth.json"
    found: Entry = json.loads(path.read_text(encoding="utf-8"))
    return found


def load_grey(picture: str) -> Picture:
    """Read a picture as slightly smoothed grey values, (H, W) float32."""
    with Image.open(FOLDER / f"{picture}.jpg") as opened:
        grey = np.asarray(opened.convert("L"), dtype=np.float32)
    return cv2.GaussianBlur(grey, (0, 0), SMOOTH_SIGMA_PX)


def project(truth: Entry, world_mm: FloatArray) -> FloatArray:
    """Project (N, 3) wall-frame points through the stated camera with OpenCV."""
    camera = truth["camera"]
    turn = np.array(camera["rotation_world_from_camera"]).T
    shift = -turn @ np.array(camera["position_mm"])
    f, (cx, cy) = camera["focal_px"], camera["principal_px"]
    inner = np.array([[f, 0.0, cx], [0.0, f, cy], [0.0, 0.0, 1.0]])
    lens = np.array([camera["k1"], camera["k2"], 0.0, 0.0])
    points = np.asarray(world_mm, dtype=np.float64).reshape(-1, 1, 3)
    pixels, _ = cv2.projectPoints(points, cv2.Rodrigues(turn)[0], shift, inner, lens)
    return np.asarray(pixels, dtype=np.float64).reshape(-1, 2)


def marks(node: object) -> list[Entry]:
    """Return every entry of a truth that has both millimetres and pixels."""
    if isinstance(node, list):
        return [m for item in node for m in marks(item)]
    if not isinstance(node, dict):
        return []
    if "mm" in node and "px" in node:
        return [node]
    return [m for item in node.values() for m in marks(item)]


def projection_gap_px(truth: Entry) -> float:
    """Return the largest distance between stated and projected pixels."""
    found = marks(truth)
    world = np.array([m["mm"] for m in found])
    stated = np.array([m["px"] for m in found])
    gaps = np.linalg.norm(project(truth, world) - stated, axis=1)
    return float(gaps.max())


def edges(truth: Entry) -> list[Edge]:
    """Return the edges with strong contrast: roofline, quoins, some jambs."""
    lines = {e["name"]: np.array([m["mm"] for m in e["ends"]]) for e in truth["lines"]}
    names = ("front eaves", "front rake", "back rake")
    found = [Edge(name=n, ends_mm=lines[n]) for n in names if n in lines]
    for side in ("left", "right"):
        quoin = [truth["points"][f"{side} quoin {end}"]["mm"] for end in ("low", "high")]
        found.append(Edge(name=f"{side} quoin", ends_mm=np.array(quoin)))
    eye_x = truth["camera"]["position_mm"][0]
    for opening in truth["openings"]:
        corner = np.array([m["mm"] for m in opening["corners"]])
        # A jamb is sharp against the frame if it hides its own reveal and does not
        # throw its shadow there: the sun stands to the right of the front and to
        # the left of the gable.
        if truth["elevation"] == "front":
            side, jamb, hides = "left", corner[[0, 3]], eye_x < corner[0, 0]
        else:
            side, jamb, hides = "right", corner[[1, 2]], eye_x > corner[1, 0]
        if hides:
            found.append(Edge(name=f"{opening['name']}, {side} jamb", ends_mm=jamb))
    return found


def profiles(grey: Picture, ends_px: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return offsets (K,) and grey profiles (N, K) across a straight stretch."""
    share = np.linspace(0.06, 0.94, PROFILES)[:, None]
    centres = ends_px[0] + share * (ends_px[1] - ends_px[0])
    along = ends_px[1] - ends_px[0]
    normal = np.array([-along[1], along[0]]) / np.linalg.norm(along)
    offsets = np.arange(-REACH_PX, REACH_PX + STEP_PX / 2, STEP_PX)
    places = centres[:, None, :] + offsets[None, :, None] * normal
    maps = places.astype(np.float32)
    values = cv2.remap(grey, maps[..., 0], maps[..., 1], cv2.INTER_LINEAR)
    return offsets, np.asarray(values, dtype=np.float64)


def edge_offsets_px(grey: Picture, truth: Entry, edge: Edge) -> FloatArray:
    """Return for each profile where its strongest gradient lies off the true edge.

    The edge is cut into short stretches, because the lens bends it.
    """
    share = np.linspace(0.0, 1.0, 9)[:, None]
    knots = edge.ends_mm[0] + share * (edge.ends_mm[1] - edge.ends_mm[0])
    pixels = project(truth, knots)
    found = []
    for ends in pairwise(pixels):
        offsets, values = profiles(grey, np.array(ends))
        steepest = np.argmax(np.abs(np.gradient(values, axis=1)), axis=1)
        found.append(offsets[steepest])
    return np.concatenate(found)


def joint_offset_px(grey: Picture, truth: Entry) -> float:
    """Return the median distance, downwards, of the brightest row from the bed joints.

    Mortar is lighter than brick; looked for within half a course.
    """
    found = []
    reach = 0.4 * 75.0 / _mm_per_px(truth)
    offsets = np.arange(-reach, reach + STEP_PX / 2, STEP_PX)
    for mark in (m for joint in truth["bed_joints"] for m in joint["at"]):
        if not mark["visible"]:
            continue
        x = np.full(len(offsets), mark["px"][0], dtype=np.float32)
        y = (mark["px"][1] + offsets).astype(np.float32)
        values = cv2.remap(grey, x, y, cv2.INTER_LINEAR)
        found.append(offsets[int(np.argmax(values))])
    return float(np.median(found))


def _mm_per_px(truth: Entry) -> float:
    """Return the rough size of a pixel on the wall."""
    camera = truth["camera"]
    return float(camera["position_mm"][2] / camera["focal_px"])


def main() -> None:
    """Print the check of every picture."""
    for picture in PICTURES:
        truth, grey = load_truth(picture), load_grey(picture)
        print(f"{picture}: projection within {projection_gap_px(truth):.4f} px")
        print(f"  bed joints, median {joint_offset_px(grey, truth):+.2f} px")
        for edge in edges(truth):
            off = edge_offsets_px(grey, truth, edge)
            low, middle, high = np.percentile(off, [16, 50, 84])
            print(f"  {edge.name:38s} {middle:+.2f} px  [{low:+.2f}, {high:+.2f}]")


if __name__ == "__main__":
    main()
