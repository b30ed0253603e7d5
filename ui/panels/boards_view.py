"""A take-off as markup: what to do, to buy, to cut, whether it is enough, what it costs."""

from itertools import groupby
from math import degrees
from typing import Final

from photomeasure.display import Display, said_half, said_length
from photomeasure.papers import texts
from photomeasure.papers.wording import chance, plain
from photomeasure.results import COVERAGE_FACTOR
from photomeasure.takeoff.model import BoardPiece, Quantity, Shortage, Takeoff, Verdict
from photomeasure.takeoff.pricing import Estimate, in_words
from ui.panels.cutting_svg import plan_drawing
from ui.panels.markup import NOTHING, Html, fold, join, listed, onward, table, tag
from ui.panels.plainly import plainly
from ui.texts import said

_WORDS: Final = {False: "not_enough", None: "not_judged", True: "enough"}
_ORDER: Final = {passed: place for place, passed in enumerate(_WORDS)}
"""What is not enough comes first."""


def takeoff_markup(takeoff: Takeoff, priced: Estimate, display: Display) -> str:
    """Return a take-off with its price.

    Parameters
    ----------
    takeoff : Takeoff
    priced : Estimate
    display : Display

    Returns
    -------
    str
        Markup; whatever came from outside is escaped.
    """
    parts = (
        _stops(takeoff),
        _price(priced),
        _verdicts(takeoff.verdicts),
        _plan(takeoff, display),
        _cautions(takeoff),
        _pieces(takeoff.pieces, display),
        _quantities(takeoff.quantities),
        _shortages(takeoff),
        _rules(takeoff),
        onward("papers", said("boards", "onward")),
    )
    return str(tag("div", join(parts), class_="pm-panel"))


def _heading(key: str) -> Html:
    return tag("h2", said("boards", key))


def _stops(takeoff: Takeoff) -> Html:
    if not takeoff.stops:
        return NOTHING
    reasons = [tag("p", plainly(stop.reason)) for stop in takeoff.stops]
    return tag("div", _heading("stops"), *reasons, class_="pm-alert", role="alert")


def _price(priced: Estimate) -> Html:
    terms = priced.terms
    if terms is None:
        return tag("p", said("boards", "no_prices"), class_="pm-note")
    invented = tag("p", said("boards", "invented"), class_="pm-alert")
    warning = invented if terms.invented else NOTHING
    if priced.totals is None:
        gaps = listed(gap.sentence for gap in priced.gaps)
        so_far = in_words(priced.priced_so_far, terms.currency)
        words = said("boards", "missing", count=len(priced.gaps), so_far=so_far)
        return join((_heading("price"), warning, tag("p", words), gaps))
    totals = priced.totals
    rows = [
        ("cost", totals.cost),
        ("overhead", totals.overhead),
        ("margin", totals.margin),
        ("net", totals.net),
        ("tax", totals.tax),
    ]
    shown = [
        (said("boards", key), _number(in_words(amount, terms.currency)))
        for key, amount in rows
        if amount is not None
    ]
    total = tag("p", in_words(totals.total, terms.currency), class_="pm-total")
    whole = table((), shown, said("boards", "sum"))
    detail = fold(said("boards", "sum"), whole, key="sum")
    return join((_heading("price"), warning, total, detail))


def _verdicts(verdicts: tuple[Verdict, ...]) -> Html:
    if not verdicts:
        return NOTHING
    worst_first = sorted(verdicts, key=lambda one: _ORDER[one.passed])
    counted = ", ".join(
        f"{count} {said('boards', _WORDS[passed])}"
        for passed in _ORDER
        if (count := sum(one.passed is passed for one in verdicts))
    )
    tally = tag("p", counted, class_="pm-note")
    return join((_heading("verdicts"), tally, *(_verdict(one) for one in worst_first)))


def _verdict(verdict: Verdict) -> Html:
    look = {True: " pm-yes", False: " pm-no", None: ""}[verdict.passed]
    word = said("boards", _WORDS[verdict.passed])
    heading = tag("b", f"{_begun(verdict.subject)}: {word}")
    sentence = tag("p", plainly(verdict.sentence))
    source = tag("p", plainly(verdict.source), class_="pm-small")
    clause = tag("span", verdict.clause)
    if verdict.passed:  # good news is short; what it rests on is a touch away
        short = tag("summary", tag("span", heading, clause))
        inside: tuple[Html, ...] = (tag("details", short, sentence, source),)
    else:
        inside = (
            tag("p", heading),
            sentence,
            tag("details", tag("summary", clause), source),
        )
    return tag("div", *inside, class_=f"pm-verdict{look}")


def _begun(words: str) -> str:
    """Return words with a capital at their beginning."""
    return words[:1].upper() + words[1:]


def _plan(takeoff: Takeoff, display: Display) -> Html:
    if takeoff.plan is None or not takeoff.plan.boards:
        return NOTHING
    gaps = [
        said(
            "boards",
            "unproven",
            material=part.material.label,
            share=f"{part.cost.gap:.1%}",
        )
        for part in takeoff.plan.materials
        if not part.proven
    ]
    return join(
        (
            _heading("plan"),
            tag("p", said("boards", "scale"), class_="pm-note"),
            *plan_drawing(takeoff, display),
            listed(gaps),
        )
    )


def _pieces(pieces: tuple[BoardPiece, ...], display: Display) -> Html:
    if not pieces:
        return NOTHING
    heads = [said("boards", key) for key in ("piece", "long", "short", "half", "cuts")]
    rows = [
        (
            piece.name,
            _number(said_length(piece.long_point_mm, display)),
            _number(said_length(piece.short_point_mm, display)),
            _number(said_half(COVERAGE_FACTOR * piece.u_mm, display)),
            _cuts(piece),
        )
        for piece in pieces
    ]
    title = said("boards", "pieces")
    return fold(title, table(heads, rows, title), key="pieces", count=str(len(rows)))


def _cuts(piece: BoardPiece) -> Html:
    ends = (
        f"{texts.ENDS[piece.start]} {_degrees(piece.start_angle_rad)}".strip(),
        f"{texts.ENDS[piece.end]} {_degrees(piece.end_angle_rad)}".strip(),
    )
    note = tag("div", piece.note, class_="pm-small") if piece.note else NOTHING
    return tag("div", " / ".join(dict.fromkeys(ends)), note)


def _degrees(angle_rad: float) -> str:
    return f"{degrees(angle_rad):.1f}°" if angle_rad else ""


def _quantities(quantities: tuple[Quantity, ...]) -> Html:
    parts: list[Html] = []
    for section, group in groupby(quantities, key=lambda q: q.item.section):
        rows = [
            (
                tag("details", tag("summary", q.item.description), _working(q)),
                _number(f"{plain(q.amount)} {texts.UNITS[q.item.unit]}".strip()),
            )
            for q in group
        ]
        title = texts.SECTIONS[section]
        parts += [tag("h3", title), table((), rows, title)]
    if not parts:
        return NOTHING
    count = str(len(quantities))
    return fold(said("boards", "quantities"), *parts, key="quantities", count=count)


def _working(quantity: Quantity) -> Html:
    return join(
        (
            tag("p", plainly(quantity.working)),
            tag("p", quantity.item.code, class_="pm-small"),
            tag("p", ", ".join(quantity.rules), class_="pm-small"),
        )
    )


def _shortages(takeoff: Takeoff) -> Html:
    if not takeoff.shortages:
        return NOTHING
    rows = [
        (name, tag("div", *(tag("div", _ordered(one)) for one in group)))
        for name, group in groupby(takeoff.shortages, _of_board)
    ]
    heads = [said("boards", key) for key in ("material", "chance")]
    first = NOTHING
    if takeoff.deciding:
        words = said(
            "boards",
            "tape_first",
            line=takeoff.deciding.line,
            now=chance(takeoff.deciding.chance_now),
            then=chance(takeoff.deciding.chance_taped),
        )
        first = tag("p", tag("b", words))
    title = said("boards", "shortage")
    return fold(title, first, table(heads, rows, title), key="shortage")


def _of_board(shortage: Shortage) -> str:
    return f"{shortage.material.label}, {shortage.stock_length_mm} mm"


def _ordered(shortage: Shortage) -> str:
    return said("boards", "ordered", boards=shortage.boards, chance=chance(shortage.chance))


def _cautions(takeoff: Takeoff) -> Html:
    return join((_heading("cautions"), listed(map(plainly, takeoff.cautions))))


def _rules(takeoff: Takeoff) -> Html:
    if not takeoff.rules:
        return NOTHING
    rows = [
        (
            rule.key,
            f"{rule.value} {rule.unit}".strip(),
            tag("b", said("boards", "yours")) if rule.overridden else plainly(rule.source),
        )
        for rule in takeoff.rules
    ]
    heads = [said("boards", key) for key in ("rule", "value", "source")]
    title, count = said("boards", "rules_used"), str(len(rows))
    return fold(title, table(heads, rows, title), key="rules", count=count)


def _number(text: str) -> Html:
    return tag("span", text, class_="pm-number")
