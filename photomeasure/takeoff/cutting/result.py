"""The cutting plan: boards, cuts, joints, and how good it is proven to be."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Generic, TypeVar

from calibration.errors import UnknownName
from photomeasure.takeoff.cutting.stock import Material, Stock

RUN = "run"
"""Where an unknown name was looked for."""

Amount = TypeVar("Amount", int, Decimal)


@dataclass(frozen=True, slots=True)
class Goal(Generic[Amount]):
    """One of the aims of a plan.

    Attributes
    ----------
    value : int or Decimal
        What the plan reaches.
    bound : int or Decimal
        What no plan can better, given the aims before this one.

    Examples
    --------
    >>> Goal(value=22, bound=21).proven, f"{Goal(value=22, bound=21).gap:.3f}"
    (False, '0.048')
    """

    value: Amount
    bound: Amount

    @property
    def proven(self) -> bool:
        """Whether nothing better exists."""
        return self.value == self.bound

    @property
    def gap(self) -> float:
        """Distance from the bound as a share of it, 0 if proven."""
        if self.proven:
            return 0.0
        return abs(float(self.value - self.bound)) / max(float(self.bound), 1.0)


@dataclass(frozen=True, slots=True)
class Cut:
    """One piece on a board.

    Attributes
    ----------
    part : str
        Piece or run it is for.
    start_mm : int
        From the untrimmed end of the board to the start of the piece.
    length_mm : int
        Its length.
    along_mm : int
        Where on its run its place starts; 0 for a whole piece.
    """

    part: str
    start_mm: int
    length_mm: int
    along_mm: int = 0

    @property
    def end_mm(self) -> int:
        """From the untrimmed end of the board to the end of the piece."""
        return self.start_mm + self.length_mm


@dataclass(frozen=True, slots=True)
class Board:
    """One board and what is cut from it.

    Attributes
    ----------
    stock : Stock
        Which board.
    cuts : tuple of Cut
        From its start on, one kerf behind each.
    offcut_mm : int
        What is left behind the last cut, far end untrimmed.
    """

    stock: Stock
    cuts: tuple[Cut, ...]
    offcut_mm: int

    @property
    def pieces_mm(self) -> int:
        """Length of all its pieces."""
        return sum(cut.length_mm for cut in self.cuts)


class JointKind(StrEnum):
    """Why a joint is where it is."""

    IN_LINE = "in line"
    APEX = "apex"


@dataclass(frozen=True, slots=True)
class Joint:
    """A joint of a run.

    Attributes
    ----------
    position_mm : int
        From the start of the run.
    kind : JointKind
        Chosen by the plan, or given by the shape.
    """

    position_mm: int
    kind: JointKind


@dataclass(frozen=True, slots=True)
class Division:
    """Where one run is joined.

    Attributes
    ----------
    run : str
        The run.
    joints : tuple of Joint
        In order from its start.
    """

    run: str
    joints: tuple[Joint, ...]

    @property
    def positions_mm(self) -> tuple[int, ...]:
        """Positions of the joints."""
        return tuple(joint.position_mm for joint in self.joints)


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialPlan:
    """The plan of one material.

    Attributes
    ----------
    material : Material
        Which.
    boards : tuple of Board
        In the order of cutting.
    divisions : tuple of Division
        Joints of each run.
    priced : bool
        Whether cost is money; otherwise it is millimetres of bought board.
    joints : Goal of int
        First aim: joints of all runs, fewest.
    cost : Goal of Decimal
        Second aim: cost of bought boards, least.
    offcut : Goal of int
        Third aim: longest offcut of a bought board that is worth keeping, mm,
        0 if none is.
    cut_short : bool
        Whether the time was over before the search was: a faster computer may then
        plan otherwise. If not, every computer makes the same plan.
    """

    material: Material
    boards: tuple[Board, ...]
    divisions: tuple[Division, ...]
    priced: bool
    joints: Goal[int]
    cost: Goal[Decimal]
    offcut: Goal[int]
    cut_short: bool = False

    @property
    def proven(self) -> bool:
        """Whether all three aims are proven."""
        return self.joints.proven and self.cost.proven and self.offcut.proven

    @property
    def board_mm(self) -> int:
        """Length of all boards used, those in hand included."""
        return sum(board.stock.length_mm for board in self.boards)

    @property
    def offcuts_mm(self) -> int:
        """Length of all offcuts, worth keeping or not."""
        return sum(board.offcut_mm for board in self.boards)

    @property
    def pieces_mm(self) -> int:
        """Length of all pieces."""
        return sum(board.pieces_mm for board in self.boards)


@dataclass(frozen=True, slots=True)
class CuttingPlan:
    """The plans of all materials of a job.

    Attributes
    ----------
    materials : tuple of MaterialPlan
        In the order of the materials.
    """

    materials: tuple[MaterialPlan, ...]

    @property
    def proven(self) -> bool:
        """Whether every aim of every material is proven."""
        return all(plan.proven for plan in self.materials)

    @property
    def cut_short(self) -> bool:
        """Whether the time was over before the search of any material was."""
        return any(plan.cut_short for plan in self.materials)

    @property
    def boards(self) -> tuple[Board, ...]:
        """All boards, material by material."""
        return tuple(board for plan in self.materials for board in plan.boards)

    @property
    def divisions(self) -> tuple[Division, ...]:
        """Joints of all runs."""
        return tuple(item for plan in self.materials for item in plan.divisions)

    def joints_of(self, run: str) -> tuple[int, ...]:
        """Joint positions of one run, e.g. to keep the soffit's clear of them."""
        known = {division.run: division.positions_mm for division in self.divisions}
        if run not in known:
            raise UnknownName(RUN, run, known)
        return known[run]


def longest_offcut(boards: tuple[Board, ...]) -> int:
    """Longest offcut of any bought board, worth keeping or not."""
    bought = (board.offcut_mm for board in boards if not board.stock.in_hand)
    return max(bought, default=0)
