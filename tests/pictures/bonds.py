"""Lays bricks: bonds as data, gauge that drifts, courses that undulate.

Bricks are laid in straight *lattice* coordinates; the wall as built is the lattice bent
by a slow wave of a few millimetres, ``built = lattice + wave(built)``, in x and y. The
same wave bends the texture and the truth.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.brick_formats import brick_format

S, H = 1.0, 0.5
"""Stretcher and header with their joints, parts of the stretcher's pitch."""

Course = tuple[tuple[float, ...], float]
"""Units along, repeated, and where the first one starts."""


def _wild(courses: int, units: int) -> tuple[Course, ...]:
    """Return stretchers and headers at random, every course a quarter on from the next.

    So laid, every perpend stands over the middle of a header or a quarter of a stretcher.
    """
    rng = np.random.default_rng(11)
    return tuple(
        (tuple(rng.choice([S, H], units, p=[0.6, 0.4]).tolist()), 0.25 * (k % 2))
        for k in range(courses)
    )


BONDS: Final[dict[str, tuple[Course, ...]]] = {
    "stretcher": (((S,), 0.0), ((S,), 0.5)),
    "flemish": (((S, H), 0.0), ((S, H), 0.75)),
    "english": (((S,), 0.0), ((H,), 0.25)),
    "header": (((H,), 0.0), ((H,), 0.25)),
    "english-garden": (((S,), 0.0), ((S,), 0.5), ((S,), 0.0), ((H,), 0.25)),
    "wild": _wild(46, 60),
    "stack": (((S,), 0.0),),
}
"""Courses from the ground up, repeated: units along, and start of the first one."""

_WAVES: Final = 3


@dataclass(frozen=True, eq=False)
class Wave:
    """A slow bend of the whole wall.

    Attributes
    ----------
    terms : (N, 4) float64
        Amplitude in mm, wave numbers along x and y in 1/mm, phase.
    """

    terms: FloatArray

    def at(self, x_mm: FloatArray, y_mm: FloatArray) -> FloatArray:
        """Return the shift, mm, at broadcast places of the wall as built."""
        total = np.zeros(np.broadcast_shapes(np.shape(x_mm), np.shape(y_mm)))
        for amplitude, along, up, phase in self.terms:
            total = total + amplitude * np.sin(along * x_mm + up * y_mm + phase)
        return total

    def grid(self, x_mm: FloatArray, y_mm: FloatArray):
        """Return the shift at a grid, (len(y), len(x)) float32, as one product.

        sin(a + b) = sin a cos b + cos a sin b.
        """
        if not len(self.terms):
            return np.zeros((len(y_mm), len(x_mm)), dtype=np.float32)
        amplitude, along, up, phase = self.terms.T
        a = along[:, None] * x_mm + phase[:, None]
        b = up * np.asarray(y_mm)[:, None]
        waves = np.concatenate([np.sin(a), np.cos(a)]) * np.tile(amplitude, 2)[:, None]
        turns = np.concatenate([np.cos(b), np.sin(b)], axis=1)
        return turns.astype(np.float32) @ waves.astype(np.float32)


def draw_wave(rng: np.random.Generator, size_mm: float, shortest_mm: float) -> Wave:
    """Draw a wave whose terms together stray by about ``size_mm``."""
    length = rng.uniform(shortest_mm, 3.0 * shortest_mm, _WAVES)
    across = rng.uniform(-0.3, 0.3, _WAVES)
    share = rng.dirichlet(np.ones(_WAVES))
    along = 2.0 * np.pi / length
    phase = rng.uniform(0.0, 2.0 * np.pi, _WAVES)
    return Wave(np.stack([size_mm * share, along, across * along, phase], axis=1))


@dataclass(frozen=True, kw_only=True)
class Brickwork:
    """How a wall is laid.

    Attributes
    ----------
    format : str
        Name in :mod:`calibration.brick_formats`.
    bond : str
        Name in :data:`BONDS`.
    joint_mm : float
        Thickness of bed joints and perpends.
    gauge_drift, along_drift : float
        Mean gauge and mean stretcher pitch off the format, relative.
    wave_mm : float
        How far courses undulate; also how far the gauge strays along the height.
    jitter_mm : float
        Standard deviation of a single brick's edges.
    first_joint_mm : float
        Height of bed joint 0 above the ground.
    start_mm : float
        Where the first unit of the first course begins, off the left end.
    """

    format: str = "uk-metric"
    bond: str = "stretcher"
    joint_mm: float = 10.0
    gauge_drift: float = 0.004
    along_drift: float = 0.002
    wave_mm: float = 2.5
    jitter_mm: float = 1.2
    first_joint_mm: float = 30.0
    start_mm: float = 0.0

    @property
    def gauge_mm(self) -> float:
        """Mean gauge as built."""
        return brick_format(self.format).gauge_mm * (1.0 + self.gauge_drift)

    @property
    def stretcher_mm(self) -> float:
        """Mean stretcher pitch as built."""
        return brick_format(self.format).stretcher_mm * (1.0 + self.along_drift)

    def joint_mean_mm(self, count: FloatArray) -> FloatArray:
        """Return the lattice height of bed joints; the gauge strays slowly with height."""
        k = np.asarray(count, dtype=np.float64)
        slow = np.sin(2.0 * np.pi * k / 43.0 + 0.7) - np.sin(0.7)
        return self.first_joint_mm + self.gauge_mm * k + self.wave_mm * slow


@dataclass(frozen=True, eq=False, kw_only=True)
class Laid:
    """Bricks in place, in lattice coordinates.

    Attributes
    ----------
    joints_mm : (courses + 1,) float64
        Centre of each bed joint.
    perpends_mm : tuple of (n,) float64
        Centres of the perpends of each course, its two ends included.
    joint_mm : float
        Thickness of the joints.
    jitter_mm : float
    across, up : Wave
        Shift of the wall as built in x and in y.
    first : int
        Number of the lowest course.
    """

    joints_mm: FloatArray
    perpends_mm: tuple[FloatArray, ...]
    joint_mm: float
    jitter_mm: float
    across: Wave
    up: Wave
    first: int = 0

    def built(self, lattice_mm: FloatArray) -> FloatArray:
        """Return the places (N, 2) as built of lattice points (N, 2)."""
        built = lattice_mm.copy()
        for _ in range(6):  # the waves' slope is below 0.01: twelve digits
            x, y = built.T
            built = lattice_mm + np.stack([self.across.at(x, y), self.up.at(x, y)], axis=1)
        return built

    def bed_joint_mm(self, course: int, x_mm: FloatArray) -> FloatArray:
        """Return points (N, 2) as built on the joint below a course, at given x."""
        height = self.joints_mm[course - self.first]
        y = np.full(np.shape(x_mm), height)
        for _ in range(6):
            y = height + self.up.at(x_mm, y)
        return np.stack([x_mm, y], axis=1)


def lay(
    work: Brickwork, extent_mm: tuple[float, float, float, float], rng: np.random.Generator
) -> Laid:
    """Lay a wall.

    Parameters
    ----------
    work : Brickwork
    extent_mm : tuple of float
        x0, y0, x1, y1 of the wall; courses are laid a little beyond it.
    rng : Generator

    Returns
    -------
    Laid
    """
    x0, y0, x1, y1 = extent_mm
    gauge = work.gauge_mm
    low = int(np.floor((y0 - work.first_joint_mm) / gauge)) - 1
    high = int(np.ceil((y1 - work.first_joint_mm) / gauge)) + 2
    courses = np.arange(low, high)
    pattern = BONDS[work.bond]
    perpends = tuple(_perpends(*pattern[k % len(pattern)], work, x0, x1) for k in courses)
    return Laid(
        joints_mm=work.joint_mean_mm(np.append(courses, high)),
        perpends_mm=perpends,
        joint_mm=work.joint_mm,
        jitter_mm=work.jitter_mm,
        across=draw_wave(rng, 0.6 * work.wave_mm, 2500.0),
        up=draw_wave(rng, work.wave_mm, 2000.0),
        first=low,
    )


def _perpends(
    units: Sequence[float], start: float, work: Brickwork, x0: float, x1: float
) -> FloatArray:
    """Return the joints of one course from at least x0 to at least x1."""
    pitch = work.stretcher_mm
    length = sum(units) * pitch
    begin = x0 + work.start_mm + start * pitch - work.joint_mm / 2.0
    begin -= np.ceil((begin - x0) / length + 1.0) * length
    repeats = int(np.ceil((x1 - begin) / length)) + 2
    steps = np.tile(np.array(units) * pitch, repeats)
    return begin + np.concatenate([[0.0], np.cumsum(steps)])
