"""Finished pieces of the cutting plan: lengths of both edges, cuts, hand."""

from collections.abc import Iterable, Iterator

from photomeasure.job.takeoff import BoardKind
from photomeasure.takeoff.cutting import Board, Cut
from photomeasure.takeoff.geometry import SQUARE, EndCut, outline
from photomeasure.takeoff.house import Eaves
from photomeasure.takeoff.model import BoardPiece, End
from photomeasure.takeoff.runs import BoardRun


def board_pieces(
    runs: Iterable[BoardRun], boards: Iterable[Board]
) -> tuple[BoardPiece, ...]:
    """Return the pieces of all runs, run by run, from the left or from the foot.

    Parameters
    ----------
    runs : iterable of BoardRun
    boards : iterable of Board
        That they are cut from.

    Returns
    -------
    tuple of BoardPiece
    """
    cuts: dict[str, list[Cut]] = {}
    for board in boards:
        for cut in board.cuts:
            cuts.setdefault(cut.part, []).append(cut)
    return tuple(piece for run in runs for piece in _pieces(run, cuts[run.part]))


def _pieces(run: BoardRun, cuts: list[Cut]) -> Iterator[BoardPiece]:
    ordered = sorted(cuts, key=lambda cut: cut.along_mm)
    last = len(ordered) - 1
    for i, cut in enumerate(ordered):
        start = run.start if i == 0 else SQUARE
        end = run.end if i == last else SQUARE
        edges = outline(cut.length_mm, start, end)
        yield BoardPiece(
            name=run.part if last == 0 else f"{run.part} {i + 1}",
            line=run.source.line,
            material=run.material,
            long_point_mm=edges.long_mm,
            short_point_mm=edges.short_mm,
            start=start.end,
            end=end.end,
            start_angle_rad=start.angle_rad,
            end_angle_rad=end.angle_rad,
            hand=run.hand,
            # Inner joints lie on supports, so the last piece takes up what is unsure.
            u_mm=run.source.u_mm if i == last else 0.0,
            note="; ".join(_notes(run, cut, start, end)),
            part=run.part,
            along_mm=cut.along_mm,
        )


def _notes(run: BoardRun, cut: Cut, start: EndCut, end: EndCut) -> Iterator[str]:
    if cut.along_mm:
        where = "on a rafter" if isinstance(run.source, Eaves) else "on solid backing"
        yield f"starts at the joint {cut.along_mm} mm along, {where}"
    if start.end is end.end is End.PLUMB:
        yield f"parallel cuts, {cut.length_mm} mm of board from tip to tip"
    if run.kind is BoardKind.SOFFIT and run.clear_mm < run.material.width_mm:
        strips = run.width.across
        share = f" over {strips} boards" if strips > 1 else ""
        yield f"rip to {run.clear_mm:.0f} mm{share}, scribed to the wall"
