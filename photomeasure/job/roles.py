"""Roles of traced lines, and where they hang when nobody says so.

All default projections are common practice, no source: they are wide on purpose,
the length says that its projection was assumed, and a stated or measured projection
replaces them.
"""

from dataclasses import dataclass
from typing import Final

from photomeasure.job.schema import Role


@dataclass(frozen=True, slots=True)
class UsualProjection:
    """Where lines of a role usually lie in front of the wall.

    Attributes
    ----------
    mean_mm, sd_mm : float
        Range of practice as mean and standard deviation.
    on_wall : bool
        True if the role lies on the wall itself, so nothing was assumed.
    """

    mean_mm: float
    sd_mm: float
    on_wall: bool = False


USUAL_PROJECTION: Final[dict[Role, UsualProjection | None]] = {
    Role.EAVES: UsualProjection(200.0, 120.0),
    Role.FASCIA: UsualProjection(200.0, 120.0),
    Role.SOFFIT: UsualProjection(200.0, 120.0),
    Role.FASCIA_DEPTH: UsualProjection(200.0, 120.0),
    Role.GUTTER: UsualProjection(280.0, 130.0),
    Role.BOX_END: UsualProjection(150.0, 100.0),
    Role.RAKE: UsualProjection(100.0, 60.0),
    Role.VERGE: UsualProjection(100.0, 60.0),
    Role.DOWNPIPE: UsualProjection(70.0, 40.0),
    Role.OPENING: UsualProjection(0.0, 8.0, on_wall=True),
    Role.WALL: UsualProjection(0.0, 5.0, on_wall=True),
    Role.OTHER: UsualProjection(100.0, 150.0),
    Role.RIDGE: None,  # set back by half the house: no usual value helps
    Role.HIP: None,
    Role.VALLEY: None,
}
"""Usual projection of each role; None where it must be stated."""

RUNS_AWAY: Final = frozenset({Role.HIP, Role.VALLEY})
"""Roles that are not parallel to the wall, so one photo cannot give their length."""

UNSTATED_SD: Final = 20.0
"""Spread of a projection that is stated without one. Common practice, no source."""
