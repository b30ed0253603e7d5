"""What repeats and is no brickwork is never read as brickwork with confidence."""

import numpy as np
import pytest

from calibration.brickwork.confidence import SURE
from calibration.brickwork.field import WEAKEST_SHARE
from calibration.brickwork.raster import Level
from calibration.brickwork.read import read_brickwork
from calibration.brickwork.tiles import find_tiles
from calibration.errors import NoBrickwork
from tests.brick.chance import painted_impostor, prior_for
from tests.brick.impostors import IMPOSTORS
from tests.brick.walls import Wall, look, photograph

ASKED = (
    "plain_tiles",
    "slates",
    "decking",
    "coursed_rubble",
    "long_ashlar",
    "metro_tiles",
    "pale_mortar",
)
"""Laid in half bond as bricks are, or nearly: may be offered, never as sure."""


@pytest.mark.parametrize("name", [name for name in IMPOSTORS if name not in ASKED])
def test_impostors_are_refused(name: str):
    """The refusal says what was found and what to do."""
    pixels = painted_impostor(name, 0)

    with pytest.raises(NoBrickwork) as refusal:
        read_brickwork(pixels, prior_for(pixels))

    assert refusal.value.remedy


@pytest.mark.parametrize("name", ASKED)
def test_what_breaks_bond_is_at_most_a_question(name: str):
    """Tiles in half bond may be offered but not believed."""
    pixels = painted_impostor(name, 0)

    try:
        sure = read_brickwork(pixels, prior_for(pixels)).best.confidence
    except NoBrickwork:
        sure = 0.0

    assert sure < SURE


def test_bricks_that_lean_like_a_roof_are_refused():
    """Plain tiles of a roof are laid in half bond, as headers are; no wall leans so."""
    camera = look(tilt_deg=58.0, distance_mm=2600.0)
    pixels = photograph(Wall().paint, camera, np.random.default_rng(1))

    with pytest.raises(NoBrickwork, match="leans away like a roof"):
        read_brickwork(pixels, prior_for(pixels, camera.focal_px))


def test_the_seams_of_a_jpeg_are_no_courses():
    """A sky in a hard-pressed copy shows a line at every eighth pixel."""
    rng = np.random.default_rng(3)
    seams = (
        150.0 + rng.normal(0.0, 1.5, (256, 256)) + 4.0 * (np.arange(256) % 8 == 0)[:, None]
    )
    lines = 150.0 + rng.normal(0.0, 1.5, (256, 256))
    lines += 4.0 * (np.arange(256) % 9 == 0)[:, None]

    shares = [
        find_tiles(Level(image.astype(np.float32), 1.0)).share.max(axis=1)
        for image in (seams, lines)
    ]

    assert np.median(shares[0]) < WEAKEST_SHARE
    assert np.median(shares[1]) > 3.0 * WEAKEST_SHARE


@pytest.mark.parametrize("number", [1, 2])
@pytest.mark.parametrize("name", ["slates", "plain_tiles"])
def test_half_bond_of_short_units_is_never_flemish_bond_for_sure(name: str, number: int):
    """Slates 1.25 courses long look like Flemish or English bond of 2.5."""
    pixels = painted_impostor(name, number, side_px=560)

    try:
        sure = read_brickwork(pixels, prior_for(pixels)).best.confidence
    except NoBrickwork:
        sure = 0.0

    assert sure < 0.8


@pytest.mark.parametrize("side", [64, 65, 200])
def test_tiny_and_flat_pictures_are_refused(side: int):
    """Neither a picture of one colour nor one too small can fail otherwise."""
    pixels = np.full((side, side, 3), 128, np.uint8)

    with pytest.raises(NoBrickwork):
        read_brickwork(pixels, prior_for(pixels))


@pytest.mark.parametrize("seed", range(6))
def test_noise_is_refused(seed: int):
    """Noise of any grain."""
    rng = np.random.default_rng(seed)
    coarse = rng.integers(0, 256, (480 >> seed // 2, 640 >> seed // 2, 3), dtype=np.uint8)
    pixels = np.kron(coarse, np.ones((1 << seed // 2, 1 << seed // 2, 1), np.uint8))

    with pytest.raises(NoBrickwork):
        read_brickwork(pixels, prior_for(pixels))
