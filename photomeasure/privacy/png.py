"""Copy a PNG's picture without what stands beside it, W3C PNG (third edition)."""

import zlib
from collections.abc import Iterator
from io import BytesIO
from typing import Final

from calibration.photo.limits import MAX_EXIF_BYTES
from calibration.photo.source import ByteSource
from photomeasure.privacy.exif import kept_block

_MARK_BYTES: Final = 8

_KEPT: Final = frozenset(
    {b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"bKGD", b"pHYs", b"sBIT"}
    | {b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"cICP", b"mDCV", b"cLLI"}
)
"""What the picture is made of and how its colours are meant."""


def cleaned_png(source: ByteSource) -> bytes:
    """Return a PNG with the chunks that may stay.

    Parameters
    ----------
    source : ByteSource
        Passed :func:`calibration.photo.sniff.examine`.

    Returns
    -------
    bytes
    """
    chunks = list(_chunks(source))
    blocks = [
        content[8:-4]
        for name, content in chunks
        if name == b"eXIf" and len(content) - 12 <= MAX_EXIF_BYTES
    ]
    exif = blocks[-1] if blocks else b""  # as the header is read
    block = kept_block(ByteSource(BytesIO(exif), len(exif), source.name))
    parts = [source.read(0, _MARK_BYTES)]
    for name, content in chunks:
        if name in _KEPT:
            parts.append(content)
        if name == b"IHDR" and block:
            parts.append(_chunk(b"eXIf", block))
    return b"".join(parts)


def _chunks(source: ByteSource) -> Iterator[tuple[bytes, bytes]]:
    """Yield name and whole chunk up to the end mark."""
    at = _MARK_BYTES
    while True:
        head = source.read(at, 8)
        length, name = int.from_bytes(head[:4], "big"), head[4:]
        yield name, source.read(at, length + 12)
        if name == b"IEND":
            return
        at += length + 12


def _chunk(name: bytes, content: bytes) -> bytes:
    checksum = zlib.crc32(name + content).to_bytes(4, "big")
    return len(content).to_bytes(4, "big") + name + content + checksum
