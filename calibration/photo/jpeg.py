"""Walk through a JPEG file, ISO/IEC 10918-1 annex B."""

from collections.abc import Iterator

from calibration.photo.limits import MAX_PARTS, MAX_PROGRESSIVE_SCANS
from calibration.photo.source import HEADER, SAVE_AS_JPEG, SIZE_ENTRY, ByteSource
from calibration.photo.structure import PhotoFormat, Structure, check_size

_EXIF_MARK = b"Exif\x00\x00"
_APP1, _SCAN, _END = 0xE1, 0xDA, b"\xff\xd9"
_ALONE = {0x01, *range(0xD0, 0xD9)}  # markers without a length (table B.1)
_FRAMES = set(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}  # C4, C8, CC are tables
_PROGRESSIVE = {0xC2, 0xC6, 0xCA, 0xCE}
_WINDOW = 1 << 16


def scan_jpeg(source: ByteSource) -> Structure:
    """Check that the first picture of the file is whole and read its header.

    Bytes after the end mark are tolerated: phones append depth maps, second pictures
    and short films there.

    Parameters
    ----------
    source : ByteSource
        Starts with the JPEG mark.

    Returns
    -------
    Structure
        With the first EXIF block.

    Raises
    ------
    UnreadablePhoto
        If the file is cut off, contradicts itself or is too large.
    """
    frame, exif, scan_at = None, b"", 0
    for marker, start, length in _segments(source):
        if marker in _FRAMES:
            if frame is not None or length < 6:
                raise source.damaged(SIZE_ENTRY)
            frame = marker, source.read(start, 5)
        elif marker == _APP1 and not exif:
            exif = _exif(source, start, length)
        scan_at = start + length
    if frame is None:
        raise source.damaged(SIZE_ENTRY)
    height, width = (int.from_bytes(frame[1][i : i + 2], "big") for i in (1, 3))
    size = check_size(source, width, height)
    if not _has_end_after(source, scan_at):
        raise source.truncated()
    if frame[0] in _PROGRESSIVE:
        _refuse_many_scans(source, scan_at)
    return Structure(PhotoFormat.JPEG, size, exif)


def _segments(source: ByteSource) -> Iterator[tuple[int, int, int]]:
    """Yield marker, payload offset and payload length up to the first scan."""
    offset = 2
    for _ in range(MAX_PARTS):
        prefix, marker = source.read(offset, 2)
        if prefix != 0xFF or marker == 0:
            raise source.damaged(HEADER)
        if marker == 0xFF:  # fill bytes are allowed before a marker (B.1.1.2)
            offset += 1
            continue
        offset += 2
        if marker in _ALONE:
            continue
        length = int.from_bytes(source.read(offset, 2), "big")
        if length < 2 or offset + length > source.size:
            raise source.damaged(HEADER) if length < 2 else source.truncated()
        yield marker, offset + 2, length - 2
        if marker == _SCAN:
            return
        offset += length
    raise source.damaged(HEADER)


def _exif(source: ByteSource, start: int, length: int) -> bytes:
    if length <= len(_EXIF_MARK):
        return b""
    data = source.read(start, length)
    return data[len(_EXIF_MARK) :] if data.startswith(_EXIF_MARK) else b""


def _has_end_after(source: ByteSource, start: int) -> bool:
    """Tell whether an end mark follows the scan; coded data cannot contain it."""
    stop = source.size
    while stop > start:
        begin = max(start, stop - _WINDOW)
        # One byte of overlap, for a mark that lies across two windows.
        if _END in source.read(begin, min(stop + 1, source.size) - begin):
            return True
        stop = begin
    return False


def _refuse_many_scans(source: ByteSource, start: int) -> None:
    scans, last = 1, b""
    for begin in range(start, source.size, _WINDOW):
        window = last + source.read(begin, min(_WINDOW, source.size - begin))
        scans += window.count(b"\xff\xda")
        last = window[-1:]
        if scans > MAX_PROGRESSIVE_SCANS:
            what = f"the JPEG has more than {MAX_PROGRESSIVE_SCANS} passes"
            raise source.refusal(what, SAVE_AS_JPEG)
