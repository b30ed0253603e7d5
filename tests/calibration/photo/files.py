"""Picture files made on the spot: every format, any EXIF tag, and bombs."""

import io
import struct
import zlib
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pillow_heif
from PIL import Image

ENCODERS = {
    "JPEG": {"format": "JPEG", "quality": 95, "subsampling": 0},
    "progressive JPEG": {"format": "JPEG", "quality": 95, "progressive": True},
    "PNG": {"format": "PNG"},
    "WEBP": {"format": "WEBP", "lossless": True},
    "lossy WEBP": {"format": "WEBP", "quality": 90},
    "TIFF": {"format": "TIFF"},
    "packed TIFF": {"format": "TIFF", "compression": "tiff_lzw"},
}
LOSSLESS = ("PNG", "WEBP", "TIFF", "packed TIFF")
FORMATS = (*ENCODERS, "HEIC")

SHORT, LONG, RATIONAL, ASCII = 3, 4, 5, 2
_PACK = {1: "B", SHORT: "H", LONG: "I", RATIONAL: "2I", 9: "i", 11: "f", 12: "d"}

ORIENTATION = 274
EXIF_IFD, GPS_IFD = 34665, 34853
FOCAL, F35, ZOOM = 37386, 41989, 41988
WIDTH, HEIGHT = 40962, 40963
PLANE_X, PLANE_Y, PLANE_UNIT = 41486, 41487, 41488

Field = tuple[int, object]


def scene(width: int = 48, height: int = 32) -> np.ndarray:
    """Return an RGB picture without any symmetry, smooth enough for lossy formats."""
    x, y = np.meshgrid(np.linspace(0, 1, width), np.linspace(0, 1, height))
    layers = (40 + 200 * x, 40 + 200 * y, 220 - 150 * x * y)
    return np.stack(layers, axis=-1).round().astype(np.uint8)


def encode(pixels: np.ndarray | Image.Image, kind: str, exif: bytes = b"") -> bytes:
    """Return the bytes of a picture file; `exif` is a block without its mark."""
    image = pixels if isinstance(pixels, Image.Image) else Image.fromarray(pixels)
    file = io.BytesIO()
    marked = b"Exif\x00\x00" + exif if exif else None
    if kind == "HEIC":
        heif = pillow_heif.from_pillow(image)
        heif.save(file, quality=-1, chroma=444, exif=marked)
    else:
        options = dict(ENCODERS[kind])
        if marked and "TIFF" in kind:
            tags = Image.Exif()
            tags.load(marked)
            if kind == "packed TIFF":
                tags.pop(EXIF_IFD, None)  # Pillow cannot write both
            options["exif"] = tags
        elif marked:
            options["exif"] = marked
        image.save(file, **options)
    return file.getvalue()


def exif_block(
    first: Mapping[int, Field] | None = None,
    second: Mapping[int, Field] | None = None,
    order: str = "<",
) -> bytes:
    """Return an EXIF block from ``{tag: (type, value)}`` of both directories.

    A value is a number, a pair for a fraction, or bytes; the type is written as given,
    right or wrong.
    """
    first = dict(first or {})
    if second is not None:
        first[EXIF_IFD] = (LONG, 0)
    start = 8
    body, data_at = _directory(first, start, order)
    if second is not None:
        first[EXIF_IFD] = (LONG, data_at)
        body = _directory(first, start, order)[0]
        body += _directory(second, data_at, order)[0]
    mark = b"II*\x00" if order == "<" else b"MM\x00*"
    return mark + struct.pack(f"{order}I", start) + body


def _directory(fields: Mapping[int, Field], start: int, order: str) -> tuple[bytes, int]:
    data_at = start + 2 + 12 * len(fields) + 4
    table, data = struct.pack(f"{order}H", len(fields)), b""
    for tag, (kind, value) in sorted(fields.items()):
        raw, count = _raw(kind, value, order)
        if len(raw) <= 4:
            place = raw.ljust(4, b"\x00")
        else:
            place = struct.pack(f"{order}I", data_at + len(data))
            data += raw
        table += struct.pack(f"{order}HHI", tag, kind, count) + place
    return table + b"\x00" * 4 + data, data_at + len(data)


def _raw(kind: int, value: object, order: str) -> tuple[bytes, int]:
    if isinstance(value, bytes):
        return value, len(value)
    numbers = value if isinstance(value, tuple) else (value,)
    return struct.pack(order + _PACK[kind], *numbers), 1


def camera_exif(
    focal_35mm: int = 28, size: tuple[int, int] = (4000, 3000), orientation: int = 1
) -> bytes:
    """Return the block of a made-up phone."""
    return exif_block(
        {271: (ASCII, b"Maker\x00"), 272: (ASCII, b"One\x00"),
         ORIENTATION: (SHORT, orientation)},
        {FOCAL: (RATIONAL, (42, 10)), F35: (SHORT, focal_35mm),
         WIDTH: (LONG, size[0]), HEIGHT: (LONG, size[1])},
    )  # fmt: skip


def crowded_directory(entries: int, length: int) -> bytes:
    """Return a block in which every entry claims the same long value."""
    table = struct.pack("<H", entries)
    for tag in range(entries):
        table += struct.pack("<HHII", tag + 1, 7, length, 8)
    return (b"II*\x00" + struct.pack("<I", 8) + table).ljust(length + 8, b"\x00")


def chunk(name: bytes, data: bytes) -> bytes:
    """Return a PNG chunk."""
    checksum = zlib.crc32(name + data)
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", checksum)


def flat_png(width: int, height: int) -> bytes:
    """Return a black PNG of one bit a pixel: a bomb, if it is large."""
    packer = zlib.compressobj(9)
    row = b"\x00" * (1 + (width + 7) // 8)
    packed = [packer.compress(row * 100) for _ in range(height // 100)]
    packed += [packer.compress(row * (height % 100)), packer.flush()]
    header = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    parts = (
        chunk(b"IHDR", header),
        chunk(b"IDAT", b"".join(packed)),
        chunk(b"IEND", b""),
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def sized(data: bytes, kind: str, width: int, height: int) -> bytes:
    """Return a file whose header claims another size."""
    changed = bytearray(data)
    if kind == "JPEG":
        at = data.index(b"\xff\xc0") + 5
        changed[at : at + 4] = struct.pack(">HH", height, width)
    elif kind == "PNG":
        header = struct.pack(">II", width, height) + data[24:29]
        changed[8:33] = chunk(b"IHDR", header)
    elif kind == "WEBP":
        at = data.index(b"VP8L") + 9
        kept = struct.unpack("<I", data[at : at + 4])[0] >> 28 << 28
        bits = kept | (height - 1) << 14 | (width - 1)
        changed[at : at + 4] = struct.pack("<I", bits)
    elif kind == "HEIC":
        at = data.index(b"ispe") + 8
        changed[at : at + 8] = struct.pack(">II", width, height)
    elif kind == "TIFF":
        for tag, value in ((256, width), (257, height)):
            at = data.index(struct.pack("<HHI", tag, LONG, 1)) + 8
            changed[at : at + 4] = struct.pack("<I", value)
    return bytes(changed)


def write(folder: Path, data: bytes, name: str = "photo.bin") -> Path:
    """Write a file and return its path."""
    path = folder / name
    path.write_bytes(data)
    return path
