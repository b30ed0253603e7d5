"""No job, however wild, gets a traceback, a NaN or an unknown exit status."""

import copy
import json
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.photomeasure.house import front, job, write_job
from tests.photomeasure.run import all_finite, is_one_sentence, measure

STATUSES = (0, 3, 4)

EXTREMES = (
    0, -0.0, 1, -1, 0.001, 1e-9, 5e-324, 1e5, 1e6, -1e6, 1e300, -1e300, 10**400,
    float("nan"), float("inf"), True, None, "", "3000", [], {},
)  # fmt: skip
"""Edges of the format's ranges, of float64, and values of other types."""

FACTORS = (0.01, 0.1, 0.5, 0.95, 1.05, 2.0, 10.0, -1.0)
"""Slips of hand and unit."""

calmly = settings(
    max_examples=150,
    deadline=None,
    # The folder is written anew by each example, and the captured output emptied.
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)

Path = tuple[str | int, ...]


def judged(capsys: Any, path: Any) -> None:
    """Fail if a run is anything but measured or refused in one sentence each."""
    found = measure(capsys, path)

    assert found.status in STATUSES
    assert "Traceback" not in found.err
    assert "Warning" not in found.err
    assert (found.status == 0) == (not found.sentences)
    assert all(map(is_one_sentence, found.sentences))
    if found.out:
        assert all_finite(found.result)
        for elevation in found.result["elevations"]:
            lengths_are_plausible(elevation)


def lengths_are_plausible(elevation: dict[str, Any]) -> None:
    """Fail if a length that is given is no length, or its interval does not hold it."""
    for line in elevation.get("lines", ()):
        if "length_mm" in line:
            low, high = line["interval95_mm"]
            assert line["length_mm"] > 0.0
            assert low < line["length_mm"] < high
            assert line["u_mm"] <= 0.2 * line["length_mm"]


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=12,
)


@calmly
@given(document=json_values)
def test_arbitrary_json(document, tmp_path, capsys):
    """Any JSON at all."""
    judged(capsys, write_job(tmp_path, document))


@calmly
@given(content=st.binary(max_size=200))
def test_arbitrary_bytes(content, tmp_path, capsys):
    """Any file at all."""
    judged(capsys, write_job(tmp_path, content))


@calmly
@given(elevation=st.dictionaries(st.sampled_from(sorted(front())), json_values))
def test_arbitrary_elevations(elevation, tmp_path, capsys):
    """The right words with any values."""
    judged(capsys, write_job(tmp_path, job(elevation)))


def places(node: object, path: Path = ()) -> list[Path]:
    """Return the path of every value of a document."""
    if isinstance(node, dict):
        inner = [found for key in node for found in places(node[key], (*path, key))]
    elif isinstance(node, list):
        inner = [found for i in range(len(node)) for found in places(node[i], (*path, i))]
    else:
        inner = []
    return [path, *inner] if path else inner


def at(document: Any, path: Path) -> Any:
    """Return the value at a path."""
    for key in path:
        document = document[key]
    return document


def spoil(draw: st.DrawFn, document: dict[str, Any]) -> None:
    """Change one value, remove it, or put it elsewhere."""
    path = draw(st.sampled_from(places(document)))
    parent, key = at(document, path[:-1]), path[-1]
    how = draw(st.sampled_from(["replace", "remove", "copy", "scale", "repeat"]))
    if how == "remove":
        del parent[key]
    elif how == "replace":
        parent[key] = draw(st.sampled_from(EXTREMES))
    elif how == "copy":
        source = at(document, draw(st.sampled_from(places(document))))
        parent[key] = copy.deepcopy(source)
    elif how == "repeat" and isinstance(parent, list):
        parent.insert(key, copy.deepcopy(parent[key]))
    elif isinstance(parent[key], int | float) and abs(parent[key]) < 10**300:
        parent[key] *= draw(st.sampled_from(FACTORS))


@st.composite
def spoilt_jobs(draw: st.DrawFn) -> dict[str, Any]:
    """Return the house with some of its references and some values spoilt."""
    elevation = front()
    kept = draw(st.sets(st.integers(0, len(elevation["references"]) - 1), min_size=1))
    elevation["references"] = [elevation["references"][i] for i in sorted(kept)]
    document = job(elevation)
    for _ in range(draw(st.integers(1, 4))):
        if document:
            spoil(draw, document)
    return document


@settings(calmly, max_examples=400)
@given(document=spoilt_jobs())
def test_spoilt_jobs(document, tmp_path, capsys):
    """A valid job with a few values removed, swapped, repeated or made extreme."""
    judged(capsys, write_job(tmp_path, document))


NUMBERS = [
    path
    for path in places(front())
    if isinstance(at(front(), path), int | float) and path[0] != "camera"
]


@settings(calmly, max_examples=100)
@given(
    changes=st.dictionaries(
        st.sampled_from(NUMBERS),
        st.floats(-100.0, 1700.0) | st.floats(-1e5, 1e5) | st.sampled_from(FACTORS),
        min_size=1,
        max_size=6,
    ),
    sharp=st.sampled_from([1e-3, 1.0, 1e5]),
)
def test_numbers_that_keep_the_format(changes, sharp, tmp_path, capsys):
    """Numbers within their ranges reach the adjustment, which must not stumble."""
    elevation = front()
    for path, value in changes.items():
        at(elevation, path[:-1])[path[-1]] = value
    elevation["pick_sd_px"] = sharp
    judged(capsys, write_job(tmp_path, job(elevation)))


def test_the_judge_can_tell(tmp_path, capsys):
    """The unspoilt house passes; a length outside its interval does not."""
    judged(capsys, write_job(tmp_path, job()))
    line = {"length_mm": 5.0, "interval95_mm": [6.0, 7.0], "u_mm": 0.1}
    with pytest.raises(AssertionError):
        lengths_are_plausible({"lines": [line]})
    assert not all_finite(json.loads('[{"a": NaN}]'))
