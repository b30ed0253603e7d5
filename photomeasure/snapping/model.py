"""What snapping gives back: candidates, each with how sure it is."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.edges import EdgeFits

EDGE_MODEL_SD_PX: Final = 0.35
"""How well a fitted edge stands for the board's arris. The tone curve and sharpening
of phones move the edge of a white board by 0.2 to 0.4 px even in linear light: measured
on sample_images (docs/accuracy.md)."""

_SHARP_PX: Final = 1.3
_UNRESOLVED: Final = 0.5
"""An edge wider than a sharp picture's may be two that lie close together; the one that
is meant is then half the extra width off."""

SURE: Final = 0.85
"""A first candidate less likely than this is shown beside the next as a choice."""

MOST_SHOWN: Final = 3
"""Candidates in a choice; a person compares no more at a glance."""


class EndKind(StrEnum):
    """What an end was taken from."""

    CORNER = "corner"
    RUN_END = "end of the edge"
    TRACED = "as traced"


@dataclass(frozen=True, slots=True, eq=False)
class SnappedEnd:
    """One end of a snapped line.

    Attributes
    ----------
    point_px : (2,) float64
        On the edge.
    along_sd_px, across_sd_px : float
        Standard uncertainty along the line and across it, with the model's part.
    kind : EndKind
    """

    point_px: FloatArray
    along_sd_px: float
    across_sd_px: float
    kind: EndKind


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SnapCandidate:
    """One edge that may be meant.

    Attributes
    ----------
    ends : tuple of SnappedEnd
        In the order of the trace.
    picks_px : (3, 2) float64
        Both ends and a place between, on the edge: the lens bends it.
    pick_sd_px : float
        For the job file: the worst of the ends, and which edge is meant.
    confidence : float
        Between 0 and 1; those of all candidates and of 'none of them' add up to 1.
    shift_px : float
        From the trace's middle, to the right of its way positive.
    edge : EdgeFits
        One row.
    """

    ends: tuple[SnappedEnd, SnappedEnd]
    picks_px: FloatArray
    pick_sd_px: float
    confidence: float
    shift_px: float
    edge: EdgeFits


@dataclass(frozen=True, slots=True, eq=False)
class Snap:
    """The edges that a rough trace may mean, likeliest first; perhaps none.

    Attributes
    ----------
    candidates : tuple of SnapCandidate
    """

    candidates: tuple[SnapCandidate, ...]

    @property
    def sure(self) -> bool:
        """Whether the first may be taken unasked."""
        return bool(self.candidates) and self.candidates[0].confidence >= SURE

    @property
    def choice(self) -> tuple[SnapCandidate, ...]:
        """What to show: one if it is sure, else all."""
        return self.candidates[:1] if self.sure else self.candidates


def across_sd_px(edge: EdgeFits) -> float:
    """Return the spread across of a fitted edge (one row) as a board's arris, pixels."""
    wide = _UNRESOLVED * max(float(edge.blur_px[0]) - _SHARP_PX, 0.0)
    return float(np.sqrt(edge.sd_px[0] ** 2 + EDGE_MODEL_SD_PX**2 + wide**2))
