"""A stored copy tells how to measure it and nothing about who lives there."""

import io
import struct
from dataclasses import replace
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from PIL import Image

from calibration.errors import UnreadablePhoto
from calibration.photo import focal_prior, load_upright, read_header
from photomeasure.privacy import cleaned_photo, whole_photo
from tests.calibration.photo.files import (
    ASCII,
    F35,
    FOCAL,
    FORMATS,
    GPS_IFD,
    HEIGHT,
    LONG,
    ORIENTATION,
    RATIONAL,
    SHORT,
    WIDTH,
    chunk,
    encode,
    exif_block,
    scene,
    write,
)

SECRET = b"S3CRET-"
"""Every note that may not stay begins with it."""

SAMPLES = Path(__file__).parents[3] / "sample_images"


def telling_exif(orientation: int = 6, order: str = "<", kind: str = "") -> bytes:
    """Return a block with place, serial numbers, owner and maker's note."""
    notes = {
        305: b"software", 315: b"artist", 33432: b"rights", 700: b"packet",
        270: b"title", 42032: b"owner",
    }  # fmt: skip
    second = {
        FOCAL: (RATIONAL, (42, 10)), F35: (SHORT, 28), WIDTH: (LONG, 48),
        HEIGHT: (LONG, 32),
        36867: (ASCII, b"2024:05:01 10:00:00\x00"), 37500: (7, SECRET + b"maker note"),
        37510: (7, SECRET + b"comment"), 42016: (ASCII, SECRET + b"picture id"),
        42033: (ASCII, SECRET + b"body serial"), 42037: (ASCII, SECRET + b"lens serial"),
    }  # fmt: skip
    first = {271: (ASCII, b"Maker\x00"), 272: (ASCII, b"One\x00"),
             ORIENTATION: (SHORT, orientation), GPS_IFD: (LONG, 8)}  # fmt: skip
    if "TIFF" in kind:  # which Pillow writes with tags it knows alone
        del first[GPS_IFD], notes[700], notes[42032]
    first |= {tag: (ASCII, SECRET + word) for tag, word in notes.items()}
    return exif_block(first, second, order) + SECRET + b"place behind the last value"


def telling(kind: str, order: str = "<") -> bytes:
    """Return a picture file with secrets wherever its format has room for them."""
    data = encode(scene(), kind, telling_exif(order=order, kind=kind))
    return _ADD[kind.rsplit(maxsplit=1)[-1]](data)


def _jpeg(data: bytes) -> bytes:
    notes = (
        (0xE1, b"http://ns.adobe.com/xap/1.0/\x00" + SECRET),
        (0xED, b"Photoshop 3.0\x00" + SECRET),
        (0xE2, b"MPF\x00" + SECRET),
        (0xE0, b"JFXX\x00" + SECRET),
        (0xFE, SECRET + b"comment"),
        (0xEB, SECRET),
    )
    added = b"".join(
        bytes((0xFF, marker)) + struct.pack(">H", len(text) + 2) + text
        for marker, text in notes
    )
    second = encode(scene(), "JPEG", telling_exif())
    return data[:2] + added + data[2:] + second + SECRET


def _png(data: bytes) -> bytes:
    added = chunk(b"iTXt", b"key\x00\x00\x00\x00\x00" + SECRET)
    for name in (b"tEXt", b"prVt", b"tIME"):
        added += chunk(name, b"key\x00" + SECRET)
    return data[:33] + added + data[33:] + SECRET


def _webp(data: bytes) -> bytes:
    body = data[12:]
    text = SECRET + b"packet"
    for name in (b"XMP ", b"NOTE"):
        body += name + struct.pack("<I", len(text)) + text + b"\x00" * (len(text) % 2)
    body = bytearray(body)
    body[8] |= 0x04
    return b"RIFF" + struct.pack("<I", len(body) + 4) + b"WEBP" + bytes(body) + SECRET


def _heic(_: bytes) -> bytes:
    file = io.BytesIO()
    heif = pillow_heif.from_pillow(Image.fromarray(scene()))
    heif.save(
        file,
        quality=-1,
        chroma=444,
        exif=b"Exif\x00\x00" + telling_exif(),
        xmp=b"<x>" + SECRET + b"</x>",
    )
    made = file.getvalue()
    for name in (b"uuid", b"free", b"udta"):
        made += struct.pack(">I", 8 + len(SECRET)) + name + SECRET
    return made


def _tiff(data: bytes) -> bytes:
    return data + SECRET


_ADD = {"TIFF": _tiff, "JPEG": _jpeg, "PNG": _png, "WEBP": _webp, "HEIC": _heic}


@pytest.mark.parametrize("kind", FORMATS)
def test_secrets_go_and_the_picture_stays(kind, tmp_path):
    """No secret is left; every pixel, the lens and the orientation are the same."""
    path = write(tmp_path, telling(kind))
    assert SECRET in path.read_bytes()
    cleaned = write(tmp_path, cleaned_photo(path), "cleaned.bin")

    assert SECRET not in cleaned.read_bytes()
    np.testing.assert_array_equal(load_upright(cleaned), load_upright(path))
    before, after = read_header(path), read_header(cleaned)
    assert replace(after, path=path) == before
    assert before.lens.camera_key
    prior = focal_prior(before)
    assert (prior is None) == (kind == "packed TIFF")  # Pillow writes it no such tags
    assert focal_prior(after) == prior


@pytest.mark.parametrize("kind", FORMATS)
def test_cleaning_twice_changes_nothing(kind, tmp_path):
    """So a job that travels keeps the hashes of its photos."""
    once = cleaned_photo(write(tmp_path, telling(kind)))

    assert cleaned_photo(write(tmp_path, once)) == once


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIC"])
def test_either_byte_order_keeps_the_lens(kind, order, tmp_path):
    """Cameras write both."""
    path = write(tmp_path, encode(scene(), kind, telling_exif(order=order)))
    cleaned = write(tmp_path, cleaned_photo(path), "cleaned.bin")

    assert SECRET not in cleaned.read_bytes()
    assert focal_prior(read_header(cleaned)) == focal_prior(read_header(path))


@pytest.mark.parametrize("kind", FORMATS)
def test_a_photo_without_notes(kind, tmp_path):
    """There is nothing to keep and nothing is invented."""
    path = write(tmp_path, encode(scene(), kind))
    cleaned = write(tmp_path, cleaned_photo(path), "cleaned.bin")

    np.testing.assert_array_equal(load_upright(cleaned), load_upright(path))
    assert replace(read_header(cleaned), path=path) == read_header(path)


def test_the_time_stays(tmp_path):
    """When a photo was taken belongs to the job."""
    cleaned = cleaned_photo(write(tmp_path, telling("JPEG")))

    assert b"2024:05:01 10:00:00" in cleaned


@pytest.mark.parametrize("name", ["front.jpg", "gable.jpg", "front-messenger.jpg"])
def test_the_sample_photos_measure_the_same(name, tmp_path):
    """A phone-sized file: coded picture and lens are as they were."""
    path = SAMPLES / name
    cleaned = write(tmp_path, cleaned_photo(path), "cleaned.jpg")

    np.testing.assert_array_equal(load_upright(cleaned), load_upright(path))
    assert focal_prior(read_header(cleaned)) == focal_prior(read_header(path))


def test_a_photo_can_be_kept_whole(tmp_path):
    """Who asks for it keeps every byte."""
    data = telling("JPEG")

    assert whole_photo(write(tmp_path, data)) == data


def test_damaged_notes_are_left_out(tmp_path):
    """A block that leads outside itself loses only what cannot be read."""
    exif = bytearray(telling_exif())
    at = exif.index(struct.pack("<HHI", FOCAL, RATIONAL, 1)) + 8
    exif[at : at + 4] = struct.pack("<I", 2**31)
    path = write(tmp_path, encode(scene(), "JPEG", bytes(exif)))
    cleaned = write(tmp_path, cleaned_photo(path), "cleaned.bin")

    assert SECRET not in cleaned.read_bytes()
    assert read_header(cleaned).lens == read_header(path).lens


MUTANTS = 120
"""Of each format; each is one change of a valid file."""


@pytest.mark.parametrize("kind", FORMATS)
def test_damaged_files_are_cleaned_or_refused(kind, tmp_path, tell):
    """No damage makes the cleaner crash, run on, or let a secret's file differ."""
    whole = telling(kind)
    draw = np.random.default_rng(7)
    cleaned = refused = 0
    for _ in range(MUTANTS):
        data = bytearray(whole)
        for at in draw.integers(0, len(data), 3):
            data[at] = draw.integers(0, 256)
        path = write(tmp_path, bytes(data))
        try:
            copy = write(tmp_path, cleaned_photo(path), "cleaned.bin")
        except UnreadablePhoto:
            refused += 1
            continue
        cleaned += 1
        assert replace(read_header(copy), path=path, advice=()) == replace(
            read_header(path), advice=()
        )
    tell(f"damaged {kind} photos: {cleaned} cleaned, {refused} refused, no other end")

    assert cleaned + refused == MUTANTS
    assert cleaned
