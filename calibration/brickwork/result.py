"""What was read from a wall, and how sure it is."""

from dataclasses import dataclass
from enum import StrEnum

from calibration.arrays import FloatArray, IntArray
from calibration.brickwork.wallplane import WallPlane


class BondName(StrEnum):
    """Bonds as a bricklayer calls them."""

    STRETCHER = "stretcher"
    HEADER = "header"
    FLEMISH = "flemish"
    ENGLISH = "english"


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to understand the wall.

    Attributes
    ----------
    bond : BondName
    ratio : float
        Stretcher with its perpend against gauge.
    gauge_factor : float
        Courses of this reading in one course of the lattice: 1, or 2 and 0.5 when
        the octave is in doubt.
    confidence : float
        Probability that courses and bond are counted rightly, 0..1.
    formats : tuple of str
        Names of brick formats with such a ratio, the likeliest first.
    """

    bond: BondName
    ratio: float
    gauge_factor: float
    confidence: float
    formats: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Picks:
    """Measured joints of one direction.

    Attributes
    ----------
    px : (N, 2) float64
        In the photo.
    number : (N,) float64
        Bed joints: count upwards. Perpends: stretchers to the right.
    course : (N,) int
        Bed joints: their number. Perpends: the bed joint below them.
    residual : (N,) float64
        Off the lattice, courses.
    sd_px : float
        Scatter about the lattice, pixels, across the joint.
    sd : float
        The same in courses.
    """

    px: FloatArray
    number: FloatArray
    course: IntArray
    residual: FloatArray
    sd_px: float
    sd: float


@dataclass(frozen=True, slots=True, eq=False)
class Brickwork:
    """A wall of bricks read from a photo.

    Attributes
    ----------
    plane : WallPlane
        ``u`` and ``v`` in courses, v down, bed joints at whole v; with the lens found.
    readings : tuple of Reading
        The best first; a second if there is doubt.
    beds, perpends : Picks
    course_px : float
        Middle height of a course in the photo.
    courses, stretchers : int
        How many are seen.
    evidence : dict of str to float
        The measured figures that the confidence rests on.
    """

    plane: WallPlane
    readings: tuple[Reading, ...]
    beds: Picks
    perpends: Picks
    course_px: float
    courses: int
    stretchers: int
    evidence: dict[str, float]

    @property
    def best(self) -> Reading:
        """The likeliest reading."""
        return self.readings[0]
