"""Length, segments and pitch of traced lines."""

from itertools import pairwise
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.uncertain import Uncertain
from photomeasure.results import MeasuredLine
from photomeasure.tracing import Traced

BEND_RAD: Final = float(np.radians(3.0))
"""Segments that turn by more than this make a bent line, which has no one pitch."""


def measure_line(traced: Traced, origin_mm: FloatArray) -> MeasuredLine:
    """Return the length of a traced line.

    Parameters
    ----------
    traced : Traced
    origin_mm : (2,) float64
        Origin of the reported frame in the wall frame.

    Returns
    -------
    MeasuredLine
    """
    segments = segment_lengths(traced.coordinates)
    shifted = traced.xy_mm - origin_mm
    return MeasuredLine(
        trace=traced.trace,
        length=segments.linear(np.ones((1, len(segments)))),
        segments=segments,
        pitch=None if bent(traced.xy_mm) else pitch(traced.coordinates),
        points_mm=np.c_[shifted, np.full(len(shifted), traced.z_mm)],
        coordinates=traced.coordinates,
    )


def segment_lengths(coordinates: Uncertain) -> Uncertain:
    """Return the lengths between successive points.

    Parameters
    ----------
    coordinates : Uncertain
        ``x_0, y_0, x_1, y_1, ...``, N points.

    Returns
    -------
    Uncertain
        N - 1 lengths.
    """
    points = coordinates.values.reshape(-1, 2)
    steps = np.diff(points, axis=0)
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    units = steps / lengths[:, None]
    jacobian = np.zeros((len(lengths), coordinates.values.size))
    for k, unit in enumerate(units):
        jacobian[k, 2 * k : 2 * k + 4] = [*-unit, *unit]
    return coordinates.mapped(lengths, jacobian)


def pitch(coordinates: Uncertain) -> Uncertain:
    """Return the angle of a line from end to end above the level, 0 to pi/2.

    Parameters
    ----------
    coordinates : Uncertain
        ``x_0, y_0, ...``.

    Returns
    -------
    Uncertain
        One angle, radians.
    """
    points = coordinates.values.reshape(-1, 2)
    dx, dy = points[-1] - points[0]
    square = dx * dx + dy * dy
    # angle = atan2(|dy|, |dx|)
    wrt_dx = -abs(dy) * np.sign(dx) / square
    wrt_dy = abs(dx) * np.sign(dy) / square
    jacobian = np.zeros((1, coordinates.values.size))
    jacobian[0, :2] = -wrt_dx, -wrt_dy
    jacobian[0, -2:] += wrt_dx, wrt_dy
    return coordinates.mapped(np.array([np.arctan2(abs(dy), abs(dx))]), jacobian)


def bent(points_mm: FloatArray) -> bool:
    """Return whether a line (N, 2) changes direction."""
    steps = np.diff(points_mm, axis=0)
    angles = np.arctan2(steps[:, 1], steps[:, 0])
    turns = [(b - a + np.pi) % (2 * np.pi) - np.pi for a, b in pairwise(angles)]
    return any(abs(turn) > BEND_RAD for turn in turns)
