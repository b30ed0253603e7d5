"""The wall as seen straight on: a rectified photo with lines and a scale bar.

Everything in the wall's plane is true to scale; what hangs in front of it, a gutter or a
fascia, is shown larger than it is and shifted. Measured lines are drawn where the photo
shows them, so that they lie on what was traced.
"""

import io
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.errors import DegenerateGeometry
from calibration.photo import load_upright
from photomeasure.display import Display, said, said_length
from photomeasure.results import MeasuredElevation

LONGEST_PX: Final = 1600
"""Of the longer side: sharp on a screen, made in a second."""

_MARGIN: Final = 0.08
"""Of the picked extent, shown around it. Layout only."""

_LARGEST_MM: Final = 60_000.0
"""A wall seen so obliquely that more would be shown is cut here."""

_FINEST_MM: Final = 0.5
"""Millimetres a pixel below which nothing more is to be seen."""

_BARS_MM: Final = (100, 200, 500, 1000, 2000, 5000, 10_000)
_BAR_SHARE: Final = 0.3
_STRIP: Final = 64
"""Rows warped at a time, to bound memory."""

_QUALITY: Final = 86


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class WallView:
    """Where a rectified picture lies on the wall.

    Attributes
    ----------
    left_mm, top_mm : float
        Wall frame of the adjustment, of the picture's top left corner.
    mm_per_px : float
    size_px : tuple of int
    bar_mm : int
        Length of the scale bar.
    """

    left_mm: float
    top_mm: float
    mm_per_px: float
    size_px: tuple[int, int]
    bar_mm: int

    def at(self, wall_mm: FloatArray) -> FloatArray:
        """Return where wall points (N, 2) are in the picture, pixel centres whole."""
        away = (wall_mm - [self.left_mm, self.top_mm]) * [1.0, -1.0]
        places: FloatArray = away / self.mm_per_px - 0.5
        return places


def frame(entry: MeasuredElevation) -> WallView:
    """Choose what part of the wall is shown, and how large.

    Parameters
    ----------
    entry : MeasuredElevation

    Returns
    -------
    WallView

    Raises
    ------
    DegenerateGeometry
        If nothing that was picked lies on the wall.
    """
    seen = _seen(entry)
    low, high = seen.min(axis=0), seen.max(axis=0)
    margin = _MARGIN * float(max(high - low))
    low, high = low - margin, high + margin
    width, height = (min(float(side), _LARGEST_MM) for side in high - low)
    scale = max(max(width, height) / LONGEST_PX, _FINEST_MM)
    size = max(int(width / scale), 1), max(int(height / scale), 1)
    bars = [bar for bar in _BARS_MM if bar <= _BAR_SHARE * width]
    return WallView(
        left_mm=float(low[0]),
        top_mm=float(low[1]) + height,
        mm_per_px=scale,
        size_px=size,
        bar_mm=bars[-1] if bars else _BARS_MM[0],
    )


def _seen(entry: MeasuredElevation) -> FloatArray:
    """Return the wall points (N, 2) behind everything that was picked."""
    picks = [reference.picks_px for reference in entry.elevation.references]
    picks += [line.trace.picks_px for line in entry.measured]
    wall = _on_wall(entry, np.concatenate(picks))
    known = wall[np.isfinite(wall).all(axis=1)]
    if not len(known):
        raise DegenerateGeometry(
            "nothing that was picked lies on this wall", "pick references on the wall"
        )
    return known


def _on_wall(entry: MeasuredElevation, picks_px: FloatArray) -> FloatArray:
    camera = entry.solution.camera
    return camera.back_project(picks_px, np.zeros(len(picks_px))).xy_mm


def describe(entry: MeasuredElevation, display: Display = Display.MM) -> dict[str, Any]:
    """Return what is on the rectified picture as plain data.

    Parameters
    ----------
    entry : MeasuredElevation
    display : Display, optional

    Returns
    -------
    dict
        Lines in pixels of the picture, with their lengths said.

    Raises
    ------
    DegenerateGeometry
    """
    view = frame(entry)
    return {
        "size_px": list(view.size_px),
        "mm_per_px": round(view.mm_per_px, 4),
        "bar_mm": view.bar_mm,
        "bar_said": said_length(view.bar_mm, display),
        "lines": [
            {
                "name": line.name,
                "role": str(line.role),
                "picks": view.at(_on_wall(entry, line.trace.picks_px)).round(2).tolist(),
                "said": said(line.length_mm, line.u_mm, display),
            }
            for line in entry.measured
        ],
    }


def rectified_jpeg(entry: MeasuredElevation) -> bytes:
    """Return the photo warped to the wall's plane, its lens corrected.

    Parameters
    ----------
    entry : MeasuredElevation
        With a photo.

    Returns
    -------
    bytes
        JPEG without metadata; white where the photo shows nothing.

    Raises
    ------
    UnreadablePhoto
    DegenerateGeometry
        If there is no photo or nothing on the wall.
    """
    from PIL import Image

    if entry.elevation.photo is None:
        raise DegenerateGeometry("this elevation has no photo", "add its photo")
    view = frame(entry)
    pixels = load_upright(entry.elevation.photo)
    stream = io.BytesIO()
    Image.fromarray(_warped(entry, view, pixels)).save(stream, "JPEG", quality=_QUALITY)
    return stream.getvalue()


def _warped(
    entry: MeasuredElevation, view: WallView, pixels: np.ndarray[Any, Any]
) -> np.ndarray[Any, Any]:
    import cv2

    source, factor = _shrunk(entry, view, pixels)
    width, height = view.size_px
    out = np.empty((height, width, 3), dtype=np.uint8)
    x_mm = view.left_mm + (np.arange(width) + 0.5) * view.mm_per_px
    for top in range(0, height, _STRIP):
        rows = np.arange(top, min(top + _STRIP, height))
        y_mm = view.top_mm - (rows + 0.5) * view.mm_per_px
        grid = np.stack(np.meshgrid(x_mm, y_mm), axis=-1).reshape(-1, 2)
        points = np.c_[grid, np.zeros(len(grid))]
        full = entry.solution.camera.project(points)
        # A point at x of the photo is at (x + 1/2) factor - 1/2 of the smaller one.
        places = np.nan_to_num((full + 0.5) * factor - 0.5, nan=-1e6).clip(-1e6, 1e6)
        maps = places.astype(np.float32).reshape(len(rows), width, 2)
        out[rows] = cv2.remap(
            source,
            maps[..., 0],
            maps[..., 1],
            cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_CONSTANT,
            borderValue=(255, 255, 255),
        )
    return out


def _shrunk(
    entry: MeasuredElevation, view: WallView, pixels: np.ndarray[Any, Any]
) -> tuple[np.ndarray[Any, Any], float]:
    """Shrink a photo that is much finer than the view, or brickwork would glitter."""
    import cv2

    camera = entry.solution.camera
    per_pixel = camera.standoff_mm / camera.focal_px
    factor = min(1.0, per_pixel / view.mm_per_px)
    height, width = pixels.shape[:2]
    size = max(round(width * factor), 1), max(round(height * factor), 1)
    if size == (width, height):
        return pixels, 1.0
    return cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), size[0] / width
