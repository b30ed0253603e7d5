"""Gables: two rakes that meet, checked by half span and pitch."""

from dataclasses import dataclass
from itertools import combinations
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.uncertain import Uncertain, stack
from photomeasure.job.schema import Role
from photomeasure.lengths import segment_lengths
from photomeasure.results import Gable, MeasuredLine, RakeCheck

APEX_GAP: Final = 0.06
"""Tops of two rakes this near, per rake, are one apex."""


@dataclass(frozen=True, slots=True, eq=False)
class RakeEdge:
    """One sloping edge.

    Attributes
    ----------
    name : str
        Of its line; with its side if the line has two.
    coordinates : Uncertain
        ``foot x, foot y, top x, top y`` in the wall frame of the adjustment.
    """

    name: str
    coordinates: Uncertain


def find_gables(lines: tuple[MeasuredLine, ...]) -> tuple[Gable, ...]:
    """Return the gables among the lines of one elevation.

    Parameters
    ----------
    lines : tuple of MeasuredLine

    Returns
    -------
    tuple of Gable
        For every two rakes whose tops meet and whose feet lie either side.
    """
    rakes = [
        rake
        for line in lines
        if line.role in (Role.RAKE, Role.VERGE)
        for rake in rake_edges(line)
    ]
    return tuple(
        _gable(left, right)
        for left, right in combinations(rakes, 2)
        if _meet(left.coordinates.values, right.coordinates.values)
    )


def rake_edges(line: MeasuredLine) -> list[RakeEdge]:
    """Split a rake line into its sloping edges, each from foot to top.

    Parameters
    ----------
    line : MeasuredLine

    Returns
    -------
    list of RakeEdge
        One, or two if the top is between the ends.
    """
    points = line.coordinates.values.reshape(-1, 2)
    top = int(np.argmax(points[:, 1]))
    ends = [end for end in (0, len(points) - 1) if end != top]
    rakes = []
    for end in ends:
        rows = [2 * end, 2 * end + 1, 2 * top, 2 * top + 1]
        side = (
            ""
            if len(ends) == 1
            else " (left)"
            if points[end, 0] < points[top, 0]
            else " (right)"
        )
        rakes.append(RakeEdge(line.name + side, line.coordinates[rows]))
    return rakes


def _meet(a: FloatArray, b: FloatArray) -> bool:
    reach = APEX_GAP * min(np.hypot(*(a[2:] - a[:2])), np.hypot(*(b[2:] - b[:2])))
    meets = np.hypot(*(a[2:] - b[2:])) <= reach
    either_side = (a[0] - a[2]) * (b[0] - b[2]) < 0.0
    return bool(meets and either_side)


def _gable(a: RakeEdge, b: RakeEdge) -> Gable:
    # Rows: foot a (0, 1), top a (2, 3), foot b (4, 5), top b (6, 7).
    both = stack([a.coordinates, b.coordinates])
    x = both.values[0::2]
    sign = np.sign(x[2] - x[0])
    level = both.linear(np.array([[-sign, 0, 0, 0, sign, 0, 0, 0]]))
    rise = both.linear(np.array([[0, -0.5, 0, 0.5, 0, -0.5, 0, 0.5]]))
    shape = stack([level, rise])
    span, height = shape.values
    half = span / 2.0
    rake = float(np.hypot(half, height))
    # pitch = atan(rise / half span); rake = half span / cos(pitch)
    pitch = shape.mapped(
        np.array([np.arctan2(height, half)]),
        np.array([[-height / 2.0, half]]) / rake**2,
    )
    by_half_span = shape.mapped(np.array([rake]), np.array([[half / 2.0, height]]) / rake)
    checks = []
    for name, coordinates in ((a.name, a.coordinates), (b.name, b.coordinates)):
        traced = segment_lengths(coordinates)
        pair = stack([traced, by_half_span])
        checks.append(
            RakeCheck(
                name=name,
                traced_mm=float(traced.values[0]),
                half_span_mm=rake,
                difference=pair.linear(np.array([[1.0, -1.0]])),
            )
        )
    return Gable(span=level, pitch=pitch, checks=tuple(checks))
