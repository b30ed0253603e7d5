"""What a take-off is made of. Papers, prices and pages read nothing else.

Amounts are exact (``Decimal`` or whole millimetres). Whatever was computed says from which
lines, by which rules and how, so that a person can do the sum again.
"""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from photomeasure.takeoff.cutting import CuttingPlan, Material


class Unit(StrEnum):
    """In what an item is counted."""

    EACH = "each"
    METRE = "m"
    SQUARE_METRE = "m2"
    CUBIC_METRE = "m3"
    KILOGRAM = "kg"
    HOUR = "h"
    DAY = "day"


class Section(StrEnum):
    """The part of the work that an item belongs to, in the order of the work."""

    ACCESS = "access"
    STRIP_OUT = "strip out"
    TIMBER = "timber"
    BOARDS = "boards"
    TRIMS = "trims"
    FIXINGS = "fixings"
    VENTILATION = "ventilation"
    VERGE = "verge"
    RAINWATER = "rainwater"
    LABOUR = "labour"


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """What is bought or done.

    Attributes
    ----------
    code : str
        Key of the price book: lower-case words with hyphens, attributes after slashes,
        as ``fascia-board/18x225/white/5000``.
    description : str
        For a person, without the code.
    unit : Unit
    section : Section
    """

    code: str
    description: str
    unit: Unit
    section: Section


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """How much of one item, and why.

    Attributes
    ----------
    item : Item
    amount : Decimal
        In the item's unit, > 0, before it is rounded up to packs.
    lines : tuple of str
        Measured lines it comes from, ``elevation: line``; empty for the whole job.
    rules : tuple of str
        Keys of the rules that were used, as ``fixings.fascia.centres_mm``.
    working : str
        The sum in one sentence that a person can do again.
    """

    item: Item
    amount: Decimal
    lines: tuple[str, ...]
    rules: tuple[str, ...]
    working: str


class End(StrEnum):
    """How one end of a piece is cut or finished."""

    SQUARE = "square"
    PLUMB = "plumb cut"
    LEVEL = "level cut"
    MITRE = "mitre"


class Hand(StrEnum):
    """Which way round a piece goes, seen from outside."""

    LEFT = "left"
    RIGHT = "right"
    NONE = "either"


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardPiece:
    """One finished piece of board.

    Attributes
    ----------
    name : str
        Name of its own within the take-off, as on the cut list.
    line : str
        ``elevation: line`` that it belongs to.
    material : Material
    long_point_mm, short_point_mm : int
        Along the longer and the shorter edge, gaps taken off.
    start, end : End
        From the left, or from the foot.
    start_angle_rad, end_angle_rad : float
        Between the cut and a square cut, >= 0.
    hand : Hand
    u_mm : float
        Standard uncertainty of the length, as measured.
    note : str
        What a fitter has to know beside it.
    part : str
        Its part of the cutting problem; its cut in the plan has this part and the
        same ``along_mm``.
    along_mm : int
        Where on that part its place starts.
    """

    name: str
    line: str
    material: Material
    long_point_mm: int
    short_point_mm: int
    start: End
    end: End
    start_angle_rad: float
    end_angle_rad: float
    hand: Hand
    u_mm: float
    note: str = ""
    part: str = ""
    along_mm: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A dimensioned flat piece, as a box end.

    Attributes
    ----------
    name, line : str
    material : Material
    corners_mm : tuple of (float, float)
        Anticlockwise, x to the right and y up, from the lower left corner.
    hand : Hand
    note : str
    """

    name: str
    line: str
    material: Material
    corners_mm: tuple[tuple[float, float], ...]
    hand: Hand
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """Whether something is enough, by which clause.

    Attributes
    ----------
    subject : str
        What was judged, as ``eaves ventilation, front eaves``.
    passed : bool or None
        None where it cannot be judged; ``sentence`` says what is missing.
    required, provided : float or None
        In ``unit``.
    unit : str
    clause : str
        Rule and edition.
    source : str
        Where the clause was read, or ``common practice, no source``.
    sentence : str
        The verdict with its numbers, and what to do if it failed.
    rules : tuple of str
        Keys of the rules that were used.
    """

    subject: str
    passed: bool | None
    required: float | None
    provided: float | None
    unit: str
    clause: str
    source: str
    sentence: str
    rules: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class UsedRule:
    """A rule's value as it was used.

    Attributes
    ----------
    key, value, unit : str
        As in the rules file.
    source : str
        Published source, or ``common practice, no source``.
    overridden : bool
        Whether the job stated it.
    """

    key: str
    value: str
    unit: str
    source: str
    overridden: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortage:
    """Chance of running short of one material.

    Attributes
    ----------
    material : Material
    stock_length_mm : int
    boards : int
        Number ordered.
    chance : float
        Probability that it is not enough, 0 to 1; an upper bound where it was not
        found exactly.
    at_least : float
        Lower bound of it.
    """

    material: Material
    stock_length_mm: int
    boards: int
    chance: float
    at_least: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Deciding:
    """The one length that, if taped, settles most of how many boards are needed."""

    line: str
    chance_now: float
    chance_taped: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """Why there is no take-off of some lines or of an elevation, and what lifts it.

    Attributes
    ----------
    lines : tuple of str
        ``elevation: line`` of each, or the elevation alone.
    reason : str
        One sentence that names them.
    """

    lines: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Takeoff:
    """Everything a job needs.

    Attributes
    ----------
    title : str
    country : str
        Name of the rules.
    quantities : tuple of Quantity
        In the order of the work; ``materials`` of boards as stock lengths to buy.
    pieces : tuple of BoardPiece
    shapes : tuple of Shape
    plan : CuttingPlan or None
        None if a stop left nothing to cut.
    verdicts : tuple of Verdict
    shortages : tuple of Shortage
        For each material the number ordered and one fewer and one more.
    deciding : Deciding or None
    stops : tuple of Stop
    cautions : tuple of str
        For every paper.
    rules : tuple of UsedRule
    sheet : str
        What papers are printed on, as the rules name it.
    """

    title: str
    country: str
    quantities: tuple[Quantity, ...]
    pieces: tuple[BoardPiece, ...]
    shapes: tuple[Shape, ...]
    plan: CuttingPlan | None
    verdicts: tuple[Verdict, ...]
    shortages: tuple[Shortage, ...]
    deciding: Deciding | None
    stops: tuple[Stop, ...]
    cautions: tuple[str, ...]
    rules: tuple[UsedRule, ...]
    sheet: str = "A4"
