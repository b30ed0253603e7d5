"""TIFF directories, the form of TIFF files and EXIF blocks (TIFF 6.0, section 2).

Nothing is read but the table and the values asked for, so a table whose entries all
point at the same long value costs no more than any other.
"""

import struct
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from calibration.photo.limits import MAX_DIRECTORY_ENTRIES
from calibration.photo.source import TAG_TABLE, ByteSource

Order = Literal["<", ">"]
Value = tuple[int | float, ...] | bytes

_ENTRY_BYTES = 12
_FORMATS = {
    1: "B", 3: "H", 4: "I", 5: "II", 6: "b", 8: "h", 9: "i", 10: "ii", 11: "f", 12: "d"
}  # fmt: skip
_RATIONAL = {5, 10}
_BYTES = {2: 1, 7: 1, 13: 4} | {k: struct.calcsize(f"<{f}") for k, f in _FORMATS.items()}


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a directory.

    Attributes
    ----------
    kind : int
        TIFF field type, 1 to 13.
    count : int
        Number of values.
    offset : int
        Of the first value, bytes from the start of the source.
    """

    kind: int
    count: int
    offset: int

    @property
    def size(self) -> int:
        """Bytes of all its values."""
        return self.count * _BYTES[self.kind]


def byte_order(source: ByteSource) -> Order:
    """Read the byte order mark.

    Parameters
    ----------
    source : ByteSource
        A TIFF file or an EXIF block.

    Returns
    -------
    {"<", ">"}
        As in :mod:`struct`.

    Raises
    ------
    UnreadablePhoto
        If there is no such mark.
    """
    mark = source.read(0, 4)
    if mark == b"II*\x00":
        return "<"
    if mark == b"MM\x00*":
        return ">"
    raise source.damaged(TAG_TABLE)


def read_directory(
    source: ByteSource, order: Order, offset: int | None = None
) -> dict[int, Entry]:
    """Read one directory; of repeated tags the first counts.

    Parameters
    ----------
    source : ByteSource
        A TIFF file or an EXIF block.
    order : {"<", ">"}
        From :func:`byte_order`.
    offset : int, optional
        Of the directory; without it the first one of the source.

    Returns
    -------
    dict of int to Entry
        By tag; entries of unknown type are left out.

    Raises
    ------
    UnreadablePhoto
        If the table reaches beyond the source or is absurdly long.
    """
    if offset is None:
        (offset,) = struct.unpack(f"{order}I", source.read(4, 4))
    (count,) = struct.unpack(f"{order}H", source.read(offset, 2))
    if count > MAX_DIRECTORY_ENTRIES:
        raise source.damaged(TAG_TABLE)
    table = source.read(offset + 2, count * _ENTRY_BYTES)
    entries: dict[int, Entry] = {}
    for i, (tag, kind, n, at) in enumerate(struct.iter_unpack(f"{order}HHII", table)):
        if kind in _BYTES and tag not in entries:
            inline = offset + 2 + i * _ENTRY_BYTES + 8
            entries[tag] = Entry(kind, n, inline if n * _BYTES[kind] <= 4 else at)
    return entries


def read_values(source: ByteSource, order: Order, entry: Entry, most: int = 1) -> Value:
    """Read the first values of an entry.

    Parameters
    ----------
    source : ByteSource
        Where the directory was.
    order : {"<", ">"}
        From :func:`byte_order`.
    entry : Entry
        From :func:`read_directory`.
    most : int, optional
        How many values at most.

    Returns
    -------
    tuple of float or bytes
        Bytes for text and undefined data.  A fraction over zero becomes 0, the
        "unknown" of EXIF.

    Raises
    ------
    UnreadablePhoto
        If the values lie outside the source.
    """
    count = min(entry.count, most)
    data = source.read(entry.offset, count * _BYTES[entry.kind])
    if entry.kind not in _FORMATS:
        return data
    numbers = struct.unpack(f"{order}{count * len(_FORMATS[entry.kind])}"
                            f"{_FORMATS[entry.kind][0]}", data)  # fmt: skip
    if entry.kind not in _RATIONAL:
        return numbers
    pairs = zip(numbers[::2], numbers[1::2], strict=True)
    return tuple(top / bottom if bottom else 0.0 for top, bottom in pairs)


def values_fit(source: ByteSource, directory: Mapping[int, Entry], most: int) -> bool:
    """Tell whether all values lie in the source and do not pile up on each other.

    Parameters
    ----------
    source : ByteSource
        Where the directory was.
    directory : mapping of int to Entry
        From :func:`read_directory`.
    most : int
        Bytes that all values together may take.

    Returns
    -------
    bool
        False also for values that together are longer than the source.
    """
    total = sum(entry.size for entry in directory.values())
    ends = (entry.offset + entry.size for entry in directory.values())
    return total <= min(most, source.size) and max(ends, default=0) <= source.size
