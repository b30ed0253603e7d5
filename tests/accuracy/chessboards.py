"""The chessboard photographs of Debian's opencv-doc package, and their corners.

Two cameras, thirteen photos each, 640 x 480, no camera data in the files. The board
has 9 x 6 inner corners on squares of 25 mm (``left_intrinsics.yml`` beside the
photos). It was held in the hand, 0.3 to 0.45 m away, turned any way up.
"""

import os
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

import cv2
import numpy as np

FOLDER: Final = (
    Path(os.environ.get("OPENCV_DOC", "/usr/share/doc/opencv-doc")) / "examples/data"
)
"""As for the other photograph tests: the package may be unpacked elsewhere."""

COLUMNS, ROWS = 9, 6
SQUARE_MM: Final = 25.0

NUMBERS: Final = (1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 12, 13, 14)
NAMES: Final = tuple(f"{side}{n:02d}" for side in ("left", "right") for n in NUMBERS)

WINDOW_PX: Final = 5
"""Half-width of the corner search: the smallest squares are 22 px wide, and a
window that reaches the next corner is drawn to it (see :data:`WIDE_WINDOW_PX`)."""

WIDE_WINDOW_PX: Final = 11
"""The half-width of OpenCV's calibration sample. In left02, where corners are 22 px
apart, it moves picks by up to 6.4 px: that, not the photo, is behind the published
1.18 px of that view."""

PUBLISHED_FOCAL_PX: Final = 535.916
PUBLISHED_RADIAL: Final = (-0.26637, -0.03859, 0.23839)
"""``left_intrinsics.yml``: k1, k2 and k3. Ours are two terms, so not the coefficients
but the displacement they make is compared."""


@dataclass(frozen=True, slots=True, eq=False)
class Board:
    """A photographed board.

    Attributes
    ----------
    name : str
        Of the photo, without suffix.
    corners_px : (6, 9, 2) float64
        Inner corners, row by row upwards as on a wall seen from outside.
    """

    name: str
    corners_px: np.ndarray

    @property
    def photo(self) -> str:
        """File name in :data:`FOLDER`."""
        return f"{self.name}.jpg"

    def pick(self, corner: tuple[int, int]) -> np.ndarray:
        """Return the pixel (2,) of a corner (column, row)."""
        return self.corners_px[corner[1], corner[0]]


def wall_mm(corner: tuple[int, int]) -> np.ndarray:
    """Return the nominal place (2,) of a corner (column, row) on the board."""
    return SQUARE_MM * np.asarray(corner, dtype=np.float64)


@cache
def find_board(name: str, window_px: int = WINDOW_PX) -> Board:
    """Find the inner corners of one photo.

    Parameters
    ----------
    name : str
    window_px : int
        Half-width of the search for the saddle.

    Returns
    -------
    Board
        The same physical corner has the same index in all photos.
    """
    grey = cv2.imread(str(FOLDER / f"{name}.jpg"), cv2.IMREAD_GRAYSCALE)
    found, rough = cv2.findChessboardCorners(grey, (COLUMNS, ROWS))
    if not found:
        raise LookupError(name)
    rough = rough.reshape(-1, 1, 2).astype(np.float32)
    stop = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_MAX_ITER, 60, 1e-4)
    fine = cv2.cornerSubPix(grey, rough, (window_px, window_px), (-1, -1), stop)
    corners = fine.reshape(ROWS, COLUMNS, 2).astype(np.float64)
    if not _dark_first(grey, corners):
        corners = corners[::-1, ::-1]
    corners = corners[::-1]  # found downwards
    across, up = corners[0, -1] - corners[0, 0], corners[-1, 0] - corners[0, 0]
    if across[0] * up[1] - across[1] * up[0] >= 0.0:
        raise LookupError(f"{name}: corners found in mirrored order")
    return Board(name, corners)


def _dark_first(grey: np.ndarray, corners: np.ndarray) -> bool:
    """Tell the board from itself turned by 180 degrees: 9 x 6 corners change colour."""
    squares = [corners[:2, k : k + 2].mean(axis=(0, 1)) for k in (0, 1)]
    first, second = (grey[tuple(np.rint(xy[::-1]).astype(int))] for xy in squares)
    return bool(first < second)


def corner_noise_px(board: Board) -> float:
    """Return the scatter of one corner coordinate, from the photo alone.

    Third differences along rows and columns: perspective and lens are smooth and
    nearly cancel, independent noise of variance s^2 leaves 20 s^2. The scatter of
    the print (0.07 mm, 0.06 px) is in it.
    """
    grid = board.corners_px
    thirds = [np.diff(grid, n=3, axis=axis).reshape(-1, 2) for axis in (0, 1)]
    return float(np.sqrt(np.mean(np.concatenate(thirds) ** 2) / 20.0))
