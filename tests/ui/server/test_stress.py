"""Many at once, connections that break, photos that go: nothing is lost or half there."""

import socket
import threading
import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from photomeasure.store import photos
from tests.ui.server.kit import elevation, jpeg, opened, save, send, traced
from tests.ui.server.running import Page

PEOPLE = 10


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    """Return a page that runs as a program."""
    running = Page(tmp_path_factory.mktemp("home"))
    yield running
    running.kill()


def begun(page, job="invented"):
    """Return the id of a new job on a running page."""
    return page.ask("/jobs", {"title": job}).json()["job"]


def without_photo():
    """Return the invented wall as a job file without its photo has it."""
    spec = elevation()
    del spec["photo"]
    return {**spec, "camera": {"size_px": [1200, 900], "focal_px": 900.0}}


def upload(job, host, content, stated):
    """Return the bytes of an upload that says how long it will be."""
    head = (
        b"--cut\r\nContent-Disposition: form-data; name=photos; filename=wall.jpg\r\n"
        b"Content-Type: image/jpeg\r\n\r\n"
    )
    body = head + content + b"\r\n--cut--\r\n"
    return (
        f"POST /work-on/{job}/photos HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\n"
        f"Content-Type: multipart/form-data; boundary=cut\r\n"
        f"Content-Length: {len(body) if stated is None else stated}\r\n\r\n"
    ).encode() + body


def files_below(folder):
    """Return the files that are in a folder and its folders."""
    return sorted(path for path in folder.rglob("*") if path.is_file())


def test_an_upload_that_breaks_off_leaves_nothing(page):
    """The phone lost its network: no wall, no file, and it can be sent again."""
    job = begun(page)
    host = f"127.0.0.1:{page.port}"
    whole = upload(job, host, jpeg(), None)
    for share in (0.2, 0.5, 0.99):
        with socket.create_connection(("127.0.0.1", page.port)) as phone:
            phone.sendall(whole[: int(share * len(whole))])
    time.sleep(0.5)
    told = page.ask(f"/work-on/{job}").json()

    assert [one["photo"] for one in told["elevations"]] == [None]
    assert files_below(page.home / "photos") == []
    assert files_below(page.home / "arrivals") == []

    with socket.create_connection(("127.0.0.1", page.port)) as phone:
        phone.sendall(whole)
        answered = phone.recv(20)

    assert answered.startswith(b"HTTP/1.1 200")


def test_a_slow_upload_holds_nobody_up(page):
    """A phone that sends a few bytes a second; others are served meanwhile."""
    slow, other = begun(page, "slow"), begun(page, "other")
    host = f"127.0.0.1:{page.port}"
    whole = upload(slow, host, jpeg(), None)
    with socket.create_connection(("127.0.0.1", page.port)) as phone:
        sent = 0
        for step in range(1, 6):
            upto = len(whole) * step // 5
            phone.sendall(whole[sent:upto])
            sent = upto
            if step < 5:
                assert page.ask(f"/work-on/{other}").status == 200
                time.sleep(0.1)

        assert phone.recv(20).startswith(b"HTTP/1.1 200")


def test_ten_people_measure_and_save_at_once(page):
    """Each on a job of his own, and each gets the length of his own wall."""
    wide = [900 + 20 * i for i in range(PEOPLE)]

    def work(width):
        job = begun(page, f"wall {width}")
        document = page.ask(f"/work-on/{job}").json()["document"]
        spec = without_photo()
        spec["lines"][0]["projection_mm"] = 0
        spec["references"][0]["width_mm"] = width
        spec["references"][0]["height_mm"] = width * 1.2
        lengths = []
        for seq in range(5):
            body = {"seq": seq, "elevation": spec}
            lengths.append(page.ask(f"/work-on/{job}/measure", body).json())
        body = {"base": 1, "document": {**document, "elevations": [spec]}, "who": "x"}
        saved = page.ask(f"/work-on/{job}", body, "PUT").json()
        return lengths, saved

    with ThreadPoolExecutor(PEOPLE) as people:
        answers = list(people.map(work, wide))
    found = []
    for lengths, saved in answers:
        assert [one["seq"] for one in lengths] == list(range(5))
        shown = [one["lines"][0]["length_mm"] for one in lengths]
        (kept,) = saved["result"]["elevations"][0]["lines"]
        assert shown == pytest.approx([kept["length_mm"]] * 5, abs=1e-3)
        found.append(kept["length_mm"])

    # One wall, stated larger and larger: lengths stand to each other as the doors do.
    assert [one / found[0] for one in found] == pytest.approx(
        [one / wide[0] for one in wide], rel=0.005
    )


def test_ten_people_on_one_job_lose_no_line(page):
    """Who is told that the job changed reads it and puts his line in again."""
    job = begun(page)
    front = without_photo()
    told = page.ask(f"/work-on/{job}").json()
    document = {**told["document"], "elevations": [front]}
    body = {"base": told["revision"], "document": document, "who": "x"}
    assert page.ask(f"/work-on/{job}", body, "PUT").status == 200

    def draw(who):
        line = {**front["lines"][0], "name": f"line {who}"}
        for _ in range(10 * PEOPLE):
            told = page.ask(f"/work-on/{job}").json()
            told["document"]["elevations"][0]["lines"].append(line)
            body = {"base": told["revision"], "document": told["document"], "who": "x"}
            answer = page.ask(f"/work-on/{job}", body, "PUT")
            if answer.status == 200:
                return
            assert answer.status == 409
        raise AssertionError

    with ThreadPoolExecutor(PEOPLE) as people:
        list(people.map(draw, range(PEOPLE)))
    lines = page.ask(f"/work-on/{job}").json()["document"]["elevations"][0]["lines"]

    assert sorted(line["name"] for line in lines) == sorted(
        ["eaves", *(f"line {who}" for who in range(PEOPLE))]
    )


@pytest.mark.parametrize(
    ("act", "body"),
    [
        ("measure", {"seq": 1, "elevation": elevation()}),
        ("snap", {"seq": 1, "elevation": "front", "ends": [[90, 120], [1110, 120]]}),
        ("read", {"elevation": "front"}),
    ],
)
def test_a_photo_whose_file_is_gone_is_one_sentence(client, store, act, body):
    """Somebody emptied the folder: sent again, the drawing can be saved."""
    job = traced(client)
    told = opened(client, job)
    document = told["document"]
    document["elevations"][0]["photo"] = name = next(iter(document["elevations"]))["photo"]
    (sha256,) = {one["photo"]["preview"].split("/")[-2] for one in told["elevations"]}
    photos.place_of(store, sha256).unlink()
    if isinstance(body["elevation"], dict):
        body = {**body, "elevation": {**body["elevation"], "photo": name}}
    answer = client.post(f"/work-on/{job}/{act}", json=body)
    sentence = answer.json()["message"]

    assert answer.status_code in (200, 404, 422, 500)
    assert sentence.endswith(".")
    assert "program" not in sentence  # it is no fault of the program

    document["elevations"][0]["lines"] = []
    refused = save(client, job, document, told["revision"])

    assert "add it again" in refused.json()["message"]

    assert send(client, job, (name, jpeg())).status_code == 200
    saved = save(client, job, document, told["revision"])

    assert saved.status_code == 200, saved.text
    assert opened(client, job)["document"]["elevations"][0]["lines"] == []


def test_a_wall_that_was_taken_out_can_be_put_back_with_its_photo(client):
    """One takes the wall out while another draws on it; the drawing comes back whole."""
    job = traced(client)
    assert send(client, job, ("back.jpg", jpeg(colour=(90, 120, 90)))).status_code == 200
    told = opened(client, job)
    drawn, kept = told["document"]["elevations"]
    without = {**told["document"], "elevations": [kept]}
    assert save(client, job, without, told["revision"]).status_code == 200
    late = save(client, job, told["document"], told["revision"])
    asked = client.post(
        f"/work-on/{job}/snap",
        json={"seq": 1, "elevation": drawn["name"], "ends": [[90, 120], [1110, 120]]},
    )
    measured = client.post(
        f"/work-on/{job}/measure", json={"seq": 1, "elevation": drawn}
    ).json()

    assert late.status_code == 409
    assert asked.status_code == 422
    assert not measured["ok"]
    assert measured["message"].endswith(".")

    again = {**without, "elevations": [kept, drawn]}
    saved = save(client, job, again, late.json()["revision"])

    assert saved.status_code == 200
    assert {one["name"] for one in opened(client, job)["elevations"]} == {
        kept["name"],
        drawn["name"],
    }


def test_a_server_that_is_killed_while_ten_save_keeps_whole_revisions(tmp_path):
    """After the start each job is one that somebody saved, and saving goes on."""
    running = Page(tmp_path)
    jobs = [begun(running, f"job {i}") for i in range(PEOPLE)]
    bases = {job: running.ask(f"/work-on/{job}").json() for job in jobs}
    stop = threading.Event()
    answered = dict.fromkeys(jobs, 0)

    def draw(job):
        number = bases[job]["revision"]
        for title in range(10_000):
            if stop.is_set():
                return
            document = {**bases[job]["document"], "title": f"title {title}"}
            body = {"base": number, "document": document, "who": "x"}
            try:
                told = running.ask(f"/work-on/{job}", body, "PUT")
            except OSError:
                return
            number = told.json()["revision"]
            answered[job] = number

    with ThreadPoolExecutor(PEOPLE) as people:
        futures = [people.submit(draw, job) for job in jobs]
        time.sleep(1.5)
        running.kill()
        stop.set()
        for future in futures:
            future.result()
    running.start()
    try:
        for job in jobs:
            told = running.ask(f"/work-on/{job}").json()
            assert told["revision"] >= answered[job]
            body = {"base": told["revision"], "document": told["document"], "who": "x"}
            assert running.ask(f"/work-on/{job}", body, "PUT").status == 200
    finally:
        running.kill()
