"""What repeats and is no brickwork is never read as brickwork with confidence."""

import numpy as np
import pytest

from calibration.brickwork.confidence import SURE
from calibration.brickwork.read import read_brickwork
from calibration.errors import NoBrickwork
from tests.brick.chance import painted_impostor, prior_for
from tests.brick.impostors import IMPOSTORS

ASKED = ("plain_tiles", "slates", "decking", "coursed_rubble")
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
