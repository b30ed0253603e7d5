"""Cuts of boards on a slope and around corners, in the plane of the board.

A board has an outer edge (the upper one of a barge board, the one at the fascia of a
soffit) and an inner edge. At each end the outer edge reaches ``lean`` beyond the inner
one; a negative lean means that the inner edge reaches further.
"""

from dataclasses import dataclass
from math import atan2, cos, pi, tan

from photomeasure.takeoff.model import End


@dataclass(frozen=True, slots=True)
class EndCut:
    """The cut at one end of a board.

    Attributes
    ----------
    end : End
    lean_mm : float
        How far the outer edge reaches beyond the inner one.
    angle_rad : float
        Between the cut and a square cut, >= 0.
    """

    end: End
    lean_mm: float
    angle_rad: float

    @property
    def behind_mm(self) -> float:
        """How far the inner edge reaches beyond the outer one, >= 0."""
        return max(0.0, -self.lean_mm)


SQUARE = EndCut(End.SQUARE, 0.0, 0.0)


def apex_cut(depth_mm: float, pitch_rad: float) -> EndCut:
    """Return the plumb cut of a barge board at the apex.

    Parameters
    ----------
    depth_mm : float
        Of the board.
    pitch_rad : float

    Returns
    -------
    EndCut

    Examples
    --------
    A 6 in 12 roof: the cut of a board 12 deep runs 6 along it.

    >>> round(apex_cut(12.0, atan2(6, 12)).lean_mm, 6)
    6.0
    """
    # The cut is upright and the board lies at the pitch: it leaves square by the pitch.
    return EndCut(End.PLUMB, depth_mm * tan(pitch_rad), pitch_rad)


def foot_cut(end: End, depth_mm: float, pitch_rad: float) -> EndCut:
    """Return the cut of a barge board at its foot.

    Parameters
    ----------
    end : End
        Plumb, level or square.
    depth_mm : float
    pitch_rad : float
        Above zero for a level cut.

    Returns
    -------
    EndCut
        A plumb foot is parallel to the apex cut: there the lower edge reaches further.
    """
    if end is End.PLUMB:
        return EndCut(end, -depth_mm * tan(pitch_rad), pitch_rad)
    if end is End.LEVEL:
        return EndCut(end, depth_mm / tan(pitch_rad), pi / 2 - pitch_rad)
    return SQUARE


def soffit_mitre(width_mm: float, board_mm: float, *, outside: bool) -> EndCut:
    """Return the mitre of a soffit under a hip, or in the corner under a valley.

    Parameters
    ----------
    width_mm : float
        Of the soffit in plan.
    board_mm : float
        Of the board: more than in plan if it follows the slope.
    outside : bool
        Whether the corner is an outside one, so that the outer edge is the longer.

    Returns
    -------
    EndCut

    Notes
    -----
    The mitre halves a right angle in plan, so that along the run it covers as much as
    the soffit is wide. On a slope the board is wider by 1 / cos(pitch) and the angle
    flatter: tan(angle) = cos(pitch), the top cut of jack rafters.

    Examples
    --------
    >>> round(soffit_mitre(300.0, 300.0, outside=True).angle_rad * 180 / pi)
    45
    """
    lean = width_mm if outside else -width_mm
    return EndCut(End.MITRE, lean, atan2(width_mm, board_mm))


def on_slope(width_mm: float, pitch_rad: float) -> float:
    """Return the width along the slope of what is so wide in plan."""
    return width_mm / cos(pitch_rad)


@dataclass(frozen=True, slots=True)
class Outline:
    """Lengths of a piece along its two edges.

    Attributes
    ----------
    long_mm, short_mm : int
        The longer and the shorter edge.
    """

    long_mm: int
    short_mm: int


def blank_mm(outer_mm: int, start: EndCut, end: EndCut) -> int:
    """Return how much board a piece takes up whose outer edge has this length.

    Examples
    --------
    Two parallel cuts: both edges are equal, the points lie further apart.

    >>> blank_mm(1000, EndCut(End.PLUMB, -50.0, 0.2), EndCut(End.PLUMB, 50.0, 0.2))
    1050
    """
    return outer_mm + round(start.behind_mm) + round(end.behind_mm)


def outline(blank: int, start: EndCut, end: EndCut) -> Outline:
    """Return the edges of a piece that takes up so much board.

    Parameters
    ----------
    blank : int
        From tip to tip, millimetres.
    start, end : EndCut

    Returns
    -------
    Outline
    """
    outer = blank - round(start.behind_mm) - round(end.behind_mm)
    inner = outer - round(start.lean_mm) - round(end.lean_mm)
    return Outline(max(outer, inner), min(outer, inner))


def box_end(
    width_mm: float, depth_mm: float, pitch_rad: float, *, left: bool
) -> tuple[tuple[float, float], ...]:
    """Return the corners of the piece that closes an eaves box at a gable.

    Parameters
    ----------
    width_mm : float
        Wall to outer face of the fascia.
    depth_mm : float
        Of the fascia.
    pitch_rad : float
        The roof rises from the fascia to the wall.
    left : bool
        Whether it closes the left end, seen from in front of the eaves: then the
        fascia is on the right of whoever looks at the piece.

    Returns
    -------
    tuple of (float, float)
        Anticlockwise from the lower left, millimetres.

    Examples
    --------
    >>> box_end(300.0, 200.0, atan2(1, 2), left=False)
    ((0.0, 0.0), (300.0, 0.0), (300.0, 350.0), (0.0, 200.0))
    """
    high = round(depth_mm + width_mm * tan(pitch_rad), 1)
    near, far = (high, depth_mm) if left else (depth_mm, high)
    return (0.0, 0.0), (width_mm, 0.0), (width_mm, far), (0.0, near)
