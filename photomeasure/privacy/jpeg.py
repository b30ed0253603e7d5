"""Copy a JPEG's picture without what stands beside it, ISO/IEC 10918-1 annex B."""

import re
from collections.abc import Iterator
from io import BytesIO
from typing import Final

from calibration.photo.source import HEADER, ByteSource
from photomeasure.privacy.exif import kept_block

_EXIF: Final = b"Exif\x00\x00"
_SCAN, _END, _COMMENT = 0xDA, 0xD9, 0xFE
_ALONE: Final = {0x01, *range(0xD0, 0xD8)}
_NOTES: Final = {*range(0xE0, 0xF0), _COMMENT}
_KEPT_NOTES: Final = {
    0xE0: b"JFIF\x00",
    0xE2: b"ICC_PROFILE\x00",
    0xEE: b"Adobe",  # how colours are coded
}

_NEXT: Final = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")
"""Where coded data end: a marker that is neither filled in nor a restart (B.1.1.5)."""

_JFIF_BYTES: Final = 12
"""Up to the sizes of a thumbnail."""


def cleaned_jpeg(source: ByteSource) -> bytes:
    """Return the first picture of a JPEG file with the notes that may stay.

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
        If its parts do not end inside the file.
    """
    data = source.read(0, source.size)
    exif, parts = b"", []
    for marker, payload, coded in _parts(source, data):
        if marker == 0xE1 and payload.startswith(_EXIF) and not exif:
            exif = payload.removeprefix(_EXIF)
        if marker not in _NOTES:
            parts.append(_segment(marker, payload) + coded)
        elif payload.startswith(_KEPT_NOTES.get(marker, b"\x00never")):
            parts.append(_segment(marker, _without_thumbnail(marker, payload)))
    block = kept_block(ByteSource(BytesIO(exif), len(exif), source.name))
    head = _segment(0xE1, _EXIF + block) if block else b""
    return b"\xff\xd8" + head + b"".join(parts) + b"\xff\xd9"


def _segment(marker: int, payload: bytes) -> bytes:
    if marker in _ALONE:
        return bytes((0xFF, marker))
    return bytes((0xFF, marker)) + (len(payload) + 2).to_bytes(2, "big") + payload


def _without_thumbnail(marker: int, payload: bytes) -> bytes:
    return payload[:_JFIF_BYTES] + b"\x00\x00" if marker == 0xE0 else payload


def _parts(source: ByteSource, data: bytes) -> Iterator[tuple[int, bytes, bytes]]:
    """Yield marker, payload and the coded data behind it, up to the end mark."""
    at = 2
    while at + 1 < len(data):
        marker = data[at + 1]
        if data[at] != 0xFF:
            raise source.damaged(HEADER)
        if marker == _END:
            return
        if marker == 0xFF:  # fill bytes are allowed before a marker (B.1.1.2)
            at += 1
            continue
        start = at + (2 if marker in _ALONE else 4)
        end = start if marker in _ALONE else _end_of_segment(source, data, at + 2)
        at = _end_of_scan(source, data, end) if marker == _SCAN else end
        yield marker, data[start:end], data[end:at]
    raise source.truncated()


def _end_of_segment(source: ByteSource, data: bytes, at: int) -> int:
    """Return where a segment ends whose length stands at a place."""
    length = int.from_bytes(data[at : at + 2], "big")
    if length < 2 or at + length > len(data):
        raise source.truncated()
    return at + length


def _end_of_scan(source: ByteSource, data: bytes, at: int) -> int:
    found = _NEXT.search(data, at)
    if found is None:
        raise source.truncated()
    return found.start()
