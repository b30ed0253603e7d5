"""One function a format, and the check that nothing needed was lost."""

from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import Final

from calibration.errors import UnreadablePhoto
from calibration.photo import PhotoFormat, PhotoHeader
from calibration.photo.header import open_photo
from calibration.photo.source import SAVE_AS_JPEG, ByteSource, open_source
from photomeasure.privacy.heic import cleaned_heic
from photomeasure.privacy.jpeg import cleaned_jpeg
from photomeasure.privacy.png import cleaned_png
from photomeasure.privacy.tiff import cleaned_tiff
from photomeasure.privacy.webp import cleaned_webp

_CLEANERS: Final[dict[PhotoFormat, Callable[[ByteSource], bytes]]] = {
    PhotoFormat.JPEG: cleaned_jpeg,
    PhotoFormat.PNG: cleaned_png,
    PhotoFormat.WEBP: cleaned_webp,
    PhotoFormat.TIFF: cleaned_tiff,
    PhotoFormat.HEIC: cleaned_heic,
}


def whole_photo(path: Path) -> bytes:
    """Return a photo's file as it is.

    Parameters
    ----------
    path : Path

    Returns
    -------
    bytes

    Raises
    ------
    UnreadablePhoto
        If it is missing or too large.
    """
    with open_source(path) as source:
        return source.read(0, source.size)


def cleaned_photo(path: Path) -> bytes:
    """Return a photo's file without places, serial numbers and whatever else tells.

    The coded picture is copied, not coded again: every pixel stays.

    Parameters
    ----------
    path : Path

    Returns
    -------
    bytes
        A file of the same format, size, orientation and lens facts. Cleaning it again
        changes nothing.

    Raises
    ------
    UnreadablePhoto
        If it is no picture that is read, or an unusual one that cannot be cleaned.
    """
    with open_source(path) as source:
        header, _ = open_photo(source, path)
        content = _CLEANERS[header.format](source)
        _compare(source, header, content)
    return content


def _compare(source: ByteSource, before: PhotoHeader, content: bytes) -> None:
    """Refuse if the cleaned file says anything else about picture and lens."""
    cleaned = ByteSource(BytesIO(content), len(content), source.name)
    try:
        after, _ = open_photo(cleaned, before.path)
    except UnreadablePhoto as error:
        raise _stubborn(source) from error
    # A damaged block is doubted before and is mended after; nothing else may differ.
    if replace(after, advice=()) != replace(before, advice=()):
        raise _stubborn(source)


def _stubborn(source: ByteSource) -> UnreadablePhoto:
    what = "place and serial numbers cannot be taken out of this kind of file"
    return source.refusal(what, SAVE_AS_JPEG)
