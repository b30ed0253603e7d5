"""Which EXIF numbers are believed."""

import math

import pytest

from calibration.photo.exif import DAMAGED, Tag, read_exif
from calibration.photo.lens import LensFacts, lens_facts
from tests.calibration.photo.files import (
    ASCII,
    EXIF_IFD,
    F35,
    FOCAL,
    LONG,
    ORIENTATION,
    PLANE_UNIT,
    PLANE_X,
    PLANE_Y,
    RATIONAL,
    SHORT,
    exif_block,
)


@pytest.mark.parametrize("f35", [48388, 54200, 37337, 65535, 4293.97, 4, 2001])
def test_bogus_equivalents_are_ignored_with_advice(f35):
    """Values reported from real cameras, and the limits."""
    facts, advice = lens_facts({Tag.FOCAL_35MM: f35})

    assert facts.focal_35mm is None
    assert f"{f35:g} mm is ignored as impossible" in advice[0]


@pytest.mark.parametrize(("f", "f35"), [(4.2, 70), (100, 40)])
def test_impossible_crop_factors_are_ignored(f, f35):
    """No sensor is 17 times smaller, or 2.5 times larger, than film."""
    facts, advice = lens_facts({Tag.FOCAL_LENGTH: f, Tag.FOCAL_35MM: f35})

    assert (facts.focal_length_mm, facts.focal_35mm) == (f, None)
    assert len(advice) == 1


def test_zoom_may_be_part_of_the_equivalent():
    """4.2 mm, 26 mm equivalent, fourfold zoom counted in: 104 mm is possible."""
    tags = {Tag.FOCAL_LENGTH: 4.2, Tag.FOCAL_35MM: 104, Tag.DIGITAL_ZOOM: 4}
    facts, advice = lens_facts(tags)

    assert (facts.focal_35mm, facts.digital_zoom, advice) == (104, 4, ())


@pytest.mark.parametrize("tag", [Tag.FOCAL_LENGTH, Tag.FOCAL_35MM, Tag.DIGITAL_ZOOM])
@pytest.mark.parametrize("value", [0, -3, math.nan, math.inf, "28"])
def test_unknown_and_broken_numbers_are_silent(tag, value):
    """Zero is EXIF's own word for unknown."""
    assert lens_facts({tag: value}) == (LensFacts(), ())


@pytest.mark.parametrize(
    ("zoom", "kept"), [(1, None), (1.5, 1.5), (0.5, None), (500, None)]
)
def test_zoom(zoom, kept):
    """One means none; below one and in the hundreds the tag is broken."""
    facts, advice = lens_facts({Tag.DIGITAL_ZOOM: zoom})

    assert facts.digital_zoom == kept
    assert bool(advice) == (zoom in (0.5, 500))


@pytest.mark.parametrize("length", [0.1, 5000])
def test_impossible_true_lengths_are_ignored(length):
    """The equivalent is then judged alone."""
    facts, advice = lens_facts({Tag.FOCAL_LENGTH: length, Tag.FOCAL_35MM: 28})

    assert (facts.focal_length_mm, facts.focal_35mm) == (None, 28)
    assert "focal length of" in advice[0]


@pytest.mark.parametrize(
    ("unit", "px_per_mm"),
    [(2, 1000 / 25.4), (3, 100), (4, 1000), (5, 1e6), (1, None), (9, None),
     (math.nan, None), ("inch", None)],
)  # fmt: skip
def test_units_of_the_sensors_resolution(unit, px_per_mm):
    """Inch, centimetre, millimetre, micrometre; anything else is unknown."""
    tags = {
        Tag.FOCAL_PLANE_X: 1000,
        Tag.FOCAL_PLANE_Y: 1000,
        Tag.FOCAL_PLANE_UNIT: unit,
    }
    facts, _ = lens_facts(tags)

    expected = px_per_mm and pytest.approx((px_per_mm, px_per_mm))
    assert facts.focal_plane_px_per_mm == expected


def test_inches_are_the_default_unit():
    """As EXIF says for a missing tag."""
    facts, _ = lens_facts({Tag.FOCAL_PLANE_X: 2540, Tag.FOCAL_PLANE_Y: 2540})

    assert facts.focal_plane_px_per_mm == pytest.approx((100, 100))


def test_a_block_is_read_from_both_directories():
    """Orientation in the first, the lens in the second."""
    tags, advice = read_exif(
        exif_block(
            {ORIENTATION: (SHORT, 6), 271: (ASCII, b" Maker \x00junk")},
            {FOCAL: (RATIONAL, (415, 100)), F35: (SHORT, 29), PLANE_UNIT: (SHORT, 3),
             PLANE_X: (RATIONAL, (0, 0)), PLANE_Y: (RATIONAL, (1, 0))},
        )
    )  # fmt: skip

    assert advice == ()
    assert tags[Tag.ORIENTATION] == 6
    assert tags[Tag.MAKE] == "Maker"
    assert tags[Tag.FOCAL_LENGTH] == pytest.approx(4.15)
    assert tags[Tag.FOCAL_35MM] == 29
    assert tags[Tag.FOCAL_PLANE_X] == tags[Tag.FOCAL_PLANE_Y] == 0


@pytest.mark.parametrize(
    "block",
    [
        b"II*\x00",
        b"not EXIF at all",
        b"II*\x00\xff\xff\xff\xff",
        b"II*\x00\x08\x00\x00\x00\xff\xff",
        exif_block({EXIF_IFD: (LONG, 9999)}),
        exif_block({EXIF_IFD: (RATIONAL, (1, 2))}),
        exif_block({EXIF_IFD: (9, -5)}),
        exif_block({272: (ASCII, b"Model name\x00")})[:-8],
    ],
)
def test_damage_is_advice_and_not_an_error(block):
    """The pixels are worth more than the block."""
    tags, advice = read_exif(block)

    assert advice == (DAMAGED,)
    assert tags == {}


def test_what_stands_before_the_damage_is_kept():
    """The orientation survives a broken second directory."""
    tags, advice = read_exif(exif_block({ORIENTATION: (SHORT, 3), EXIF_IFD: (LONG, 9999)}))

    assert (tags, advice) == ({Tag.ORIENTATION: 3}, (DAMAGED,))


def test_an_overlong_block_is_ignored():
    """Beyond a megabyte it is no EXIF."""
    tags, advice = read_exif(b"II*\x00" + bytes(2_000_000))

    assert tags == {}
    assert "too long" in advice[0]
