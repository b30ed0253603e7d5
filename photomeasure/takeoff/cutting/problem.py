"""A cutting job: pieces, runs, boards and saw. Checked when it is made."""

from collections import Counter
from dataclasses import dataclass, field

from photomeasure.takeoff.cutting.checks import check_name, check_whole
from photomeasure.takeoff.cutting.errors import (
    BadCuttingInput,
    MissingPrice,
    NoStock,
    PieceTooLong,
)
from photomeasure.takeoff.cutting.run import Run
from photomeasure.takeoff.cutting.stock import Material, Saw, Stock


@dataclass(frozen=True, slots=True)
class Piece:
    """One board to be cut whole.

    Attributes
    ----------
    id : str
        Name of its own within the job.
    length_mm : int
        Length to cut, > 0, rounded up; expansion gaps already taken off.
    material : Material
        What it is cut from.
    """

    id: str
    length_mm: int
    material: Material

    def __post_init__(self) -> None:
        check_name("piece", self.id)
        check_whole(self.id, "length_mm", self.length_mm, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """Everything one cutting plan must answer. Materials do not mix.

    Attributes
    ----------
    stocks : tuple of Stock
        Boards to be had and offcuts in hand.
    pieces : tuple of Piece
        To be cut whole.
    runs : tuple of Run
        To be divided where they are longer than a board.
    saw : Saw
        Kerf and trim.
    keep_mm : int
        Shortest offcut worth keeping, > 0. Common practice is 300 to 600 mm;
        no published source.
    joint_step_mm : int
        Where a run names no supports, joints are looked for every so many
        millimetres, and at the positions that decide how few joints there
        can be. The optimum is the optimum over these positions.
    """

    stocks: tuple[Stock, ...]
    pieces: tuple[Piece, ...] = ()
    runs: tuple[Run, ...] = ()
    saw: Saw = field(default_factory=Saw)
    keep_mm: int = 300
    joint_step_mm: int = 100

    def __post_init__(self) -> None:
        check_whole("job", "keep_mm", self.keep_mm, 1)
        check_whole("job", "joint_step_mm", self.joint_step_mm, 1)
        counts = Counter(part.id for part in self.parts)
        for name, count in counts.items():
            if count > 1:
                raise BadCuttingInput(
                    name, f"{count} parts share this name", "rename all but one"
                )
        for material in self.materials:
            self._check_material(material)

    @property
    def parts(self) -> tuple[Piece | Run, ...]:
        """Pieces, then runs."""
        return (*self.pieces, *self.runs)

    @property
    def materials(self) -> tuple[Material, ...]:
        """Materials that something is cut from, in order."""
        return tuple(sorted({part.material for part in self.parts}))

    def stocks_of(self, material: Material) -> tuple[Stock, ...]:
        """Boards of one material that hold anything, in hand first, longest first."""
        chosen = (
            stock
            for stock in self.stocks
            if stock.material == material
            and stock.count != 0
            and self.saw.longest_mm(stock.length_mm) > 0
        )
        return tuple(sorted(chosen, key=lambda s: (not s.in_hand, -s.length_mm)))

    def is_priced(self, material: Material) -> bool:
        """Whether the boards of a material are judged by price, not by length."""
        return any(stock.price for stock in self.stocks_of(material))

    def _check_material(self, material: Material) -> None:
        """Boards exist, all new ones are priced or none, and whole pieces fit."""
        stocks = self.stocks_of(material)
        if not stocks:
            raise NoStock(material.label)
        if self.is_priced(material):
            for stock in stocks:
                if stock.price is None and not stock.in_hand:
                    raise MissingPrice(material.label, stock.length_mm)
        longest = max(self.saw.longest_mm(stock.length_mm) for stock in stocks)
        for piece in self.pieces:
            if piece.material == material and piece.length_mm > longest:
                raise PieceTooLong(piece.id, piece.length_mm, longest)
