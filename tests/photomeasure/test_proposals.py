"""Proposals: eaves, rakes and ridges among the first, and silence where there are none."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import sample_images
from calibration.photo import load_upright
from photomeasure.proposals import Proposal, propose
from tests.accuracy.roof_scenes import WHITE, roof_scene
from tests.photomeasure.rooflines import off

FOLDER = Path(sample_images.__file__).parent
FIRST = 3


def truth_of(picture: str) -> dict[str, np.ndarray]:
    """Return the true ends (2, 2) of each named line, from left to right."""
    truth = json.loads((FOLDER / picture).with_suffix(".truth.json").read_text("utf-8"))
    lines = {
        line["name"]: np.array([end["px"] for end in line["ends"]])
        for line in truth["lines"]
    }
    return {name: ends[np.argsort(ends[:, 0])] for name, ends in lines.items()}


def place_of(ends: np.ndarray, offered: tuple[Proposal, ...], limit_px: float) -> int:
    """Return at which place a line is offered; 99 if nowhere."""
    for place, line in enumerate(offered):
        overlap = min(line.picks_px[-1, 0], ends[1, 0]) - max(
            line.picks_px[0, 0], ends[0, 0]
        )
        near = np.abs(off(line.picks_px, ends)).mean() < limit_px
        if near and overlap > 0.5 * (ends[1, 0] - ends[0, 0]):
            return place
    return 99


@pytest.fixture(scope="module")
def messenger():
    return propose(load_upright(FOLDER / "front-messenger.jpg"))


def test_eaves_of_a_messenger_picture_come_first(messenger) -> None:
    ends = truth_of("front-messenger.jpg")["front eaves"]

    assert place_of(ends, messenger.eaves, 2.0) < FIRST


def test_ridge_of_a_messenger_picture_is_offered(messenger) -> None:
    ends = truth_of("front-messenger.jpg")["ridge"]

    # Half-round tiles and mortar: the ridge's edge wanders by a few pixels.
    assert place_of(ends, messenger.ridges, 8.0) < FIRST


def test_confidences_of_a_role_do_not_exceed_one(messenger) -> None:
    for lines in (messenger.eaves, messenger.ridges):
        assert sum(line.confidence for line in lines) <= 1.0 + 1e-9
        assert [line.confidence for line in lines] == sorted(
            (line.confidence for line in lines), reverse=True
        )


def test_both_rakes_of_the_gable_come_first_and_meet_at_the_apex() -> None:
    truth = truth_of("gable.jpg")

    offered = propose(load_upright(FOLDER / "gable.jpg")).rakes

    left, right = offered[0], offered[1]
    assert np.abs(off(left.picks_px, truth["front rake"])).max() < 6.0
    assert np.abs(off(right.picks_px, truth["back rake"])).max() < 6.0
    np.testing.assert_allclose(left.picks_px[-1], right.picks_px[0])
    apex = truth["front rake"][1]
    assert np.hypot(*(left.picks_px[-1] - apex)) < 2.0


@pytest.mark.parametrize("kind", ["eaves", "gable"])
def test_drawn_house_with_white_boards_is_read(kind: str) -> None:
    scene = roof_scene(7 if kind == "eaves" else 34)
    house = replace(scene.house, boards=WHITE, occluders=())
    scene = replace(
        scene,
        house=house,
        stand=replace(scene.stand, size_px=(800, 600)),
    )
    picture = scene.draw()
    role = "eaves" if kind == "eaves" else "rake"

    offered = propose(picture.rgb)

    lines = offered.eaves if kind == "eaves" else offered.rakes
    for edge in (e for e in picture.truth.edges if e.role == role):
        ends = edge.ends_px[np.argsort(edge.ends_px[:, 0])]
        assert place_of(ends, lines, 1.5) < FIRST


def test_noise_and_a_plain_picture_give_no_confident_line() -> None:
    rng = np.random.default_rng(4)
    pictures = [
        np.full((300, 400, 3), 120, dtype=np.uint8),
        rng.integers(0, 256, (300, 400, 3), dtype=np.uint8),
    ]
    for picture in pictures:
        offered = propose(picture)

        lines = (*offered.eaves, *offered.rakes, *offered.ridges)
        assert all(line.confidence < 0.5 for line in lines)
        if not lines:
            assert offered.doubts or offered.soffits == ()
