"""Sizes across boards, and which stock width covers them."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import erf, sqrt

from calibration.uncertain import Uncertain
from photomeasure.takeoff.house import Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Width:
    """A stock width chosen for a size.

    Attributes
    ----------
    needed : Size
        What must be covered by one board.
    width_mm : int
    across : int
        Boards side by side, >= 1.
    doubt : str
        What to check if the size lies close to a stock width; empty if it does not.
    """

    needed: Size
    width_mm: int
    across: int
    doubt: str


def measured(result: Uncertain) -> Size:
    """Return one measured result as a size."""
    return Size(float(result.values[0]), float(result.u[0]), "measured")


def stated(value_mm: float) -> Size:
    """Return what the job states as a size: its word is not doubted."""
    return Size(float(value_mm), 0.0, "stated")


def widest(sizes: Iterable[Size]) -> Size | None:
    """Return the largest of several measurements: the board must cover each."""
    return max(sizes, key=lambda size: size.value_mm, default=None)


def choose_width(needed: Size, widths_mm: Iterable[int], doubt_share: float) -> Width:
    """Choose the narrowest stock width that is wider than measured.

    Parameters
    ----------
    needed : Size
    widths_mm : iterable of int
        Stock widths.
    doubt_share : float
        Chance of the wrong width above which the choice is called doubtful.

    Returns
    -------
    Width
        Several boards across where even the widest is too narrow.

    Examples
    --------
    >>> choice = choose_width(Size(210.0, 2.0, "measured"), (175, 225, 250), 0.05)
    >>> choice.width_mm, choice.across, choice.doubt
    (225, 1, '')
    >>> choose_width(Size(224.0, 2.0, "measured"), (175, 225, 250), 0.05).doubt
    '224 mm +- 4 lies near the 225 mm board: with 31% it is wider, tape it first'
    """
    ladder = sorted(set(widths_mm))
    across = max(1, -(-round(needed.value_mm) // ladder[-1]))
    share = Size(needed.value_mm / across, needed.u_mm / across, needed.origin)
    fitting = [width for width in ladder if width >= share.value_mm]
    width = fitting[0] if fitting else ladder[-1]
    narrower = max((w for w in ladder if w < width), default=0)
    return Width(
        needed=needed,
        width_mm=width,
        across=across,
        doubt=_doubt(share, width, narrower, doubt_share),
    )


def _doubt(size: Size, width_mm: int, narrower_mm: int, share: float) -> str:
    """Say so if the true size may well ask for the neighbouring width."""
    wider = 1.0 - _below(size, width_mm)
    less = _below(size, narrower_mm)
    what = f"{size.value_mm:.0f} mm +- {1.96 * size.u_mm:.0f} lies near the"
    if wider > share:
        return f"{what} {width_mm} mm board: with {wider:.0%} it is wider, tape it first"
    if less > share and narrower_mm:
        return (
            f"{what} {narrower_mm} mm board: with {less:.0%} that would do, tape it first"
        )
    return ""


def _below(size: Size, width_mm: float) -> float:
    """Chance that the true size is at most so wide, normal distribution."""
    if size.u_mm == 0.0:
        return float(size.value_mm <= width_mm)
    return 0.5 * (1.0 + erf((width_mm - size.value_mm) / (size.u_mm * sqrt(2.0))))
