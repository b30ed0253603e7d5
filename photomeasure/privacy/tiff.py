"""Copy a TIFF's first picture without what stands beside it, TIFF 6.0."""

import struct
from typing import Final

from calibration.photo.directory import Entry, Order, byte_order, read_directory
from calibration.photo.exif import Tag
from calibration.photo.source import SAVE_AS_JPEG, ByteSource
from photomeasure.privacy.exif import (
    Field,
    block,
    kept_fields,
    second_fields,
)

_STRIPS, _TILES = (273, 279), (324, 325)
_COMPRESSION, _OLD_JPEG = 259, 6
_LONG: Final = 4
_INTEGERS: Final = {3: "H", 4: "I"}

_LAYOUT: Final = frozenset(
    {254, 256, 257, 258, 259, 262, 266, 277, 278, 282, 283, 284, 296, 317, 318, 319}
    | {320, 322, 323, 332, 338, 339, 347, 529, 530, 531, 532, 34675}
)
"""How the picture is coded and its colours are meant; names of things are not among."""

_NAMED: Final = frozenset({Tag.MAKE, Tag.MODEL, Tag.ORIENTATION})


def cleaned_tiff(source: ByteSource) -> bytes:
    """Return the first picture of a TIFF file with the tags that may stay.

    Parameters
    ----------
    source : ByteSource
        Passed :func:`calibration.photo.sniff.examine`.

    Returns
    -------
    bytes

    Raises
    ------
    UnreadablePhoto
        If it is coded in a way that cannot be copied.
    """
    order = byte_order(source)
    directory = read_directory(source, order)
    pieces = _pieces(source, order, directory)
    layout = [
        (tag, entry.kind, entry.count, source.read(entry.offset, entry.size))
        for tag, entry in sorted(directory.items())
        if tag in _LAYOUT and entry.count
    ]
    fields = [*layout, *kept_fields(source, order, directory, _NAMED)]
    lens = second_fields(source, order, directory)
    tags = _STRIPS if _STRIPS[0] in directory else _TILES

    def placed(at: int) -> bytes:
        return block(order, [*fields, *_table(order, tags, pieces, at)], lens)

    # The block is as long wherever the picture's data begin.
    return placed(len(placed(0))) + b"".join(pieces)


def _pieces(source: ByteSource, order: Order, directory: dict[int, Entry]) -> list[bytes]:
    """Return the coded strips or tiles."""
    tags = _STRIPS if _STRIPS[0] in directory else _TILES
    offsets, lengths = (_integers(source, order, directory.get(tag)) for tag in tags)
    coded = _integers(source, order, directory.get(_COMPRESSION))
    if len(offsets) != len(lengths) or _OLD_JPEG in coded:
        what = "this kind of TIFF cannot be copied without its notes"
        raise source.refusal(what, SAVE_AS_JPEG)
    if sum(lengths) > source.size:  # strips that lie on each other multiply the file
        what = "the parts of this TIFF lie on each other"
        raise source.refusal(what, SAVE_AS_JPEG)
    return [source.read(at, n) for at, n in zip(offsets, lengths, strict=True)]


def _integers(source: ByteSource, order: Order, entry: Entry | None) -> tuple[int, ...]:
    if entry is None or entry.kind not in _INTEGERS:
        return ()
    layout = f"{order}{entry.count}{_INTEGERS[entry.kind]}"
    return struct.unpack(layout, source.read(entry.offset, entry.size))


def _table(
    order: Order, tags: tuple[int, int], pieces: list[bytes], at: int
) -> list[Field]:
    """Return the fields that say where the pieces are, the first one at `at`."""
    offsets = []
    for piece in pieces:
        offsets.append(at)
        at += len(piece)
    count = len(pieces)
    layout = f"{order}{count}I"
    lengths = map(len, pieces)
    return [
        (tags[0], _LONG, count, struct.pack(layout, *offsets)),
        (tags[1], _LONG, count, struct.pack(layout, *lengths)),
    ]
