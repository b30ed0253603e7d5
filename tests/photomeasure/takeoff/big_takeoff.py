"""A take-off larger than any page: many quantities and boards, names as long as can be."""

from dataclasses import replace
from typing import Final

from photomeasure.cautions import ALWAYS
from photomeasure.takeoff.cutting import Piece, Problem, Saw, Stock, solve
from photomeasure.takeoff.model import Section, Takeoff
from tests.photomeasure.takeoff.sample_takeoff import (
    FASCIA,
    STOP,
    level,
    quantity,
    sample_takeoff,
)

LONG_NAME: Final = (
    "Nordwestseite über dem Wintergarten, Abschnitt zwischen Gaube und Kehle, "
)


def big_takeoff(quantities: int = 200, boards: int = 60) -> Takeoff:
    """Return a take-off that runs over many pages, with names as long as allowed."""
    line = f"{(LONG_NAME * 3)[:200]}: {(LONG_NAME * 3)[:200]}"
    sections = list(Section)
    many = tuple(
        quantity(
            f"trim/board-joint/{n}/white",
            f"Item {n}: {LONG_NAME}",
            str(n + 1),
            sections[n * len(sections) // quantities],
            lines=(line,) * (1 + n % 4),
            rules=("fixings.fascia.centres_mm",),
            working=f"{LONG_NAME * 2} gives {n + 1}",
        )
        for n in range(quantities)
    )
    cut = tuple(Piece(f"P{n:03}", 2600 + 37 * n, FASCIA) for n in range(boards))
    stock = Stock(material=FASCIA, length_mm=5000)
    plan = solve(Problem(stocks=(stock,), pieces=cut, saw=Saw(kerf_mm=3, trim_mm=5)))
    pieces = tuple(
        replace(
            level(piece.id, FASCIA, piece.length_mm, LONG_NAME), line=line, part=piece.id
        )
        for piece in cut
    )
    return replace(
        sample_takeoff(),
        title=(LONG_NAME * 4)[:300],
        quantities=many,
        pieces=pieces,
        plan=plan,
        cautions=(*ALWAYS, *(f"Caution {n}: {LONG_NAME}" for n in range(25))),
        stops=(STOP,),
    )
