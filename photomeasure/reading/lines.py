"""Proposals of the roofline as lines and soffits of a job."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from photomeasure.job.schema import LineSpec, Role, SoffitSpec
from photomeasure.proposals import Proposal, Proposals
from photomeasure.proposals.model import LEAST_CHANCE
from photomeasure.reading.model import DIGITS, LIKELY, FoundLine, FoundSoffit, likely

OFFERED: Final = 3
"""Of a role, pairs of rakes counting once: the true one is nearly always among them."""

SOFFIT_LIKELY: Final = 0.7
"""Of 18 drawn soffits claimed at 0.5 and more 13 were right, of 13 at 0.7 eleven. A wrong
one moves the eaves by its width."""

EDGE_KNOWN: Final = 0.9
"""Share of a board's chance from which one edge is as good as settled."""

_OTHER_WALL: Final = "on another wall than the brickwork"


def whole_lines(proposals: Proposals) -> tuple[Proposals, tuple[str, ...]]:
    """Return the proposals without those that run out of the photo, and what to do.

    Parameters
    ----------
    proposals : Proposals

    Returns
    -------
    Proposals and tuple of str
        A sentence for each kind whose likeliest line is cut.
    """
    said = []
    for name, lines in _kinds(proposals):
        if lines and lines[0].cut and lines[0].board >= LIKELY:
            said.append(
                f"The {name} runs out of the photo, so it has no length: take a photo "
                "that shows both of its ends."
            )
    whole = replace(
        proposals,
        eaves=_whole(proposals.eaves),
        rakes=_whole(proposals.rakes),
        ridges=_whole(proposals.ridges),
    )
    return whole, tuple(said)


def _whole(lines: tuple[Proposal, ...]) -> tuple[Proposal, ...]:
    return tuple(line for line in lines if not line.cut)


def found_lines(proposals: Proposals, wall: int | None) -> tuple[FoundLine, ...]:
    """Return eaves, rakes and ridges with names, the likeliest of each role used.

    Parameters
    ----------
    proposals : Proposals
    wall : int or None
        The wall that the scale belongs to, if it is known.

    Returns
    -------
    tuple of FoundLine
    """
    return tuple(
        line for name, lines in _kinds(proposals) for line in _named(name, lines, wall)
    )


def _kinds(proposals: Proposals) -> Iterator[tuple[str, list[Proposal]]]:
    """Yield the proposals by what a person calls them, the likeliest first."""
    left, right = (
        [line for line in proposals.rakes if _rises_right(line) is rising]
        for rising in (True, False)
    )
    yield "eaves", list(proposals.eaves)
    yield "left rake", sorted(left, key=lambda line: -line.confidence)
    yield "right rake", sorted(right, key=lambda line: -line.confidence)
    yield "ridge", list(proposals.ridges[:1])


def _rises_right(line: Proposal) -> bool:
    """Tell whether a rake rises to the right: the left one of a gable does."""
    way = line.picks_px[-1] - line.picks_px[0]
    return bool(way[0] * way[1] < 0.0)


def _named(name: str, proposed: Sequence[Proposal], wall: int | None) -> list[FoundLine]:
    lines = [line for line in proposed if line.confidence >= LEAST_CHANCE][:OFFERED]
    return [
        _found(line, name if place == 0 else f"{name}, choice {place + 1}", place, wall)
        for place, line in enumerate(lines)
    ]


def _found(line: Proposal, name: str, place: int, wall: int | None) -> FoundLine:
    elsewhere = wall is not None and line.wall != wall
    # A ridge lies far behind the wall: only a person can say how far.
    used = (
        place == 0
        and line.board >= LIKELY
        and not elsewhere
        and line.role is not Role.RIDGE
    )
    said = _said(line)
    return FoundLine(
        spec=_spec(line, name),
        confidence=float(line.confidence),
        board=float(line.board),
        said=f"{said}, {_OTHER_WALL}" if elsewhere else said,
        used=used,
    )


def _said(line: Proposal) -> str:
    """Say what a line is, and which edge of its board if that is open."""
    words = f"{likely(line.board)} {line.role}"
    open_edge = line.confidence < EDGE_KNOWN * line.board
    return f"{words}, this edge of it {likely(line.confidence)}" if open_edge else words


def _spec(line: Proposal, name: str) -> LineSpec:
    return LineSpec.model_validate(
        {
            "name": name,
            "role": str(line.role),
            "picks": np.round(line.picks_px[[0, -1]], DIGITS).tolist(),
            "pick_sd_px": round(float(line.pick_sd_px), DIGITS),
        }
    )


def found_soffits(
    proposals: Proposals, lines: tuple[FoundLine, ...]
) -> tuple[FoundSoffit, ...]:
    """Return the soffit whose outer edge is the eaves that is used, if it is likely.

    Parameters
    ----------
    proposals : Proposals
    lines : tuple of FoundLine
        Of :func:`found_lines`.

    Returns
    -------
    tuple of FoundSoffit
    """
    eaves = {
        tuple(line.spec.picks): line.spec.name
        for line in lines
        if line.used and line.spec.role is Role.EAVES
    }
    found = []
    for wall_edge, outer in proposals.soffits:
        name = eaves.get(tuple(_spec(outer, "outer").picks))
        if name is None:
            continue
        found.append(
            FoundSoffit(
                spec=_soffit(wall_edge, outer, name),
                confidence=float(wall_edge.confidence),
                used=bool(wall_edge.confidence >= SOFFIT_LIKELY),
            )
        )
    return tuple(found)


def _soffit(wall_edge: Proposal, outer: Proposal, name: str) -> SoffitSpec:
    # Its edges count as lines, not by their ends: only the spread across matters.
    ends = (np.round(p.picks_px[[0, -1]], DIGITS).tolist() for p in (wall_edge, outer))
    inner, outside = ends
    return SoffitSpec.model_validate(
        {
            "name": f"soffit at {name}",
            "wall_edge": inner,
            "outer_edge": outside,
            "lines": [name],
        }
    )
