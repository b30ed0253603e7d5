"""Printed sheets taped to the wall."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray
from tests.pictures.cast import Surface
from tests.pictures.face import Face, Material
from tests.pictures.palettes import linear
from tests.pictures.shapes import flat
from tests.pictures.stuff import texel_of

_OFF_WALL_MM = 3.0


@dataclass(frozen=True, eq=False, kw_only=True)
class Sheet:
    """A printed sheet.

    Attributes
    ----------
    name : str
    image : (rows, columns) or (rows, columns, 3) uint8
        The whole page, top row first, sRGB.
    width_mm, height_mm : float
        Of the page.
    centre_mm : tuple of float
        x and y on the wall.
    turn_rad : float
        Turn on the wall, anticlockwise as seen from outside.
    """

    name: str
    image: NDArray[np.uint8]
    width_mm: float
    height_mm: float
    centre_mm: tuple[float, float]
    turn_rad: float = 0.0

    def on_wall(self, page_mm: FloatArray) -> FloatArray:
        """Return house-frame points (N, 3) of places (N, 2) on the page.

        Page coordinates run right and **up** from its lower left corner.
        """
        c, s = np.cos(self.turn_rad), np.sin(self.turn_rad)
        middle = np.array([self.width_mm, self.height_mm]) / 2.0
        xy = (np.asarray(page_mm) - middle) @ np.array([[c, s], [-s, c]])
        return np.c_[xy + np.array(self.centre_mm), np.full(len(xy), _OFF_WALL_MM)]

    @property
    def corners_mm(self) -> FloatArray:
        """Corners from the lower left, anticlockwise, (4, 3)."""
        w, h = self.width_mm, self.height_mm
        return self.on_wall(np.array([[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]]))

    def surface(self) -> Surface:
        """Return the sheet's place."""
        return flat(f"sheet {self.name}", self.corners_mm)

    def material(self) -> Material:
        """Return its print; the exact area mean over each texel, black as toner is."""
        image = (
            self.image if self.image.ndim == 3 else np.repeat(self.image[..., None], 3, 2)
        )
        light = 0.03 + 0.80 * linear(image[::-1].astype(np.float64))
        summed = np.zeros((image.shape[0] + 1, image.shape[1] + 1, 3))
        summed[1:, 1:] = light.cumsum(axis=0).cumsum(axis=1)

        def face(u: FloatArray, v: FloatArray, _: np.random.Generator) -> Face:
            half = texel_of(u) / 2.0
            columns = self._cuts(u, half, self.width_mm, image.shape[1])
            rows = self._cuts(v, half, self.height_mm, image.shape[0])
            inner = _at(summed, rows, columns)
            total = inner[1:, 1:] - inner[:-1, 1:] - inner[1:, :-1] + inner[:-1, :-1]
            area = np.diff(rows)[:, None] * np.diff(columns)[None, :]
            albedo = total / np.maximum(area, 1e-9)[..., None]
            albedo = _held(albedo, area > 1e-9).astype(np.float32)
            whole = np.ones(albedo.shape[:2], dtype=np.float32)
            return Face(albedo, whole, whole.copy())

        return face

    @staticmethod
    def _cuts(places: FloatArray, half: float, size_mm: float, pixels: int) -> FloatArray:
        """Return the borders of texels in image pixels, kept on the page."""
        borders = np.append(places - half, places[-1] + half)
        return np.clip(borders / size_mm * pixels, 0.0, pixels)


def _at(summed: FloatArray, rows: FloatArray, columns: FloatArray) -> FloatArray:
    """Return a table of sums between its entries, (len(rows), len(columns), 3)."""
    i = np.minimum(rows.astype(int), summed.shape[0] - 2)
    part = summed[i] + (rows - i)[:, None, None] * (summed[i + 1] - summed[i])
    j = np.minimum(columns.astype(int), summed.shape[1] - 2)
    return part[:, j] + (columns - j)[None, :, None] * (part[:, j + 1] - part[:, j])


def _held(albedo: FloatArray, known: NDArray[np.bool_]) -> FloatArray:
    """Continue the rim of the page over texels that lie off it."""
    rows = np.flatnonzero(known.any(axis=1))
    columns = np.flatnonzero(known.any(axis=0))
    r = np.clip(np.arange(known.shape[0]), rows[0], rows[-1])
    c = np.clip(np.arange(known.shape[1]), columns[0], columns[-1])
    return albedo[r][:, c]
