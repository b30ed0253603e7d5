"""Damage in the skeleton of each format, one place at a time."""

import io

import numpy as np
import pytest

from calibration.errors import UnreadablePhoto
from calibration.photo import limits, load_upright
from calibration.photo.decoder import decoding
from calibration.photo.sniff import examine
from calibration.photo.source import ByteSource
from calibration.photo.structure import PhotoFormat
from tests.calibration.photo.files import (
    LONG,
    RATIONAL,
    SHORT,
    chunk,
    encode,
    exif_block,
    scene,
    write,
)

JPEG, PNG, WEBP, HEIC = (encode(scene(), kind) for kind in ("JPEG", "PNG", "WEBP", "HEIC"))
LOSSY = encode(scene(), "lossy WEBP")
TILE = np.arange(256, dtype=np.uint8).tobytes()


def source(data: bytes) -> ByteSource:
    return ByteSource(io.BytesIO(data), len(data), "made up")


def tiff(**changed) -> bytes:
    """Return a grey TIFF of one tile of 16 x 16, some tags changed or left out."""
    fields = {
        "t256": (SHORT, 16), "t257": (SHORT, 16), "t258": (SHORT, 8),
        "t259": (SHORT, 1), "t262": (SHORT, 1), "t322": (SHORT, 16),
        "t323": (SHORT, 16), "t324": (LONG, 122), "t325": (LONG, 256), **changed,
    }  # fmt: skip
    kept = {int(name[1:]): field for name, field in fields.items() if field}
    return exif_block(kept) + TILE


def boxed(name: bytes, content: bytes, length: int | None = None) -> bytes:
    size = len(content) + 8 if length is None else length
    return size.to_bytes(4, "big") + name + content


def test_a_tiled_tiff_is_read(tmp_path):
    """Tiles instead of strips."""
    data = tiff()
    assert len(data) == 122 + 256

    pixels = load_upright(write(tmp_path, data))

    assert pixels[:, :, 0].tobytes() == TILE


def test_old_tiffs_without_lengths_are_read():
    """Lengths may be missing where nothing is packed."""
    assert examine(source(tiff(t325=None))).size_px == (16, 16)


@pytest.mark.parametrize(
    "data",
    [
        tiff(t324=None),
        tiff(t324=(RATIONAL, (1, 1))),
        tiff(t256=None),
        tiff(t256=(RATIONAL, (16, 1))),
        tiff(t322=None),
        tiff(t322=(LONG, 60_000), t323=(LONG, 60_000)),
        tiff(t324=(LONG, 200)),
        tiff(t325=(LONG, 2**32 - 1)),
        JPEG[:20] + b"\x00" + JPEG[20:],
        JPEG[:2] + b"\xff\xe5\x00\x01" + JPEG[2:],
        JPEG[:2] + b"\xff\xe5\xff\xff",
        JPEG[: JPEG.index(b"\xff\xc0")] + JPEG[JPEG.index(b"\xff\xc4") :],
        JPEG[:2] + b"\xff\xc0\x00\x04\x08\x08" + JPEG[2:],
        PNG[:8] + chunk(b"IDAT", b"") + PNG[8:],
        PNG[:8] + chunk(b"IHDR", b"short") + PNG[33:],
        PNG[:33] + PNG[8:],
        PNG[:33] + chunk(b"IEND", b""),
        WEBP.replace(b"VP8L", b"VP8M"),
        WEBP[:20] + b"\x00" + WEBP[21:],
        WEBP[:16] + b"\xff\xff\xff\x00" + WEBP[20:],
        LOSSY[:23] + b"\x00" + LOSSY[24:],
        b"RIFF\x0e\x00\x00\x00WEBPVP8X\x02\x00\x00\x00ab",
        HEIC.replace(b"meta", b"mate"),
        HEIC.replace(b"mdat", b"mate"),
        HEIC.replace(b"ispe", b"ispf"),
        HEIC.replace(b"iprp", b"iprq"),
        HEIC.replace(b"meta", b"mate") + boxed(b"free", b"", 4),
        HEIC + boxed(b"free", b"", 99),
        HEIC + boxed(b"free", (7).to_bytes(8, "big"), 1),
    ],
)
def test_damage_is_refused_by_structure_alone(data):
    """No decoder is asked."""
    with pytest.raises(UnreadablePhoto, match=r"damaged in|cut off|no pixels|more than"):
        examine(source(data))


@pytest.mark.parametrize(
    "data",
    [
        JPEG[:2] + b"\xff\xd0" + JPEG[2:],  # a marker that stands alone
        PNG + b"anything",
        WEBP + b"anything",
        HEIC + b"tail",
        HEIC + boxed(b"free", (17).to_bytes(8, "big") + b"x", 1),
        HEIC + boxed(b"free", b"up to the end", 0),
    ],
)
def test_what_the_standards_allow_is_read(data, tmp_path):
    """Odd but whole."""
    assert load_upright(write(tmp_path, data)).shape == (32, 48, 3)


def test_endless_boxes_and_chunks_are_refused():
    """Empty parts only, as many as fit."""
    boxes = HEIC + boxed(b"free", b"") * limits.MAX_PARTS
    parts = b"none\x00\x00\x00\x00" * (limits.MAX_PARTS + 1)
    riff = b"RIFF" + (len(parts) + 4).to_bytes(4, "little") + b"WEBP" + parts

    for data in (boxes, riff):
        with pytest.raises(UnreadablePhoto, match="damaged in its header"):
            examine(source(data))


def test_two_readers_must_agree(tmp_path, monkeypatch):
    """If the decoder sees another size, one of the two is being fooled."""
    path = write(tmp_path, PNG)
    fooled = examine(source(encode(scene(20, 10), "PNG")))
    monkeypatch.setattr("calibration.photo.header.examine", lambda _: fooled)

    with pytest.raises(UnreadablePhoto, match="damaged in its size entry"):
        load_upright(path)


def test_lack_of_memory_is_said():
    """A 200-megapixel photo needs more than a gigabyte."""
    with (
        pytest.raises(UnreadablePhoto, match="not enough memory"),
        decoding(source(b"x")),
    ):
        raise MemoryError


def test_the_formats_are_a_closed_list():
    """Whoever adds one has to write its checks."""
    assert list(PhotoFormat) == ["JPEG", "PNG", "WEBP", "TIFF", "HEIC"]


def test_a_file_that_shrinks_meanwhile_is_refused():
    """The length was taken when the file was opened."""
    shrunk = ByteSource(io.BytesIO(PNG[:20]), len(PNG), "made up")

    with pytest.raises(UnreadablePhoto, match="cut off"):
        examine(shrunk)
