"""Small jobs for the tests, in one material unless said otherwise."""

from collections.abc import Mapping
from decimal import Decimal

from photomeasure.takeoff.cutting import Material, Piece, Problem, Saw, Stock

WHITE = Material("fascia 18", 200, "white")
GREY = Material("fascia 18", 200, "grey")


def board(length_mm: int, price: str | None = None, count: int | None = None) -> Stock:
    """Make a board to be bought."""
    return Stock(
        material=WHITE,
        length_mm=length_mm,
        price=None if price is None else Decimal(price),
        count=count,
    )


def in_hand(length_mm: int, count: int = 1) -> Stock:
    """Make an offcut in hand."""
    return Stock(material=WHITE, length_mm=length_mm, count=count, in_hand=True)


def pieces(wanted: Mapping[int, int] | list[int]) -> tuple[Piece, ...]:
    """Make pieces from lengths, or from lengths and how many of each."""
    if isinstance(wanted, Mapping):
        lengths = [length for length, n in wanted.items() for _ in range(n)]
    else:
        lengths = wanted
    return tuple(Piece(f"p{i:04}", length, WHITE) for i, length in enumerate(lengths))


def job(
    stock_mm: int,
    wanted: Mapping[int, int] | list[int],
    *,
    kerf_mm: int = 0,
    trim_mm: int = 0,
    keep_mm: int = 1,
) -> Problem:
    """Make a job with one board length without limit or price."""
    return Problem(
        stocks=(board(stock_mm),),
        pieces=pieces(wanted),
        saw=Saw(kerf_mm, trim_mm),
        keep_mm=keep_mm,
    )
