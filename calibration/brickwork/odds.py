"""The odds that a measured lattice is brickwork counted rightly, from its figures.

Each figure adds log-odds in proportion to where it lies between a low and a high value,
none below and no more above: no single figure can make a reading sure. How much each is
worth was fitted to drawn pictures with truth by ``tests.accuracy.brick_confidence``.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np


@dataclass(frozen=True, slots=True)
class Figure:
    """What a figure of a reading is worth.

    Attributes
    ----------
    low : float
        Where it is worth nothing.
    high : float
        Where it is worth all it can be; below `low` for figures that have to be small.
    worth : float
        Log-odds added from low to high, never negative.
    """

    low: float
    high: float
    worth: float

    def share(self, value: float) -> float:
        """Return how far a value is on the way from low to high, 0..1."""
        return float(np.clip((value - self.low) / (self.high - self.low), 0.0, 1.0))


@dataclass(frozen=True, slots=True)
class Gate:
    """A figure that has to be on the right side of a bound, whatever the others say.

    Attributes
    ----------
    bound : float
        Where the odds are even.
    step : float
        Change of the figure that multiplies the odds by e; negative for figures that
        have to be small.
    """

    bound: float
    step: float

    def chance(self, value: float) -> float:
        """Return the probability that the figure is good enough, 0..1."""
        return float(
            1.0 / (1.0 + np.exp(np.clip(-(value - self.bound) / self.step, -60, 60)))
        )


FIGURES: Final[dict[str, Figure]] = {
    "break": Figure(0.05, 0.30, 1.68),
    "agreement": Figure(0.30, 0.85, 2.28),
    "lap": Figure(0.00, 0.25, 2.92),
    "phase": Figure(0.30, 2.40, 3.83),
    "beds_found": Figure(0.40, 0.80, 1.93),
    "perpends_found": Figure(0.20, 0.70, 2.92),
    "bed_sd": Figure(0.16, 0.06, 0.55),
    "perpend_sd": Figure(0.22, 0.08, 2.85),
    "break_half": Figure(0.40, 0.10, 0.91),
}
START: Final = -13.10

GATES: Final[dict[str, Gate]] = {
    "lean_deg": Gate(34.0, -1.5),
    "spare": Gate(0.20, -0.03),
    "lap": Gate(0.03, 0.012),
    "perpend_sd": Gate(0.24, -0.012),
    "courses": Gate(3.0, 0.25),
    "bent": Gate(0.11, -0.012),
}
"""What no other figure can make good: a plane that leans like a roof; joints where the
bond has none, as shorter units would have; joints that might as well be in line, or
anywhere; hardly any courses; parts that lie off the lattice as a whole. Walls lean by the
camera's tilt, 20 degrees at most; the bonds of drawn walls have 0.00 to 0.10 of the second,
slates read as Flemish or English bond 0.5 to 0.9 and blocks 0.3. Of 60 drawn walls counted
rightly all but two have 0.00 to 0.04 of the last; of ten of which a part slipped by a
course eight have 0.12 to 0.39."""

JOINT: Final = Gate(0.085, 0.006)
"""Width of a bed joint with its blur, courses. Right walls of 25 pixels a course or more
have 0.085 to 0.19, slates and sawn stone 0.07 to 0.11; smaller courses tell nothing, for
there blur is wider than any joint."""

COURSED: Final = Gate(50.0, 1.5)
"""Courses in view that stone has not: sawn stone three times as long as high, in half bond,
is laid like brick, but 200 to 300 mm a course, and three storeys with a gable have at most
50. Common practice, no source."""

UNMEASURED: Final = Gate(58.0, 1.5)
"""The same where only changes of lightness were looked at: they have no width of a joint,
by which thin joints of stone could be told. Common practice, no source."""

SQUARED: Final = Gate(58.0, 1.5)
"""The same of squared stones half as long again as high, the shape of headers: they come
smaller, from 200 mm on. Common practice, no source."""

HAND_HELD: Final = Gate(12.5, 0.6)
"""Courses seen below the camera that no stone has: of 200 mm they would put a phone 2.5 m
above the foot of the wall. A house of brick seen down to the ground has 16 to 24. Common
practice, no source; a photo taken from upstairs or from a scaffold may break it."""

STONE: Final = 0.5
"""Chance that a wall of fewer courses is stone, if its units are of one length and it is
not seen far below the camera."""

STONE_MIXED: Final = 0.02
"""The same if long and short units take turns as in Flemish or English bond: bricks turned
end on, for a wall one brick thick; stone is sawn to lengths. Common practice, no source."""

TILES: Final = 0.5
"""Chance that short units in half bond, with joints darker than they or of a shade that
is not known, are tiles or slates: those are laid so too. Common practice, no source."""

TILES_LIGHT: Final = 0.02
"""The same with joints lighter than the units: mortar may be, but tiles and slates have
gaps and the shade of their tails between them, which are dark. Common practice, no
source; no reading of drawn tiles or slates had light joints."""

FINE_JOINT: Final = Gate(0.12, 0.006)
"""Width of a bed joint, courses, below which courses are no 60 mm: half bond of two to one
is header bond of bricks four times as long as high, with 8 mm joints of 0.13 at least, or
stretcher bond of units 100 to 225 mm high, whose joints are 0.05 to 0.10. With blur wide
joints may be either."""


def chance(evidence: dict[str, float], *, told: bool) -> float:
    """Return the probability that a lattice of joints is rightly counted.

    Parameters
    ----------
    evidence : dict of str to float
        Of :func:`~calibration.brickwork.confidence.gather`.
    told : bool
        Whether the user knows the format: joints may then be thin.

    Returns
    -------
    float
        0..1.
    """
    odds = START + sum(f.worth * f.share(evidence[name]) for name, f in FIGURES.items())
    gates = [gate.chance(evidence[name]) for name, gate in GATES.items()]
    if not told:
        gates.append(JOINT.chance(evidence["bed_width"]))
    return float(np.prod(gates) / (1.0 + np.exp(-odds)))


def no_stone(
    courses: float,
    below: float,
    light: float,
    *,
    short: bool = False,
    mixed: bool = False,
) -> float:
    """Return the chance that what is laid like brick is not stone.

    Parameters
    ----------
    courses : float
        In view.
    below : float
        Those of them below the height of the camera.
    light : float
        Zero if it is not known whether joints are light or dark.
    short : bool
        Whether units are of the shape of headers.
    mixed : bool
        Whether units of two lengths take turns.

    Returns
    -------
    float
        0..1.
    """
    stone = STONE_MIXED if mixed else STONE
    enough = SQUARED if short else COURSED if light else UNMEASURED
    doubt = (1.0 - enough.chance(courses)) * (1.0 - HAND_HELD.chance(below))
    return 1.0 - stone * doubt


def no_tiles(light: float) -> float:
    """Return the chance that short units in half bond are no tiles or slates.

    Parameters
    ----------
    light : float
        One if joints are lighter than the units, minus one if darker, zero if unknown.

    Returns
    -------
    float
        0..1.
    """
    return 1.0 - (TILES_LIGHT if light > 0.0 else TILES)


def weakest(evidence: dict[str, float]) -> str:
    """Return the name of the figure that speaks most against a reading."""
    lost = {name: f.worth * (1.0 - f.share(evidence[name])) for name, f in FIGURES.items()}
    for name, gate in GATES.items():
        lost[name] = lost.get(name, 0.0) - float(np.log(gate.chance(evidence[name])))
    return max(lost, key=lambda name: lost[name])
