"""Smaller pictures of a photo for the screen: one preview, and tiles for the loupe.

They are made from the upright photo, carry no metadata, and lie in a folder that may be
emptied at any time.
"""

import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from pathlib import Path
from typing import Final

from calibration.errors import StoreUnavailable
from calibration.photo import load_upright
from calibration.photo.pixels import RgbImage

PREVIEW_PX: Final = 4032
"""Longest side: 12 megapixels of a 4:3 photo, which a phone's browser holds easily."""

THUMB_PX: Final = 480
"""Longest side of the picture in a list."""

TILE_PX: Final = 512
"""Small enough to come at once, large enough to fill a loupe with a few."""

_QUALITY: Final = 88
_WHOLE: Final = "whole"
"""Name of the file that says that all others are there."""


@dataclass(frozen=True, slots=True)
class Pyramid:
    """The tiles of a photo.

    Attributes
    ----------
    size_px : tuple of int
        Width and height of the upright photo.

    Examples
    --------
    >>> Pyramid((4032, 3024)).levels, Pyramid((4032, 3024)).level_size(1)
    (4, (2016, 1512))
    """

    size_px: tuple[int, int]

    @property
    def levels(self) -> int:
        """How many there are; level 0 is the full size, each further one half of it."""
        count, longest = 1, max(self.size_px)
        while longest > TILE_PX:
            longest, count = ceil(longest / 2), count + 1
        return count

    def level_size(self, level: int) -> tuple[int, int]:
        """Return width and height of a level."""
        width, height = self.size_px
        for _ in range(level):
            width, height = ceil(width / 2), ceil(height / 2)
        return width, height

    def has(self, level: int, column: int, row: int) -> bool:
        """Tell whether there is such a tile."""
        if not 0 <= level < self.levels:
            return False
        width, height = self.level_size(level)
        return 0 <= column * TILE_PX < width and 0 <= row * TILE_PX < height


def preview_size(size_px: tuple[int, int]) -> tuple[int, int]:
    """Return the size of the preview of an upright photo.

    Examples
    --------
    >>> preview_size((8064, 6048)), preview_size((640, 480))
    ((4032, 3024), (640, 480))
    """
    longest = max(size_px)
    if longest <= PREVIEW_PX:
        return size_px
    width, height = (max(1, round(side * PREVIEW_PX / longest)) for side in size_px)
    return width, height


def preview_path(folder: Path) -> Path:
    """Return where the preview lies in a photo's folder of smaller pictures."""
    return folder / "preview.jpg"


def thumb_path(folder: Path) -> Path:
    """Return where the small picture for lists lies."""
    return folder / "thumb.jpg"


def tile_path(folder: Path, level: int, column: int, row: int) -> Path:
    """Return where a tile lies in a photo's folder of smaller pictures."""
    return folder / f"{level}-{column}-{row}.jpg"


def are_made(folder: Path) -> bool:
    """Tell whether all smaller pictures of a photo are in a folder."""
    return (folder / _WHOLE).is_file()


def make(photo: Path, folder: Path) -> None:
    """Make all smaller pictures of a photo, unless they are there.

    Parameters
    ----------
    photo : Path
    folder : Path
        Of this photo alone; it appears with everything in it or not at all.

    Raises
    ------
    UnreadablePhoto
        If it cannot be decoded.
    StoreUnavailable
        If the folder cannot be written.
    """
    if are_made(folder):
        return
    pixels = load_upright(photo)
    draft = None
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        draft = Path(tempfile.mkdtemp(prefix="draft-", dir=folder.parent))
        _write_all(pixels, draft)
        if folder.exists():  # left by a program that was stopped
            shutil.rmtree(folder, ignore_errors=True)
        draft.replace(folder)
    except OSError as error:
        if not are_made(folder):  # else somebody was faster
            raise StoreUnavailable(
                "preview", f"cannot be kept ({error.strerror})", "make room on the disk"
            ) from error
    finally:
        if draft is not None:
            shutil.rmtree(draft, ignore_errors=True)


def _write_all(pixels: RgbImage, folder: Path) -> None:
    from PIL import Image

    picture = Image.fromarray(pixels)
    small = preview_size(picture.size)
    shown = picture if small == picture.size else picture.resize(small, reducing_gap=2.0)
    shown.save(preview_path(folder), "JPEG", quality=_QUALITY)
    thumb = shown.copy()
    thumb.thumbnail((THUMB_PX, THUMB_PX))
    thumb.save(thumb_path(folder), "JPEG", quality=_QUALITY)
    pyramid = Pyramid(picture.size)
    for level in range(pyramid.levels):
        # Each side's last half pixel counts as a whole one.
        if level:
            picture = picture.reduce(2)
        for column, row, box in _tiles(picture.size):
            path = tile_path(folder, level, column, row)
            picture.crop(box).save(path, "JPEG", quality=_QUALITY)
    (folder / _WHOLE).touch()


def _tiles(size: tuple[int, int]) -> Iterator[tuple[int, int, tuple[int, int, int, int]]]:
    width, height = size
    for top in range(0, height, TILE_PX):
        for left in range(0, width, TILE_PX):
            box = (left, top, min(left + TILE_PX, width), min(top + TILE_PX, height))
            yield left // TILE_PX, top // TILE_PX, box
