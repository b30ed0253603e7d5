"""The regular places of perpends along the wall: one number that is whole at joints."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray
from calibration.brickwork.bonds import Bond, BondFit, Perpends
from calibration.brickwork.strip import PIXELS_A_COURSE

_ROWS: Final = 4
"""Courses averaged before phases are compared; even, so that bonds average out."""

_STRETCH: Final = 0.015
"""How far the unit of the correlations may be off."""

_LEAN: Final = 0.06
"""How far plumb may lean in the flattened picture when the focal length is a guess."""

_ROUNDS: Final = 4
_NEAR_CELLS: Final = 0.07
"""Half-width of a perpend, cells."""

_NEAR_CYCLES: Final = 0.3
"""Blocks farther off than this are openings or another wall."""


@dataclass(frozen=True, slots=True)
class Cell:
    """The repeat of a bond along the wall.

    Attributes
    ----------
    units : float
        Length of a cell in the bond's unit: the closest that perpends come.
    period : int
        Cells until the pattern repeats.
    even, odd : tuple of float
        Perpends of every second course and of those between, in cells.
    spare_even, spare_odd : tuple of float
        Where tiles of half bond, a half or a third as long, would have joints too.
    """

    units: float
    period: int
    even: tuple[float, ...]
    odd: tuple[float, ...]
    spare_even: tuple[float, ...] = ()
    spare_odd: tuple[float, ...] = ()


CELLS: Final[dict[Bond, Cell]] = {
    Bond.HALF: Cell(1.0, 1, (0.0,), (0.5,), (1.0 / 3.0, 2.0 / 3.0), (5.0 / 6.0, 1.0 / 6.0)),
    # two cells of stretcher, one of header; the next course one and a half cells on
    Bond.FLEMISH: Cell(0.5, 3, (0.0, 2.0), (1.5, 0.5), (1.0,), (2.5,)),
    # headers at every cell; stretchers at every second, half a cell on
    Bond.ENGLISH: Cell(0.5, 2, (0.0, 1.0), (0.5,), (), (1.5,)),
    Bond.ALIGNED: Cell(1.0, 1, (0.0,), (0.0,)),
}


@dataclass(frozen=True, slots=True, eq=False)
class Alignment:
    """Cells along the wall as a smooth function of the flattened picture.

    Attributes
    ----------
    cell : Cell
    even, odd : tuple of float
        Perpends of even and odd courses, in cells, of each period.
    spare_even, spare_odd : tuple of float
        Where none may be, though shorter units in half bond would have some.
    length : float
        Of one cell, courses.
    shift : (6,) float64
        Cells to take off, polynomial ``1, u, k, u^2, u k, k^2`` in scaled u and course.
    centre, scale : (2,) float64
        Of the polynomial's arguments, courses.
    coherence : float
        How well the whole wall keeps to it, 0..1.
    blocks : int
        In how many parts of the wall that was looked at: chance alone has a coherence of
        about one by the root of them.
    """

    cell: Cell
    even: tuple[float, ...]
    odd: tuple[float, ...]
    spare_even: tuple[float, ...]
    spare_odd: tuple[float, ...]
    length: float
    shift: FloatArray
    centre: FloatArray
    scale: FloatArray
    coherence: float
    blocks: int

    def cells(self, u: FloatArray, course: FloatArray) -> FloatArray:
        """Return the number of cells at u, courses from the left, in a course."""
        terms = _terms(u, course, self.centre, self.scale)
        return np.asarray(u / self.length - terms @ self.shift)


def align(perpends: Perpends, bond: BondFit) -> Alignment:
    """Find where the cells of a bond lie.

    Parameters
    ----------
    perpends : Perpends
    bond : BondFit

    Returns
    -------
    Alignment
        ``u`` and courses are counted from the first pixel and row of `perpends`.
    """
    cell = CELLS[bond.bond]
    length = bond.unit * cell.units
    blocks, u, course = _blocks(perpends, bond, length)
    weight = np.abs(blocks)
    centre = np.array([u.mean(), course.mean()])
    scale = np.maximum(np.array([np.ptp(u), np.ptp(course)]) / 2.0, 1.0)
    terms = _terms(u, course, centre, scale)
    shift = np.zeros(6)
    reach = np.maximum(0.25, np.array([_STRETCH, _LEAN]) * scale / length)
    shift[:3] = _linear_start(
        blocks, (u - centre[0]) / scale[0], (course - centre[1]) / scale[1], reach
    )
    for step in range(_ROUNDS):
        off = -np.angle(blocks * np.exp(2j * np.pi * (terms @ shift))) / (2.0 * np.pi)
        use = weight * (np.abs(off) < _NEAR_CYCLES)
        used = 3 if step == 0 or len(blocks) < 24 else 6
        root = np.sqrt(use)[:, None]
        damped = np.r_[terms[:, :used] * root, 1e-3 * np.eye(used)]
        goal = np.r_[off * root[:, 0], np.zeros(used)]
        shift[:used] += np.linalg.lstsq(damped, goal, rcond=None)[0]
    turned = blocks * np.exp(2j * np.pi * (terms @ shift))
    coherence = float(np.real(turned.sum()) / (weight.sum() + 1e-12))
    places = (cell.even, cell.odd, cell.spare_even, cell.spare_odd)
    if bond.bond is Bond.ENGLISH and not bond.headers_even:
        places = (cell.odd, cell.even, cell.spare_odd, cell.spare_even)
    count = int(np.count_nonzero(weight))
    trial = Alignment(cell, *places, length, shift, centre, scale, coherence, count)
    turns = [_turned(trial, turn) for turn in range(cell.period)]
    return max(turns, key=lambda turned: _standing(perpends, turned))


def _turned(alignment: Alignment, cells: int) -> Alignment:
    """Return the alignment with its pattern some cells further on."""

    def on(places: tuple[float, ...]) -> tuple[float, ...]:
        return tuple(place + cells for place in places)

    return replace(
        alignment,
        even=on(alignment.even),
        odd=on(alignment.odd),
        spare_even=on(alignment.spare_even),
        spare_odd=on(alignment.spare_odd),
    )


def _standing(perpends: Perpends, alignment: Alignment) -> float:
    """Return the sum of the response at the places where perpends are expected."""
    return float(_at(perpends, alignment, (alignment.even, alignment.odd))[0].sum())


def spare(perpends: Perpends, alignment: Alignment) -> float:
    """Return how much stands where the bond has no perpends, against where it has.

    Parameters
    ----------
    perpends : Perpends
    alignment : Alignment

    Returns
    -------
    float
        About 0 for the bond itself, towards 1 for shorter units in half bond.
    """
    right, places = _at(perpends, alignment, (alignment.even, alignment.odd))
    wrong, others = _at(perpends, alignment, (alignment.spare_even, alignment.spare_odd))
    usual = right.sum() / max(places, 1.0)
    return float(np.clip(wrong.sum() / max(others, 1.0) / max(usual, 1e-9), 0.0, 1.0))


def _at(
    perpends: Perpends,
    alignment: Alignment,
    places: tuple[tuple[float, ...], tuple[float, ...]],
) -> tuple[FloatArray, float]:
    """Return the responses at places of even and odd courses, and how many there are."""
    r = perpends.response
    u = np.broadcast_to(np.arange(r.shape[1]) / PIXELS_A_COURSE, r.shape)
    course = np.broadcast_to(np.arange(len(r), dtype=np.float64)[:, None], r.shape)
    cells, period = alignment.cells(u, course), alignment.cell.period
    found = [np.zeros(0)]
    for first, mine in enumerate(places):
        for place in mine:
            off = cells[first::2] - place
            near = np.abs(off - period * np.round(off / period)) < _NEAR_CELLS
            near &= perpends.inside[first::2] > 0.0
            found.append(r[first::2][near])
    values = np.concatenate(found)
    return values, float(len(values))


def _terms(
    u: FloatArray, course: FloatArray, centre: FloatArray, scale: FloatArray
) -> FloatArray:
    a, b = (u - centre[0]) / scale[0], (course - centre[1]) / scale[1]
    return np.stack([np.ones_like(a), a, b, a * a, a * b, b * b], axis=-1)


def _blocks(
    perpends: Perpends, bond: BondFit, length: float
) -> tuple[NDArray[np.complex128], FloatArray, FloatArray]:
    """Return demodulated blocks with their places: phase -2 pi times the shift."""
    r = perpends.response
    wide = max(2, round(max(bond.unit, length) * PIXELS_A_COURSE))
    rows, columns = len(r) // _ROWS, r.shape[1] // wide
    if rows == 0 or columns == 0:
        rows, columns = max(rows, 1), max(columns, 1)
    tall, wide = min(_ROWS, len(r)), min(wide, r.shape[1])
    r = r[: rows * tall, : columns * wide]
    course = np.arange(len(r), dtype=np.float64)
    odd_first = bond.bond is Bond.ENGLISH and not bond.headers_even
    sign = (-1.0) ** (course + odd_first) if bond.bond is not Bond.ALIGNED else course**0
    u = np.arange(r.shape[1]) / PIXELS_A_COURSE
    wave = r * sign[:, None] * np.exp(-2j * np.pi * u / length)[None]
    sums = wave.reshape(rows, tall, columns, wide).sum(axis=(1, 3))
    power = (r * r).reshape(rows, tall, columns, wide).sum(axis=(1, 3))
    # a downpipe or a jamb must not outweigh bricks: blocks count by their agreement
    sums = sums / np.sqrt(power + np.median(power) + 1e-9)
    at_u = u.reshape(columns, wide).mean(axis=1)
    at_course = course.reshape(rows, tall).mean(axis=1)
    mesh = np.meshgrid(at_u, at_course)
    return sums.ravel(), mesh[0].ravel(), mesh[1].ravel()


def _linear_start(
    blocks: NDArray[np.complex128], a: FloatArray, b: FloatArray, reach: FloatArray
) -> FloatArray:
    """Return constant and slopes that bring most blocks into phase, in cells."""
    first = np.linspace(-reach[0], reach[0], 2 * int(np.ceil(reach[0] / 0.1)) + 1)
    second = np.linspace(-reach[1], reach[1], 2 * int(np.ceil(reach[1] / 0.1)) + 1)
    along = np.exp(2j * np.pi * np.outer(first, a))
    down = np.exp(2j * np.pi * np.outer(second, b))
    score = (along * blocks) @ down.T
    i, j = np.unravel_index(int(np.argmax(np.abs(score))), score.shape)
    constant = -float(np.angle(score[i, j])) / (2.0 * np.pi)
    return np.array([constant, first[i], second[j]])
