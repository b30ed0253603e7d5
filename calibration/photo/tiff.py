"""Check a TIFF file, TIFF 6.0 sections 2, 8 and 15."""

import numpy as np

from calibration.photo.directory import (
    Entry,
    Order,
    byte_order,
    read_directory,
    read_values,
    values_fit,
)
from calibration.photo.limits import MAX_DIRECTORY_BYTES
from calibration.photo.source import SAVE_AS_JPEG, TAG_TABLE, ByteSource
from calibration.photo.structure import PhotoFormat, Structure, check_size

_SUBFILE, _WIDTH, _HEIGHT, _DNG = 254, 256, 257, 50706
_TILE_WIDTH, _TILE_HEIGHT = 322, 323
_REDUCED = 1  # bit 0 of the subfile type: a preview of another picture
_STRIPS = (273, 279)
_TILES = (324, 325)
_INTEGERS = {3: "u2", 4: "u4"}

_Directory = dict[int, Entry]


def scan_tiff(source: ByteSource) -> Structure:
    """Check that the first picture of the file is whole.

    Camera raw files look like TIFF, but their first picture is a preview; they are
    refused.

    Parameters
    ----------
    source : ByteSource
        Starts with a TIFF mark.

    Returns
    -------
    Structure
        Without EXIF, which is a further directory of the same file.

    Raises
    ------
    UnreadablePhoto
        If the file is cut off, contradicts itself, is a raw file or too large.
    """
    order = byte_order(source)
    directory = read_directory(source, order)
    if not values_fit(source, directory, MAX_DIRECTORY_BYTES):
        raise source.damaged(TAG_TABLE)
    if _DNG in directory or _number(source, order, directory, _SUBFILE) & _REDUCED:
        what = "this is a camera raw file"
        raise source.refusal(what, SAVE_AS_JPEG)
    width = _number(source, order, directory, _WIDTH)
    height = _number(source, order, directory, _HEIGHT)
    size = check_size(source, width, height)
    _check_pieces(source, order, directory)
    return Structure(PhotoFormat.TIFF, size)


def _check_pieces(source: ByteSource, order: Order, directory: _Directory) -> None:
    """Refuse strips or tiles that reach beyond the file."""
    pieces = _STRIPS if _STRIPS[0] in directory else _TILES
    if pieces == _TILES:
        tile = (
            _number(source, order, directory, tag) for tag in (_TILE_WIDTH, _TILE_HEIGHT)
        )
        check_size(source, *tile)
    offsets, counts = (_integers(source, order, directory, tag) for tag in pieces)
    if offsets.size == 0 or counts.size not in (0, offsets.size):
        raise source.damaged(TAG_TABLE)
    if counts.size == 0:  # old files without lengths
        counts = np.ones_like(offsets)
    if np.any(offsets + counts > source.size):
        raise source.truncated()


def _integers(
    source: ByteSource, order: Order, directory: _Directory, tag: int
) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    entry = directory.get(tag)
    if entry is None or entry.kind not in _INTEGERS:
        return np.zeros(0, dtype=np.int64)
    data = source.read(entry.offset, entry.size)
    return np.frombuffer(data, dtype=order + _INTEGERS[entry.kind]).astype(np.int64)


def _number(source: ByteSource, order: Order, directory: _Directory, tag: int) -> int:
    """Return a whole number, 0 if the tag is missing or of another type."""
    entry = directory.get(tag)
    if entry is None or entry.kind not in _INTEGERS or entry.count != 1:
        return 0
    return int(read_values(source, order, entry)[0])
