"""Means of ventilation and the free area that they give."""

from dataclasses import dataclass

from photomeasure.takeoff.measured import Measured, check_positive

MM_PER_M = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Continuous:
    """Something that lets air in all along: over-fascia strip, vented soffit, ridge.

    Attributes
    ----------
    name : str
        For people.
    free_mm2_per_m : float
        As its maker states it, > 0.
    """

    name: str
    free_mm2_per_m: float

    def __post_init__(self) -> None:
        check_positive(self.name, "free area in mm2/m", self.free_mm2_per_m)

    @property
    def rate_mm2_per_m(self) -> float:
        """Free area per metre of run."""
        return self.free_mm2_per_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Spaced:
    """Single openings at a spacing: discs in a soffit, tile vents.

    Attributes
    ----------
    name : str
    free_mm2_each : float
        > 0.
    spacing_mm : float
        Centre to centre, > 0.
    """

    name: str
    free_mm2_each: float
    spacing_mm: float

    def __post_init__(self) -> None:
        check_positive(self.name, "free area in mm2", self.free_mm2_each)
        check_positive(self.name, "spacing in mm", self.spacing_mm)

    @property
    def rate_mm2_per_m(self) -> float:
        """Free area per metre of run.

        Examples
        --------
        >>> Spaced(name="disc", free_mm2_each=2000, spacing_mm=200).rate_mm2_per_m
        10000.0
        """
        return self.free_mm2_each * MM_PER_M / self.spacing_mm

    def spacing_for_mm(self, slot_mm: float) -> float:
        """Return the widest spacing that equals a slot of this width.

        Examples
        --------
        >>> Spaced(name="disc", free_mm2_each=2000, spacing_mm=600).spacing_for_mm(10)
        200.0
        """
        return self.free_mm2_each / slot_mm


Means = Continuous | Spaced


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """An eaves, or a ridge or top edge, with what ventilates it.

    Attributes
    ----------
    name : str
    length_mm : Measured
    means : tuple of Means or None
        Empty if there are none; None if nobody said.
    """

    name: str
    length_mm: Measured
    means: tuple[Means, ...] | None

    def __post_init__(self) -> None:
        check_positive(self.name, "length in mm", self.length_mm.value)

    @property
    def rate_mm2_per_m(self) -> float | None:
        """Free area per metre of all means together."""
        if self.means is None:
            return None
        return sum((means.rate_mm2_per_m for means in self.means), 0.0)
