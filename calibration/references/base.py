"""What every kind of reference has in common.

A reference observes conditions between wall points and its own unknowns,
``F(xy, own) = 0``, where the wall points are its picks brought to its plane. The
kind only writes its equations in wall millimetres; camera, lens, pick noise and
projection are applied in one place, :mod:`calibration.network`.
"""

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from calibration.arrays import FloatArray, IntArray, frozen
from calibration.camera import OnWall
from calibration.priors import WALL_RELIEF_SD_MM
from calibration.references.hints import Hint


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """An observation of an unknown made before any pick.

    Attributes
    ----------
    mean, sd : float
        In the unknown's unit; sd > 0.
    key : str
        Identity: the same fact used twice has the same key.
    label : str
        What a person calls it.
    is_model : bool
        Whether repeated picking leaves it as it is.
    shared : bool
        Whether the same key in another elevation is the same fact.
    """

    mean: float
    sd: float
    key: str
    label: str
    is_model: bool = True
    shared: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Unknown:
    """A quantity of a reference that the adjustment finds.

    Attributes
    ----------
    key : str
        Identity: references that name the same key share the unknown.
    prior : Prior or None
        What is known of it.
    scale : float
        Typical size of a change, for conditioning.
    what : str
        Words for it when it turns out to be undetermined.
    """

    key: str
    prior: Prior | None = None
    scale: float = 1.0
    what: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Conditions:
    """Equations of one reference, in U units of C equations over K picks each.

    Attributes
    ----------
    misclosure : (U, C) float64
        ``F``, millimetres.
    wrt_xy : (U, C, K, 2) float64
        Derivative with respect to the picks on the wall.
    wrt_own : (U, C, N) float64
        Derivative with respect to the reference's own unknowns.
    covariance : (U, C, C) float64
        Of the observation itself, without pick noise, mm^2.
    picks : (U, K) int
        Which picks each unit uses; no pick occurs in two units.
    """

    misclosure: FloatArray
    wrt_xy: FloatArray
    wrt_own: FloatArray
    covariance: FloatArray
    picks: IntArray


@dataclass(frozen=True, slots=True, eq=False)
class SizeError:
    """How a reference would look if its stated size were wrong.

    Attributes
    ----------
    wrt_conditions : (U, C) float64
        Change of the misclosures for a relative error of one.
    wrt_prior_mean : dict of int to float
        Change of the prior mean of own unknowns, by index.
    size_mm : float
        The stated size that a relative error refers to.
    """

    wrt_conditions: FloatArray
    wrt_prior_mean: dict[int, float]
    size_mm: float


@dataclass(frozen=True, eq=False, kw_only=True)
class Reference(ABC):
    """Something of known shape or size in the picture.

    Attributes
    ----------
    name : str
        Unique within its elevation.
    picks_px : (N, 2) float64
        Image frame.
    pick_sd_px : float
        Standard uncertainty of one coordinate of a pick.
    projection_mm : float
        Height of its plane above the wall.
    projection_sd_mm : float
        Standard uncertainty of that.
    title : str
        What a person calls it in a sentence, e.g. ``"the 3 m tape"``.
    """

    kind: ClassVar[str]
    gives_level: ClassVar[bool] = True
    gives_size: ClassVar[bool] = True

    name: str
    picks_px: FloatArray
    pick_sd_px: float = 1.0
    projection_mm: float = 0.0
    projection_sd_mm: float = WALL_RELIEF_SD_MM
    title: str = ""

    def __post_init__(self) -> None:
        """Freeze the picks."""
        object.__setattr__(self, "picks_px", frozen(self.picks_px, None, 2))

    @property
    def levels(self) -> bool:
        """Whether it says what is level or plumb."""
        return self.gives_level

    @property
    def sized(self) -> bool:
        """Whether it states a size in millimetres."""
        return self.gives_size

    def relief(self) -> tuple[Unknown, ...]:
        """Return the unknown height of its plane: none for kinds without a size."""
        if not self.gives_size:
            return ()
        prior = Prior(
            mean=self.projection_mm,
            sd=self.projection_sd_mm,
            key=f"{self.name}: plane",
            label="wall not flat",
        )
        return (Unknown(key=f"{self.name}: plane", prior=prior, scale=1.0),)

    @abstractmethod
    def unknowns(self) -> tuple[Unknown, ...]:
        """Return its own unknowns; a sized kind has :meth:`relief` first."""

    @abstractmethod
    def initial(self, wall: OnWall) -> FloatArray:
        """Return first values of its unknowns from roughly placed picks, (n,)."""

    @abstractmethod
    def conditions(self, xy_mm: FloatArray, own: FloatArray) -> Conditions:
        """Return its equations at wall points (N, 2) and own unknowns (n,)."""

    def hints(self) -> tuple[Hint, ...]:
        """Return what it tells a trial viewpoint; nothing by default."""
        return ()

    def planes(self, own: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return each pick's height above the wall (N,) and derivative (N, n)."""
        count = len(self.picks_px)
        slope = np.zeros((count, len(own)))
        if not self.gives_size:
            return np.full(count, self.projection_mm), slope
        slope[:, 0] = 1.0
        return np.full(count, own[0]), slope

    def size_error(self, own: FloatArray) -> SizeError | None:  # noqa: ARG002
        """Return how a wrong size would show, or None if it states none."""
        return None

    def resized(self, factor: float) -> Self:  # noqa: ARG002
        """Return the reference as if it stated another size; itself if it states none."""
        return self

    def prior_keys(self) -> tuple[str, ...]:
        """Return keys of the priors that are its own statements about size."""
        return ()


def one_pick_each(count: int) -> IntArray:
    """Return the pick table (count, 1) of units that use one pick each."""
    return np.arange(count)[:, None]


def turned(xy: FloatArray, angle_rad: float) -> FloatArray:
    """Return points (N, 2) turned anticlockwise about the origin."""
    c, s = np.cos(angle_rad), np.sin(angle_rad)
    rotated: FloatArray = xy @ np.array([[c, s], [-s, c]])
    return rotated


def similarity_angle(source: FloatArray, target: FloatArray) -> float:
    """Return the turn that best carries centred ``source`` to ``target``, (N, 2)."""
    a = source - source.mean(axis=0)
    b = target - target.mean(axis=0)
    dot = float(np.sum(a * b))
    cross = float(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]))
    return float(np.arctan2(cross, dot))
