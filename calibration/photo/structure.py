"""What is learnt from a picture file without any decoder."""

from dataclasses import dataclass
from enum import StrEnum

from calibration.photo.limits import (
    HARMLESS_PIXELS,
    MAX_PIXELS,
    MAX_PIXELS_PER_BYTE,
    MAX_SIDE_PX,
)
from calibration.photo.source import COPY_AGAIN, ByteSource


class PhotoFormat(StrEnum):
    """The picture formats that are read; everything else is refused."""

    JPEG = "JPEG"
    PNG = "PNG"
    WEBP = "WEBP"
    TIFF = "TIFF"
    HEIC = "HEIC"


@dataclass(frozen=True, slots=True)
class Structure:
    """A file whose parts are all inside it.

    Attributes
    ----------
    format : PhotoFormat
        By content, never by the name's ending.
    size_px : tuple of int
        Width and height as stored, > 0, within the limits.  For HEIC the largest
        picture of the file, before its own turns.
    exif : bytes
        TIFF-structured EXIF block without its ``Exif`` mark; empty if there is none,
        and for TIFF and HEIC, which keep theirs elsewhere.
    """

    format: PhotoFormat
    size_px: tuple[int, int]
    exif: bytes = b""


def check_size(source: ByteSource, width_px: int, height_px: int) -> tuple[int, int]:
    """Return the size if it may be decoded.

    Parameters
    ----------
    source : ByteSource
        The file, for its length and the message.
    width_px, height_px : int
        What its header claims.

    Returns
    -------
    tuple of int
        Width and height, pixels.

    Raises
    ------
    UnreadablePhoto
        If the picture is empty, too large, or claims far more than the file can hold.
    """
    pixels = width_px * height_px
    shape = f"{width_px:,} x {height_px:,} pixels"
    smaller = "save a smaller copy"
    if pixels <= 0:
        what = "the picture has no pixels"
        raise source.refusal(what, COPY_AGAIN)
    if pixels > MAX_PIXELS:
        what = f"{shape} are more than the {MAX_PIXELS // 10**6} million that are read"
        raise source.refusal(what, smaller)
    if max(width_px, height_px) > MAX_SIDE_PX:
        what = f"{shape} have a side longer than {MAX_SIDE_PX:,} pixels"
        raise source.refusal(what, smaller)
    if pixels > max(HARMLESS_PIXELS, MAX_PIXELS_PER_BYTE * source.size):
        what = f"{shape} in {source.size:,} bytes cannot be a photograph"
        raise source.refusal(what, COPY_AGAIN)
    return width_px, height_px
