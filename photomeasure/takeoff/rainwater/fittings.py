"""Brackets, unions, lengths of gutter and of pipe: sums along a run."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from photomeasure.takeoff.measured import (
    SAME,
    check_not_negative,
    check_positive,
    round_up,
)
from photomeasure.takeoff.rainwater.gutter import GutterRun


@dataclass(frozen=True, slots=True, kw_only=True)
class GutterRules:
    """Spacings and lengths to count by.

    Attributes
    ----------
    stock_mm : float
        Length of gutter as sold.
    bracket_centres_mm : float
        Brackets no further apart than this.
    bracket_from_fitting_mm : float
        A bracket within this on each side of every fitting.
    """

    stock_mm: float
    bracket_centres_mm: float
    bracket_from_fitting_mm: float

    def __post_init__(self) -> None:
        for name in self.__slots__:
            check_positive("rainwater", name, getattr(self, name))


@dataclass(frozen=True, slots=True, kw_only=True)
class GutterParts:
    """What one gutter run takes.

    Attributes
    ----------
    pieces_mm : tuple of float
        Lengths of gutter between fittings, from the left.
    stock : int
        Lengths of gutter to buy, offcuts used first fit.
    unions_mm, brackets_mm : tuple of float
        Places along the run.
    angles, outlets, stop_ends : int
    """

    pieces_mm: tuple[float, ...]
    stock: int
    unions_mm: tuple[float, ...]
    brackets_mm: tuple[float, ...]
    angles: int
    outlets: int
    stop_ends: int


def gutter_parts(run: GutterRun, rules: GutterRules, closed_ends: int = 2) -> GutterParts:
    """Return what a gutter run takes.

    Parameters
    ----------
    run : GutterRun
    rules : GutterRules
    closed_ends : int
        Ends with a stop end; another gutter joins the rest.

    Returns
    -------
    GutterParts

    Notes
    -----
    Outlets and angles join two lengths of gutter by themselves; a union goes wherever
    else two lengths meet. Lengths are laid from the left and cut between fittings.
    """
    fittings = sorted({*run.outlets_mm, *run.corners_mm})
    marks = sorted({0.0, *fittings, run.length_mm})
    pieces, unions = [], []
    for start, end in pairwise(marks):
        cuts = list(_joints(start, end, rules.stock_mm))
        unions += cuts
        pieces += [b - a for a, b in pairwise((start, *cuts, end))]
    return GutterParts(
        pieces_mm=tuple(pieces),
        stock=_first_fit(pieces, rules.stock_mm),
        unions_mm=tuple(unions),
        brackets_mm=bracket_places_mm(run.length_mm, (*fittings, *unions), rules),
        angles=len(run.corners_mm),
        outlets=len(run.outlets_mm),
        stop_ends=closed_ends,
    )


def _joints(start: float, end: float, stock_mm: float) -> Iterator[float]:
    count = max(1, round_up((end - start) / stock_mm))
    yield from (start + index * stock_mm for index in range(1, count))


def bracket_places_mm(
    length_mm: float, fittings_mm: tuple[float, ...], rules: GutterRules
) -> tuple[float, ...]:
    """Return where brackets go.

    Parameters
    ----------
    length_mm : float
        Of the run.
    fittings_mm : tuple of float
        Places of unions, angles and outlets.
    rules : GutterRules

    Returns
    -------
    tuple of float
        One beside each end, one on each side of each fitting, and as many between at
        equal distances as keep them no further apart than the rule.

    Examples
    --------
    >>> rules = GutterRules(
    ...     stock_mm=4000, bracket_centres_mm=1000, bracket_from_fitting_mm=150
    ... )
    >>> bracket_places_mm(2000.0, (), rules)
    (150, 1000.0, 1850.0)
    """
    reach = min(rules.bracket_from_fitting_mm, length_mm / 2.0)
    beside = {reach, length_mm - reach}
    for fitting in fittings_mm:
        beside |= {p for p in (fitting - reach, fitting + reach) if 0.0 <= p <= length_mm}
    fixed = _apart(sorted(beside))
    places = [fixed[0]]
    for start, end in pairwise(fixed):
        gaps = max(1, round_up((end - start) / rules.bracket_centres_mm))
        places += [start + (end - start) * index / gaps for index in range(1, gaps + 1)]
    return tuple(places)


def _apart(places: list[float]) -> list[float]:
    """Leave out places that only rounding sets apart from the one before."""
    kept = places[:1]
    kept += [b for a, b in pairwise(places) if b - a > SAME_PLACE_MM]
    return kept


SAME_PLACE_MM = 1.0
"""No bracket is set finer than this."""


def _first_fit(pieces_mm: list[float], stock_mm: float) -> int:
    """Count lengths to buy, longest pieces first."""
    left: list[float] = []
    for piece in sorted(pieces_mm, reverse=True):
        for index, rest in enumerate(left):
            if piece <= rest * (1.0 + SAME):
                left[index] = rest - piece
                break
        else:
            left.append(stock_mm - piece)
    return len(left)


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeParts:
    """What one downpipe takes.

    Attributes
    ----------
    stock, sockets, clips, offsets : int
        Lengths to buy, joints between them, clips, and offset bends.
    """

    stock: int
    sockets: int
    clips: int
    offsets: int


def pipe_parts(
    height_mm: float, overhang_mm: float, stock_mm: float, clip_centres_mm: float
) -> PipeParts:
    """Return what one downpipe takes.

    Parameters
    ----------
    height_mm : float
        Outlet to ground, > 0.
    overhang_mm : float
        Gutter in front of the wall, >= 0: two bends bring the pipe back to it, and as
        much more pipe.
    stock_mm, clip_centres_mm : float
        > 0.

    Returns
    -------
    PipeParts

    Examples
    --------
    >>> pipe_parts(5000.0, 0.0, 2500.0, 1800.0)
    PipeParts(stock=2, sockets=1, clips=4, offsets=0)
    """
    for what, number in (
        ("height in mm", height_mm),
        ("length of a pipe in mm", stock_mm),
        ("clip spacing in mm", clip_centres_mm),
    ):
        check_positive("downpipe", what, number)
    check_not_negative("downpipe", "overhang in mm", overhang_mm)
    stock = max(1, round_up((height_mm + overhang_mm) / stock_mm))
    return PipeParts(
        stock=stock,
        sockets=stock - 1,
        clips=max(2, round_up(height_mm / clip_centres_mm) + 1),
        offsets=2 if overhang_mm > 0.0 else 0,
    )
