"""How long the optimiser may look."""

from dataclasses import dataclass

from photomeasure.takeoff.cutting.errors import BadCuttingInput


@dataclass(frozen=True, slots=True)
class Limits:
    """What the search may cost.

    Attributes
    ----------
    time_s : float
        Seconds for the whole job, > 0. Every step gets a share of them; as
        long as none is cut short the same job gives the same plan every time.
    """

    time_s: float = 10.0

    def __post_init__(self) -> None:
        if not self.time_s > 0:
            where = "limits"
            raise BadCuttingInput(
                where, f"the time is {self.time_s} s", "give more than none"
            )
