"""The take-off: every quantity with its lines, its rules and its sum."""

from collections.abc import Sequence

from photomeasure.papers import texts
from photomeasure.papers.content import Block, Column, Kind, Paper, Row, Table
from photomeasure.papers.dossier import Dossier
from photomeasure.papers.order import shortage_blocks
from photomeasure.papers.wording import half_mm
from photomeasure.takeoff.model import Quantity, Section, Takeoff, Verdict


def take_off(dossier: Dossier) -> Paper:
    """Return the take-off.

    Parameters
    ----------
    dossier : Dossier

    Returns
    -------
    Paper
    """
    takeoff = dossier.takeoff
    lengths = _lengths(dossier)
    named = [line for quantity in takeoff.quantities for line in quantity.lines]
    lines = {line: f"L{n}" for n, line in enumerate(dict.fromkeys([*lengths, *named]), 1)}
    rules = {rule.key: f"R{n}" for n, rule in enumerate(takeoff.rules, start=1)}
    blocks: list[Block] = []
    if takeoff.quantities:
        blocks.append(_quantities(takeoff.quantities, lines, rules))
    if takeoff.verdicts:
        blocks.append(_verdicts(takeoff.verdicts, rules))
    blocks += shortage_blocks(takeoff.shortages, takeoff.deciding)
    if lines:
        blocks.append(_lines(lines, lengths))
    if takeoff.rules:
        blocks.append(_rules(takeoff, rules))
    return dossier.paper("take-off", texts.TAKE_OFF, blocks)


Length = tuple[str, int, int]
"""Role, millimetres, half the interval."""


def _lengths(dossier: Dossier) -> dict[str, Length]:
    """Return what was measured of each line that is written ``elevation: line``."""
    return {
        f"{entry.name}: {line.name}": (
            str(line.role).replace("_", " "),
            round(line.length_mm),
            half_mm(line.u_mm),
        )
        for entry in dossier.elevations
        for line in entry.measured
    }


def _lines(numbers: dict[str, str], lengths: dict[str, Length]) -> Table:
    columns = (
        Column("number", texts.RULE_NUMBER, 0.08),
        Column("line", texts.TAKE_LINE, 0.46),
        Column("role", texts.TAKE_ROLE, 0.18),
        Column("length_mm", texts.TAKE_LENGTH, 0.16, Kind.NUMBER),
        Column("half_interval_mm", texts.CUT_HALF, 0.12, Kind.NUMBER),
    )
    rows = tuple(
        Row((number, line, *lengths.get(line, (None, None, None))))
        for line, number in numbers.items()
    )
    return Table("lines", texts.TAKE_LINES, columns, rows)


def _quantities(
    quantities: Sequence[Quantity], lines: dict[str, str], rules: dict[str, str]
) -> Table:
    columns = (
        Column("item", texts.TAKE_ITEM, 0.29),
        Column("amount", texts.TAKE_AMOUNT, 0.10, Kind.NUMBER),
        Column("unit", texts.TAKE_UNIT, 0.08),
        Column("working", texts.TAKE_WORKING, 0.34),
        Column("lines", texts.TAKE_FROM, 0.10),
        Column("rules", texts.TAKE_RULES, 0.09),
    )
    rows: list[Row] = []
    for section in Section:
        own = [q for q in quantities if q.item.section is section]
        if own:
            title = texts.SECTIONS[section]
            rows.append(Row((title, *[None] * (len(columns) - 1)), strong=True))
        rows += [
            Row(
                (
                    q.item.description,
                    q.amount,
                    str(q.item.unit),
                    q.working,
                    ", ".join(lines[line] for line in dict.fromkeys(q.lines))
                    or texts.TAKE_WHOLE,
                    ", ".join(rules.get(key, key) for key in q.rules),
                )
            )
            for q in own
        ]
    return Table("quantities", texts.TAKE_QUANTITIES, columns, tuple(rows))


def _verdicts(verdicts: Sequence[Verdict], rules: dict[str, str]) -> Table:
    columns = (
        Column("subject", texts.VERDICT_SUBJECT, 0.19),
        Column("result", texts.VERDICT_RESULT, 0.12),
        Column("sentence", texts.VERDICT_SENTENCE, 0.42),
        Column("clause", texts.VERDICT_CLAUSE, 0.17),
        Column("rules", texts.TAKE_RULES, 0.10),
    )
    rows = tuple(
        Row(
            (
                v.subject,
                texts.PASSED[v.passed],
                v.sentence,
                # Its rules are listed with their sources; without any the source is all.
                v.clause if v.rules else f"{v.clause} ({v.source})",
                ", ".join(rules.get(key, key) for key in v.rules) or None,
            )
        )
        for v in verdicts
    )
    return Table("verdicts", texts.VERDICTS, columns, rows)


def _rules(takeoff: Takeoff, numbers: dict[str, str]) -> Table:
    columns = (
        Column("number", texts.RULE_NUMBER, 0.08),
        Column("rule", texts.RULE_KEY, 0.34),
        Column("value", texts.RULE_VALUE, 0.22),
        Column("source", texts.RULE_SOURCE, 0.36),
    )
    rows = tuple(
        Row(
            (
                numbers[rule.key],
                rule.key,
                f"{rule.value} {rule.unit}".strip(),
                texts.RULE_OWN.format(source=rule.source)
                if rule.overridden
                else rule.source,
            )
        )
        for rule in takeoff.rules
    )
    return Table("rules", texts.RULES.format(country=takeoff.country), columns, rows)
