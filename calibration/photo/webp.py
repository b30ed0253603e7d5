"""Walk through a WEBP file, RFC 9649."""

from collections.abc import Iterator

from calibration.photo.limits import MAX_EXIF_BYTES, MAX_PARTS
from calibration.photo.source import HEADER, SAVE_AS_JPEG, ByteSource
from calibration.photo.structure import PhotoFormat, Structure, check_size

_EXIF_MARK = b"Exif\x00\x00"
_ANIMATED = 0x02
_FIRST_CHUNK = 12


def scan_webp(source: ByteSource) -> Structure:
    """Check that the container and its chunks are inside the file.

    Parameters
    ----------
    source : ByteSource
        Starts with the WEBP mark.

    Returns
    -------
    Structure
        With the ``EXIF`` chunk; one beyond the limit counts as absent.

    Raises
    ------
    UnreadablePhoto
        If the file is cut off, contradicts itself, is animated or too large.
    """
    sizes: list[tuple[int, int]] = []
    exif, pictures = b"", 0
    for name, start, length in _chunks(source):
        if name in _SIZE_READERS:
            width, height = _SIZE_READERS[name](source, start, length)
            sizes.append(check_size(source, width, height))
            pictures += name != b"VP8X"
        elif name == b"EXIF" and length <= MAX_EXIF_BYTES:
            # The mark does not belong here, yet some programs write it.
            exif = source.read(start, length).removeprefix(_EXIF_MARK)
    if pictures != 1 or len(set(sizes)) != 1:
        raise source.damaged(HEADER)
    return Structure(PhotoFormat.WEBP, sizes[0], exif)


def _chunks(source: ByteSource) -> Iterator[tuple[bytes, int, int]]:
    end = int.from_bytes(source.read(4, 4), "little") + 8
    if end > source.size:
        raise source.truncated()
    offset = _FIRST_CHUNK
    for _ in range(MAX_PARTS):
        if offset + 8 > end:
            return
        head = source.read(offset, 8)
        length = int.from_bytes(head[4:], "little")
        if offset + 8 + length > end:
            raise source.damaged(HEADER)
        yield head[:4], offset + 8, length
        offset += 8 + length + length % 2
    raise source.damaged(HEADER)


def _canvas(source: ByteSource, start: int, length: int) -> tuple[int, int]:
    if length < 10:
        raise source.damaged(HEADER)
    data = source.read(start, 10)
    if data[0] & _ANIMATED:
        what = "this is an animation"
        raise source.refusal(what, SAVE_AS_JPEG)
    width, height = (int.from_bytes(data[i : i + 3], "little") + 1 for i in (4, 7))
    return width, height


def _lossy(source: ByteSource, start: int, length: int) -> tuple[int, int]:
    data = source.read(start, 10) if length >= 10 else b""
    if data[3:6] != b"\x9d\x01\x2a":
        raise source.damaged(HEADER)
    width, height = (int.from_bytes(data[i : i + 2], "little") for i in (6, 8))
    return width & 0x3FFF, height & 0x3FFF


def _lossless(source: ByteSource, start: int, length: int) -> tuple[int, int]:
    data = source.read(start, 5) if length >= 5 else b""
    if data[:1] != b"\x2f":
        raise source.damaged(HEADER)
    bits = int.from_bytes(data[1:], "little")
    return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1


_SIZE_READERS = {b"VP8X": _canvas, b"VP8 ": _lossy, b"VP8L": _lossless}
