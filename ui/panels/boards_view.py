"""A take-off as markup: what to do, to buy, to cut, whether it is enough, what it costs."""

from itertools import groupby

from photomeasure.display import Display, said_half, said_length
from photomeasure.papers import texts
from photomeasure.papers.wording import chance, plain
from photomeasure.results import COVERAGE_FACTOR
from photomeasure.takeoff.model import BoardPiece, Quantity, Takeoff, Verdict
from photomeasure.takeoff.pricing import Estimate, in_words
from ui.panels.cutting_svg import plan_drawing
from ui.panels.markup import NOTHING, Html, join, listed, table, tag
from ui.texts import said


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
        _pieces(takeoff.pieces, display),
        _quantities(takeoff.quantities),
        _shortages(takeoff),
        _cautions(takeoff),
        _rules(takeoff),
    )
    return str(tag("div", join(parts), class_="pm-panel"))


def _heading(key: str) -> Html:
    return tag("h2", said("boards", key))


def _stops(takeoff: Takeoff) -> Html:
    if not takeoff.stops:
        return NOTHING
    reasons = [tag("p", stop.reason) for stop in takeoff.stops]
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
    detail = tag("details", tag("summary", said("boards", "sum")), table((), shown))
    return join((_heading("price"), warning, total, detail))


def _verdicts(verdicts: tuple[Verdict, ...]) -> Html:
    if not verdicts:
        return NOTHING
    return join((_heading("verdicts"), *(_verdict(one) for one in verdicts)))


def _verdict(verdict: Verdict) -> Html:
    word = {True: "enough", False: "not_enough", None: "not_judged"}[verdict.passed]
    look = {True: " pm-yes", False: " pm-no", None: ""}[verdict.passed]
    return tag(
        "div",
        tag("p", tag("b", f"{verdict.subject}: {said('boards', word)}")),
        tag("p", verdict.sentence),
        tag("p", f"{verdict.clause}. {verdict.source}", class_="pm-small"),
        class_=f"pm-verdict{look}",
    )


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
    return join((_heading("pieces"), table(heads, rows)))


def _cuts(piece: BoardPiece) -> Html:
    ends = (
        f"{texts.ENDS[piece.start]} {_degrees(piece.start_angle_rad)}".strip(),
        f"{texts.ENDS[piece.end]} {_degrees(piece.end_angle_rad)}".strip(),
    )
    note = tag("div", piece.note, class_="pm-small") if piece.note else NOTHING
    return join((" / ".join(dict.fromkeys(ends)), note))


def _degrees(angle_rad: float) -> str:
    return f"{angle_rad * 180.0 / 3.141592653589793:.1f}°" if angle_rad else ""


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
        parts += [tag("h3", texts.SECTIONS[section]), table((), rows)]
    return join((_heading("quantities"), *parts)) if parts else NOTHING


def _working(quantity: Quantity) -> Html:
    return join(
        (
            tag("p", quantity.working),
            tag("p", quantity.item.code, class_="pm-small"),
            tag("p", ", ".join(quantity.rules), class_="pm-small"),
        )
    )


def _shortages(takeoff: Takeoff) -> Html:
    if not takeoff.shortages:
        return NOTHING
    rows = [
        (
            f"{one.material.label}, {one.stock_length_mm} mm",
            _number(str(one.boards)),
            _number(chance(one.chance)),
        )
        for one in takeoff.shortages
    ]
    heads = [said("boards", key) for key in ("material", "ordered", "chance")]
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
    return join((_heading("shortage"), first, table(heads, rows)))


def _cautions(takeoff: Takeoff) -> Html:
    return join((_heading("cautions"), listed(takeoff.cautions)))


def _rules(takeoff: Takeoff) -> Html:
    if not takeoff.rules:
        return NOTHING
    rows = [
        (
            rule.key,
            f"{rule.value} {rule.unit}".strip(),
            tag("b", said("boards", "yours")) if rule.overridden else rule.source,
        )
        for rule in takeoff.rules
    ]
    heads = [said("boards", key) for key in ("rule", "value", "source")]
    return tag("details", tag("summary", said("boards", "rules_used")), table(heads, rows))


def _number(text: str) -> Html:
    return tag("span", text, class_="pm-number")
