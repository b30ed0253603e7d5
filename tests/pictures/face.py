"""Texels of a surface before light falls on them, and what makes them."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from calibration.arrays import FloatArray
from tests.pictures.cast import Surface, Texels
from tests.pictures.noise import Field


@dataclass(eq=False)
class Face:
    """Texels of a surface before light falls on it.

    Attributes
    ----------
    albedo : (rows, columns, 3) float32
        Linear.
    sunlit : (rows, columns) float32
        Sun left by the relief of the face itself.
    open : (rows, columns) float32
        Sky left by it.
    solid : (rows, columns) float32 or None
        Below a half there is a hole; None for a closed face.
    """

    albedo: Texels
    sunlit: Field
    open: Field
    solid: Field | None = None

    def paste(self, other: "Face", row: int, column: int) -> None:
        """Put another face over a part of this one."""
        rows = slice(row, row + other.sunlit.shape[0])
        columns = slice(column, column + other.sunlit.shape[1])
        self.albedo[rows, columns] = other.albedo
        self.sunlit[rows, columns] = other.sunlit
        self.open[rows, columns] = other.open


Material = Callable[[FloatArray, FloatArray, np.random.Generator], Face]
"""Makes the face of a surface from u (columns,), v (rows,) in mm and a generator."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Piece:
    """A surface with what it is made of.

    Attributes
    ----------
    surface : Surface
    material : Material
    casts : bool
        Whether it throws shadows.
    shaded : bool
        Whether shadows of others are computed for it.
    repeat_mm : float
        Size of a patch that is repeated, mirrored, all over it; 0 for none.
    coarsest_mm : float
        Largest texel it may be sampled with.
    sky : float
        Share of the sky that reaches it, for places below or behind others.
    """

    surface: Surface
    material: Material
    casts: bool = True
    shaded: bool = True
    repeat_mm: float = 0.0
    coarsest_mm: float = 60.0
    sky: float = 1.0
