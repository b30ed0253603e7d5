"""What is cut, and what it is cut with: material, boards and saw."""

from dataclasses import dataclass
from decimal import Decimal

from photomeasure.takeoff.cutting.checks import (
    LONGEST_BOARD_MM,
    check_name,
    check_whole,
)
from photomeasure.takeoff.cutting.errors import BadCuttingInput


@dataclass(frozen=True, slots=True, order=True)
class Material:
    """What must match for a piece to be cut from a board.

    Attributes
    ----------
    board : str
        Type of board, e.g. ``"fascia 18"``.
    width_mm : int
        Width of the board, > 0.
    colour : str
        Colour or finish.
    """

    board: str
    width_mm: int
    colour: str

    def __post_init__(self) -> None:
        check_name("material", self.board)
        check_whole(self.board, "width_mm", self.width_mm, 1)
        check_name(self.board, self.colour)

    @property
    def label(self) -> str:
        """What a person calls it."""
        return f"{self.board} {self.width_mm} {self.colour}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """One length of board that can be had.

    Attributes
    ----------
    material : Material
        What it is.
    length_mm : int
        Gross length, both ends untrimmed.
    price : Decimal or None
        Price of one board, > 0, in the firm's currency; None if the job is
        to be judged by length. An offcut in hand costs nothing.
    count : int or None
        How many there are; None for as many as wanted.
    in_hand : bool
        An offcut or board already there: needs a count and no price.
    """

    material: Material
    length_mm: int
    price: Decimal | None = None
    count: int | None = None
    in_hand: bool = False

    def __post_init__(self) -> None:
        where = f"{self.material.label}, {self.length_mm} mm board"
        check_whole(where, "length_mm", self.length_mm, 1)
        if self.length_mm > LONGEST_BOARD_MM:
            raise BadCuttingInput(
                where, "no board is so long", f"give at most {LONGEST_BOARD_MM} mm"
            )
        if self.count is not None:
            check_whole(where, "count", self.count, 0)
        if self.in_hand:
            self._check_in_hand(where)
        elif self.price is not None and not (self.price.is_finite() and self.price > 0):
            # A price of zero would let the plan buy boards for nothing.
            raise BadCuttingInput(
                where, f"the price is {self.price}", "give a price above zero"
            )

    def _check_in_hand(self, where: str) -> None:
        """Boards in hand are counted and free."""
        if self.count is None:
            raise BadCuttingInput(where, "it is in hand", "say how many there are")
        if self.price:
            raise BadCuttingInput(
                where, f"it is in hand at {self.price}", "leave its price out"
            )


@dataclass(frozen=True, slots=True)
class Saw:
    """What every cut and every board end costs in length.

    A piece weighs its length plus one kerf and a board holds its length less
    two trims plus one kerf, because the last piece needs no cut after it.
    That conversion is exact, so the optimiser sees no kerf at all.

    Attributes
    ----------
    kerf_mm : int
        Width of the saw cut, >= 0, rounded up.
    trim_mm : int
        Cut off each end of a board to square it, >= 0, saw cut included.

    Examples
    --------
    >>> saw = Saw(kerf_mm=3, trim_mm=10)
    >>> saw.weight_mm(2000), saw.capacity_mm(5000), saw.longest_mm(5000)
    (2003, 4983, 4980)
    >>> saw.offcut_mm(5000, (2000, 1500))
    1484
    """

    kerf_mm: int = 0
    trim_mm: int = 0

    def __post_init__(self) -> None:
        check_whole("saw", "kerf_mm", self.kerf_mm, 0)
        check_whole("saw", "trim_mm", self.trim_mm, 0)

    def weight_mm(self, length_mm: int) -> int:
        """Length a piece takes up together with the cut behind it."""
        return length_mm + self.kerf_mm

    def capacity_mm(self, stock_mm: int) -> int:
        """Sum of weights that a board can hold."""
        return stock_mm - 2 * self.trim_mm + self.kerf_mm

    def longest_mm(self, stock_mm: int) -> int:
        """Longest piece that a board gives, 0 or less if none."""
        return stock_mm - 2 * self.trim_mm

    def offcut_mm(self, stock_mm: int, lengths_mm: tuple[int, ...]) -> int:
        """Gross length left behind the last cut, its far end untrimmed."""
        used = self.trim_mm + sum(map(self.weight_mm, lengths_mm))
        return max(0, stock_mm - used)
