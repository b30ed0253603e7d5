"""Which boards are used: what the job asks for, else what the rules call usual."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from calibration.errors import InputError
from photomeasure.job.takeoff import BoardChoice, BoardKind, TakeoffSpec, WorkKind
from photomeasure.takeoff.cutting import Material, Stock
from photomeasure.takeoff.cutting.errors import BadCuttingInput
from photomeasure.takeoff.house import Size
from photomeasure.takeoff.rules import Rulebook
from photomeasure.takeoff.sizes import Width, choose_width

DOUBT = "boards.width_doubt_share"


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """The new board of one kind.

    Attributes
    ----------
    kind : BoardKind
    name : str
        What the merchant calls it.
    thickness_mm : float
    colour : str
    widths_mm, lengths_mm : tuple of int
        That can be had.
    rules : tuple of str
        Keys of the rules that stood in for the job.
    """

    kind: BoardKind
    name: str
    thickness_mm: float
    colour: str
    widths_mm: tuple[int, ...]
    lengths_mm: tuple[int, ...]
    rules: tuple[str, ...]

    def material(self, width_mm: int) -> Material:
        """Return this board in one width."""
        return Material(self.name, width_mm, self.colour)


SAME_STOCK = "boards.barge.same_as_fascia"

_SECTION = {
    BoardKind.FASCIA: "fascia",
    BoardKind.BARGE: "barge",
    BoardKind.SOFFIT: "soffit",
    BoardKind.BOX_END: "box_end",
}
"""Section of the rules."""

_COVERED = (BoardKind.FASCIA, BoardKind.BARGE)
"""Boards that may stay under thin ones."""


class Boards:
    """The boards of one job.

    Parameters
    ----------
    spec : TakeoffSpec
    rules : Rulebook
    """

    def __init__(self, spec: TakeoffSpec, rules: Rulebook) -> None:
        self.spec, self.rules = spec, rules
        self.kinds = {kind: self._board(kind) for kind in BoardKind}

    def __getitem__(self, kind: BoardKind) -> Board:
        """Return the board of one kind."""
        return self.kinds[kind]

    def width(self, kind: BoardKind, needed: Size) -> Width:
        """Choose the stock width that covers a size."""
        return choose_width(needed, self[kind].widths_mm, self.rules.number(DOUBT))

    def stocks(self, materials: Iterable[Material]) -> tuple[Stock, ...]:
        """Return the boards of these materials: those of the job, else the usual lengths.

        Parameters
        ----------
        materials : iterable of Material

        Returns
        -------
        tuple of Stock

        Raises
        ------
        InputError
            If a price or count of the job cannot be.
        """
        listed = [self._stock(i) for i in range(len(self.spec.stock))]
        found: list[Stock] = []
        for material in materials:
            own = [stock for stock in listed if stock.material == material]
            if all(stock.in_hand for stock in own):
                own += self._usual(material)
            found += own
        return tuple(found)

    def _usual(self, material: Material) -> list[Stock]:
        lengths = {
            length
            for board in self.kinds.values()
            if board.name == material.board and material.width_mm in board.widths_mm
            for length in board.lengths_mm
        }
        return [Stock(material=material, length_mm=n) for n in sorted(lengths)]

    def _stock(self, index: int) -> Stock:
        entry = self.spec.stock[index]
        where = f"takeoff.stock[{index}]"
        try:
            return Stock(
                material=Material(entry.board, entry.width_mm, entry.colour),
                length_mm=entry.length_mm,
                price=None if entry.price is None else Decimal(entry.price),
                count=entry.count,
                in_hand=entry.in_hand,
            )
        except InvalidOperation:
            what = f'"{entry.price}" is not an amount of money'
            raise InputError(f"{where}.price", what, 'write it as "31.50"') from None
        except BadCuttingInput as error:
            raise InputError(where, error.what, error.remedy) from None

    def _board(self, kind: BoardKind) -> Board:
        used: list[str] = []

        def rule(key: str) -> str:
            used.append(key)
            return key

        shared = kind is BoardKind.BARGE and self.rules.yes(rule(SAME_STOCK))
        choice = self._choice(kind, shared=shared)
        section = f"boards.{_SECTION[BoardKind.FASCIA if shared else kind]}"
        covers = self.spec.work is WorkKind.COVER and kind in _COVERED
        named = "boards.cover" if covers else section

        name = choice.board or self.rules.text(rule(f"{named}.name"))
        colour = choice.colour or self.spec.boards.colour
        if colour is None:
            colour = self.rules.text(rule("boards.colour"))
        listed = {
            entry.width_mm
            for entry in self.spec.stock
            if (entry.board, entry.colour) == (name, colour) and not entry.in_hand
        }
        widths = choice.widths_mm or sorted(listed)
        return Board(
            kind=kind,
            name=name,
            thickness_mm=choice.thickness_mm
            or self.rules.number(rule(f"{named}.thickness_mm")),
            colour=colour,
            widths_mm=tuple(widths) or self._whole(rule(f"{section}.widths_mm")),
            lengths_mm=tuple(choice.lengths_mm or ())
            or self._whole(rule(f"{section}.lengths_mm")),
            rules=tuple(used),
        )

    def _choice(self, kind: BoardKind, *, shared: bool) -> BoardChoice:
        """Return what the job asks for; a board of the fascia's stock follows it."""
        choice: BoardChoice = getattr(self.spec.boards, kind.replace(" ", "_"))
        if not shared:
            return choice
        own = choice.model_dump(exclude_none=True)
        return self.spec.boards.fascia.model_copy(update=own)

    def _whole(self, key: str) -> tuple[int, ...]:
        return tuple(int(value) for value in self.rules.numbers(key))
