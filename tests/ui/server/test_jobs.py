"""Jobs and photos over the server's own routes."""

import pytest

from photomeasure.store import jobs
from tests.ui.server.kit import HOSTILE, jpeg, new_job, opened, save, send, traced


def test_a_new_job_waits_for_its_photo(client):
    """A job is there at once, with one wall and no photo."""
    told = opened(client, new_job(client, "12 Invented Lane"))

    assert (told["title"], told["revision"]) == ("12 Invented Lane", 1)
    assert told["elevations"] == [{"name": "front", "photo": None}]
    assert {"roles", "formats"} <= set(told["rules"])


def test_photos_become_walls(client):
    """The first photo goes to the empty wall, the next to a wall of its own."""
    job = new_job(client)
    send(client, job, ("a.jpg", jpeg()), ("b.jpg", jpeg(colour=(1, 2, 3))))
    walls = opened(client, job)["elevations"]

    assert [wall["name"] for wall in walls] == ["front", "back"]
    assert [wall["photo"]["name"] for wall in walls] == ["a.jpg", "b.jpg"]
    assert walls[0]["photo"]["size_px"] == [1200, 900]
    assert walls[0]["photo"]["facts"][0] == "1200 × 900 pixels (1 megapixels)."


def test_one_bad_photo_is_told_by_name_and_loses_no_other(client):
    """What is no picture is refused; the rest is kept."""
    job = new_job(client)
    answer = send(client, job, ("bad.jpg", b"no picture"), ("good.jpg", jpeg()))

    assert answer.status_code == 200
    assert [one["name"] for one in answer.json()["refused"]] == ["bad.jpg"]
    assert "bad.jpg: this is not a picture" in answer.json()["refused"][0]["message"]
    assert opened(client, job)["elevations"][0]["photo"]["name"] == "good.jpg"


def test_a_truncated_picture_is_refused_before_anything_uses_it(client):
    """A picture whose end is missing gets one sentence and no wall."""
    job = new_job(client)
    answer = send(client, job, ("cut.jpg", jpeg()[:2000]))

    assert "cut off" in answer.json()["refused"][0]["message"]
    assert opened(client, job)["revision"] == 1


def test_the_same_photo_twice_is_one_wall(client):
    """Sending a photo again after a lost connection changes nothing."""
    job = new_job(client)
    send(client, job, ("a.jpg", jpeg()))
    send(client, job, ("a.jpg", jpeg()))

    assert len(opened(client, job)["elevations"]) == 1


def test_two_photos_of_one_name_both_stay(client):
    """Cameras count from one again; the second gets a name of its own."""
    job = new_job(client)
    send(client, job, ("IMG_0001.jpg", jpeg()))
    send(client, job, ("IMG_0001.jpg", jpeg(colour=(9, 9, 9))))
    names = [wall["photo"]["name"] for wall in opened(client, job)["elevations"]]

    assert names == ["IMG_0001.jpg", "IMG_0001-2.jpg"]


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("../../etc/passwd.jpg", "passwd.jpg"),
        ("C:\\Users\\x\\front.jpg", "front.jpg"),
        ("nul.jpg", "_nul.jpg"),
        (HOSTILE + ".jpg", None),
        ("a" * 400 + ".jpg", None),
        ("..", "photo"),
    ],
)
def test_hostile_file_names_become_plain(client, store, tmp_path, sent, kept):
    """A name leads nowhere: nothing is written but below the store's home."""
    job = new_job(client)
    send(client, job, (sent, jpeg()))
    name = opened(client, job)["elevations"][0]["photo"]["name"]

    assert kept is None or name == kept
    assert not set('<>"/\\|') & set(name)
    assert len(name) <= 100
    assert {path.name for path in tmp_path.iterdir()} == {"home"}
    assert not list((store.home / "arrivals").iterdir())


def test_no_photos_at_all_is_a_sentence(client):
    """An empty form is told what to do."""
    job = new_job(client)
    answer = client.post(f"/work-on/{job}/photos", data={"who": "me"})

    assert answer.status_code == 422
    assert answer.json()["message"].startswith("photos: holds 0 files")


def test_save_keeps_a_revision_and_answers_lengths(client, store):
    """A saved drawing is a revision with its author, and comes back measured."""
    job = traced(client)
    told = opened(client, job)
    told["document"]["title"] = "renamed"
    answer = save(client, job, told["document"], told["revision"], who="Ann")

    assert answer.json()["revision"] == told["revision"] + 1
    line = answer.json()["result"]["elevations"][0]["lines"][0]
    assert line["name"] == "eaves"
    assert line["length_mm"] > 1000
    assert jobs.history(store, job)[0].saved_by == "Ann"
    assert opened(client, job)["title"] == "renamed"


def test_two_people_on_one_job_are_told(client):
    """Who saves second gets 409 and the number to read."""
    job = traced(client)
    told = opened(client, job)
    first = {**told["document"], "title": "first"}
    second = {**told["document"], "title": "second"}
    assert save(client, job, first, told["revision"]).status_code == 200
    answer = save(client, job, second, told["revision"], who="Bob")

    assert answer.status_code == 409
    assert answer.json()["revision"] == told["revision"] + 1
    assert "tester has saved revision" in answer.json()["message"]
    assert opened(client, job)["title"] == "first"


def test_saving_the_same_again_is_no_revision(client):
    """A repeated save, after an answer was lost, changes nothing."""
    job = traced(client)
    told = opened(client, job)
    answer = save(client, job, told["document"], told["revision"])

    assert answer.json()["revision"] == told["revision"]


@pytest.mark.parametrize(
    "body",
    [
        "",
        "[]",
        "{}",
        '{"base": 1}',
        '{"base": true, "document": {}}',
        '{"base": 1, "document": {}}',
        '{"base": 1, "document": {"photomeasure_job": 1, "elevations": []}}',
        '{"base": 1, "document": {"photomeasure_job": 1, "title": NaN}}',
        '{"base": 1, "base": 2, "document": {}}',
        '{"base": 1, "document": {"a": 1, "a": 2}}',
        "[" * 100_000,
        '{"base": 1, "document": {"photomeasure_job": 1, "elevations": [{"name": "x", '
        '"photo": "../secret.jpg"}]}}',
    ],
)
def test_what_no_page_sends_is_one_sentence(client, body):
    """Nonsense is refused in words and changes nothing."""
    job = traced(client)
    before = opened(client, job)
    answer = client.put(f"/work-on/{job}", content=body)

    assert answer.status_code == 422
    assert answer.json()["message"].endswith(".")
    assert opened(client, job) == before


def test_a_job_cannot_name_another_jobs_photo(client):
    """A photo belongs to the jobs it was added to."""
    mine, other = new_job(client), new_job(client)
    send(client, other, ("secret.jpg", jpeg(colour=(5, 5, 5))))
    told = opened(client, mine)
    document = {
        **told["document"],
        "elevations": [{"name": "front", "photo": "secret.jpg"}],
    }
    answer = save(client, mine, document, told["revision"])

    assert answer.status_code == 422
    assert "is not in the store" in answer.json()["message"]


def test_a_photo_taken_out_of_a_job_can_come_back(client):
    """Undoing the removal of a wall names a photo of an earlier revision."""
    job = traced(client)
    told = opened(client, job)
    without = {**told["document"], "elevations": [{"name": "bare"}]}
    gone = save(client, job, without, told["revision"]).json()["revision"]
    back = save(client, job, told["document"], gone)

    assert back.status_code == 200
    assert opened(client, job)["elevations"][0]["photo"]["name"] == "front.jpg"


@pytest.mark.parametrize(
    "job", ["0" * 32, "x", "0" * 31, "..", "%2e%2e", "a' OR 1=1 --", "A" * 32]
)
def test_no_such_job(client, job):
    """An address that names no job is a sentence, whatever it holds."""
    answer = client.get(f"/work-on/{job}")

    assert answer.status_code == 404
    assert answer.json()["message"].endswith(".")


def test_hostile_titles_are_only_text(client):
    """A title comes back as it was typed, as JSON."""
    told = opened(client, new_job(client, HOSTILE))

    assert told["title"] == HOSTILE


def test_a_wall_with_mistakes_can_be_saved_and_opened(client):
    """Work in progress is kept although it cannot be measured."""
    job = traced(client)
    told = opened(client, job)
    told["document"]["elevations"][0]["lines"][0]["picks"] = [[1, 2]]
    answer = save(client, job, told["document"], told["revision"])

    assert answer.status_code == 200
    assert "error" in answer.json()["result"]["elevations"][0]
    assert opened(client, job)["elevations"][0]["photo"] is None


def test_a_job_that_went_and_came_back_is_measured_anew(client):
    """Lengths are remembered by what was saved, not by the number of the revision."""
    from dataclasses import replace

    job = traced(client)
    office = client.app.state.office
    told = office.open(job)
    other = replace(told.stored, revision=replace(told.stored.revision, sha256="0" * 64))

    assert replace(told, stored=other).key != told.key
    assert office.measured(told) is office.measured(office.open(job))
    assert office.measured(replace(told, stored=other)) is not office.measured(told)
