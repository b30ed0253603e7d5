"""Planted errors are found, named, measured; what nothing checks is said to be so."""

import re
from dataclasses import replace

import numpy as np
import pytest

from calibration.camera import Camera
from calibration.errors import NotConverged, ReferencesDisagree
from calibration.references import CountDirection, Reference, TapeDirection
from calibration.reliability import ReferenceReport
from calibration.snooping import UNCHECKED
from calibration.solution import Solution, calibrate
from tests.calibration.mixes import courses, level, plumb, points, rectangle, tape
from tests.calibration.views import likely_camera, prior_of

SEEDS = range(6)
BY_ROUNDING = 1e-6

ESTIMATE_SIGMAS = 4.5  # a normal deviate passes once in 150 000
BENT = 0.1
"""First order: an error of ten sigmas bends the camera that it is measured by."""


def wall(seed: int) -> tuple[Camera, list[Reference]]:
    """Return a wall with references that check each other, picked with noise."""
    rng = np.random.default_rng(seed)
    camera = likely_camera(rng)
    return camera, [
        points(camera, rng),
        replace(rectangle(camera, rng), title="the door"),
        replace(tape(camera, rng, TapeDirection.LEVEL), title="the tape"),
        courses(camera, rng, CountDirection.UP),
        level(camera, rng, 0.85),
        plumb(camera, rng, 0.1),
    ]


def solved(camera: Camera, references: list[Reference]) -> Solution:
    """Return the calibrated wall."""
    return calibrate("front", references, prior_of(camera))


def report_of(solution: Solution, name: str) -> ReferenceReport:
    """Return the report of one reference."""
    (found,) = [r for r in solution.reliability.references if r.name == name]
    return found


def misread(reference: Reference, gain: float) -> Reference:
    """Return a reference whose stated size was multiplied."""
    if reference.kind == "distance":
        return replace(reference, length_mm=gain * reference.length_mm)
    if reference.kind == "rectangle":
        width, height = gain * reference.width_mm, gain * reference.height_mm
        return replace(reference, width_mm=width, height_mm=height)
    return replace(reference, wall_mm=gain * reference.wall_mm)


@pytest.mark.parametrize("gain", [1.03, 0.97])
@pytest.mark.parametrize("name", ["tape", "rectangle", "points"])
@pytest.mark.parametrize("seed", SEEDS)
def test_a_wrong_size_is_named(name, gain, seed):
    """Three per cent too long (short): that reference first, and as more (less)."""
    camera, references = wall(seed)
    wrong = [misread(r, gain) if r.name == name else r for r in references]
    worst = solved(camera, wrong).reliability.suspects[0]

    assert worst.name == name
    assert np.sign(worst.size.estimate) == np.sign(gain - 1.0)


@pytest.mark.parametrize("gain", [1.01, 0.99])
@pytest.mark.parametrize("name", ["tape", "rectangle", "points"])
@pytest.mark.parametrize("seed", SEEDS)
def test_a_wrong_size_is_measured(name, gain, seed):
    """One per cent is estimated as one per cent, within its own uncertainty."""
    camera, references = wall(seed)
    wrong = [misread(r, gain) if r.name == name else r for r in references]
    size = report_of(solved(camera, wrong), name).size
    u = abs(size.estimate / size.w)

    planted = 1.0 - 1.0 / gain
    assert abs(size.estimate - planted) < ESTIMATE_SIGMAS * u + BENT * abs(planted)


@pytest.mark.parametrize("gain", [1.3, 1.15, 0.93, 0.8])
@pytest.mark.parametrize("name", ["tape", "rectangle", "points"])
@pytest.mark.parametrize("seed", SEEDS)
def test_a_gross_size_is_named_and_measured(name, gain, seed):
    """Refused or reported, a gross size is said to be what it is, to a per cent or so."""
    camera, references = wall(seed)
    wrong = [misread(r, gain) if r.name == name else r for r in references]
    accused = next(r.title or r.name for r in wrong if r.name == name)
    try:
        excess, words = report_of(solved(camera, wrong), name).size.excess, ""
    except ReferencesDisagree as refusal:
        excess, words = np.nan, str(refusal)
    said = re.search(rf"{accused} says (\d+)% (more|less)", words)
    if said is not None:
        excess = int(said[1]) / 100.0 * (1.0 if said[2] == "more" else -1.0)

    assert excess == pytest.approx(gain - 1.0, abs=0.02)


@pytest.mark.parametrize("gain", [1.03, 0.97])
@pytest.mark.parametrize("name", ["tape", "rectangle", "points"])
@pytest.mark.parametrize("seed", SEEDS)
def test_a_suspect_says_how_far_off_it_is(name, gain, seed):
    """Solved again until it agrees, an error of a few per cent is said as what it is."""
    camera, references = wall(seed)
    wrong = [misread(r, gain) if r.name == name else r for r in references]
    size = report_of(solved(camera, wrong), name).size
    faultless = report_of(solved(camera, references), name).size
    u = abs(faultless.estimate / faultless.w)

    assert size.agreeing is not None
    assert abs(size.excess - (gain - 1.0)) < ESTIMATE_SIGMAS * u


@pytest.mark.parametrize("seed", SEEDS)
def test_a_wrong_pick_is_named_by_its_place(seed):
    """One point picked 25 pixels off: the reference, the kind of error and the pick."""
    camera, references = wall(seed)
    picks = references[0].picks_px.copy()
    picks[4] += [18.0, -18.0]
    references[0] = replace(references[0], picks_px=picks)
    report = report_of(solved(camera, references), "points")

    assert report.suspect
    assert (report.worst.what, report.worst.pick) == ("pick", 4)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_line_off_level_is_named(seed):
    """A 'level' line that falls by some twenty pixels is not one."""
    camera, references = wall(seed)
    line = references[4]
    references[4] = replace(line, picks_px=line.picks_px + np.array([[0, 0], [0, 20.0]]))
    report = report_of(solved(camera, references), line.name)

    assert report.suspect
    assert report.worst.what == "line"


@pytest.mark.parametrize("seed", SEEDS)
def test_redundancy_of_everything_is_the_degrees_of_freedom(seed):
    """References and the priors of the camera share out the whole redundancy."""
    camera, references = wall(seed)
    solution = solved(camera, references)
    whole = solution.adjustment.equations.jacobian @ solution.adjustment.cofactor_root

    total = len(whole) - np.sum(whole**2)
    assert total == pytest.approx(solution.reliability.degrees_of_freedom, abs=BY_ROUNDING)
    stated = sum(r.redundancy for r in solution.reliability.references)
    assert 0.0 < stated <= total + BY_ROUNDING


@pytest.mark.parametrize("seed", SEEDS)
def test_an_error_of_the_smallest_size_found_stands_at_the_non_centrality(seed):
    """Adding one MDB to the tape moves its standardised residual by delta0."""
    camera, references = wall(seed)
    before = report_of(solved(camera, references), "tape").size
    gain = 1.0 + before.smallest_found
    wrong = [misread(r, gain) if r.name == "tape" else r for r in references]
    after = report_of(solved(camera, wrong), "tape").size

    # Relative to the longer tape and in a camera moved by the error: second order.
    assert after.w - before.w == pytest.approx(4.13, rel=0.03)


def test_the_only_size_is_unchecked():
    """A tape among level and plumb lines: nothing else knows the scale, and it says so."""
    rng = np.random.default_rng(0)
    camera = likely_camera(rng)
    lines = [level(camera, rng, up) for up in (0.15, 0.85)]
    lines += [plumb(camera, rng, across) for across in (0.15, 0.85)]
    solution = solved(camera, [tape(camera, rng, TapeDirection.LEVEL), *lines])
    report = report_of(solution, "tape")

    assert report.size.checked < UNCHECKED
    assert not report.suspect


@pytest.mark.parametrize("focal_known", [True, False], ids=["focal known", "no focal"])
@pytest.mark.parametrize("gain", [0.5, 0.7, 0.85, 1.15, 1.3, 2.0])
@pytest.mark.parametrize("seed", SEEDS)
def test_a_gross_size_makes_the_wall_unusable(seed, gain, focal_known):
    """A slip of the hand or unit is refused, even where it bends the camera to fit."""
    camera, references = wall(seed)
    wrong = [misread(r, gain) if r.name == "tape" else r for r in references]

    with pytest.raises((ReferencesDisagree, NotConverged)):
        calibrate("front", wrong, prior_of(camera, focal_known=focal_known))


def test_a_lens_that_no_camera_has_is_no_solution():
    """Points 15 % short, no focal length: a lens of 0.8 mm would fit, and is refused."""
    camera, references = wall(5)
    wrong = [misread(references[0], 0.85), *references[1:]]

    with pytest.raises(ReferencesDisagree, match=r"points says 15% less"):
        calibrate("front", wrong, prior_of(camera, focal_known=False))


def test_a_gross_size_is_named():
    """The refusal says which reference, and that it says more."""
    camera, references = wall(0)
    wrong = [misread(r, 1.3) if r.name == "tape" else r for r in references]

    with pytest.raises(ReferencesDisagree, match=r"the tape says \d+% more"):
        solved(camera, wrong)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_disagreement_widens_what_it_touches(seed):
    """A suspect is kept: its pull is an input of its own, named in the budget."""
    camera, references = wall(seed)
    wrong = [misread(r, 1.03) if r.name == "tape" else r for r in references]
    clean, doubtful = solved(camera, references), solved(camera, wrong)
    labels = {source.label for source in doubtful.inputs}

    assert "disagreement of the tape" in labels
    assert not any(source.label.startswith("disagreement") for source in clean.inputs)
    assert np.all(
        np.linalg.norm(doubtful.factor[:9], axis=1)
        >= 0.99 * np.linalg.norm(clean.factor[:9], axis=1)
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_the_factor_is_the_covariance(seed):
    """Inputs of unit variance through the factor are the adjustment's own covariance."""
    camera, references = wall(seed)
    solution = solved(camera, references)
    assert solution.inflation == 1.0
    assert not solution.reliability.suspects

    scale = solution.network.scales
    found = (solution.factor @ solution.factor.T) / np.outer(scale, scale)
    expected = solution.adjustment.covariance / np.outer(scale, scale)
    np.testing.assert_allclose(found, expected, atol=1e-6 * np.abs(expected).max())
