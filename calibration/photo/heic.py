"""Check a HEIC file's boxes, ISO/IEC 14496-12 section 4.2 and 23008-12 section 6."""

from collections.abc import Iterator
from dataclasses import dataclass

from calibration.photo.limits import MAX_DIRECTORY_BYTES, MAX_PARTS
from calibration.photo.source import HEADER, SIZE_ENTRY, ByteSource
from calibration.photo.structure import PhotoFormat, Structure, check_size

BRANDS = frozenset(
    {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs"}
    | {b"mif1", b"msf1"}
)


@dataclass(frozen=True, slots=True)
class Box:
    """A box of the file.

    Attributes
    ----------
    name : bytes
    start, end : int
        Of its content, bytes from the start of the file.
    """

    name: bytes
    start: int
    end: int


def scan_heic(source: ByteSource) -> Structure:
    """Check that the top boxes are inside the file and no picture is too large.

    Parameters
    ----------
    source : ByteSource
        Starts with a HEIC ``ftyp`` box.

    Returns
    -------
    Structure
        With the size of the largest picture in the file and without EXIF.

    Raises
    ------
    UnreadablePhoto
        If the file is cut off, contradicts itself or is too large.
    """
    top = {box.name: box for box in boxes(source, 0, source.size)}
    meta = top.get(b"meta")
    if meta is None or meta.end - meta.start > MAX_DIRECTORY_BYTES:
        raise source.damaged(HEADER)
    inside = {box.name: box for box in boxes(source, meta.start + 4, meta.end)}
    if b"mdat" not in top and b"idat" not in inside:
        raise source.truncated()
    sizes = [check_size(source, *size) for size in _sizes(source, inside.get(b"iprp"))]
    if not sizes:
        raise source.damaged(SIZE_ENTRY)
    return Structure(PhotoFormat.HEIC, max(sizes, key=lambda size: size[0] * size[1]))


def _sizes(source: ByteSource, iprp: Box | None) -> Iterator[tuple[int, int]]:
    """Yield what the ``ispe`` properties of all pictures claim."""
    properties = boxes(source, iprp.start, iprp.end) if iprp else ()
    for box in properties:
        if box.name != b"ipco":
            continue
        for item in boxes(source, box.start, box.end):
            if item.name == b"ispe":
                data = source.read(item.start, 12)
                yield int.from_bytes(data[4:8], "big"), int.from_bytes(data[8:], "big")


def boxes(source: ByteSource, start: int, end: int) -> Iterator[Box]:
    """Yield the boxes between two places.

    Parameters
    ----------
    source : ByteSource
    start, end : int
        Bytes from the start of the file.

    Yields
    ------
    Box

    Raises
    ------
    UnreadablePhoto
        If one reaches beyond `end`.
    """
    offset = start
    for _ in range(MAX_PARTS):
        if offset + 8 > end:
            return
        head = source.read(offset, 8)
        length, content = int.from_bytes(head[:4], "big"), offset + 8
        if length == 1:  # a 64-bit length follows
            length, content = (
                int.from_bytes(source.read(content, 8), "big"),
                offset + 16,
            )
        elif length == 0:  # up to the end
            length = end - offset
        if length < content - offset:
            raise source.damaged(HEADER)
        if offset + length > end:
            raise source.truncated()
        yield Box(head[4:], content, offset + length)
        offset += length
    raise source.damaged(HEADER)
