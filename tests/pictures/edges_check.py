"""Measures where edges and joints of a picture lie off their truth."""

import cv2
import numpy as np

from calibration.arrays import FloatArray
from tests.pictures.truth import Edge, Trace

_REACH_PX = 3.0
_STEP_PX = 0.125
_ALONG = 12


def light_of(rgb: np.ndarray) -> np.ndarray:
    """Return the mean of the channels of a picture without a tone curve, float32."""
    return rgb.astype(np.float32).mean(axis=2)


def profiles(light: np.ndarray, trace: Trace) -> tuple[FloatArray, FloatArray]:
    """Return offsets (K,) and mean profiles (N, K) across the seen stretches of a trace.

    Offsets are positive to the right of the way from the first point to the last (down,
    for an edge that runs to the right).
    """
    offsets = np.arange(-_REACH_PX, _REACH_PX + _STEP_PX / 2, _STEP_PX)
    share = (np.arange(_ALONG) + 0.5)[:, None, None] / _ALONG
    rows = []
    seen = trace.visible[:-1] & trace.visible[1:]
    for start, end in zip(trace.px[:-1][seen], trace.px[1:][seen], strict=True):
        along = end - start
        normal = np.array([-along[1], along[0]]) / np.linalg.norm(along)
        places = start + share * along + offsets[None, :, None] * normal
        maps = places.astype(np.float32)
        values = cv2.remap(light, maps[..., 0], maps[..., 1], cv2.INTER_LINEAR)
        rows.append(values.mean(axis=0))
    return offsets, np.array(rows)


def edge_offset_px(light: np.ndarray, edge: Edge) -> float:
    """Return how far the steepest place lies off an edge, median over its stretches."""
    offsets, values = profiles(light, edge.trace)
    slope = np.abs(np.gradient(values, axis=1))
    peak = slope.argmax(axis=1)
    found = []
    for row, middle in zip(slope, peak, strict=True):
        low, high = max(0, middle - 7), min(len(offsets), middle + 8)
        weight = row[low:high] ** 2
        found.append(float(weight @ offsets[low:high] / weight.sum()))
    return float(np.median(found))


def step_across(light: np.ndarray, edge: Edge) -> float:
    """Return the difference in light between both sides of an edge, median."""
    _, values = profiles(light, edge.trace)
    return float(abs(np.median(values[:, -1] - values[:, 0])))


def joint_offset_px(light: np.ndarray, traces: list[Trace]) -> float:
    """Return the mean offset of the lightest place from joints that are lighter."""
    found = []
    for trace in traces:
        offsets, values = profiles(light, trace)
        if len(values):
            weight = np.clip(values - np.median(values, axis=1, keepdims=True), 0.0, None)
            weight = weight**2 * (np.abs(offsets) < 2.0)
            found.append(weight @ offsets / np.maximum(weight.sum(axis=1), 1e-9))
    return float(np.mean(np.concatenate(found)))
