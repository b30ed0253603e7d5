"""Walk through a PNG file, W3C PNG (third edition) section 5."""

from collections.abc import Iterator

from calibration.photo.limits import MAX_EXIF_BYTES, MAX_PARTS
from calibration.photo.source import HEADER, ByteSource
from calibration.photo.structure import PhotoFormat, Structure, check_size

_NO_DATA = "its picture data, which are missing"
_MARK_BYTES = 8
_AROUND = 12  # length, name and checksum of a chunk
_HEADER_BYTES = 13


def scan_png(source: ByteSource) -> Structure:
    """Check that every chunk up to ``IEND`` is inside the file.

    Parameters
    ----------
    source : ByteSource
        Starts with the PNG mark.

    Returns
    -------
    Structure
        With the ``eXIf`` chunk; one beyond the limit counts as absent.

    Raises
    ------
    UnreadablePhoto
        If the file is cut off, contradicts itself or is too large.
    """
    chunks = _chunks(source)
    name, start, length = next(chunks)
    if name != b"IHDR" or length != _HEADER_BYTES:
        raise source.damaged(HEADER)
    sides = source.read(start, 8)
    width, height = (int.from_bytes(sides[i : i + 4], "big") for i in (0, 4))
    size = check_size(source, width, height)
    exif, has_data = b"", False
    for name, start, length in chunks:
        has_data |= name == b"IDAT"
        if name == b"eXIf" and length <= MAX_EXIF_BYTES:
            exif = source.read(start, length)
        elif name == b"IHDR":
            raise source.damaged(HEADER)
    if not has_data:
        raise source.damaged(_NO_DATA)
    return Structure(PhotoFormat.PNG, size, exif)


def _chunks(source: ByteSource) -> Iterator[tuple[bytes, int, int]]:
    """Yield name, payload offset and payload length up to the end mark."""
    offset = _MARK_BYTES
    for _ in range(MAX_PARTS):
        head = source.read(offset, 8)
        length, name = int.from_bytes(head[:4], "big"), head[4:]
        if offset + _AROUND + length > source.size:
            raise source.truncated()
        yield name, offset + 8, length
        if name == b"IEND":
            return
        offset += _AROUND + length
    raise source.damaged(HEADER)
