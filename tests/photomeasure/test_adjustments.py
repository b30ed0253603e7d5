"""A kept adjustment is never used for other references than it was made from."""

import copy
from pathlib import Path
from unittest.mock import patch

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from calibration.errors import DegenerateGeometry
from photomeasure import adjustments
from photomeasure.adjustments import Adjustments, content
from photomeasure.job.build import build_elevation
from photomeasure.job.load import job_from_document
from photomeasure.job.schema import ElevationSpec
from photomeasure.measure import measure_elevation, measure_job
from photomeasure.result_json import job_json
from tests.photomeasure import house

SAMPLES = Path(__file__).parents[2] / "sample_images"

UNSTATED = {
    (): ("pick_sd_px", "wall_relief_sd_mm"),
    ("camera",): ("distortion_k1_sd", "centre_sd_px"),
    ("references",): ("pick_sd_px", "projection_mm", "projection_sd_mm"),
    ("soffits",): ("pick_sd_px", "sd_mm"),
}
"""Fields that the house leaves out, each a number."""


def front():
    """Return the invented house, with a lens that is stated."""
    elevation = house.front()
    elevation["camera"]["distortion_k1"] = -0.01
    return elevation


def places_of(value, before=()):
    """Yield where the numbers of a job file stand."""
    if isinstance(value, dict):
        for key, item in value.items():
            yield from places_of(item, (*before, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from places_of(item, (*before, index))
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield before


PLACES = sorted(places_of(front()), key=str)


def at(document, place):
    """Return what stands at a place."""
    for key in place:
        document = document[key]
    return document


def changed(elevation, place, change):
    """Return an elevation with another number at a place."""
    other = copy.deepcopy(elevation)
    at(other, place[:-1])[place[-1]] = change(at(elevation, place))
    return other


def with_unstated(elevation):
    """Yield the elevation with each field stated that it leaves out."""
    for place, names in UNSTATED.items():
        blocks = at(elevation, place)
        for index in range(len(blocks)) if isinstance(blocks, list) else [None]:
            for name in names:
                other = copy.deepcopy(elevation)
                block = at(other, place)
                (block if index is None else block[index])[name] = 0.37
                yield (*place, index, name), other


def adjusted_from(elevation):
    """Return the content of what an elevation is adjusted from."""
    built = build_elevation(ElevationSpec.model_validate(elevation), SAMPLES)
    return content((built.name, built.references, built.camera))


def nudged(value):
    """Return the next number that a person could mean."""
    return value + 1 if isinstance(value, int) else value * (1.0 + 1e-6) + 1e-9


def test_every_number_that_is_adjusted_counts():
    """A millionth more in any reference, soffit or camera field is another adjustment."""
    base = front()
    known = adjusted_from(base)
    # A soffit's ground is measured from the adjustment, as lines are.
    places = [p for p in PLACES if p[0] != "lines" and "ground" not in p]
    same = [p for p in places if adjusted_from(changed(base, p, nudged)) == known]
    unstated = [p for p, other in with_unstated(base) if adjusted_from(other) == known]

    assert len(places) > 50
    assert same == []
    assert unstated == []


def test_photo_and_name_count():
    """Another photo tells another camera; another name other inputs of uncertainty."""
    photos = [
        {**front(), "camera": {}, "photo": name}
        for name in ("front.jpg", "front-messenger.jpg")
    ]

    assert adjusted_from(photos[0]) != adjusted_from(photos[1])
    assert adjusted_from({**front(), "name": "back"}) != adjusted_from(front())


def test_lines_alone_are_measured_from_one_adjustment():
    """A line that is dragged, added or renamed costs no adjustment."""
    kept = Adjustments()
    with patch.object(adjustments, "calibrate", wraps=adjustments.calibrate) as calibrate:
        for shift in range(4):
            elevation = front()
            elevation["lines"][0]["picks"][0][0] += shift
            elevation["lines"] += [{**elevation["lines"][0], "name": f"line {shift}"}]
            built = build_elevation(ElevationSpec.model_validate(elevation), SAMPLES)
            measure_elevation(built, kept.of(built))

    assert calibrate.call_count == 1


def test_refusal_is_kept_and_raised_anew():
    """Each who asks gets an error of his own: raising writes into it."""
    elevation = {**front(), "references": front()["references"][5:6], "soffits": []}
    built = build_elevation(ElevationSpec.model_validate(elevation), SAMPLES)
    kept = Adjustments()
    told = []
    with patch.object(adjustments, "calibrate", wraps=adjustments.calibrate) as calibrate:
        for _ in range(2):
            with pytest.raises(DegenerateGeometry) as refusal:
                kept.of(built)
            told.append(refusal.value)

    assert calibrate.call_count == 1
    assert str(told[0]) == str(told[1])
    assert told[0] is not told[1]


def test_only_so_many_are_kept():
    """The one that was used longest ago goes."""
    walls = []
    for name in ("a", "b", "c"):
        spec = ElevationSpec.model_validate({**front(), "name": name})
        walls.append(build_elevation(spec, SAMPLES))
    kept = Adjustments(most=2)
    first = kept.of(walls[0])
    kept.of(walls[1])

    assert kept.of(walls[0]) is first

    kept.of(walls[2])

    assert kept.of(walls[0]) is first
    with patch.object(adjustments, "calibrate", wraps=adjustments.calibrate) as calibrate:
        kept.of(walls[1])

    assert calibrate.call_count == 1


def test_what_cannot_be_compared_is_not_kept():
    """A new kind of field must be told of here before anything is kept under it."""
    with pytest.raises(TypeError, match="dict"):
        content(({},))


edits = st.lists(
    st.tuples(
        st.sampled_from(PLACES),
        st.sampled_from([-3, -1, 1, 2]),
        st.booleans(),  # whether the next edit begins from the house as it was at first
    ),
    min_size=1,
    max_size=4,
)


def edited(by):
    """Return a change that fits a field: whole numbers stay whole."""
    return lambda old: (
        old + by if isinstance(old, int) else old + 0.01 * by * max(1.0, abs(old))
    )


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(edits)
def test_measuring_with_kept_adjustments_is_measuring_cold(steps):
    """Whatever is edited in whatever order and taken back: the same to the digit."""
    kept = Adjustments()
    elevation = front()
    for place, by, back in steps:
        elevation = front() if back else changed(elevation, place, edited(by))
        document = {"photomeasure_job": 1, "title": "", "elevations": [elevation]}
        job = job_from_document(document, SAMPLES)
        warm = [job_json(measure_job(job, kept.of)) for _ in range(2)]

        assert warm == [job_json(measure_job(job))] * 2
