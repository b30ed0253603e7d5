"""Rebuild an EXIF block from the tags that may stay."""

import struct
from collections.abc import Iterable, Mapping
from typing import Final

from calibration.errors import UnreadablePhoto
from calibration.photo.directory import Entry, Order, byte_order, read_directory
from calibration.photo.exif import Tag
from calibration.photo.source import ByteSource

TEXT: Final = 2
_LONG: Final = 4
_EXIF_POINTER: Final = 34665
_DATE_TAKEN: Final = 36867
_LONGEST_TEXT: Final = 64

_FIRST: Final = frozenset({Tag.MAKE, Tag.MODEL, Tag.ORIENTATION})
_SECOND: Final = frozenset({*Tag, _DATE_TAKEN}) - _FIRST

Field = tuple[int, int, int, bytes]
"""Tag, type, number of values, values."""

EMPTY: Final = b"II*\x00" + struct.pack("<IHI", 8, 0, 0)
"""A block without tags, for files that must have one."""


def kept_block(source: ByteSource) -> bytes:
    """Return a new block with the tags that may stay.

    Parameters
    ----------
    source : ByteSource
        A TIFF-structured EXIF block; damaged parts are left out.

    Returns
    -------
    bytes
        In the same byte order; empty if no tag stays.
    """
    try:
        order = byte_order(source)
        first = read_directory(source, order)
    except UnreadablePhoto:
        return b""
    head = kept_fields(source, order, first, _FIRST)
    lens = second_fields(source, order, first)
    if not head and not lens:
        return b""
    return block(order, head, lens)


def second_fields(
    source: ByteSource, order: Order, first: Mapping[int, Entry]
) -> list[Field]:
    """Return what may stay of the directory that the EXIF pointer leads to.

    Parameters
    ----------
    source : ByteSource
    order : {"<", ">"}
    first : mapping of int to Entry
        The directory that holds the pointer.

    Returns
    -------
    list of Field
        Empty if there is no such directory.
    """
    pointer = first.get(_EXIF_POINTER)
    if pointer is None or pointer.kind != _LONG:
        return []
    try:
        (at,) = struct.unpack(f"{order}I", source.read(pointer.offset, 4))
        return kept_fields(source, order, read_directory(source, order, at), _SECOND)
    except UnreadablePhoto:
        return []


def kept_fields(
    source: ByteSource,
    order: Order,  # noqa: ARG001 - values are copied in the order they have
    directory: Mapping[int, Entry],
    wanted: Iterable[int],
) -> list[Field]:
    """Return the first value of some tags, by tag, as it is coded.

    Parameters
    ----------
    source : ByteSource
    order : {"<", ">"}
    directory : mapping of int to Entry
    wanted : iterable of int

    Returns
    -------
    list of Field
        Without those that reach beyond the source or are of unknown type.
    """
    fields: list[Field] = []
    for tag in sorted(wanted):
        entry = directory.get(tag)
        if entry is None or entry.count == 0:
            continue
        count = min(entry.count, _LONGEST_TEXT) if entry.kind == TEXT else 1
        width = entry.size // entry.count
        try:
            fields.append(
                (tag, entry.kind, count, source.read(entry.offset, count * width))
            )
        except UnreadablePhoto:
            continue
    return fields


def block(order: Order, head: list[Field], lens: list[Field]) -> bytes:
    """Return a TIFF-structured block of one or two directories.

    Parameters
    ----------
    order : {"<", ">"}
    head, lens : list of Field
        Of the first directory and of the one for exposures.

    Returns
    -------
    bytes
    """
    mark = (b"II*\x00" if order == "<" else b"MM\x00*") + struct.pack(f"{order}I", 8)
    if not lens:
        return mark + directory_bytes(order, head, 8)
    unplaced = [*head, (_EXIF_POINTER, _LONG, 1, bytes(4))]
    at = 8 + len(directory_bytes(order, unplaced, 8))
    placed = [*head, (_EXIF_POINTER, _LONG, 1, struct.pack(f"{order}I", at))]
    return mark + directory_bytes(order, placed, 8) + directory_bytes(order, lens, at)


def directory_bytes(order: Order, fields: list[Field], start: int) -> bytes:
    """Return a directory followed by its long values.

    Parameters
    ----------
    order : {"<", ">"}
    fields : list of Field
    start : int
        Where it will stand.

    Returns
    -------
    bytes
        Of even length.
    """
    data_at = start + 2 + 12 * len(fields) + 4
    table, data = struct.pack(f"{order}H", len(fields)), b""
    for tag, kind, count, values in sorted(fields):
        if len(values) <= 4:
            place = values.ljust(4, b"\x00")
        else:
            place = struct.pack(f"{order}I", data_at + len(data))
            data += values + bytes(len(values) % 2)
        table += struct.pack(f"{order}HHI", tag, kind, count) + place
    return table + bytes(4) + data
