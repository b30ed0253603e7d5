"""Decode a photo once and stand it upright once."""

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from calibration.photo.header import open_photo
from calibration.photo.source import SAVE_AS_JPEG, SIZE_ENTRY, ByteSource, open_source

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageFile import ImageFile

RgbImage = np.ndarray[tuple[int, int, int], np.dtype[np.uint8]]

_TURNS = {
    2: "FLIP_LEFT_RIGHT",
    3: "ROTATE_180",
    4: "FLIP_TOP_BOTTOM",
    5: "TRANSPOSE",
    6: "ROTATE_270",
    7: "TRANSVERSE",
    8: "ROTATE_90",
}
"""Names of ``Image.Transpose`` by EXIF orientation; its angles go anticlockwise."""

_DEEP = ("I;16", "I;16L", "I;16B", "I;16N")  # 16 bits of grey
_UNKNOWN_RANGE = ("I", "F")  # 32 bits: what is white is not said
_PAPER = "white"
_STRIP_PX = 1 << 19  # 2 MB in the decoder's memory, which fits a processor's cache
_REDUCING_GAP = 2.0  # box-filter to twice the size first; Pillow's own advice


def load_upright(path: Path | str, max_side_px: int | None = None) -> RgbImage:
    """Decode a photo as an upright RGB picture.

    Colour profiles are not applied: colours are for looking at, lengths do not depend
    on them.  Transparency is laid on white.

    Parameters
    ----------
    path : Path or str
        A JPEG, PNG, WEBP, TIFF or HEIC file.
    max_side_px : int, optional
        Shrink until no side is longer.  A point at ``(x, y)`` of the result is at
        ``((x + 0.5) * W / w - 0.5, (y + 0.5) * H / h - 0.5)`` of the full picture of
        size ``(W, H)``, pixel centres being whole numbers.

    Returns
    -------
    (H, W, 3) uint8
        **RGB**, contiguous and read-only, row 0 at the top.

    Raises
    ------
    UnreadablePhoto
        As :func:`calibration.photo.read_header`, and if the pixels cannot be decoded.
    ValueError
        If `max_side_px` is below 1.
    """
    if max_side_px is not None and max_side_px < 1:
        msg = f"max_side_px is {max_side_px}, expected 1 or more"
        raise ValueError(msg)
    path = Path(path)
    with open_source(path) as source:
        header, picture = open_photo(source, path)
        if picture.mode in _UNKNOWN_RANGE:
            what = "the picture has 32 bits a sample and is no photograph"
            raise source.refusal(what, SAVE_AS_JPEG)
        size = _reduced(header.stored_size_px, max_side_px)
        pixels = _decode(source, picture, size, _TURNS.get(header.orientation))
    pixels.setflags(write=False)
    return pixels


def _decode(
    source: ByteSource,
    picture: "ImageFile",
    size: tuple[int, int],
    turn: str | None,
) -> RgbImage:
    from PIL.Image import Transpose

    from calibration.photo.decoder import decoding

    full = picture.size
    with decoding(source):
        box = None
        if size != full and picture.format == "JPEG":
            # Decoding at 1/2, 1/4 or 1/8 keeps the exact extent in `box`.
            drafted = picture.draft(None, size)
            box = drafted[1] if drafted else None
        picture.load()
        if picture.size != full and box is None:
            raise source.damaged(SIZE_ENTRY)
        image = _rgb(picture)
        if size != full:
            image = image.resize(size, box=box, reducing_gap=_REDUCING_GAP)
        if turn is not None:
            image = image.transpose(Transpose[turn])
        if image is not picture:
            picture.close()  # 800 MB of the largest photos
        return _array(image)


def _array(image: "Image") -> RgbImage:
    """Copy in strips: at once it takes three times as long and a second copy."""
    width, height = image.size
    pixels = np.empty((height, width, 3), dtype=np.uint8)
    rows = max(1, _STRIP_PX // width)
    for top in range(0, height, rows):
        bottom = min(height, top + rows)
        pixels[top:bottom] = np.asarray(image.crop((0, top, width, bottom)))
    return pixels


def _reduced(full: tuple[int, int], max_side_px: int | None) -> tuple[int, int]:
    if max_side_px is None or max(full) <= max_side_px:
        return full
    width, height = (max(1, round(side * max_side_px / max(full))) for side in full)
    return width, height


def _rgb(image: "Image") -> "Image":
    """Convert any mode of the allowed formats to 8-bit RGB."""
    from PIL.Image import fromarray, new

    if image.mode in _DEEP:
        # The high byte, as the PNG specification advises (section 13.12).
        image = fromarray((np.asarray(image) >> 8).astype(np.uint8))
    if image.has_transparency_data:
        seen = image.convert("RGBA")
        paper = new("RGB", image.size, _PAPER)
        paper.paste(seen, mask=seen.getchannel("A"))
        return paper
    return image if image.mode == "RGB" else image.convert("RGB")
