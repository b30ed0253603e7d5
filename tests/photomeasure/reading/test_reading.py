"""Reading a photo: lengths that hold, doubts that are told, nothing that is made up."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from calibration.brick_formats import brick_format
from calibration.errors import BadReference, UnknownName
from photomeasure.job.load import job_from_document
from photomeasure.job.schema import CoursesSpec, Role
from photomeasure.measure import measure_job
from photomeasure.proposals import Proposals, Reading, propose_from
from photomeasure.reading import PhotoReading, Told, read_photo
from photomeasure.reading.report import job_document, reading_text
from photomeasure.reading.settle import UNSURE_SCALE
from photomeasure.results import MeasuredElevation, interval95
from tests.accuracy.roof_scenes import WHITE, roof_scene
from tests.brick.chance import painted_impostor
from tests.brick.walls import Wall, look, photograph
from tests.photomeasure.reading.pictures import FOLDER, MESSENGER, TRUE_EAVES_MM, saved

METRIC = Told(brick_format="uk-metric")
WHITE_GABLE = 0
"""Seed of a house whose rakes are seen."""


@pytest.fixture(scope="module")
def alone() -> PhotoReading:
    return read_photo(MESSENGER)


@pytest.fixture(scope="module")
def stated() -> PhotoReading:
    return read_photo(MESSENGER, METRIC)


def courses(reading: PhotoReading) -> list[CoursesSpec]:
    """Return what was read of the brickwork."""
    return [f.spec for f in reading.references if isinstance(f.spec, CoursesSpec)]


@pytest.mark.parametrize("name", ["alone", "stated"])
def test_the_true_length_lies_in_the_interval_of_the_first_eaves(name, request) -> None:
    reading = request.getfixturevalue(name)
    line = next(line for line in reading.lines if line.spec.role is Role.EAVES)

    assert line.measured is not None
    low, high = interval95(line.measured.length_mm, line.measured.u_mm)
    assert low <= TRUE_EAVES_MM <= high


def test_an_open_format_widens_the_lengths_and_is_asked_for(alone, stated) -> None:
    wide, narrow = (
        next(line.measured for line in reading.lines if line.measured)
        for reading in (alone, stated)
    )

    assert wide.u_mm > 3.0 * narrow.u_mm
    assert any("Which brick is it?" in question.said for question in alone.questions)
    assert not any("Which brick is it?" in question.said for question in stated.questions)


def test_bricks_of_an_open_format_leave_the_scale_as_open_as_one_of_their_sides(
    alone,
) -> None:
    """Bed joints and perpends err together: they must not average to a better scale."""
    beds = courses(alone)[0]
    assert beds.gauge_mm
    assert beds.gauge_sd_mm
    line = next(line.measured for line in alone.lines if line.measured)

    assert line.u_mm / line.length_mm > 0.95 * beds.gauge_sd_mm / beds.gauge_mm / 2**0.5


def test_whichever_brick_it_turns_out_to_be_the_length_was_in_its_interval(alone) -> None:
    """Also the smallest and the largest of those that the shape fits."""
    line = next(line.measured for line in alone.lines if line.measured)
    low, high = interval95(line.length_mm, line.u_mm)
    ladder = next(spec for spec in courses(alone) if spec.name == "bed joints")
    assert len(ladder.may_be) > 5

    for name in ladder.may_be:
        length = line.length_mm * brick_format(name).gauge_mm / ladder.gauge_mm
        assert low < length < high, name


def test_a_taped_run_takes_the_place_of_the_format() -> None:
    reading = read_photo(MESSENGER, Told(taped_courses=10, taped_mm=754.0))
    beds = courses(reading)[0]

    assert (beds.taped_count, beds.taped_mm, beds.gauge_mm) == (10, 754.0, None)
    assert not any("Which brick" in question.said for question in reading.questions)
    line = next(line.measured for line in reading.lines if line.measured)
    low, high = interval95(line.length_mm, line.u_mm)
    assert low <= TRUE_EAVES_MM <= high


def test_a_likely_eaves_is_used_and_the_others_count_for_nothing(stated) -> None:
    used = [line for line in stated.lines if line.used]

    assert [line.spec.name for line in used] == ["eaves"]
    assert [line.role for line in stated.elevation.lines] == [Role.EAVES]
    assert not any("Is there an eaves?" in question.said for question in stated.questions)


def doubted(by: float) -> Callable[[Reading], Proposals]:
    """Return what proposes as ever, the eaves so many times less likely."""

    def proposed(seen: Reading) -> Proposals:
        found = propose_from(seen)
        lines = tuple(
            replace(e, confidence=e.confidence / by, board=e.board / by)
            for e in found.eaves
        )
        return replace(found, eaves=lines)

    return proposed


def test_a_line_that_is_hardly_likely_is_offered_and_not_in_the_job(monkeypatch) -> None:
    monkeypatch.setattr("photomeasure.reading.read.propose_from", doubted(20.0))
    reading = read_photo(MESSENGER, METRIC)

    assert [line for line in reading.lines if line.spec.role is Role.EAVES]
    assert not reading.elevation.lines
    assert not any("Is there an eaves?" in question.said for question in reading.questions)


def test_an_unlikely_line_is_asked_about_and_counts_for_nothing(monkeypatch) -> None:
    monkeypatch.setattr("photomeasure.reading.read.propose_from", doubted(2.1))
    reading = read_photo(MESSENGER, METRIC)
    unsure = [line for line in reading.lines if not line.used]

    assert unsure
    assert {line.role for line in reading.elevation.lines} <= {Role.OTHER}
    assert any("Is there an eaves?" in question.said for question in reading.questions)


def test_a_line_that_runs_out_of_the_photo_has_no_length_and_it_is_said(
    monkeypatch,
) -> None:
    def cut(seen: Reading) -> Proposals:
        """Return what was found, as if the eaves ran out of the photo."""
        found = propose_from(seen)
        return replace(found, eaves=tuple(replace(e, cut=True) for e in found.eaves))

    monkeypatch.setattr("photomeasure.reading.read.propose_from", cut)
    reading = read_photo(MESSENGER, METRIC)

    assert not [line for line in reading.lines if line.spec.role is Role.EAVES]
    assert any("eaves runs out of the photo" in text for text in reading.missing)


def test_the_job_measures_to_what_was_printed() -> None:
    reading = read_photo(FOLDER / "gable.jpg", METRIC)
    job = measure_job(job_from_document(job_document(reading), FOLDER))
    again = job.elevations[0]
    assert isinstance(again, MeasuredElevation)
    lengths = {line.name: line.length_mm for line in again.measured}
    used = [line for line in reading.lines if line.used]

    assert {line.spec.name for line in used} == {"left rake", "right rake"}
    for line in used:
        assert line.measured is not None
        assert lengths[line.spec.name] == pytest.approx(line.measured.length_mm, abs=0.1)


def test_a_drawn_house_is_read_with_its_format(tmp_path) -> None:
    """A second renderer: what was tuned to the first would show."""
    scene = roof_scene(WHITE_GABLE, covers=("brick",))
    scene = replace(
        scene,
        house=replace(scene.house, boards=WHITE, occluders=()),
        stand=replace(scene.stand, size_px=(1200, 900)),
    )
    picture = scene.draw()
    path = tmp_path / "drawn.jpg"
    picture.save(path)
    reading = read_photo(path, Told(brick_format=picture.truth.brick.format))
    true = {e.role: e.length_mm for e in picture.truth.edges}
    used = [line for line in reading.lines if line.used and line.measured]

    assert used
    for line in used:
        low, high = interval95(line.measured.length_mm, line.measured.u_mm)
        assert low <= true[str(line.spec.role)] <= high


@pytest.mark.parametrize("name", ["fence", "plain_tiles", "ladder"])
def test_what_is_no_brickwork_never_carries_the_scale(name: str, tmp_path) -> None:
    """The others are refused by the same function: tests/calibration/brickwork."""
    reading = read_photo(saved(tmp_path, painted_impostor(name, 1, side_px=560)))

    assert not any(found.used for found in reading.references if found.source != "edges")
    assert reading.measured is None
    assert reading.refused


@pytest.mark.parametrize("seed", range(2))
def test_noise_and_sky_give_nothing_but_words(seed: int, tmp_path) -> None:
    rng = np.random.default_rng([5, seed])
    sky = 200.0 - 60.0 * np.linspace(0.0, 1.0, 480)[:, None] + rng.normal(0, 2, (480, 640))
    noise = rng.uniform(0.0, 255.0, (480, 640))
    for pixels in (sky, noise):
        reading = read_photo(saved(tmp_path, pixels))

        assert reading.measured is None
        assert reading.missing
        assert "there are no lengths" in " ".join(reading_text(reading).split())


def test_unsure_brickwork_is_a_question_and_used_once_accepted(tmp_path) -> None:
    camera = look(distance_mm=3600.0, yaw_deg=10.0)
    wall = Wall(bond="header", mortar=70.0, brick=130.0)
    headers = photograph(wall.paint, camera, np.random.default_rng(1))
    path = saved(tmp_path, headers)
    unsure = read_photo(path)
    accepted = read_photo(path, Told(accept=True))

    assert unsure.refused == UNSURE_SCALE
    assert any("Is this brickwork" in question.said for question in unsure.questions)
    assert any(found.used for found in accepted.references)


def test_a_tape_that_contradicts_the_format_is_refused() -> None:
    with pytest.raises(BadReference, match="contradicts uk-metric"):
        read_photo(
            MESSENGER, Told(brick_format="uk-metric", taped_courses=9, taped_mm=900.0)
        )


def test_an_unknown_format_is_refused() -> None:
    with pytest.raises(UnknownName):
        read_photo(MESSENGER, Told(brick_format="no-such-brick"))
