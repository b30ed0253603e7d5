"""The invented house: every dimension that the pictures and their truth share.

House frame, millimetres: origin at ground level on the left quoin of the front
wall, x right as seen from the street, y up, z out of the front wall to the street.
Sizes are ordinary British practice (no source) and belong to no real building.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

BRICK_LENGTH_MM = 215.0
BRICK_DEPTH_MM = 102.5
JOINT_MM = 10.0
GAUGE_MM = 75.0  # 65 mm brick + 10 mm bed joint
PITCH_ALONG_MM = BRICK_LENGTH_MM + JOINT_MM

# As built against nominal: the wall truly drifts, as real ones do.
GAUGE_DRIFT = 0.0055
ALONG_DRIFT = 0.0031
FIRST_JOINT_Y_MM = 63.0  # bed joint number 0 lies just above the ground

FRONT_BRICKS = 33
GABLE_BRICKS = 30
WALL_WIDTH_MM = (FRONT_BRICKS * PITCH_ALONG_MM - JOINT_MM) * (1.0 + ALONG_DRIFT)
GABLE_WIDTH_MM = (GABLE_BRICKS * PITCH_ALONG_MM - JOINT_MM) * (1.0 + ALONG_DRIFT)

SOFFIT_Y_MM = 4985.0
FASCIA_PROJECTION_MM = 308.0  # outer face of the fascia, off the wall
FASCIA_THICKNESS_MM = 18.0
FASCIA_DEPTH_MM = 222.0
FASCIA_DROP_MM = 3.0  # the fascia hangs a little below the soffit
FASCIA_BOTTOM_Y_MM = SOFFIT_Y_MM - FASCIA_DROP_MM
FASCIA_TOP_Y_MM = FASCIA_BOTTOM_Y_MM + FASCIA_DEPTH_MM

PITCH_RAD = math.radians(37.8)
BARGE_PROJECTION_MM = 124.0  # outer face of the barge board, off the gable wall
BARGE_THICKNESS_MM = 20.0
BARGE_DEPTH_MM = 165.0  # at right angles to the rake
BARGE_FOOT_X_MM = -(FASCIA_PROJECTION_MM - FASCIA_THICKNESS_MM)

DOWNPIPE_X_MM = 300.0
DOWNPIPE_Z_MM = 62.0
DOWNPIPE_RADIUS_MM = 34.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A door or window: a rectangle left out of the brickwork of the front wall.

    Attributes
    ----------
    name : str
        Name used in the truth.
    first, last : float
        Brick numbers of its jambs: the brickwork stops at ``first`` bricks from the
        left quoin and starts again at ``last``.
    bottom, top : int
        Numbers of the bed joints at which it starts and ends.
    lights : int
        Panes side by side; 0 for a door.
    """

    name: str
    first: float
    last: float
    bottom: int
    top: int
    lights: int

    @property
    def left_mm(self) -> float:
        """Return x of the left jamb on the wall face."""
        return (self.first * PITCH_ALONG_MM - JOINT_MM) * (1.0 + ALONG_DRIFT)

    @property
    def right_mm(self) -> float:
        """Return x of the right jamb on the wall face."""
        return self.last * PITCH_ALONG_MM * (1.0 + ALONG_DRIFT)

    @property
    def bottom_mm(self) -> float:
        """Return y of the sill or threshold on the wall face."""
        return float(mean_joint_y_mm(self.bottom))

    @property
    def top_mm(self) -> float:
        """Return y of the underside of the soldier course on the wall face."""
        return float(mean_joint_y_mm(self.top))


OPENINGS = (
    Opening(name="ground window left", first=4, last=12, bottom=12, top=28, lights=3),
    Opening(name="front door", first=16, last=20, bottom=1, top=28, lights=0),
    Opening(name="ground window right", first=25, last=30, bottom=12, top=28, lights=2),
    Opening(name="upper window left", first=5, last=11, bottom=46, top=61, lights=2),
    Opening(name="upper window mid", first=16.5, last=19.5, bottom=49, top=61, lights=1),
    Opening(name="upper window right", first=25, last=30, bottom=46, top=61, lights=2),
)

GABLE_OPENINGS = (
    Opening(name="landing window", first=18, last=21, bottom=43, top=55, lights=1),
)


def mean_joint_y_mm(count: FloatArray | float) -> FloatArray:
    """Return the mean height of bed joint ``count`` (its centre line).

    The slow wave stands for a bricklayer who falls behind his gauge rod and
    catches up again: at most 0.46 mm a course, 3 mm in all.
    """
    k = np.asarray(count, dtype=np.float64)
    slow_mm = 3.0 * (np.sin(2.0 * np.pi * k / 41.0 + 0.7) - math.sin(0.7))
    return FIRST_JOINT_Y_MM + GAUGE_MM * (1.0 + GAUGE_DRIFT) * k + slow_mm


def joint_y_mm(count: FloatArray | float, along_mm: FloatArray | float) -> FloatArray:
    """Return the height of bed joint ``count`` at ``along_mm``.

    ``along_mm`` runs along the front wall and on round the right quoin, so that
    the courses meet at the corner. Beds undulate by about 3 mm.
    """
    s = np.asarray(along_mm, dtype=np.float64)
    k = np.asarray(count, dtype=np.float64)
    wave_mm = 1.8 * np.sin(2.0 * np.pi * s / 5200.0 + 0.05 * k)
    wave_mm = wave_mm + 1.0 * np.sin(2.0 * np.pi * s / 2300.0 + 0.11 * k + 1.0)
    return mean_joint_y_mm(k) + wave_mm


def rake_top_y_mm(across_mm: FloatArray | float) -> FloatArray:
    """Return the height of the barge boards' upper edge across the gable.

    ``across_mm`` runs from the front quoin (0) to the back quoin.
    """
    a = np.asarray(across_mm, dtype=np.float64)
    from_centre_mm = np.abs(a - GABLE_WIDTH_MM / 2.0)
    half_mm = GABLE_WIDTH_MM / 2.0 + FASCIA_PROJECTION_MM
    return FASCIA_TOP_Y_MM + (half_mm - from_centre_mm) * math.tan(PITCH_RAD)


def rake_low_y_mm(across_mm: FloatArray | float) -> FloatArray:
    """Return the height of the barge boards' lower edge across the gable."""
    return rake_top_y_mm(across_mm) - BARGE_DEPTH_MM / math.cos(PITCH_RAD)
