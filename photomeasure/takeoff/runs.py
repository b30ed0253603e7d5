"""Runs of board to be divided and cut, and the flat pieces that close box ends."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil, tan

from calibration.errors import InputError
from photomeasure.job.takeoff import BoardKind, RunEnd, SoffitForm, WorkKind
from photomeasure.takeoff.boards import Board, Boards
from photomeasure.takeoff.cutting import Material, Piece, Run, Supports
from photomeasure.takeoff.geometry import (
    SQUARE,
    EndCut,
    apex_cut,
    blank_mm,
    box_end,
    foot_cut,
    on_slope,
    soffit_mitre,
)
from photomeasure.takeoff.house import Eaves, House, Rake, Size
from photomeasure.takeoff.model import Hand, Shape
from photomeasure.takeoff.rules import Rulebook
from photomeasure.takeoff.sizes import Width


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class BoardRun:
    """One run of board along an eaves or a rake.

    Attributes
    ----------
    part : str
        Its name in the cutting problem.
    kind : BoardKind
    source : Eaves or Rake
    width : Width
        Stock width chosen, of one board across.
    material : Material
    run : Run
        As the cutting problem has it; its length is what the points take up.
    start, end : EndCut
    hand : Hand
    clear_mm : float
        Width that shows: of a soffit along its board, of other boards the depth.
    """

    part: str
    kind: BoardKind
    source: Eaves | Rake
    width: Width
    material: Material
    run: Run
    start: EndCut
    end: EndCut
    hand: Hand
    clear_mm: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class BoxEnd:
    """The piece that closes one end of an eaves box.

    Attributes
    ----------
    shape : Shape
    pieces : tuple of Piece
        The strips it is cut from: one, or more where no board is wide enough.
    eaves : Eaves
    width : Width
        Of the strip.
    """

    shape: Shape
    pieces: tuple[Piece, ...]
    eaves: Eaves
    width: Width


class RunMaker:
    """Makes the runs of a house.

    Parameters
    ----------
    house : House
    boards : Boards
    rules : Rulebook
    """

    def __init__(self, house: House, boards: Boards, rules: Rulebook) -> None:
        self.house, self.boards, self.rules = house, boards, rules
        self.gap_mm = rules.whole("gaps.board_end_mm")
        # A fixed end may ask for more room than the board end has anyway.
        self.fixed_mm = max(0, rules.whole("gaps.fixed_end_mm") - self.gap_mm)
        self.rafters_mm = house.spec.roof.rafter_centres_mm or rules.whole(
            "joints.rafter_centres_mm"
        )

    def runs(self) -> tuple[BoardRun, ...]:
        """Return fascias, soffits and barge boards, in this order for each line."""
        found: list[BoardRun] = []
        for eaves in self.house.eaves:
            found.append(self._fascia(eaves))
            found += self._soffit(eaves)
        for rake in self.house.rakes:
            found.append(self._barge(rake))
            found += self._rake_soffit(rake)
        return tuple(found)

    def box_ends(self) -> tuple[BoxEnd, ...]:
        """Return the pieces that close box ends."""
        return tuple(
            self._box_end(eaves, eaves.overhang, eaves.pitch_rad, left=left)
            for eaves in self.house.eaves
            for left, end in ((True, eaves.start), (False, eaves.end))
            if end is RunEnd.BOX_END
            and eaves.overhang is not None
            and eaves.pitch_rad is not None
            and self.house.spec.roof.soffit_form is SoffitForm.LEVEL
        )

    def clear_soffit_mm(self, eaves: Eaves) -> float:
        """Return the width of a soffit between wall and fascia, in plan."""
        if eaves.overhang is None:
            return 0.0
        covers = self.house.spec.work is WorkKind.COVER
        # A cover board stands in front of the measured face, a new fascia behind it.
        fascia = 0.0 if covers else self.boards[BoardKind.FASCIA].thickness_mm
        return max(1.0, eaves.overhang.value_mm - fascia)

    def _fascia(self, eaves: Eaves) -> BoardRun:
        width = self.boards.width(BoardKind.FASCIA, eaves.fascia_depth)
        cuts = (SQUARE, SQUARE)
        return self._along(BoardKind.FASCIA, eaves, width, cuts, eaves.length_mm)

    def _soffit(self, eaves: Eaves) -> Iterator[BoardRun]:
        """Yield one run for each board across, from the fascia to the wall."""
        if eaves.overhang is None:
            return
        clear = self.clear_soffit_mm(eaves)
        pitch = eaves.pitch_rad or 0.0
        slopes = self.house.spec.roof.soffit_form is SoffitForm.SLOPING
        board_mm = on_slope(clear, pitch) if slopes else clear
        scribe = self.rules.number("boards.soffit.scribe_mm")
        needed = Size(board_mm + scribe, eaves.overhang.u_mm, eaves.overhang.origin)
        width = self.boards.width(BoardKind.SOFFIT, needed)
        share = (clear / width.across, board_mm / width.across)
        cuts = tuple(_soffit_cut(end, *share) for end in eaves.ends)
        outer = eaves.length_mm
        for strip in range(width.across):
            number = f" strip {strip + 1}" if width.across > 1 else ""
            made = self._along(BoardKind.SOFFIT, eaves, width, (cuts[0], cuts[1]), outer)
            yield _renamed(made, made.part + number, board_mm)
            outer -= round(cuts[0].lean_mm) + round(cuts[1].lean_mm)

    def _barge(self, rake: Rake) -> BoardRun:
        width = self.boards.width(BoardKind.BARGE, rake.depth)
        cuts = (
            foot_cut(rake.foot, width.width_mm, rake.pitch_rad),
            apex_cut(width.width_mm, rake.pitch_rad),
        )
        return self._along(BoardKind.BARGE, rake, width, cuts, rake.length_mm)

    def _rake_soffit(self, rake: Rake) -> Iterator[BoardRun]:
        if rake.overhang is None:
            return
        scribe = self.rules.number("boards.soffit.scribe_mm")
        size = replace(rake.overhang, value_mm=rake.overhang.value_mm + scribe)
        width = self.boards.width(BoardKind.SOFFIT, size)
        for strip in range(width.across):
            number = f" strip {strip + 1}" if width.across > 1 else ""
            made = self._along(
                BoardKind.SOFFIT, rake, width, (SQUARE, SQUARE), rake.length_mm
            )
            yield _renamed(made, made.part + number, rake.overhang.value_mm)

    def _along(
        self,
        kind: BoardKind,
        source: Eaves | Rake,
        width: Width,
        cuts: tuple[EndCut, EndCut],
        outer_mm: int,
    ) -> BoardRun:
        board: Board = self.boards[kind]
        part = f"{source.line} {kind}"
        _check(part, kind, width, outer_mm, cuts)
        material = board.material(width.width_mm)
        fixed = 0
        if isinstance(source, Eaves):
            fixed = self.fixed_mm * sum(end is RunEnd.ABUTMENT for end in source.ends)
        run = Run(
            id=part,
            length_mm=max(1, blank_mm(outer_mm, *cuts) - fixed),
            material=material,
            supports=Supports(self.rafters_mm) if isinstance(source, Eaves) else None,
            min_piece_mm=self.rules.whole("joints.shortest_piece_mm"),
            gap_mm=2 * self.gap_mm,
        )
        return BoardRun(
            part=part,
            kind=kind,
            source=source,
            width=width,
            material=material,
            run=run,
            start=cuts[0],
            end=cuts[1],
            hand=source.hand if isinstance(source, Rake) else Hand.NONE,
            clear_mm=float(width.width_mm),
        )

    def _box_end(
        self, eaves: Eaves, overhang: Size, pitch_rad: float, *, left: bool
    ) -> BoxEnd:
        wide = float(round(overhang.value_mm))
        deep = self.boards.width(BoardKind.FASCIA, eaves.fascia_depth).width_mm
        high = deep + wide * tan(pitch_rad)
        hand = Hand.LEFT if left else Hand.RIGHT
        name = f"{eaves.line} box end {hand}"
        width, length = self._strip(wide, high, overhang.u_mm)
        material = self.boards[BoardKind.BOX_END].material(width.width_mm)
        shape = Shape(
            name=name,
            line=eaves.line,
            material=material,
            corners_mm=box_end(wide, float(deep), pitch_rad, left=left),
            hand=hand,
            note="top edge follows the roof; scribe to the wall",
        )
        names = [name] if width.across == 1 else _numbered(name, width.across)
        return BoxEnd(
            shape=shape,
            pieces=tuple(Piece(n, length, material) for n in names),
            eaves=eaves,
            width=width,
        )

    def _strip(self, wide: float, high: float, u_mm: float) -> tuple[Width, int]:
        """Lay a box end along or across the board, whichever takes the narrower board."""
        ways = []
        for across, along in ((high, wide), (wide, high)):
            width = self.boards.width(BoardKind.BOX_END, Size(across, u_mm, "measured"))
            ways.append((width, ceil(along)))
        return min(ways, key=lambda way: (way[0].across, way[0].width_mm, way[1]))


def _check(
    part: str,
    kind: BoardKind,
    width: Width,
    outer_mm: int,
    cuts: tuple[EndCut, EndCut],
) -> None:
    """Refuse boards that cannot be: too deep for any width, or of no length inside."""
    if width.across > 1 and kind is not BoardKind.SOFFIT:
        raise InputError(
            part,
            f"{width.needed.value_mm:.0f} mm is deeper than the widest board, "
            f"{width.width_mm} mm",
            f"state wider boards in takeoff.boards.{kind}.widths_mm",
        )
    if sum(cut.lean_mm for cut in cuts) >= outer_mm:
        raise InputError(
            part,
            f"its cuts take {sum(cut.lean_mm for cut in cuts):.0f} mm off the inner edge "
            f"of a board of {outer_mm} mm",
            "correct the ends of the run or the cut of the foot",
        )


def _soffit_cut(end: RunEnd, width_mm: float, board_mm: float) -> EndCut:
    if end in (RunEnd.EXTERNAL, RunEnd.HIP):
        return soffit_mitre(width_mm, board_mm, outside=True)
    if end is RunEnd.INTERNAL:
        return soffit_mitre(width_mm, board_mm, outside=False)
    return SQUARE


def _numbered(name: str, count: int) -> list[str]:
    return [f"{name} strip {i + 1}" for i in range(count)]


def _renamed(made: BoardRun, part: str, clear_mm: float) -> BoardRun:
    return replace(made, part=part, run=replace(made.run, id=part), clear_mm=clear_mm)
