"""Turns points of the scene into truth: pixels, and whether they can be seen."""

from itertools import pairwise

import cv2
import numpy as np

from calibration.arrays import FloatArray
from calibration.brick_formats import brick_format
from tests.pictures.bonds import Brickwork, Laid
from tests.pictures.cast import Frame
from tests.pictures.truth import BedJoint, BrickTruth, Edge, Perpends, Trace
from tests.pictures.view import View

_HIDDEN_MM = 45.0
"""Something this much nearer than a point hides it; reliefs of one surface are less."""

_EDGE_STEPS = 33
_JOINT_STEP_MM = 250.0


class Marker:
    """Knows where points appear and what hides them.

    Attributes
    ----------
    view : View
    """

    def __init__(self, view: View, frame: Frame) -> None:
        self.view = view
        # At an edge the pixel itself may show what lies behind or before: a point is
        # hidden only if all pixels around it show something nearer.
        self._farthest = cv2.erode(frame.near, np.ones((3, 3), np.uint8))

    def trace(self, points_mm: FloatArray) -> Trace:
        """Return the trace of house-frame points (N, 3)."""
        points = np.atleast_2d(np.asarray(points_mm, dtype=np.float64))
        px = self.view.project(points)
        width, height = self.view.size_px
        inside = np.all((px >= 0.0) & (px <= np.array([width, height]) - 1.0), axis=1)
        visible = inside.copy()
        column, row = np.round(px[inside]).astype(int).T
        near = self._farthest[row, column]
        depth = self.view.depth_mm(points[inside])
        visible[inside] = near * (depth - _HIDDEN_MM) < 1.0
        return Trace(points, px, visible)

    def edge(self, name: str, role: str, ends_mm: FloatArray) -> Edge:
        """Return a straight edge between two house-frame points (2, 3)."""
        ends = np.asarray(ends_mm, dtype=np.float64)
        share = np.linspace(0.0, 1.0, _EDGE_STEPS)[:, None]
        level = np.ptp(ends[:, 2]) < 0.01
        return Edge(
            name=name,
            role=role,
            length_mm=float(np.linalg.norm(ends[1] - ends[0])),
            projection_mm=float(ends[0, 2]) if level else float("nan"),
            trace=self.trace(ends[0] + share * (ends[1] - ends[0])),
        )


def brick_truth(
    marker: Marker, work: Brickwork, palette: str, laid: Laid, extent_mm, bare
) -> BrickTruth:
    """Return the truth of a laid wall.

    Parameters
    ----------
    marker : Marker
    work : Brickwork
    palette : str
    laid : Laid
    extent_mm : tuple of float
        x0, y0, x1, y1 of the wall.
    bare : callable
        (N, 2) wall points to (N,) bool: whether the wall is plain brickwork there.

    Returns
    -------
    BrickTruth
    """
    x0, y0, x1, y1 = extent_mm
    x = np.linspace(x0 + 5.0, x1 - 5.0, int((x1 - x0) / _JOINT_STEP_MM) + 2)
    joints = []
    for index, mean in enumerate(laid.joints_mm):
        if not y0 < mean < y1:
            continue
        count = laid.first + index
        trace = _seen_bare(marker, laid.bed_joint_mm(count, x), bare)
        joints.append(BedJoint(count=count, mean_mm=float(mean), trace=trace))
    perpends = []
    for index, centres in enumerate(laid.perpends_mm):
        middle = 0.5 * (laid.joints_mm[index] + laid.joints_mm[index + 1])
        if not y0 < middle < y1:
            continue
        within = centres[(centres > x0 + 1.0) & (centres < x1 - 1.0)]
        built = laid.built(np.stack([within, np.full(len(within), middle)], axis=1))
        trace = _seen_bare(marker, built, bare)
        perpends.append(Perpends(course=laid.first + index, trace=trace))
    return _summed_up(work, palette, tuple(joints), tuple(perpends))


def _seen_bare(marker: Marker, xy: FloatArray, bare) -> Trace:
    """Return the trace of wall points, visible only where bricks are."""
    trace = marker.trace(np.c_[xy, np.zeros(len(xy))])
    return Trace(trace.mm, trace.px, trace.visible & bare(xy))


def _summed_up(work: Brickwork, palette: str, joints, perpends) -> BrickTruth:
    """Count what can be seen and put the truth together."""
    nominal = brick_format(work.format)
    pitches = [_widest_run(p.trace) / work.stretcher_mm for p in perpends]
    heights = _course_heights(joints)
    counts = np.array([j.count for j in joints], dtype=np.float64)
    means = np.array([j.mean_mm for j in joints])
    gauge = float(np.polyfit(counts, means, 1)[0]) if len(joints) > 1 else work.gauge_mm
    return BrickTruth(
        format=work.format,
        bond=work.bond,
        palette=palette,
        nominal_gauge_mm=nominal.gauge_mm,
        nominal_stretcher_mm=nominal.stretcher_mm,
        gauge_mm=gauge,
        stretcher_mm=work.stretcher_mm,
        joint_mm=work.joint_mm,
        visible_courses=sum(p >= 2.0 for p in pitches),
        visible_stretchers=float(max(pitches, default=0.0)),
        course_px=heights,
        bed_joints=joints,
        perpends=perpends,
    )


def _widest_run(trace: Trace) -> float:
    """Return the longest stretch, mm, over which all perpends can be seen."""
    best, start = 0.0, None
    for mm, seen in zip(trace.mm[:, 0], trace.visible, strict=True):
        if not seen:
            start = None
        elif start is None:
            start = mm
        else:
            best = max(best, float(mm - start))
    return best


def _course_heights(joints) -> tuple[float, float]:
    """Return smallest and largest height in pixels between neighbouring seen joints."""
    heights = []
    for below, above in pairwise(joints):
        both = below.trace.visible & above.trace.visible
        if both.any():
            gap = below.trace.px[both] - above.trace.px[both]
            heights.append(np.linalg.norm(gap, axis=1))
    if not heights:
        return (0.0, 0.0)
    every = np.concatenate(heights)
    return float(every.min()), float(every.max())
