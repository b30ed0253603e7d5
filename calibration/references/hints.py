"""What a reference tells a trial viewpoint, as equations that are linear in it."""

from dataclasses import dataclass

from calibration.arrays import FloatArray, IntArray


@dataclass(frozen=True, slots=True, eq=False)
class CoordinateHint:
    """Picks whose coordinates along one wall axis are known up to an offset.

    Attributes
    ----------
    picks : (n,) int
        Positions among the reference's picks.
    values_mm : (n,) float64
        Their coordinates; all equal for a level or plumb line.
    axis : int
        0 for x, 1 for y.
    sd_mm : float
        How well they are known.
    """

    picks: IntArray
    values_mm: FloatArray
    axis: int
    sd_mm: float


@dataclass(frozen=True, slots=True)
class LengthHint:
    """Two picks at a known distance in any direction.

    Attributes
    ----------
    picks : tuple of int
        Positions among the reference's picks.
    length_mm : float
        Distance on the wall.
    sd_mm : float
        How well it is known.
    """

    picks: tuple[int, int]
    length_mm: float
    sd_mm: float


Hint = CoordinateHint | LengthHint
