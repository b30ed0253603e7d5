"""Lengths while somebody draws, and the wall seen straight on."""

import io
import json
import time

import numpy as np
import pytest
from PIL import Image

from photomeasure.job.load import load_job
from photomeasure.measure import measure_job
from photomeasure.sheets.printed import PrintSize
from photomeasure.store.intake import bring_in_job_file
from tests.ui.server.kit import ROOT, elevation, opened, traced

SAMPLE = ROOT / "sample_images" / "house.job.json"


def measure(client, job, spec, **more):
    answer = client.post(
        f"/work-on/{job}/measure", json={"seq": 7, "elevation": spec, **more}
    )
    assert answer.status_code == 200, answer.text
    return answer.json()


@pytest.fixture
def sample(store):
    """Return the id of the sample house in the store."""
    return bring_in_job_file(store, SAMPLE).job_id


def test_lengths_are_those_of_the_command_line(client, sample):
    """What the page shows is what the command prints, to a thousandth of a millimetre."""
    commanded = measure_job(load_job(SAMPLE))
    for spec, entry in zip(
        json.loads(SAMPLE.read_text())["elevations"], commanded.elevations, strict=True
    ):
        told = measure(client, sample, spec)

        assert told["ok"]
        assert [line["name"] for line in told["lines"]] == [n.name for n in entry.measured]
        for line, expected in zip(told["lines"], entry.measured, strict=True):
            assert line["length_mm"] == round(expected.length_mm, 3)
            assert line["u_mm"] == round(expected.u_mm, 3)


def test_one_measurement_takes_less_than_a_tenth_of_a_second(client, sample, tell):
    """Labels follow the finger; the first call also imports and is not counted."""
    spec = json.loads(SAMPLE.read_text())["elevations"][0]
    measure(client, sample, spec)
    taken = []
    for _ in range(9):
        start = time.process_time()
        measure(client, sample, spec)
        taken.append(time.process_time() - start)

    tell(f"measure route, median of 9: {1000 * float(np.median(taken)):.0f} ms")
    assert np.median(taken) < 0.1


def test_the_answer_says_everything_beside_a_line(client):
    """Length, interval, words, scale and references, in the order they were sent."""
    told = measure(client, traced(client), elevation())
    line = told["lines"][0]

    assert told["seq"] == 7
    assert line["interval95_mm"][0] < line["length_mm"] < line["interval95_mm"][1]
    assert line["said"].endswith(" mm")
    assert " m ± " in line["said"]
    assert "of eaves to about ±" in told["scale"]["said"]
    assert [one["index"] for one in told["references"]] == [0, 1, 2]
    assert any("tape each one before you cut" in one for one in told["cautions"])


def test_feet_and_inches_on_request(client):
    """The unit is a matter of display."""
    job = traced(client)
    metric = measure(client, job, elevation())
    feet = measure(client, job, elevation(), unit="ft-in")

    assert " ft " in feet["lines"][0]["said"]
    assert feet["lines"][0]["length_mm"] == metric["lines"][0]["length_mm"]


def test_a_scale_is_stated_before_any_line(client):
    """With references alone the page says what they are worth."""
    told = measure(client, traced(client), {**elevation(), "lines": []})

    assert told["ok"]
    assert "of level wall to about ±" in told["scale"]["said"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"references": []}, "has no scale"),
        ({"photo": "other.jpg"}, "is not known"),
        ({"photo": "/etc/passwd"}, "is not known"),
        ({"photo": "../../home/photomeasure.sqlite3"}, "is not known"),
        ({"lines": [{"name": "x", "picks": [[1, 2]]}]}, "picks"),
        ({"camera": {"focal_px": -1}}, "focal_px"),
        ({"unknown": 1}, "unknown"),
        ({"references": [{"kind": "distance", "ends": [[0, 0], [5, 5]]}]}, "length_mm"),
    ],
)
def test_what_cannot_be_measured_is_said(client, change, words):
    """Half-drawn work is no error: the answer says what is missing."""
    told = measure(client, traced(client), {**elevation(), **change})

    assert not told["ok"]
    assert words in told["message"]
    assert told["lines"] == []
    assert told["seq"] == 7


def test_measuring_saves_nothing(client):
    """The route is stateless."""
    job = traced(client)
    before = opened(client, job)
    measure(client, job, {**elevation(), "lines": []})

    assert opened(client, job) == before


def test_the_wall_seen_straight_on(client, sample):
    """The rectified picture is as large as its description, and lines lie on it."""
    facts = client.get(f"/work-on/{sample}/wall/front").json()
    jpeg = client.get(f"/work-on/{sample}/wall/front.jpg")
    picture = Image.open(io.BytesIO(jpeg.content))

    assert jpeg.headers["content-type"] == "image/jpeg"
    assert list(picture.size) == facts["size_px"]
    assert max(picture.size) <= 1600
    assert facts["lines"][0]["said"] == "7.659 m ± 40 mm"
    assert not picture.getexif()


def test_a_wall_that_cannot_be_measured_is_a_sentence(client):
    """Its picture is refused in words."""
    job = traced(client, references=[])
    answer = client.get(f"/work-on/{job}/wall/front.jpg")

    assert answer.status_code == 422
    assert "has no scale" in answer.json()["message"]


def test_no_such_wall(client, sample):
    """A name that is none gets the names there are."""
    answer = client.get(f"/work-on/{sample}/wall/roof.jpg")

    assert answer.status_code == 422
    assert "use one of" in answer.json()["message"]


def test_snapping_finds_the_eaves(client, sample):
    """A trace ten pixels off is pulled to the edge that was traced for the sample."""
    ends = [[752, 940], [3155, 1016]]
    answer = client.post(
        f"/work-on/{sample}/snap",
        json={"seq": 3, "elevation": "front", "ends": ends, "role": "eaves"},
    ).json()

    assert answer["seq"] == 3
    assert answer["clear"]
    found = np.array(answer["candidates"][0]["ends"])
    truth = np.array([[749.37, 931.72], [3158.96, 1007.37]])
    assert np.abs(found - truth).max() < 3.0


def test_reading_offers_what_the_command_finds(client, sample):
    """References are in the job file's form; lines are those of the reading itself."""
    from photomeasure.job.schema import REFERENCE_KINDS
    from photomeasure.reading import read_photo

    told = client.post(f"/work-on/{sample}/read", json={"elevation": "front"}).json()
    found = read_photo(ROOT / "sample_images" / "front.jpg")

    assert [one["name"] for one in told["proposals"]] == [x.spec.name for x in found.lines]
    assert [one["said"] for one in told["references"]] == [x.said for x in found.references]
    for one in told["references"]:
        kind = REFERENCE_KINDS[one["reference"]["kind"]]
        assert kind.model_validate(one["reference"])
        assert all(np.isfinite(line).all() for line in one["drawn"]["lines"])
    assert any(one["drawn"]["lines"] for one in told["references"])
    asked = told["questions"]
    assert [one["said"] for one in asked] == [question.said for question in found.questions]
    assert not any("--" in one["said"] or "job file" in one["said"] for one in asked)
    assert told["notes"] == [*found.missing, *found.notes]
    for question in asked:
        assert question["ways"]
        for way in question["ways"]:
            assert way["references"] or way["line"] in {x.spec.name for x in found.lines}
            for one in way["references"]:
                assert REFERENCE_KINDS[one["kind"]].model_validate(one)


def test_an_open_format_is_asked_with_the_lengths(client, sample):
    """As long as the job leaves it open, whether it can be measured or not."""
    spec = json.loads(SAMPLE.read_text())["elevations"][0]
    ladder = next(one for one in spec["references"] if one["kind"] == "courses")
    for word in ("format", "taped_count", "taped_mm"):
        ladder.pop(word, None)
    ladder |= {"gauge_mm": 78.0, "gauge_sd_mm": 4.0, "may_be": ["us-modular", "uk-metric"]}

    def asked(**changes):
        body = {"seq": 1, "elevation": {**spec, **changes}}
        return client.post(f"/work-on/{sample}/measure", json=body).json()

    place = spec["references"].index(ladder)
    # The rules of a job that states none are those of the United Kingdom.
    question = {
        "ask": "format",
        "references": [place],
        "formats": ["uk-metric", "us-modular"],
    }

    assert asked()["questions"] == [question]
    assert asked(camera={"size_px": [100, 100]})["questions"] == [question]

    ladder["format"] = "uk-metric"

    assert asked()["questions"] == []


def test_a_ruler_settles_the_size_of_printed_sheets(client, sample):
    """One sentence where the reading cannot be of that line."""
    spec = json.loads(SAMPLE.read_text())["elevations"][0] | {"lines": [], "soffits": []}
    size = PrintSize().scale()
    spec["references"] = [
        {
            "kind": "points",
            "name": "Sheet C1",
            "rotated": True,
            "picks": [[1000, 1000], [1100, 1000], [1100, 1150]],
            "wall_mm": [[0, 150], [100, 150], [100, 0]],
            "scale_sd": size.sd,
            "axis_scale_sd": [size.across_sd, size.up_sd],
            "scale_of": "the printer",
        }
    ]
    path = f"/work-on/{sample}/print-size"

    def asked(**readings):
        return client.post(path, json={"elevation": spec, **readings})

    (sheet,) = asked(line_a_mm=168.3, line_b_mm=230).json()["references"]

    assert sheet["wall_mm"][1] == pytest.approx([99.0, 150.0])
    assert sheet["scale_sd"] == 0.0
    for readings in ({"line_a_mm": 17.0}, {}, {"line_a_mm": "long"}, {"line_b_mm": True}):
        answer = asked(**readings)

        assert answer.status_code == 422
        assert answer.json()["message"].endswith(".")


@pytest.mark.parametrize(
    "change",
    [
        {"elevation": "none"},
        {"elevation": None},
        {"ends": [[0, 0]]},
        {"ends": [[0, 0], [1e9, 5]]},
        {"ends": [["a", 0], [1, 2]]},
        {"ends": None},
        {"role": "no role"},
    ],
)
def test_snapping_refuses_nonsense(client, change):
    """Each is one sentence."""
    body = {"seq": 1, "elevation": "front", "ends": [[9, 9], [90, 90]], "role": "eaves"}
    answer = client.post(f"/work-on/{traced(client)}/snap", json={**body, **change})

    assert answer.status_code == 422
    assert answer.json()["message"].endswith(".")
