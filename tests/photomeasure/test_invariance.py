"""Lengths do not depend on how the photo lies, how large it is, or where zero is."""

import copy

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from photomeasure.results import MeasuredElevation
from tests.scenes import Noise
from tests.simulation.houses import random_house
from tests.simulation.runs import measure

TOLERANCE = 1e-3
"""Shares of a standard uncertainty: a hundredth of what a person could notice. The
adjustment stops at steps of 1e-7, but crawls to it where a valley is flat."""

seeds = st.integers(min_value=0, max_value=2000)
few = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def lengths(document):
    """Return lengths and standard uncertainties, or None if refused."""
    entry = measure(document).elevations[0]
    if not isinstance(entry, MeasuredElevation):
        return None
    return np.array([(line.length_mm, line.u_mm) for line in entry.measured])


def assert_same(document, other):
    """Both documents give the same lengths with the same uncertainties."""
    first, second = lengths(document), lengths(other)

    assert (first is None) == (second is None)
    if first is not None and second is not None:
        assert second == pytest.approx(first, abs=TOLERANCE * first[:, 1].min())


def moved(document, transform, size=None):
    """Return a job whose picks went through ``transform``, (N, 2) to (N, 2)."""
    job = copy.deepcopy(document)
    elevation = job["elevations"][0]
    if size is not None:
        elevation["camera"]["size_px"] = [int(side) for side in size]
    entries = [*elevation["references"], *elevation["lines"], *elevation["soffits"]]
    for entry in entries:
        for key in ("picks", "ends", "corners", "wall_edge", "outer_edge"):
            if key in entry:
                entry[key] = transform(np.array(entry[key])).tolist()
    return job


@few
@given(seeds, st.booleans(), st.integers(min_value=1, max_value=3))
def test_turning_the_picture_changes_nothing(seed, exif, quarters):
    """A picture on its side or head gives the same lengths."""
    document = random_house(seed, Noise(), exif=exif).job()
    turned = document
    for _ in range(quarters):
        w, h = turned["elevations"][0]["camera"]["size_px"]

        def clockwise(p, h=h):
            return np.stack([h - 1.0 - p[:, 1], p[:, 0]], axis=1)

        turned = moved(turned, clockwise, (h, w))

    assert_same(document, turned)


@few
@given(seeds, st.booleans())
def test_a_mirrored_world_has_the_same_lengths(seed, exif):
    """Left and right may be exchanged in picture and references alike."""
    document = random_house(seed, Noise(), exif=exif).job()
    w, _ = document["elevations"][0]["camera"]["size_px"]
    mirrored = moved(document, lambda p: np.stack([w - 1.0 - p[:, 0], p[:, 1]], axis=1))
    for reference in mirrored["elevations"][0]["references"]:
        if reference["kind"] == "rectangle":
            reference["corners"] = [reference["corners"][k] for k in (1, 0, 3, 2)]
        if reference["kind"] == "points":
            reference["wall_mm"] = [[-x, y] for x, y in reference["wall_mm"]]
        if reference["kind"] == "courses" and reference["direction"] == "along":
            reference["counts"] = [-count for count in reference["counts"]]

    assert_same(document, mirrored)


@few
@given(seeds, st.booleans(), st.sampled_from([0.5, 2.0, 3.0]))
def test_scaling_the_picture_changes_nothing(seed, exif, scale):
    """A resized picture with picks and their spread resized gives the same lengths."""
    document = random_house(seed, Noise(), exif=exif).job()
    camera = document["elevations"][0]["camera"]
    size = np.array(camera["size_px"]) * scale
    scaled = moved(document, lambda p: (p + 0.5) * scale - 0.5, size)
    elevation = scaled["elevations"][0]
    elevation["pick_sd_px"] = scale
    for key in ("focal_px", "focal_sd_px"):
        if key in elevation["camera"]:
            elevation["camera"][key] *= scale

    assert_same(document, scaled)


@few
@given(seeds, st.randoms(use_true_random=False))
def test_the_order_of_references_changes_nothing(seed, random):
    """References may be listed in any order."""
    document = random_house(seed, Noise()).job()
    shuffled = copy.deepcopy(document)
    random.shuffle(shuffled["elevations"][0]["references"])

    assert_same(document, shuffled)


@few
@given(seeds, st.floats(-5e4, 5e4), st.floats(-5e4, 5e4), st.integers(-500, 500))
def test_the_choice_of_origin_changes_nothing(seed, x, y, first_count):
    """Zero of coordinates and counts may lie anywhere."""
    document = random_house(seed, Noise()).job()
    shifted = copy.deepcopy(document)
    for reference in shifted["elevations"][0]["references"]:
        if reference["kind"] == "points":
            reference["wall_mm"] = [[a + x, b + y] for a, b in reference["wall_mm"]]
        if reference["kind"] == "courses":
            reference["counts"] = [count + first_count for count in reference["counts"]]

    assert_same(document, shifted)
