"""Snapping: a rough trace is pulled to the true edge, or a choice is shown."""

from photomeasure.snapping.model import EndKind, Snap, SnapCandidate, SnappedEnd
from photomeasure.snapping.snap import snap_line, usual_reach_px

__all__ = ["EndKind", "Snap", "SnapCandidate", "SnappedEnd", "snap_line", "usual_reach_px"]
