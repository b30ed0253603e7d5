"""The published table of gutters and outlets."""

from dataclasses import dataclass

from photomeasure.takeoff.measured import SAME
from photomeasure.takeoff.rules import Rulebook

TABLE_KEY = "rainwater.gutter_table"


@dataclass(frozen=True, slots=True)
class Row:
    """One size of gutter: half-round, level, sharp outlet at one end.

    Attributes
    ----------
    size_mm, outlet_mm : float
        Width of the gutter and bore of its outlet.
    area_m2 : float
        Largest effective area at the table's own rainfall.
    flow_l_s : float
        Flow that it carries.
    """

    size_mm: float
    outlet_mm: float
    area_m2: float
    flow_l_s: float


def gutter_table(rules: Rulebook) -> tuple[Row, ...]:
    """Return the table, smallest gutter first."""
    rows = (Row(*map(float, row)) for row in rules.table(TABLE_KEY))
    return tuple(sorted(rows, key=lambda row: row.size_mm))


def smallest_for(flow_l_s: float, rules: Rulebook) -> Row | None:
    """Return the smallest short gutter that carries a flow; None if none does.

    Examples
    --------
    >>> from photomeasure.takeoff.rules import load_rules
    >>> smallest_for(0.954, load_rules("uk")).size_mm
    115.0
    """
    return next((r for r in gutter_table(rules) if r.flow_l_s >= flow_l_s), None)


def tabled_flows_l_s(size_mm: float, rules: Rulebook) -> tuple[float | None, float | None]:
    """Return the flow of the nearest tabled gutters, no larger and no smaller than this.

    Examples
    --------
    >>> from photomeasure.takeoff.rules import load_rules
    >>> tabled_flows_l_s(112.0, load_rules("uk"))
    (0.78, 1.11)
    """
    rows = gutter_table(rules)
    below = [row.flow_l_s for row in rows if row.size_mm <= size_mm * (1.0 + SAME)]
    above = [row.flow_l_s for row in rows if row.size_mm >= size_mm * (1.0 - SAME)]
    return (below[-1] if below else None, above[0] if above else None)


def tabled_outlet_l_s(
    bore_mm: float, size_mm: float | None, rules: Rulebook
) -> float | None:
    """Return the largest flow that the table shows through an outlet.

    Parameters
    ----------
    bore_mm : float
    size_mm : float or None
        Width of a half-round gutter: rows of larger ones, in which water stands higher
        over the outlet, do not count. None for another shape: they count.
    rules : Rulebook

    Returns
    -------
    float or None
        None if the bore is below the table.
    """
    shown = [
        row.flow_l_s
        for row in gutter_table(rules)
        if row.outlet_mm <= bore_mm * (1.0 + SAME)
        and (size_mm is None or row.size_mm <= size_mm * (1.0 + SAME))
    ]
    return max(shown, default=None)
