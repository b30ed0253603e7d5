"""Boards to buy: those of the plan, and what the uncertainty of lengths asks for."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from photomeasure.job.takeoff import BoardKind
from photomeasure.takeoff.cutting import Material, MaterialPlan, Problem
from photomeasure.takeoff.model import Quantity, Section, Unit
from photomeasure.takeoff.parts import Part, Work
from photomeasure.takeoff.runs import BoardRun
from photomeasure.takeoff.shortage import Need, Verdicts
from photomeasure.takeoff.shortage.report import chance_short, surely_short
from photomeasure.takeoff.tally import Tally, in_range, item, slug

RULES = (
    "order.short_share",
    "gaps.board_end_mm",
    "gaps.fixed_end_mm",
    "joints.rafter_centres_mm",
    "joints.shortest_piece_mm",
    "joints.stagger_mm",
    "joints.barge_step_mm",
    "saw.kerf_mm",
    "saw.trim_mm",
    "saw.keep_mm",
)
"""Rules that shape every plan."""


def board_code(material: Material, length_mm: int) -> str:
    """Return the code of a stock length of board.

    Examples
    --------
    >>> board_code(Material("fascia board", 225, "white"), 5000)
    'board/fascia-board/225/white/5000'
    """
    board, colour = slug(material.board), slug(material.colour)
    return f"board/{board}/{material.width_mm}/{colour}/{length_mm}"


def orders(work: Work, verdicts: Verdicts) -> Part:
    """Return the boards to buy, material by material, longest first.

    Parameters
    ----------
    work : Work
    verdicts : Verdicts
        On the same plan.

    Returns
    -------
    Part
    """
    if work.plan is None or work.problem is None:
        return Part()
    needs = {need.material: (need, count) for need, count in verdicts.extra}
    quantities: list[Quantity] = []
    cautions: list[str] = []
    for plan in work.plan.materials:
        need = needs.get(plan.material)
        wanted = _wanted(plan, need)
        for length, count in sorted(wanted.items(), reverse=True):
            quantities += _quantity(plan, length, count, work, need)
            cautions += _too_few(work.problem, plan.material, length, count)
    cautions += _open_needs(verdicts)
    return Part(
        quantities=tuple(quantities),
        cautions=(*cautions, *_unused_stock(work)),
        rules=RULES,
    )


def _open_needs(verdicts: Verdicts) -> Iterator[str]:
    if verdicts.undecided:
        yield (
            "Some chances of running short are given as a range, because not every drawn "
            "set of lengths could be planned: the order goes by its upper end."
        )
    if verdicts.cut_short:
        yield (
            "The chances of running short were not worked out to the end in the time "
            "given: a faster computer may count otherwise."
        )


def _wanted(plan: MaterialPlan, need: tuple[Need, int] | None) -> Counter[int]:
    wanted = Counter(b.stock.length_mm for b in plan.boards if not b.stock.in_hand)
    if need is not None:
        known, count = need
        wanted[known.stock_length_mm] = count
    return +wanted


def _quantity(
    plan: MaterialPlan,
    length_mm: int,
    count: int,
    work: Work,
    need: tuple[Need, int] | None,
) -> tuple[Quantity, ...]:
    material = plan.material
    label = item(
        board_code(material, length_mm),
        f"{material.label}, {length_mm} mm{_serving(work.runs, material)}",
        Unit.EACH,
        Section.BOARDS,
    )
    tally = Tally(label, ("order.short_share", "saw.kerf_mm", "saw.trim_mm"))
    lines = _lines(work.runs, material) or dict.fromkeys(
        box.shape.line for box in work.box_ends if box.shape.material == material
    )
    planned = sum(
        b.stock.length_mm == length_mm and not b.stock.in_hand for b in plan.boards
    )
    words = f"the plan of the measured lengths uses {planned}"
    if need is not None and need[0].stock_length_mm == length_mm:
        words += "; " + _chances(need[0], count)
    tally.add(count, tuple(lines), words)
    return tally.quantities()


def _chances(need: Need, count: int) -> str:
    numbers = [count - 1, count] if count else [count]
    found = (
        f"{n}: {in_range(surely_short(need, n), chance_short(need, n))}" for n in numbers
    )
    return f"chance of running short with {', with '.join(found)}"


def _serving(runs: Iterable[BoardRun], material: Material) -> str:
    """Say so where one stock serves the barge boards beside others."""
    kinds = dict.fromkeys(run.kind for run in runs if run.material == material)
    if BoardKind.BARGE not in kinds or len(kinds) == 1:
        return ""
    return f", for {' and '.join(kinds)} boards"


def _lines(runs: Iterable[BoardRun], material: Material) -> dict[str, None]:
    return dict.fromkeys(run.source.line for run in runs if run.material == material)


def _too_few(
    problem: Problem, material: Material, length_mm: int, count: int
) -> Sequence[str]:
    """Say so if the merchant has fewer boards than the order asks for."""
    there = [
        stock.count
        for stock in problem.stocks_of(material)
        if stock.length_mm == length_mm and not stock.in_hand
    ]
    if None in there or sum(n or 0 for n in there) >= count:
        return ()
    return (
        f"{material.label}, {length_mm} mm: {count} are needed to be safe and "
        f"{sum(n or 0 for n in there)} can be had.",
    )


def _unused_stock(work: Work) -> tuple[str, ...]:
    """Name stock that fits nothing here: more often a slip than an intention."""
    used = set() if work.problem is None else set(work.problem.materials)
    odd = dict.fromkeys(
        f"{entry.board} {entry.width_mm} {entry.colour}"
        for entry in work.house.spec.stock
        if Material(entry.board, entry.width_mm, entry.colour) not in used
    )
    if not odd:
        return ()
    known = ", ".join(material.label for material in sorted(used)) or "none"
    return (f"Stock not used here: {', '.join(odd)}; boards of this job: {known}.",)
