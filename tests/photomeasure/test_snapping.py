"""Snapping: the edge that is meant, its ends, and a choice where two are alike."""

import json
from pathlib import Path

import numpy as np
import pytest

import sample_images
from calibration.photo import load_upright
from photomeasure.job.schema import Role
from photomeasure.snapping import EndKind, snap_line
from photomeasure.snapping.model import EDGE_MODEL_SD_PX
from photomeasure.snapping.ranking import confidences
from tests.photomeasure.rooflines import SIZE, coded, eaves, off

GOAL_PX = 0.2
"""How near to the true edge a snapped one has to lie."""


@pytest.mark.parametrize("seed", range(6))
def test_trace_is_pulled_to_the_lower_edge_of_the_board(seed: int) -> None:
    rng = np.random.default_rng(seed)
    photo, lines = eaves(rng, slope=rng.uniform(-0.06, 0.06))
    trace = lines["eaves"] + rng.normal(0.0, 2.0, (2, 2))

    snap = snap_line(photo, trace, Role.EAVES)

    assert snap.sure
    found = snap.candidates[0]
    assert np.abs(off(found.picks_px, lines["eaves"])).max() < GOAL_PX
    assert found.pick_sd_px >= EDGE_MODEL_SD_PX


@pytest.mark.parametrize(
    ("role", "name"),
    [(Role.EAVES, "eaves"), (Role.FASCIA, "eaves"), (Role.SOFFIT, "soffit")],
)
def test_role_decides_between_parallel_edges(role: Role, name: str) -> None:
    photo, lines = eaves(np.random.default_rng(11))
    between = (lines["eaves"] + lines["soffit"]) / 2.0

    snap = snap_line(photo, between, role)

    assert np.abs(off(snap.candidates[0].picks_px, lines[name])).max() < 0.5


def test_ends_snap_to_the_corners_of_the_board() -> None:
    photo, lines = eaves(np.random.default_rng(12))

    snap = snap_line(photo, lines["eaves"] + [[-3.0, 1.0], [3.0, -1.0]], Role.EAVES)

    found = snap.candidates[0]
    assert {end.kind for end in found.ends} <= {EndKind.CORNER, EndKind.RUN_END}
    error = np.hypot(*(found.picks_px[[0, 2]] - lines["eaves"]).T)
    sd = np.array([end.along_sd_px for end in found.ends])
    assert (error < 3.0 * np.hypot(sd, 0.5)).all()


def test_order_of_the_trace_is_kept() -> None:
    photo, lines = eaves(np.random.default_rng(13))

    there = snap_line(photo, lines["eaves"], Role.EAVES).candidates[0]
    back = snap_line(photo, lines["eaves"][::-1], Role.EAVES).candidates[0]

    np.testing.assert_allclose(back.picks_px, there.picks_px[::-1], atol=0.05)
    assert back.shift_px == pytest.approx(-there.shift_px, abs=0.05)


def twins(gap: float) -> np.ndarray:
    """Return two steps of light alike, ``gap`` pixels apart about row 200."""
    y = np.arange(SIZE[1], dtype=np.float64)[:, None] + np.zeros(SIZE[0])
    steps = [np.clip(y - 200.0 - shift + 0.5, 0.0, 1.0) for shift in (-gap / 2, gap / 2)]
    return coded(0.6 - 0.25 * steps[0] - 0.2 * steps[1])


def test_two_edges_alike_are_shown_as_a_choice() -> None:
    trace = np.array([[80.0, 200.0], [560.0, 200.0]])

    snap = snap_line(twins(8.0), trace, Role.OTHER)

    assert not snap.sure
    places = sorted(c.picks_px[:, 1].mean() for c in snap.choice)
    np.testing.assert_allclose(places, [196.0, 204.0], atol=0.3)


def test_edges_too_close_to_tell_enlarge_the_spread() -> None:
    trace = np.array([[80.0, 200.0], [560.0, 200.0]])

    close = snap_line(twins(2.0), trace, Role.OTHER).candidates[0]
    alone = snap_line(twins(0.0), trace, Role.OTHER).candidates[0]

    assert close.ends[0].across_sd_px > 1.2 * alone.ends[0].across_sd_px


@pytest.mark.parametrize("gap", [3.0, 3.6, 5.0])
def test_neighbour_a_few_pixels_off_does_not_pull_an_edge(gap: float) -> None:
    trace = np.array([[80.0, 200.0], [560.0, 200.0]])

    snap = snap_line(twins(gap), trace, Role.OTHER)

    places = sorted(c.picks_px[:, 1].mean() for c in snap.choice)
    np.testing.assert_allclose(places, [200.0 - gap / 2, 200.0 + gap / 2], atol=0.15)


def test_plain_photo_gives_nothing() -> None:
    photo = np.full((300, 400, 3), 120, dtype=np.uint8)

    assert snap_line(photo, np.array([[50.0, 100.0], [350.0, 110.0]])).choice == ()


def test_trace_outside_the_photo_and_a_single_spot_give_nothing() -> None:
    photo = np.full((300, 400, 3), 120, dtype=np.uint8)

    assert not snap_line(photo, np.array([[-90.0, -50.0], [-20.0, -40.0]])).sure
    assert snap_line(photo, np.array([[50.0, 50.0], [50.0, 50.0]])).choice == ()


def test_confidences_leave_room_for_none_of_them() -> None:
    shares = confidences(np.array([0.0, -1.0]))

    assert 0.0 < 1.0 - shares.sum() < 0.05
    assert confidences(np.array([-9.0])).sum() < 0.05


SAMPLES = [("front.jpg", "front eaves", Role.EAVES), ("gable.jpg", "front rake", Role.RAKE)]


@pytest.mark.parametrize(("picture", "name", "role"), SAMPLES)
def test_path_traced_boards_are_snapped_within_their_spread(
    picture: str, name: str, role: Role
) -> None:
    folder = Path(sample_images.__file__).parent
    truth = json.loads((folder / picture).with_suffix(".truth.json").read_text("utf-8"))
    line = next(entry for entry in truth["lines"] if entry["name"] == name)
    ends = np.array([end["px"] for end in line["ends"]])
    trace = ends + np.array([[4.0, -5.0], [-6.0, 4.0]])

    snap = snap_line(load_upright(folder / picture), trace, role)

    assert snap.sure
    found = snap.candidates[0]
    across = off(found.picks_px[[0, 2]], ends)
    assert (np.abs(across) < 2.0 * found.ends[0].across_sd_px).all()
