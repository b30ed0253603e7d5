"""How many boards to order, the chance of running short, and which length to tape."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray
from photomeasure.takeoff.house import Eaves, Rake
from photomeasure.takeoff.model import Deciding, Shortage
from photomeasure.takeoff.plan import Planned
from photomeasure.takeoff.runs import BoardRun
from photomeasure.takeoff.shortage.draws import Draws, draw_lengths
from photomeasure.takeoff.shortage.needs import Need, boards_needed

DRAWS: Final = 2000
"""A chance of 5 % is then known to half a per cent (one standard deviation)."""

SEED: Final = 20_260
"""Fixed, so that the same job gives the same order."""

BINS: Final = 20
"""Parts by taped length among which the chance is looked at: 100 draws each."""

WORTH_TAPING: Final = 0.01
"""Doubt below which no length is worth a ladder. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdicts:
    """What the uncertainty of lengths means for the order.

    Attributes
    ----------
    shortages : tuple of Shortage
        For each material one board fewer than ordered, as ordered, one more.
    extra : tuple of (Need, int)
        Each material with the boards of its counted length to order.
    deciding : Deciding or None
        None if no taping would settle anything.
    undecided : int
        Draws whose need is only known to lie between two numbers.
    cut_short : bool
        Whether any plan of a draw ended with its time.
    """

    shortages: tuple[Shortage, ...]
    extra: tuple[tuple[Need, int], ...]
    deciding: Deciding | None
    undecided: int
    cut_short: bool = False


def judge(
    planned: Planned,
    runs: Sequence[BoardRun],
    short_share: float,
    count: int = DRAWS,
    generator: np.random.Generator | None = None,
) -> Verdicts:
    """Decide how many boards to order on the joint distribution of all lengths.

    Parameters
    ----------
    planned : Planned
    runs : sequence of BoardRun
        Of the same plan.
    short_share : float
        Chance of running short that is accepted, 0 to 1.
    count : int
        Draws.
    generator : numpy.random.Generator or None
        Of the draws; None for the usual seed.

    Returns
    -------
    Verdicts

    Notes
    -----
    Soffits keep clear of the fascia's joints as planned, whatever the draw; widths,
    depths and pitches are taken as measured.
    """
    sources: dict[str, Eaves | Rake] = {run.source.line: run.source for run in runs}
    if not sources:
        return Verdicts(shortages=(), extra=(), deciding=None, undecided=0)
    seeded = generator or np.random.default_rng(SEED)
    draws = draw_lengths(tuple(sources.values()), count, seeded)
    column = {line: i for i, line in enumerate(draws.lines)}
    needs = []
    for plan in planned.plan.materials:
        more = {
            run.part: draws.more_mm[:, column[run.source.line]]
            for run in runs
            if run.material == plan.material
        }
        if more:
            needs.append(boards_needed(planned.problem, plan, more))
    extra = tuple((need, order(need, short_share)) for need in needs)
    return Verdicts(
        shortages=tuple(s for need, boards in extra for s in _around(need, boards)),
        extra=extra,
        deciding=_deciding(draws, extra),
        undecided=sum(need.undecided for need in needs),
        cut_short=any(need.cut_short for need in needs),
    )


def order(need: Need, short_share: float) -> int:
    """Return the fewest boards with which running short is rare enough.

    Parameters
    ----------
    need : Need
    short_share : float
        Chance accepted.

    Returns
    -------
    int
        Never fewer than the plan of the measured lengths uses.
    """
    boards = need.planned
    while chance_short(need, boards) > short_share:
        boards += 1
    return boards


def chance_short(need: Need, boards: int) -> float:
    """Return the share of draws that may need more boards."""
    return float(np.mean(need.boards > boards))


def surely_short(need: Need, boards: int) -> float:
    """Return the share of draws that are proven to need more boards."""
    return float(np.mean(need.least > boards))


def _around(need: Need, boards: int) -> list[Shortage]:
    return [
        Shortage(
            material=need.material,
            stock_length_mm=need.stock_length_mm,
            boards=number,
            chance=chance_short(need, number),
            at_least=surely_short(need, number),
        )
        for number in (boards - 1, boards, boards + 1)
        if number >= 0
    ]


def _deciding(draws: Draws, extra: Sequence[tuple[Need, int]]) -> Deciding | None:
    """Return the length whose tape reading settles most of the greatest doubt."""
    doubts = [
        (_doubt(short), short)
        for need, boards in extra
        for number in (boards - 1, boards)
        for short in (need.boards > number,)
    ]
    now, short = max(doubts, key=lambda entry: entry[0], default=(0.0, None))
    if short is None or now < WORTH_TAPING:
        return None
    left = [_left(draws.lengths_mm[:, i], short) for i in range(len(draws.lines))]
    best = int(np.argmin(left))
    if left[best] >= now:
        return None
    return Deciding(line=draws.lines[best], chance_now=now, chance_taped=left[best])


def _doubt(short: NDArray[np.bool_]) -> float:
    """Return the chance that the likelier answer is wrong."""
    share = float(np.mean(short))
    return min(share, 1.0 - share)


def _left(lengths_mm: FloatArray, short: NDArray[np.bool_]) -> float:
    """Return the doubt expected once this length is known.

    Draws of nearly equal length are what remains possible when the tape has read that
    length: within each such part the likelier answer is taken.
    """
    if np.ptp(lengths_mm) == 0.0:
        return _doubt(short)
    ranked = short[np.argsort(lengths_mm, kind="stable")]
    parts = np.array_split(ranked, min(BINS, len(ranked)))
    return float(sum(_doubt(part) * len(part) for part in parts) / len(ranked))
