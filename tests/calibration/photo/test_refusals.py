"""Every way a file can be unfit, and the words for it."""

import os
import subprocess
import sys
import time
import tracemalloc

import pytest

from calibration.errors import UnreadablePhoto
from calibration.photo import limits, load_upright, read_header
from tests.calibration.photo.files import (
    FORMATS,
    LONG,
    chunk,
    crowded_directory,
    encode,
    exif_block,
    flat_png,
    scene,
    sized,
    write,
)

BOTH = pytest.mark.parametrize("read", [read_header, load_upright])


def refused(read, path) -> str:
    """Return the refusal, which names the file and is a single sentence."""
    with pytest.raises(UnreadablePhoto) as caught:
        read(path)
    text = str(caught.value)
    assert text.startswith(caught.value.where)
    assert text.endswith(".")
    assert "\n" not in text
    return text


@BOTH
def test_missing_files_and_folders(read, tmp_path):
    """Not a file at all."""
    assert "no such file" in refused(read, tmp_path / "none.jpg")
    assert "no such file" in refused(read, write(tmp_path, b"x") / "inside.jpg")
    assert "this is a folder" in refused(read, tmp_path)
    assert "cannot be opened" in refused(read, tmp_path / ("n" * 300))
    assert "cannot be opened" in refused(read, tmp_path / "zero\x00byte.jpg")
    assert "file is empty" in refused(read, write(tmp_path, b""))


def test_a_pipe_is_not_waited_for(tmp_path):
    """Opening a pipe would hang until somebody writes."""
    os.mkfifo(tmp_path / "pipe.jpg")

    assert "not an ordinary file" in refused(read_header, tmp_path / "pipe.jpg")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_protected_file(tmp_path):
    """Permissions are the user's to change."""
    path = write(tmp_path, encode(scene(), "PNG"))
    path.chmod(0)

    assert "may not be read" in refused(read_header, path)


def test_odd_names_stay_on_one_short_line(tmp_path):
    """A name can hold a line break or two hundred letters."""
    assert refused(read_header, tmp_path / "two\nlines.jpg").startswith("two?lines.jpg:")
    long = refused(read_header, tmp_path / ("a" * 190 + "end.jpg"))
    assert long.startswith("aaaa")
    assert "aaend.jpg: there is no such file" in long
    assert len(long) < 160


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"not a picture at all", "this is not a picture"),
        (b"\x00", "this is not a picture"),
        (b"GIF89a" + bytes(50), "a GIF picture"),
        (b"BM" + bytes(50), "a BMP picture"),
        (b"%PDF-1.7", "a PDF document"),
        (b"%!PS-Adobe-3.0 EPSF-3.0", "a PostScript document"),
        (b"8BPS" + bytes(50), "a layered picture document"),
        (b"<svg xmlns='x'></svg>", "a web page or a drawing"),
        (b"<!DOCTYPE html>", "a web page or a drawing"),
        (b"SIMPLE  =                    T", "this is not a picture"),
        (b"II+\x00\x08\x00" + bytes(50), "a TIFF of the large kind"),
        (b"\x00\x00\x00\x1cftypavif" + bytes(50), "an AVIF picture"),
        (b"\x00\x00\x00\x1cftypisom" + bytes(50), "a film"),
        (b"RIFF\x24\x00\x00\x00WAVEfmt ", "this is not a picture"),
    ],
)
@BOTH
def test_other_contents_are_named(read, data, words, tmp_path):
    """The name may say .jpg; the content says what it is and what is read."""
    text = refused(read, write(tmp_path, data, "photo.jpg"))

    assert words in text
    assert "JPEG, PNG, WEBP, TIFF, HEIC are read" in text


@pytest.mark.parametrize("part", [0.999, 0.9, 0.5, 0.1])
@pytest.mark.parametrize("kind", FORMATS)
def test_cut_files_are_refused_before_decoding(kind, part, tmp_path):
    """Half a picture is never silently grey, and the header already tells."""
    data = encode(scene(400, 300), kind)
    path = write(tmp_path, data[: int(len(data) * part)])

    text = refused(read_header, path)

    assert "cut off before its end" in text or "tag table" in text


def test_one_byte_is_missed(tmp_path):
    """JPEG, PNG, WEBP and HEIC know their last byte."""
    for kind in ("JPEG", "progressive JPEG", "PNG", "WEBP", "HEIC"):
        path = write(tmp_path, encode(scene(), kind)[:-1])

        assert "cut off before its end" in refused(read_header, path)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF", "HEIC"])
@pytest.mark.parametrize(
    ("size", "words"),
    [
        ((16_383, 16_383), "16,383 x 16,383 pixels are more than the 200 million"),
        ((16_000, 12_000), "16,000 x 12,000 pixels in .* cannot be a photograph"),
    ],
)
def test_oversized_claims_are_refused(kind, size, words, tmp_path):
    """The header's claim is checked before anything of that size exists."""
    path = write(tmp_path, sized(encode(scene(), kind), kind, *size))

    with pytest.raises(UnreadablePhoto, match=words):
        read_header(path)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "HEIC"])
def test_long_sides_are_refused(kind, tmp_path):
    """The JPEG library ends at 65,500."""
    path = write(tmp_path, sized(encode(scene(), kind), kind, 65_501, 100))

    assert "a side longer than 65,500 pixels" in refused(read_header, path)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "HEIC"])
def test_empty_pictures_are_refused(kind, tmp_path):
    """A side of no pixels."""
    path = write(tmp_path, sized(encode(scene(), kind), kind, 48, 0))

    assert "has no pixels" in refused(read_header, path)


def test_a_huge_file_is_not_read(tmp_path):
    """The file's own length is limited; this one is a hole on the disk."""
    path = write(tmp_path, encode(scene(), "JPEG"))
    os.truncate(path, limits.MAX_FILE_BYTES + 1)

    assert "537 MB, more than the 537 MB" in refused(read_header, path)


def test_the_largest_sensors_pass(tmp_path):
    """108 and 199.8 million pixels are photos, whatever the decoder's own limit."""
    for width, height in ((12_000, 9_000), (16_320, 12_240)):
        data = sized(encode(scene(), "JPEG"), "JPEG", width, height)
        path = write(tmp_path, data + bytes(200_000))

        assert read_header(path).stored_size_px == (width, height)


def test_a_photo_of_108_megapixels_is_decoded(tmp_path):
    """Not only its header: Pillow's limit of 89 million must not act."""
    from PIL import Image

    image = Image.effect_noise((120, 90), 50).resize((12_000, 9_000), 0)
    path = write(tmp_path, encode(image, "JPEG"))

    assert load_upright(path, max_side_px=400).shape == (300, 400, 3)


BOMB = """
import sys, time
from pathlib import Path
from calibration.errors import UnreadablePhoto
from calibration.photo import load_upright, read_header
for read in (read_header, load_upright):
    start = time.perf_counter()
    try:
        read(sys.argv[1])
    except UnreadablePhoto as error:
        print(time.perf_counter() - start, error, sep="|")
status = Path("/proc/self/status").read_text()
print(status.split("VmHWM:")[1].split()[0])
"""


@pytest.mark.skipif(sys.platform != "linux", reason="reads the peak from /proc")
def test_a_decompression_bomb_costs_neither_time_nor_memory(tmp_path):
    """A PNG of 109 kB that unpacks to 900 megapixels: below 1 s and 200 MB."""
    path = write(tmp_path, flat_png(30_000, 30_000))
    assert 100_000 < path.stat().st_size < 120_000

    # The resource module would report the parent's peak, which a child inherits.
    run = subprocess.run(  # noqa: S603 - this interpreter and the text above
        [sys.executable, "-c", BOMB, str(path)],
        capture_output=True, text=True, check=True,
    )  # fmt: skip

    *refusals, peak_kb = run.stdout.splitlines()
    assert len(refusals) == 2
    for refusal in refusals:
        seconds, text = refusal.split("|")
        assert float(seconds) < 1
        assert "30,000 x 30,000 pixels are more than the 200 million" in text
    assert int(peak_kb) < 200_000


def crowded_jpeg() -> bytes:
    """Return 64 kB of EXIF whose 4,000 entries claim 60 kB each."""
    data = encode(scene(), "JPEG")
    block = b"Exif\x00\x00" + crowded_directory(4000, 60_300)
    start = data[:2] + b"\xff\xe1" + (len(block) + 2).to_bytes(2, "big")
    return start + block + data[2:]


def crowded_png() -> bytes:
    """Return a megabyte of EXIF whose 4,000 entries claim all of it."""
    data = encode(scene(), "PNG")
    block = crowded_directory(4000, limits.MAX_EXIF_BYTES - 8)
    return data[:33] + chunk(b"eXIf", block) + data[33:]


def crowded_tiff() -> bytes:
    """Return a TIFF whose EXIF directory has 60,000 entries of a megabyte."""
    block = crowded_directory(60_000, 1_000_000)[8:]
    data = encode(scene(), "TIFF", exif_block({}, {41989: (3, 28)}))
    at = data.index((34665).to_bytes(2, "little") + LONG.to_bytes(2, "little")) + 8
    return data[:at] + len(data).to_bytes(4, "little") + data[at + 4 :] + block


@pytest.mark.parametrize("make", [crowded_jpeg, crowded_png, crowded_tiff])
def test_an_exif_bomb_costs_neither_time_nor_memory(make, tmp_path):
    """Entries that pile up on the same bytes are not multiplied out."""
    path = write(tmp_path, make())
    tracemalloc.start()
    start = time.perf_counter()

    pixels = load_upright(path)

    seconds = time.perf_counter() - start
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert pixels.shape == (32, 48, 3)
    assert seconds < 1  # 0.05 s on the machine it was written on
    assert peak < 10e6  # the block itself and a table of 4,000 entries


def test_a_crowded_first_tiff_directory_is_refused(tmp_path):
    """The decoder would read every value of it."""
    path = write(tmp_path, crowded_directory(4000, 60_300))

    assert "damaged in its tag table" in refused(read_header, path)


def test_endless_parts_are_refused(tmp_path):
    """Headers of empty parts only."""
    jpeg = b"\xff\xd8" + b"\xff\xe5\x00\x02" * (limits.MAX_PARTS + 1)
    png = encode(scene(), "PNG")[:33] + chunk(b"teXt", b"") * limits.MAX_PARTS

    assert "damaged in its header" in refused(read_header, write(tmp_path, jpeg))
    assert "damaged in its header" in refused(read_header, write(tmp_path, png))


def test_too_many_progressive_passes_are_refused(tmp_path):
    """Each pass may touch every pixel and cost a few bytes."""
    data = encode(scene(), "progressive JPEG")
    scan = data.rindex(b"\xff\xda")
    bomb = data[:scan] + data[scan:-2] * 120 + data[-2:]

    assert "more than 100 passes" in refused(read_header, write(tmp_path, bomb))


def test_two_sizes_in_one_file_are_refused(tmp_path):
    """A second size entry is how readers are made to disagree."""
    data = encode(scene(), "JPEG")
    at = data.index(b"\xff\xc0")
    frame = data[at : at + 19]
    path = write(tmp_path, data[:at] + frame + data[at:])

    assert "damaged in its size entry" in refused(read_header, path)


def test_animations_are_refused(tmp_path):
    """One picture a file."""
    import io

    from PIL import Image

    file = io.BytesIO()
    frames = [Image.new("RGB", (8, 8), colour) for colour in ("red", "blue")]
    frames[0].save(file, format="WEBP", save_all=True, append_images=frames[1:])

    assert "an animation" in refused(read_header, write(tmp_path, file.getvalue()))


def test_camera_raw_files_are_refused(tmp_path):
    """They are built like TIFF, but their first picture is a preview."""
    data = encode(scene(), "TIFF")
    raw = data.replace((258).to_bytes(2, "little"), (50706).to_bytes(2, "little"), 1)

    assert "a camera raw file" in refused(read_header, write(tmp_path, raw))


def test_damaged_pixels_are_refused(tmp_path):
    """The structure is whole; the decoder finds the damage."""
    data = bytearray(encode(scene(400, 300), "PNG"))
    at = data.index(b"IDAT") + 2000
    data[at : at + 40] = bytes(40)
    path = write(tmp_path, bytes(data))

    assert read_header(path).stored_size_px == (400, 300)
    assert "picture data are damaged" in refused(load_upright, path)
