"""What is printed on a sheet: squares for the scale, dots for its number.

A sheet is a block of dark and light cells. Only the points where four cells meet carry
scale: such a saddle corner looks the same after half a turn, so neither blur nor
exposure moves it, while the outer corner of a dark patch shrinks by up to several per
cent. The outermost cells are therefore cut short (:attr:`Layout.rim`): that lets the
saddle corners reach nearly to the edge of the paper. Each whole cell carries four dots
of the other colour or none, one bit each; together they name the sheet.

The frame of a sheet has its origin in the middle, x right and y up, millimetres.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import Final

import numpy as np

from calibration.arrays import FloatArray, frozen

DOTS_PER_CELL: Final = 4

DOT_OFFSET: Final = 0.16
"""Middle of a dot from the middle of its cell, in cells, along both axes."""

DOT_SIDE: Final = 0.24
"""Side of a dot, in cells: its edge stays 0.22 cells away from the cell's."""


class LayoutName(StrEnum):
    """How coarse a sheet is."""

    COARSE = "coarse"
    FINE = "fine"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rect:
    """A filled rectangle of a sheet.

    Attributes
    ----------
    x_mm, y_mm : float
        Bottom left corner.
    width_mm, height_mm : float
    dark : bool
    """

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    dark: bool


@dataclass(frozen=True, kw_only=True)
class Layout:
    """The squares that all sheets of one coarseness share.

    Corner ``(i, j)`` is column i from the left, row j from the bottom; cell ``(i, j)``
    lies left of and below corner ``(i, j)``, so cells run to ``columns`` and ``rows``.

    Attributes
    ----------
    name : LayoutName
    columns, rows : int
        Of saddle corners. Their sum is odd, so half a turn swaps dark and light.
    cell_mm : float
        Side of a whole cell.
    rim : float
        Width of an outermost cell, in cells.
    codes : tuple of int
        Dots of sheet 1, 2, ...; the first cell's are the highest four bits.
    """

    name: LayoutName
    columns: int
    rows: int
    cell_mm: float
    rim: float
    codes: tuple[int, ...]

    @cached_property
    def grid(self) -> FloatArray:
        """Column and row of every corner, (N, 2), row by row from the bottom."""
        i, j = np.meshgrid(np.arange(self.columns), np.arange(self.rows))
        return frozen(np.stack([i.ravel(), j.ravel()], axis=1).astype(np.float64), None, 2)

    @cached_property
    def corners_mm(self) -> FloatArray:
        """Every saddle corner as drawn, (N, 2), in the order of :attr:`grid`."""
        return frozen(self.to_mm(self.grid), None, 2)

    def to_mm(self, grid: FloatArray) -> FloatArray:
        """Return millimetres on the sheet of columns and rows (n, 2)."""
        middle = np.array([self.columns - 1, self.rows - 1]) / 2.0
        placed: FloatArray = (grid - middle) * self.cell_mm
        return placed

    @property
    def width_mm(self) -> float:
        """Width of the printed block."""
        return (self.columns - 1 + 2 * self.rim) * self.cell_mm

    @property
    def height_mm(self) -> float:
        """Height of the printed block."""
        return (self.rows - 1 + 2 * self.rim) * self.cell_mm

    @cached_property
    def whole_cells(self) -> tuple[tuple[int, int], ...]:
        """Cells that carry dots, row by row from the bottom."""
        return tuple((i, j) for j in range(1, self.rows) for i in range(1, self.columns))

    @property
    def bits(self) -> int:
        """Dots and gaps of a sheet."""
        return DOTS_PER_CELL * len(self.whole_cells)

    def code_bits(self, number: int) -> tuple[bool, ...]:
        """Return whether each place of sheet ``number`` (from 1) has its dot."""
        code = self.codes[number - 1]
        return tuple(bool(code >> place & 1) for place in reversed(range(self.bits)))

    def rectangles(self, number: int) -> tuple[Rect, ...]:
        """Return what is drawn for sheet ``number``: dark cells, then dots.

        Parameters
        ----------
        number : int
            From 1.

        Returns
        -------
        tuple of Rect
            To be painted in this order on white.
        """
        cells = [
            self._cell(i, j)
            for j in range(self.rows + 1)
            for i in range(self.columns + 1)
            if is_dark(i, j)
        ]
        bits = iter(self.code_bits(number))
        dots = [
            self._dot(i, j, dot)
            for i, j in self.whole_cells
            for dot in DOT_PLACES
            if next(bits)
        ]
        return (*cells, *dots)

    def _cell(self, i: int, j: int) -> Rect:
        x, width = self._span(i, self.columns)
        y, height = self._span(j, self.rows)
        return Rect(x_mm=x, y_mm=y, width_mm=width, height_mm=height, dark=True)

    def _span(self, index: int, count: int) -> tuple[float, float]:
        """Return start and length of a row of cells along one axis."""
        first = -(count - 1) / 2.0 * self.cell_mm
        if index == 0:
            return first - self.rim * self.cell_mm, self.rim * self.cell_mm
        length = self.rim if index == count else 1.0
        return first + (index - 1) * self.cell_mm, length * self.cell_mm

    def _dot(self, i: int, j: int, place: Sequence[float]) -> Rect:
        middle = self.to_mm(np.array([[i - 0.5 + place[0], j - 0.5 + place[1]]]))[0]
        side = DOT_SIDE * self.cell_mm
        x, y = middle - side / 2.0
        dark = not is_dark(i, j)
        return Rect(x_mm=float(x), y_mm=float(y), width_mm=side, height_mm=side, dark=dark)


DOT_PLACES: Final = tuple(
    (x, y) for y in (DOT_OFFSET, -DOT_OFFSET) for x in (-DOT_OFFSET, DOT_OFFSET)
)
"""Dots from the middle of their cell, in cells, in the order of the bits."""


def is_dark(i: int, j: int) -> bool:
    """Return whether cell (i, j) is dark before its dots."""
    return (i + j) % 2 == 0


COARSE: Final = Layout(
    name=LayoutName.COARSE,
    columns=3,
    rows=4,
    cell_mm=60.0,
    rim=0.45,
    codes=(0x52E6B4, 0xF2A74D, 0x651327, 0x0C5C7F, 0x892F90, 0x5D9DC9, 0x0ED904, 0x11E20B),
)
"""For photographs of a whole elevation: the largest squares that fit A4 and Letter
with twelve saddle corners. Codes differ in at least ten places."""

FINE: Final = Layout(
    name=LayoutName.FINE,
    columns=4,
    rows=5,
    cell_mm=45.0,
    rim=0.45,
    codes=(
        0xF2A752E6B438,
        0x6513269E0D37,
        0x0C5CA6A3A450,
        0x1818892F902B,
        0x95315D9DC9F8,
        0x36F681E74EF5,
        0x6B0D6F03675A,
        0xF28C1FB17C23,
    ),
)
"""For near photographs and many pixels: twenty corners, so that a crease shows and a
hidden corner is not missed. Codes differ in at least twenty places."""

LAYOUTS: Final = {layout.name: layout for layout in (COARSE, FINE)}


@dataclass(frozen=True, slots=True)
class Sheet:
    """One printed sheet.

    Attributes
    ----------
    layout : Layout
    number : int
        From 1.
    """

    layout: Layout
    number: int

    @property
    def name(self) -> str:
        """What is printed beside the squares and said in messages."""
        return f"Sheet {self.layout.name[0].upper()}{self.number}"
