"""Upright once, from every format and kind of pixel."""

import numpy as np
import pytest
from PIL import Image

from calibration.errors import UnreadablePhoto
from calibration.photo import load_upright, read_header
from tests.calibration.photo.files import (
    FORMATS,
    LOSSLESS,
    ORIENTATION,
    SHORT,
    encode,
    exif_block,
    scene,
    write,
)

LOSSY_GREY_LEVELS = 3  # mean of a picture; any wrong turn of it is 20 or more away

# Where the stored row 0 and column 0 are in the upright picture; Exif 3.0, tag 274.
ROW_0_COLUMN_0 = {
    1: ("top", "left"),
    2: ("top", "right"),
    3: ("bottom", "right"),
    4: ("bottom", "left"),
    5: ("left", "top"),
    6: ("right", "top"),
    7: ("right", "bottom"),
    8: ("left", "bottom"),
}


def stored_for(upright: np.ndarray, orientation: int) -> np.ndarray:
    """Store a picture the way the table says, pixel by pixel."""
    height, width = upright.shape[:2]
    along = {
        "top": np.arange(height),
        "bottom": np.arange(height)[::-1],
        "left": np.arange(width),
        "right": np.arange(width)[::-1],
    }
    row, column = ROW_0_COLUMN_0[orientation]
    if row in ("top", "bottom"):
        return upright[along[row]][:, along[column]]
    return upright[along[column]][:, along[row]].swapaxes(0, 1)


def test_the_scene_tells_all_turns_apart():
    """The test below can fail: no wrong turn comes near the tolerance."""
    square = scene(32, 32)
    wrong = [stored_for(square, turn) for turn in range(2, 9)]

    nearest = min(np.abs(w.astype(int) - square).mean() for w in wrong)
    assert nearest > 20


@pytest.mark.parametrize("orientation", ROW_0_COLUMN_0)
@pytest.mark.parametrize("kind", FORMATS)
def test_every_orientation_comes_out_upright(kind, orientation, tmp_path):
    """All eight orientations of one scene decode to the same upright picture."""
    upright = scene()
    exif = exif_block({ORIENTATION: (SHORT, orientation)})
    path = write(tmp_path, encode(stored_for(upright, orientation), kind, exif))

    pixels = load_upright(path)

    assert pixels.shape == upright.shape
    assert read_header(path).upright_size_px == (48, 32)
    difference = np.abs(pixels.astype(int) - upright).mean()
    assert difference <= (0 if kind in LOSSLESS else LOSSY_GREY_LEVELS)


@pytest.mark.parametrize("orientation", ROW_0_COLUMN_0)
def test_a_preview_is_turned_like_the_photo(orientation, tmp_path):
    """Shrinking while decoding does not disturb the turn."""
    upright = scene(640, 480)
    exif = exif_block({ORIENTATION: (SHORT, orientation)})
    path = write(tmp_path, encode(stored_for(upright, orientation), "JPEG", exif))

    preview = load_upright(path, max_side_px=100)

    assert preview.shape == (75, 100, 3)
    expected = np.asarray(Image.fromarray(upright).resize((100, 75)))
    assert np.abs(preview.astype(int) - expected).mean() <= LOSSY_GREY_LEVELS


def test_heic_ignores_the_exif_orientation(tmp_path):
    """HEIC's own turn counts; a leftover EXIF tag must not turn it again."""
    straight = exif_block({ORIENTATION: (SHORT, 1)})
    data = encode(scene(), "HEIC", straight)
    leftover = exif_block({ORIENTATION: (SHORT, 6)})
    assert data.count(straight) == 1
    path = write(tmp_path, data.replace(straight, leftover))

    header, pixels = read_header(path), load_upright(path)

    assert (header.orientation, header.upright_size_px) == (1, (48, 32))
    assert pixels.shape == (32, 48, 3)


@pytest.mark.parametrize("kind", FORMATS)
@pytest.mark.parametrize("width", [1600, 1601, 1607])
def test_preview_coordinates_map_back(kind, width, tmp_path):
    """A grey ramp's value at a preview point is that at the mapped photo point."""
    ramp = np.linspace(20, 235, width)
    pixels = np.repeat(ramp.round().astype(np.uint8)[None, :, None], 3, axis=2)
    path = write(tmp_path, encode(np.repeat(pixels, 64, axis=0), kind))

    preview = load_upright(path, max_side_px=300)

    at = (np.arange(300) + 0.5) * width / 300 - 0.5
    expected = np.interp(at, np.arange(width), ramp)
    inner = slice(4, -4)  # the filter reaches over the edge
    offset = (preview.mean(axis=(0, 2)) - expected)[inner].mean()
    offset_px = offset / (215 / (width - 1))
    # Half a grey level is 3.7 pixels here; averaging 292 of them leaves 0.2.
    assert abs(offset_px) < 0.75


def test_a_small_photo_is_not_enlarged(tmp_path):
    """`max_side_px` only ever shrinks."""
    path = write(tmp_path, encode(scene(), "PNG"))

    assert np.array_equal(load_upright(path, max_side_px=5000), scene())


def test_max_side_must_be_positive(tmp_path):
    """A caller's mistake is not the photo's."""
    path = write(tmp_path, encode(scene(), "PNG"))

    with pytest.raises(ValueError, match="max_side_px is 0"):
        load_upright(path, max_side_px=0)


def test_the_array_is_fit_for_opencv(tmp_path):
    """Contiguous 8-bit pixels; read-only, because a photo is evidence."""
    pixels = load_upright(write(tmp_path, encode(scene(), "JPEG")))

    assert pixels.dtype == np.uint8
    assert pixels.flags.c_contiguous
    assert not pixels.flags.writeable


GREY = scene()[:, :, 0]


def _transparent_palette() -> Image.Image:
    image = Image.new("P", (4, 3), 0)
    image.putpalette([10, 20, 30, 200, 100, 50])
    image.putpixel((1, 1), 1)
    image.info["transparency"] = 0
    return image


@pytest.mark.parametrize(
    ("image", "kind", "pixel", "expected"),
    [
        (Image.fromarray(GREY), "PNG", (5, 7), [GREY[5, 7]] * 3),
        (Image.fromarray(GREY), "TIFF", (5, 7), [GREY[5, 7]] * 3),
        (Image.fromarray(GREY.astype(np.uint16) * 256 + 255), "PNG", (5, 7),
         [GREY[5, 7]] * 3),
        (Image.fromarray(GREY.astype(np.uint16) * 256 + 255), "TIFF", (5, 7),
         [GREY[5, 7]] * 3),
        (Image.new("1", (4, 3), 1), "PNG", (0, 0), [255, 255, 255]),
        (Image.new("RGBA", (4, 3), (10, 20, 30, 0)), "PNG", (0, 0), [255, 255, 255]),
        (Image.new("RGBA", (4, 3), (0, 0, 0, 128)), "WEBP", (0, 0), [127, 127, 127]),
        (Image.new("RGBA", (4, 3), (0, 0, 0, 128)), "TIFF", (0, 0), [127, 127, 127]),
        (Image.new("LA", (4, 3), (50, 255)), "PNG", (0, 0), [50, 50, 50]),
        (_transparent_palette(), "PNG", (0, 0), [255, 255, 255]),
        (_transparent_palette(), "PNG", (1, 1), [200, 100, 50]),
        (Image.new("CMYK", (16, 16), (0, 255, 255, 0)), "TIFF", (3, 3), [255, 0, 0]),
        (Image.new("CMYK", (16, 16), (0, 255, 255, 0)), "JPEG", (3, 3), [255, 0, 0]),
        (Image.new("L", (16, 16), 77), "JPEG", (3, 3), [77, 77, 77]),
    ],
)  # fmt: skip
def test_every_kind_of_pixel_becomes_rgb(image, kind, pixel, expected, tmp_path):
    """Grey, deep, bilevel, transparent, palette and print colours all convert."""
    pixels = load_upright(write(tmp_path, encode(image, kind)))

    assert pixels.shape == (image.height, image.width, 3)
    assert np.abs(pixels[pixel].astype(int) - expected).max() <= 1


@pytest.mark.parametrize("mode", ["F", "I"])
def test_scientific_samples_are_refused(mode, tmp_path):
    """Nothing says which of 32 bits is white."""
    path = write(tmp_path, encode(Image.new(mode, (8, 8), 3), "TIFF"))

    with pytest.raises(UnreadablePhoto, match="32 bits a sample"):
        load_upright(path)


def test_deep_colour_png_keeps_its_high_byte(tmp_path):
    """A 16-bit colour PNG, written by hand because Pillow cannot, loses only depth."""
    import struct
    import zlib

    from tests.calibration.photo.files import chunk

    rows = b"".join(
        b"\x00" + struct.pack(">6H", 0x12FF, 0x34FF, 0x56FF, 0, 65535, 0x80FF)
        for _ in range(2)
    )
    header = struct.pack(">IIBBBBB", 2, 2, 16, 2, 0, 0, 0)
    parts = (b"IHDR", header), (b"IDAT", zlib.compress(rows)), (b"IEND", b"")
    data = b"\x89PNG\r\n\x1a\n" + b"".join(chunk(*part) for part in parts)

    pixels = load_upright(write(tmp_path, data))

    assert pixels[0].tolist() == [[0x12, 0x34, 0x56], [0, 255, 0x80]]
