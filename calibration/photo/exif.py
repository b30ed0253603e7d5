"""The dozen EXIF tags this project reads; all others, places included, stay unread."""

import io
from collections.abc import Mapping
from enum import IntEnum

from calibration.errors import UnreadablePhoto
from calibration.photo.directory import (
    Entry,
    Order,
    byte_order,
    read_directory,
    read_values,
)
from calibration.photo.limits import MAX_EXIF_BYTES
from calibration.photo.source import ByteSource

DAMAGED = "The file's EXIF block is damaged; what could not be read is ignored."
_LONGEST_TEXT = 64


class Tag(IntEnum):
    """Exif 3.0, tables 4 and 8."""

    MAKE = 271
    MODEL = 272
    ORIENTATION = 274
    FOCAL_LENGTH = 37386
    PIXEL_WIDTH = 40962
    PIXEL_HEIGHT = 40963
    FOCAL_PLANE_X = 41486
    FOCAL_PLANE_Y = 41487
    FOCAL_PLANE_UNIT = 41488
    DIGITAL_ZOOM = 41988
    FOCAL_35MM = 41989


Tags = Mapping[Tag, float | str]

_EXIF_POINTER = 34665
_FIRST = (Tag.MAKE, Tag.MODEL, Tag.ORIENTATION)
_SECOND = tuple(tag for tag in Tag if tag not in _FIRST)


def read_exif(block: bytes) -> tuple[Tags, tuple[str, ...]]:
    """Read the tags of an EXIF block.

    Parameters
    ----------
    block : bytes
        TIFF-structured, without the ``Exif`` mark; may be empty or damaged.

    Returns
    -------
    tags : mapping of Tag to number or text
        First value of each tag that could be read.
    advice : tuple of str
        A sentence if something could not.
    """
    if not block:
        return {}, ()
    if len(block) > MAX_EXIF_BYTES:
        return {}, ("The file's EXIF block is too long to be one; it is ignored.",)
    return read_exif_of(ByteSource(io.BytesIO(block), len(block), "EXIF"))


def read_exif_of(source: ByteSource) -> tuple[Tags, tuple[str, ...]]:
    """Read the tags of anything structured as TIFF.

    Parameters
    ----------
    source : ByteSource
        An EXIF block or a whole TIFF file.

    Returns
    -------
    tags : mapping of Tag to number or text
        First value of each tag that could be read.
    advice : tuple of str
        A sentence if something could not.
    """
    tags: dict[Tag, float | str] = {}
    try:
        order = byte_order(source)
        first = read_directory(source, order)
        whole = _collect(source, order, first, _FIRST, tags)
        pointer = first.get(_EXIF_POINTER)
        if pointer is not None:
            at = _value(source, order, pointer)
            if not isinstance(at, int):
                return tags, (DAMAGED,)
            second = read_directory(source, order, at)
            whole &= _collect(source, order, second, _SECOND, tags)
    except UnreadablePhoto:
        return tags, (DAMAGED,)
    return tags, () if whole else (DAMAGED,)


def _collect(
    source: ByteSource,
    order: Order,
    directory: Mapping[int, Entry],
    wanted: tuple[Tag, ...],
    tags: dict[Tag, float | str],
) -> bool:
    """Fill `tags`; return False if a value lay outside."""
    whole = True
    for tag in wanted:
        entry = directory.get(tag)
        if entry is None:
            continue
        try:
            value = _value(source, order, entry)
        except UnreadablePhoto:
            whole = False
            continue
        if value is not None:
            tags[tag] = value
    return whole


def _value(source: ByteSource, order: Order, entry: Entry) -> int | float | str | None:
    text = entry.kind == 2
    values = read_values(source, order, entry, most=_LONGEST_TEXT if text else 1)
    if isinstance(values, bytes):
        return values.split(b"\x00")[0].decode("latin-1").strip() if text else None
    return values[0] if values else None
