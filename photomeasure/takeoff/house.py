"""The roofline as the take-off sees it: measured runs and stated facts."""

from dataclasses import dataclass
from math import ceil

from calibration.uncertain import Uncertain
from photomeasure.job.takeoff import RunEnd, TakeoffSpec, VergeWork
from photomeasure.takeoff.model import End, Hand


@dataclass(frozen=True, slots=True)
class Size:
    """A size across a board, with its standard uncertainty.

    Attributes
    ----------
    value_mm, u_mm : float
    origin : str
        Where it comes from, for a working: ``measured``, ``stated`` or ``assumed``.
    """

    value_mm: float
    u_mm: float
    origin: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Eaves:
    """One level run along the eaves.

    Attributes
    ----------
    line : str
        ``elevation: line``; of several photos the first.
    name : str
        Of the line.
    length : Uncertain
        One value, millimetres, along the fascia; combined over photos, or taped.
    start, end : RunEnd
        Left and right, seen from outside.
    fascia_depth : Size
    overhang : Size or None
        Wall to outer face of the fascia; None for flush eaves, which have no soffit.
    height_mm : float or None
        Of the soffit above ground.
    pitch_rad : float or None
        Of the roof above.
    taped : bool
        Whether the length was taped, not measured from photographs.
    """

    line: str
    name: str
    length: Uncertain
    start: RunEnd
    end: RunEnd
    fascia_depth: Size
    overhang: Size | None
    height_mm: float | None
    pitch_rad: float | None
    taped: bool

    @property
    def length_mm(self) -> int:
        """Length rounded up to whole millimetres."""
        return whole_mm(self.length)

    @property
    def u_mm(self) -> float:
        """Standard uncertainty of the length."""
        return float(self.length.u[0])

    @property
    def ends(self) -> tuple[RunEnd, RunEnd]:
        """Left and right end."""
        return self.start, self.end


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Rake:
    """One sloping edge of a gable, from foot to apex.

    Attributes
    ----------
    line, name : str
        As of :class:`Eaves`.
    length : Uncertain
        Along the upper edge of the barge board.
    pitch_rad : float
    hand : Hand
        Left if it rises to the right, seen from outside.
    foot : End
        Cut of the foot.
    partner : str or None
        Name of the rake it meets at the apex.
    depth : Size
        Of the barge board.
    overhang : Size or None
        Width of the soffit under the verge; None if there is none.
    height_mm : float or None
        Of its foot above ground.
    verge : VergeWork
        What becomes of the verge tiles.
    taped : bool
    """

    line: str
    name: str
    length: Uncertain
    pitch_rad: float
    hand: Hand
    foot: End
    partner: str | None
    depth: Size
    overhang: Size | None
    height_mm: float | None
    verge: VergeWork
    taped: bool

    @property
    def length_mm(self) -> int:
        """Length rounded up to whole millimetres."""
        return whole_mm(self.length)

    @property
    def u_mm(self) -> float:
        """Standard uncertainty of the length."""
        return float(self.length.u[0])


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class House:
    """Everything that was measured or stated about a roofline.

    Attributes
    ----------
    title : str
    spec : TakeoffSpec
        The job's ``takeoff`` block: materials, roof facts, choices.
    eaves : tuple of Eaves
    rakes : tuple of Rake
    pitch_rad : float or None
        Stated, or the mean of the measured gables; None if neither.
    span_mm : float or None
        Likewise.
    pitch_u_rad, span_u_mm : float or None
        Their standard uncertainties: 0 if stated, None if nobody worked them out.
    cautions : tuple of str
        What was assumed or left out on the way.
    """

    title: str
    spec: TakeoffSpec
    eaves: tuple[Eaves, ...]
    rakes: tuple[Rake, ...]
    pitch_rad: float | None
    span_mm: float | None
    pitch_u_rad: float | None = None
    span_u_mm: float | None = None
    cautions: tuple[str, ...]


def whole_mm(length: Uncertain) -> int:
    """Return one length rounded up to whole millimetres.

    A thousandth below a whole millimetre is rounding, not length.
    """
    return ceil(float(length.values[0]) - 1e-3)
