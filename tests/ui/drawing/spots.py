"""A picture of soft spots whose centres are known, and finding them in a screenshot."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from PIL import Image

GROUND: Final = 235.0
DEPTH: Final = 200.0
REACH: Final = 4.5
"""Radius of a spot that is drawn, in its standard deviations: beyond it is ground."""


@dataclass(frozen=True, slots=True)
class Spots:
    """Spots near the corners and in the middle of a picture.

    Attributes
    ----------
    size_px : tuple of int
    sd_px : float
        Size of a spot.
    """

    size_px: tuple[int, int]
    sd_px: float

    @property
    def centres(self) -> list[tuple[float, float]]:
        """Centres, whole numbers being pixel centres; no two have the same fraction."""
        (width, height), rim = self.size_px, REACH * self.sd_px + 2.0
        return [
            (rim + 0.30, rim + 0.70),
            (width - 1 - rim - 0.20, rim + 0.40),
            (rim + 0.60, height - 1 - rim - 0.10),
            (width - 1 - rim - 0.50, height - 1 - rim - 0.25),
            (width / 2 + 0.37, height / 2 - 0.29),
        ]

    def picture(self) -> Image.Image:
        """Return the picture."""
        width, height = self.size_px
        grey = np.full((height, width), GROUND)
        reach = int(REACH * self.sd_px) + 1
        for x, y in self.centres:
            rows = np.arange(int(y) - reach, int(y) + reach + 2)
            columns = np.arange(int(x) - reach, int(x) + reach + 2)
            spot = np.exp(
                -((columns[None] - x) ** 2 + (rows[:, None] - y) ** 2) / (2 * self.sd_px**2)
            )
            grey[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1] -= DEPTH * spot
        return Image.fromarray(grey.round().astype(np.uint8)).convert("RGB")


def found_at(
    shot: np.ndarray, near: tuple[float, float], sd: float
) -> tuple[float, float] | None:
    """Return the centre of a spot in a screenshot, in device pixels from its corner.

    Parameters
    ----------
    shot : (H, W) float64
        Grey values.
    near : tuple of float
        Where it is expected; a spot 1.5 sd off is still found where it really is.
    sd : float
        Size of a spot in device pixels.

    Returns
    -------
    tuple of float or None
        None if it is not wholly in the picture.
    """
    (x, y), reach = near, REACH * sd
    height, width = shot.shape
    if not (reach < x < width - reach and reach < y < height - reach):
        return None
    for _ in range(8):
        left, top = int(x - reach), int(y - reach)
        piece = GROUND - shot[top : int(y + reach) + 2, left : int(x + reach) + 2]
        rows, columns = np.mgrid[0 : piece.shape[0], 0 : piece.shape[1]] + 0.5
        # A window as wide as the spot halves the step towards its centre.
        window = np.exp(-((columns + left - x) ** 2 + (rows + top - y) ** 2) / (2 * sd**2))
        weights = np.clip(piece, 0.0, None) * window
        x += 2.0 * float((weights * (columns + left - x)).sum() / weights.sum())
        y += 2.0 * float((weights * (rows + top - y)).sum() / weights.sum())
    return x, y
