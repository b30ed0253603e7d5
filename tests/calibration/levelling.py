"""Levelled height differences as references, so that published circuits can be adjusted.

The circuit goes through the very network, adjustment and reliability that photographs
go through. Three plan points of one wall keep the camera's unknowns determined; they
share no unknown with the circuit.
"""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from calibration.adjustment import Adjustment, adjust
from calibration.arrays import FloatArray
from calibration.camera import FRONTAL, Camera, OnWall
from calibration.network import Network
from calibration.priors import LensKnowledge, camera_prior
from calibration.references import Conditions, Points, Reference, Unknown
from calibration.reliability import ReferenceReport, assess

_SIZE_PX = (4000, 3000)
_FOCAL_PX = 3000.0
_PLAN_MM = np.array([[-1900.0, -700.0], [1700.0, -500.0], [-300.0, 1400.0]])
"""Three points: six equations for four of the pose and two of the origin, so the
wall adds nothing to the degrees of freedom of the circuit. The camera stands over the
middle of them, off the circle through them where three points fix nothing."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Levelled(Reference):
    """One observed difference of height, ``h_end - h_start - rise = 0``.

    Attributes
    ----------
    start, end : str or float
        Name of a point whose height is sought, or the height of a benchmark.
    rise, sd : float
        Observation and its standard deviation, any unit of length.
    """

    kind: ClassVar[str] = "levelled"
    gives_level: ClassVar[bool] = False
    gives_size: ClassVar[bool] = False

    start: str | float
    end: str | float
    rise: float
    sd: float

    def unknowns(self) -> tuple[Unknown, ...]:
        """Return the heights of the points that are not benchmarks."""
        ends = (self.start, self.end)
        return tuple(Unknown(key=e, what=e) for e in ends if isinstance(e, str))

    def initial(self, wall: OnWall) -> FloatArray:  # noqa: ARG002
        """Return zero: the system is linear."""
        return np.zeros(len(self.unknowns()))

    def conditions(self, xy_mm: FloatArray, own: FloatArray) -> Conditions:  # noqa: ARG002
        """Return the one equation."""
        ends, signs = (self.start, self.end), (-1.0, 1.0)
        named = [s for e, s in zip(ends, signs, strict=True) if isinstance(e, str)]
        fixed = sum(
            s * e for e, s in zip(ends, signs, strict=True) if not isinstance(e, str)
        )
        wrt_own = np.array(named)
        return Conditions(
            np.array([[wrt_own @ own + fixed - self.rise]]),
            np.zeros((1, 1, 1, 2)),
            wrt_own[None, None],
            np.full((1, 1, 1), self.sd**2),
            np.array([[0]]),
        )


@dataclass(frozen=True)
class Adjusted:
    """A circuit after adjustment.

    Attributes
    ----------
    heights : dict of str to float
        Adjusted heights.
    sds : dict of str to float
        Their standard deviations at variance factor one.
    variance_factor : float
    degrees_of_freedom : int
    global_probability : float
    sum_of_squares : float
        Weighted.
    reports : tuple of ReferenceReport
        One an observation, in order.
    """

    heights: dict[str, float]
    sds: dict[str, float]
    variance_factor: float
    degrees_of_freedom: int
    global_probability: float
    sum_of_squares: float
    reports: tuple[ReferenceReport, ...]


def adjust_circuit(
    runs: list[tuple[str | float, str | float, float]], sds: FloatArray
) -> Adjusted:
    """Adjust (start, end, rise) runs with given standard deviations."""
    camera = Camera(
        focal_px=_FOCAL_PX,
        centre_px=(np.array(_SIZE_PX) - 1.0) / 2.0,
        R_wall_from_camera=FRONTAL,
        standoff_mm=8000.0,
    )
    wall = Points(
        name="wall",
        picks_px=camera.project(np.c_[_PLAN_MM, np.zeros(len(_PLAN_MM))]),
        wall_mm=_PLAN_MM,
        sd_mm=1.0,
    )
    circuit = [
        Levelled(
            name=f"run {i + 1}",
            picks_px=wall.picks_px[:1],
            start=start,
            end=end,
            rise=rise,
            sd=float(sds[i]),
        )
        for i, (start, end, rise) in enumerate(runs)
    ]
    prior = camera_prior(_SIZE_PX, LensKnowledge(focal_px=_FOCAL_PX))
    network = Network((wall, *circuit), prior)
    return _summary(network, adjust(network, network.start(camera)))


def _summary(network: Network, adjustment: Adjustment) -> Adjusted:
    reliability = assess(network, adjustment)
    names = [u.key for u in network.unknowns if not u.key.startswith("wall")]
    columns = [network.column(name) for name in names]
    own = adjustment.state.own
    spread = np.sqrt(np.diag(adjustment.covariance))
    return Adjusted(
        heights={n: float(own[c - 9]) for n, c in zip(names, columns, strict=True)},
        sds={n: float(spread[c]) for n, c in zip(names, columns, strict=True)},
        variance_factor=reliability.variance_factor,
        degrees_of_freedom=reliability.degrees_of_freedom,
        global_probability=reliability.global_probability,
        sum_of_squares=adjustment.cost,
        reports=reliability.references[1:],
    )
