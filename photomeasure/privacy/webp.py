"""Copy a WebP's picture without what stands beside it, RFC 9649."""

from collections.abc import Iterator
from io import BytesIO
from typing import Final

from calibration.photo.limits import MAX_EXIF_BYTES
from calibration.photo.source import ByteSource
from photomeasure.privacy.exif import kept_block

_EXIF_MARK: Final = b"Exif\x00\x00"
_FIRST_CHUNK: Final = 12
_KEPT: Final = frozenset({b"VP8X", b"VP8 ", b"VP8L", b"ALPH", b"ICCP"})
_EXIF_FLAG, _XMP_FLAG = 0x08, 0x04


def cleaned_webp(source: ByteSource) -> bytes:
    """Return a WebP with the chunks that may stay.

    Parameters
    ----------
    source : ByteSource
        Passed :func:`calibration.photo.sniff.examine`.

    Returns
    -------
    bytes
    """
    exif, parts = b"", []
    for name, content in _chunks(source):
        if name == b"EXIF" and len(content) <= MAX_EXIF_BYTES:
            exif = content.removeprefix(_EXIF_MARK)  # the last, as the header is read
        elif name in _KEPT:
            parts.append((name, content))
    block = kept_block(ByteSource(BytesIO(exif), len(exif), source.name))
    if block:
        parts.append((b"EXIF", block))
    body = b"".join(
        _chunk(
            name, _flagged(content, has_exif=bool(block)) if name == b"VP8X" else content
        )
        for name, content in parts
    )
    return b"RIFF" + (len(body) + 4).to_bytes(4, "little") + b"WEBP" + body


def _flagged(canvas: bytes, *, has_exif: bool) -> bytes:
    """Return the extended header with true flags."""
    flags = canvas[0] & ~(_EXIF_FLAG | _XMP_FLAG) | (_EXIF_FLAG if has_exif else 0)
    return bytes((flags,)) + canvas[1:]


def _chunk(name: bytes, content: bytes) -> bytes:
    return name + len(content).to_bytes(4, "little") + content + bytes(len(content) % 2)


def _chunks(source: ByteSource) -> Iterator[tuple[bytes, bytes]]:
    end = int.from_bytes(source.read(4, 4), "little") + 8
    at = _FIRST_CHUNK
    while at + 8 <= end:
        head = source.read(at, 8)
        length = int.from_bytes(head[4:], "little")
        yield head[:4], source.read(at + 8, length)
        at += 8 + length + length % 2
