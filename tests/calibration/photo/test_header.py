"""What a header tells, and what it keeps to itself."""

import dataclasses
import io

import numpy as np
import pytest
from PIL import Image

from calibration.photo import PhotoFormat, focal_prior, load_upright, read_header
from tests.calibration.photo.files import (
    ASCII,
    FORMATS,
    GPS_IFD,
    LONG,
    ORIENTATION,
    RATIONAL,
    SHORT,
    camera_exif,
    encode,
    exif_block,
    scene,
    write,
)


@pytest.mark.parametrize("kind", [kind for kind in FORMATS if kind != "packed TIFF"])
def test_every_format_gives_size_and_lens(kind, tmp_path):
    """The same made-up phone is recognised in all formats."""
    path = write(tmp_path, encode(scene(), kind, camera_exif(26, (4032, 3024))))

    header = read_header(path)

    assert header.path == path
    assert header.format == kind.split()[-1]
    assert header.stored_size_px == header.upright_size_px == (48, 32)
    assert header.lens.focal_length_mm == pytest.approx(4.2)
    assert header.lens.focal_35mm == 26
    assert header.lens.exif_size_px == (4032, 3024)
    assert header.advice == ()


@pytest.mark.parametrize("kind", FORMATS)
def test_a_file_without_exif_is_fine(kind, tmp_path):
    """Stripped files give size and pixels, but no focal prior and no advice."""
    header = read_header(write(tmp_path, encode(scene(), kind)))

    assert header.orientation == 1
    assert not any(dataclasses.asdict(header.lens).values())
    assert header.advice == ()
    assert focal_prior(header) is None


def test_big_endian_blocks_are_read(tmp_path):
    """Both byte orders of EXIF occur."""
    block = exif_block({ORIENTATION: (SHORT, 8)}, {41989: (SHORT, 24)}, order=">")

    header = read_header(write(tmp_path, encode(scene(), "JPEG", block)))

    assert (header.orientation, header.lens.focal_35mm) == (8, 24)


def test_the_content_decides_and_not_the_name(tmp_path):
    """Phones write HEIC into files called .jpg."""
    path = write(tmp_path, encode(scene(), "HEIC"), "photo.jpg")

    assert read_header(path).format is PhotoFormat.HEIC


@pytest.mark.parametrize(
    ("field", "shown"),
    [
        ((SHORT, 0), "0"),
        ((SHORT, 9), "9"),
        ((SHORT, 65535), "65535"),
        ((ASCII, b"sideways\x00"), "'sideways'"),
        ((RATIONAL, (5, 2)), "2.5"),
    ],
)
def test_a_damaged_orientation_tag_is_advice(field, shown, tmp_path):
    """A picture lying on its side is seen; a refused one helps nobody."""
    path = write(tmp_path, encode(scene(), "JPEG", exif_block({ORIENTATION: field})))

    header = read_header(path)

    assert header.orientation == 1
    (advice,) = header.advice
    assert f"orientation tag says {shown} instead of 1 to 8" in advice
    assert np.array_equal(load_upright(path).shape, (32, 48, 3))


def test_a_whole_fraction_is_a_valid_orientation(tmp_path):
    """Some programs write 6/1."""
    block = exif_block({ORIENTATION: (RATIONAL, (6, 1))})

    header = read_header(write(tmp_path, encode(scene(), "JPEG", block)))

    assert (header.orientation, header.advice) == (6, ())


def test_places_are_not_kept(tmp_path):
    """Nothing of the position survives in the header."""
    place = exif_block({GPS_IFD: (LONG, 26)}, None)
    latitude = exif_block({2: (RATIONAL, (515123, 10000))})[8:]
    path = write(tmp_path, encode(scene(), "JPEG", place + latitude))

    header = read_header(path)

    assert "51" not in repr(header).replace(str(path), "")


def test_the_camera_key_tells_cameras_apart_without_naming_them(tmp_path):
    """Same make and model, same key; the words themselves are dropped."""
    keys = []
    for i, model in enumerate((b"One\x00", b"One\x00", b"Two\x00")):
        block = exif_block({271: (ASCII, b"Maker\x00"), 272: (ASCII, model)})
        path = write(tmp_path, encode(scene(), "PNG", block), f"{i}.png")
        keys.append(read_header(path).lens.camera_key)

    assert keys[0] == keys[1] != keys[2]
    assert not any(word in key for word in ("Maker", "One") for key in keys)


def test_a_multi_picture_file_is_its_first_picture(tmp_path):
    """Phones append depth or gain maps as further pictures."""
    file = io.BytesIO()
    first, second = Image.fromarray(scene()), Image.new("RGB", (8, 8))
    first.save(file, format="MPO", save_all=True, append_images=[second], quality=95)
    path = write(tmp_path, file.getvalue())

    assert read_header(path).format is PhotoFormat.JPEG
    assert load_upright(path).shape == (32, 48, 3)


@pytest.mark.parametrize("tail", [b"\x00" * 9, b"<html>", b"\xff\xd8\xff" * 50_000])
def test_bytes_after_the_end_mark_are_tolerated(tail, tmp_path):
    """Short films and vendors' blocks stand behind the picture."""
    path = write(tmp_path, encode(scene(), "JPEG") + tail)

    assert load_upright(path).shape == (32, 48, 3)


def test_fill_bytes_between_markers_are_tolerated(tmp_path):
    """ISO/IEC 10918-1 B.1.1.2 allows any number of FF before a marker."""
    data = encode(scene(), "JPEG")
    path = write(tmp_path, data[:2] + b"\xff\xff\xff" + data[2:])

    assert read_header(path).stored_size_px == (48, 32)


def test_a_stitched_panorama_is_advised_against(tmp_path):
    """A stitched picture has no single viewpoint."""
    path = write(tmp_path, encode(scene(300, 40), "PNG"))

    (advice,) = read_header(path).advice
    assert "panoramas" in advice
