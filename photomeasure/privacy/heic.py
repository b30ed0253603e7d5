"""Blank what stands beside a HEIC file's pictures, where it stands.

The file's tables hold places in the file, so nothing is moved: notes are overwritten by
zeros, and the EXIF block by what may stay of it. ISO/IEC 14496-12 section 8.11 and
23008-12 annex A.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from typing import Final

from calibration.photo.heic import Box, boxes
from calibration.photo.limits import MAX_PARTS
from calibration.photo.source import HEADER, ByteSource
from photomeasure.privacy.exif import EMPTY, kept_block

_TOP: Final = frozenset({b"ftyp", b"meta", b"mdat"})
_META: Final = frozenset(
    {b"hdlr", b"pitm", b"iloc", b"iinf", b"iref", b"iprp", b"idat", b"grpl"}
)
_NOTES: Final = frozenset({b"Exif", b"mime", b"uri "})
_EXIF_MARK: Final = b"Exif\x00\x00"

Extent = tuple[int, int]
"""Begin and end in the file."""


@dataclass(frozen=True, slots=True)
class _Item:
    kind: bytes
    extents: tuple[Extent, ...]


def cleaned_heic(source: ByteSource) -> bytes:
    """Return a HEIC file whose notes are blanked.

    Parameters
    ----------
    source : ByteSource
        Passed :func:`calibration.photo.sniff.examine`.

    Returns
    -------
    bytes
        As long as the file.

    Raises
    ------
    UnreadablePhoto
        If its tables lead outside the file.
    """
    data = bytearray(source.read(0, source.size))
    top = list(boxes(source, 0, source.size))
    meta = next(box for box in top if box.name == b"meta")
    inside = list(boxes(source, meta.start + 4, meta.end))
    for box in (*(b for b in top if b.name not in _TOP),
                *(b for b in inside if b.name not in _META)):  # fmt: skip
        _blank(data, box)
    items = _items(source, {box.name: box for box in inside})
    stores = [box for box in (*top, *inside) if box.name in (b"mdat", b"idat")]
    kept = sorted(e for item in items if item.kind not in _NOTES for e in item.extents)
    notes = [(item, _gathered(data, item)) for item in items if item.kind == b"Exif"]
    for store in stores:
        _zero_between(data, store, kept)
    for item, content in notes:
        _scatter(data, item, _kept_exif(source, content))
    return bytes(data)


def _blank(data: bytearray, box: Box) -> None:
    """Make a box free space."""
    name_at = data.rindex(box.name, 0, box.start)
    data[name_at : name_at + 4] = b"free"
    data[box.start : box.end] = bytes(box.end - box.start)


def _zero_between(data: bytearray, store: Box, kept: list[Extent]) -> None:
    """Overwrite whatever of a store of data no picture uses."""
    at = store.start
    for begin, end in (*kept, (store.end, store.end)):
        gap = min(max(begin, at), store.end)
        data[at:gap] = bytes(gap - at)
        at = min(max(at, end), store.end)


def _gathered(data: bytearray, item: _Item) -> bytes:
    return b"".join(data[begin:end] for begin, end in item.extents)


def _scatter(data: bytearray, item: _Item, content: bytes) -> None:
    for begin, end in item.extents:
        data[begin:end] = content[: end - begin].ljust(end - begin, b"\x00")
        content = content[end - begin :]


def _kept_exif(source: ByteSource, content: bytes) -> bytes:
    """Return what may stay of an EXIF item, no longer than it was."""
    start = 4 + int.from_bytes(content[:4], "big")
    exif = content[start:].removeprefix(_EXIF_MARK)
    block = kept_block(ByteSource(BytesIO(exif), len(exif), source.name)) or EMPTY
    for head in ((len(_EXIF_MARK)).to_bytes(4, "big") + _EXIF_MARK, bytes(4)):
        if len(head) + len(block) <= len(content):
            return head + block
    return b""


def _items(source: ByteSource, inside: dict[bytes, Box]) -> list[_Item]:
    """Return every item with its kind and where it is."""
    if b"iinf" not in inside or b"iloc" not in inside:
        raise source.damaged(HEADER)
    kinds = dict(_kinds(source, inside[b"iinf"]))
    idat = inside.get(b"idat")
    return [
        _Item(kinds.get(number, b"Exif"), extents)
        for number, extents in _places(source, inside[b"iloc"], idat.start if idat else 0)
    ]


def _kinds(source: ByteSource, iinf: Box) -> Iterator[tuple[int, bytes]]:
    """Yield number and kind of each item."""
    wide = source.read(iinf.start, 1) != b"\x00"
    for box in boxes(source, iinf.start + (8 if wide else 6), iinf.end):
        version = source.read(box.start, 1)[0]
        digits = 4 if version == 3 else 2
        fields = source.read(box.start + 4, digits + 6)
        yield int.from_bytes(fields[:digits], "big"), fields[digits + 2 :]


class _Numbers:
    """Read big-endian numbers one after the other."""

    def __init__(self, source: ByteSource, box: Box) -> None:
        self._source = source
        self._at = box.start

    def __call__(self, size: int) -> int:
        value = int.from_bytes(self._source.read(self._at, size), "big")
        self._at += size
        return value


def _places(
    source: ByteSource, iloc: Box, idat_at: int
) -> Iterator[tuple[int, tuple[Extent, ...]]]:
    """Yield number and extents of each item (14496-12, 8.11.3)."""
    number = _Numbers(source, iloc)
    version = number(4) >> 24
    sizes = number(2)
    offset_size, length_size, base_size, index_size = (
        sizes >> shift & 15 for shift in (12, 8, 4, 0)
    )
    parts = 0
    for _ in range(number(4 if version == 2 else 2)):
        item = number(4 if version == 2 else 2)
        method = number(2) & 15 if version else 0
        number(2)  # which file: always this one
        base = number(base_size) + (idat_at if method == 1 else 0)
        extents = []
        for _ in range(number(2)):
            parts += 1
            if version:
                number(index_size)
            begin = base + number(offset_size)
            length = number(length_size)
            end = begin + length if length else source.size  # 0: up to the end
            if method > 1 or end > source.size or parts > MAX_PARTS:
                raise source.damaged(HEADER)
            extents.append((begin, end))
        yield item, tuple(extents)
