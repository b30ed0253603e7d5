"""The rows of the proof of reading, and the tables that they make."""

from dataclasses import dataclass, field

import numpy as np


@dataclass
class Row:
    """What came of one photo."""

    name: str
    group: str
    told: bool
    brick: bool
    enough: bool = False
    sure: bool = False
    counted: bool = False
    picks_px: float = np.nan
    lattice_px: float = np.nan
    outcome: str = ""
    whole: bool = True
    scale_errors: list[float] = field(default_factory=list)
    scale_held: list[bool] = field(default_factory=list)
    claimed: list[bool] = field(default_factory=list)
    edges: list[bool] = field(default_factory=list)
    confidence: list[float] = field(default_factory=list)
    found: list[bool] = field(default_factory=list)
    ends_px: list[float] = field(default_factory=list)
    length_held: list[bool] = field(default_factory=list)
    offered_held: list[bool] = field(default_factory=list)
    half_width: list[float] = field(default_factory=list)
    agrees: bool = True
    wall_s: float = 0.0
    cpu_s: float = 0.0
    said: str = ""


def share(flags: list[bool]) -> str:
    return f"{sum(flags)} of {len(flags)}" if flags else "-"


def _rms(values: list[float]) -> str:
    return f"{np.sqrt(np.mean(np.square(values))):.2%}" if values else "-"


def table(rows: list[Row]) -> str:
    """Return the groups as a table."""
    lines = [
        "| group | photos | counts right | sure | sure, wrong | picks px | lattice px "
        "| scale rms "
        "| scale held | proposed | used, on the board | on its edge | end px "
        "| lengths held | all held | half-width | true lines offered, held |",
        "|" + "---|" * 17,
    ]
    groups = dict.fromkeys((row.group, row.told) for row in rows)
    lines += [_line([row for row in rows if (row.group, row.told) == g]) for g in groups]
    return "\n".join(lines)


def outcomes(rows: list[Row]) -> str:
    """Return what a person gets from photos of brick that show a whole roof line."""
    lines = [
        "| group | photos | with a whole line | lengths | all inside | wrong line "
        "| asked | refused | no line |",
        "|" + "---|" * 9,
    ]
    groups = dict.fromkeys((row.group, row.told) for row in rows if row.brick)
    for group, told in groups:
        every = [row for row in rows if (row.group, row.told) == (group, told)]
        mine = [row for row in every if row.whole]
        given = [row for row in mine if row.outcome == "lengths"]
        inside = sum(bool(row.length_held) and all(row.length_held) for row in given)
        rest = [
            sum(row.outcome == name for row in mine)
            for name in ("asked", "refused", "no line")
        ]
        wrong = sum(not all(row.claimed) for row in given)
        name = group + (", format stated" if told else "")
        cells = (name, len(every), len(mine), len(given), inside, wrong, *rest)
        lines.append("| " + " | ".join(map(str, cells)) + " |")
    return "\n".join(lines)


def _line(rows: list[Row]) -> str:
    enough = [row for row in rows if row.brick and row.enough]
    sure = [row for row in rows if row.sure]
    ends = [off for row in rows for off in row.ends_px]
    held = [row.length_held for row in rows if row.length_held]
    widths = [width for row in rows for width in row.half_width]
    picks = [row.picks_px for row in rows if np.isfinite(row.picks_px)]
    lattice = [row.lattice_px for row in rows if np.isfinite(row.lattice_px)]
    cells = (
        rows[0].group + (", format stated" if rows[0].told else ""),
        str(len(rows)),
        share([row.counted for row in enough]),
        str(len(sure)),
        str(sum(not row.counted for row in sure)),
        f"{np.median(picks):.2f}" if picks else "-",
        f"{np.median(lattice):.2f}" if lattice else "-",
        _rms([error for row in rows for error in row.scale_errors]),
        share([flag for row in rows for flag in row.scale_held]),
        share([flag for row in rows for flag in row.found]),
        share([flag for row in rows for flag in row.claimed]),
        share([flag for row in rows for flag in row.edges]),
        f"{np.median(ends):.1f}" if ends else "-",
        share([flag for flags in held for flag in flags]),
        share([all(flags) for flags in held]),
        f"{np.median(widths):.1%}" if widths else "-",
        share([flag for row in rows for flag in row.offered_held]),
    )
    return "| " + " | ".join(cells) + " |"
