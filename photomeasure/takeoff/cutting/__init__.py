"""What to cut from which board: proven plans for pieces, runs and offcuts.

``Problem`` says what is wanted, ``solve`` plans it, ``CuttingPlan`` is the
answer, ``faults_of`` checks it and ``replan`` revises it once boards are cut
and lengths taped.
"""

from photomeasure.takeoff.cutting.limits import Limits
from photomeasure.takeoff.cutting.problem import Piece, Problem
from photomeasure.takeoff.cutting.replan import Replan, replan
from photomeasure.takeoff.cutting.result import (
    Board,
    Cut,
    CuttingPlan,
    Division,
    Goal,
    Joint,
    JointKind,
    MaterialPlan,
)
from photomeasure.takeoff.cutting.run import Run, Supports
from photomeasure.takeoff.cutting.solver import solve
from photomeasure.takeoff.cutting.stock import Material, Saw, Stock
from photomeasure.takeoff.cutting.verify import faults_of

__all__ = [
    "Board",
    "Cut",
    "CuttingPlan",
    "Division",
    "Goal",
    "Joint",
    "JointKind",
    "Limits",
    "Material",
    "MaterialPlan",
    "Piece",
    "Problem",
    "Replan",
    "Run",
    "Saw",
    "Stock",
    "Supports",
    "faults_of",
    "replan",
    "solve",
]
