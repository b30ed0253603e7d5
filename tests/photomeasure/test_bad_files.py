"""Job files and photos that are none, or not the right ones."""

import json
import os
import time

import pytest
from PIL import Image

from tests.photomeasure.house import front, job, write_job, write_photo
from tests.photomeasure.run import is_one_sentence, measure, run

UNUSABLE = 3
GOOD = json.dumps(job())

PATIENCE_S = 30.0
"""Processor seconds: reading a file takes well under one."""

TEXTS = [
    ("empty", "", ("is empty",)),
    ("blank", " \n\t ", ("is empty",)),
    ("not JSON", "front eaves 6.00 m", ("line 1, column 1", "a value is missing", "mend")),
    ("a web page", "<!DOCTYPE html>", ("is not JSON",)),
    ("cut in a block", GOOD[: len(GOOD) // 2], ("cut off", "copy or save")),
    ("cut in a text", GOOD[:30], ("cut off",)),
    ("a comma missing", GOOD.replace(', "title"', ' "title"'), ("column", "a comma")),
    ("a comma too many", GOOD.replace("}]}", "},]}"), ("column", "is not JSON")),
    ("single quotes", GOOD.replace('"', "'"), ("column 2", "double quotes")),
    ("two jobs", GOOD + GOOD, ("behind the last closing bracket",)),
    ("a raw line break", GOOD.replace("invented", "in\nvented"), ("line 1", "runs over")),
    ("nested without end", "[" * 100_000, ("nests brackets",)),
    ("nested blocks", '{"a":' * 100_000, ("nests brackets",)),
    ("a list", "[1, 2]", ("is not a photomeasure job",)),
    ("a number", "5", ("is not a photomeasure job",)),
    ("another format", '{"elevations": []}', ("is not a photomeasure job",)),
    ("version 2", '{"photomeasure_job": 2}', ("photomeasure_job", "newer program")),
    ("version true", '{"photomeasure_job": true}', ("photomeasure_job", "is true")),
    ("version in quotes", '{"photomeasure_job": "1"}', ("photomeasure_job",)),
    ("version endless", '{"photomeasure_job": 1e999}', ("photomeasure_job",)),
    ("no elevations", '{"photomeasure_job": 1}', ("elevations", "at least one")),
    ("empty elevations", json.dumps({**job(), "elevations": []}), ("at least one",)),
    ("elevations a text", json.dumps({**job(), "elevations": "a"}), ("not a list",)),
    ("too many", json.dumps({**job(), "elevations": [1] * 10_001}), ("10001 entries",)),
    ("title a number", json.dumps({**job(), "title": 7}), ("title", "not text")),
    ("title endless", json.dumps({**job(), "title": "x" * 1001}), ("title", "shorten")),
    ("unknown word", json.dumps({**job(), "titel": ""}), ("titel", '"title"')),
    ("title twice", GOOD.replace("{", '{"title": "b", ', 1), ('"title" twice', "keep one")),
]

BYTES = [
    ("another encoding", GOOD.encode("utf-16"), ("is not UTF-8 text", "saved as UTF-8")),
    ("a picture", b"\xff\xd8\xff\xe0" + bytes(200), ("is not UTF-8 text (byte 0)",)),
    ("zero bytes", bytes(200), ("is not JSON",)),
    ("an old encoding", GOOD.replace("house", "h\xe4us").encode("latin-1"), ("UTF-8",)),
]


@pytest.mark.parametrize(
    ("text", "words"), [row[1:] for row in TEXTS], ids=[r[0] for r in TEXTS]
)
def test_text_that_is_no_job(text, words, tmp_path, capsys):
    """One sentence names the file and, where it can, line and column."""
    started = time.process_time()
    found = measure(capsys, write_job(tmp_path, text))

    assert found.status == UNUSABLE
    assert found.out == ""
    assert found.err.count("\n") == 1
    assert is_one_sentence(found.sentences[0])
    assert found.sentences[0].startswith("house.job.json")
    for word in words:
        assert word in found.sentences[0]
    assert time.process_time() - started < PATIENCE_S


@pytest.mark.parametrize(
    ("data", "words"), [row[1:] for row in BYTES], ids=[r[0] for r in BYTES]
)
def test_bytes_that_are_no_text(data, words, tmp_path, capsys):
    """A picture given in place of the job, or an editor's old encoding."""
    found = measure(capsys, write_job(tmp_path, data))

    assert found.status == UNUSABLE
    assert is_one_sentence(found.sentences[0])
    for word in words:
        assert word in found.sentences[0]


def test_a_byte_order_mark_is_no_mistake(tmp_path, capsys):
    """Some editors write one."""
    path = write_job(tmp_path, b"\xef\xbb\xbf" + GOOD.encode())

    assert measure(capsys, path).status == 0


def test_a_word_given_twice_spoils_its_own_elevation_alone(tmp_path, capsys):
    """Which of two lengths is meant cannot be told, so neither is taken."""
    back = {**front(), "name": "back"}
    text = json.dumps(job(front(), back))
    text = text.replace('"length_mm": 3000', '"length_mm": 3000, "length_mm": 3100', 1)

    found = measure(capsys, write_job(tmp_path, text))

    assert found.status == UNUSABLE
    assert found.sentences == [
        'front: references[1]: gives "length_mm" twice; keep one of them.'
    ]
    assert len(found.elevation("back")["lines"]) == 2


def test_two_elevations_of_one_name(tmp_path, capsys):
    """The first keeps the name; the second is told to take another."""
    found = measure(capsys, write_job(tmp_path, job(front(), front())))

    assert found.status == UNUSABLE
    assert len(found.sentences) == 1
    assert found.sentences[0].startswith("elevations[1]: name:")
    assert len(found.elevation("front")["lines"]) == 2


def test_ten_thousand_elevations_are_told_one_by_one(tmp_path, capsys):
    """A program that writes jobs went wrong; the answer still comes in time."""
    started = time.process_time()
    found = measure(capsys, write_job(tmp_path, job(*[{}] * 10_000)))

    assert found.status == UNUSABLE
    assert len(found.sentences) == 10_000
    assert all(is_one_sentence(text) for text in found.sentences)
    assert time.process_time() - started < PATIENCE_S


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("none.json", "there is no such file"),
        ("house.job.json/inside", "there is no such file"),
        (".", "is a folder"),
        ("zero\0byte", "cannot be opened"),
        ("n" * 300, "cannot be opened"),
    ],
)
def test_paths_that_lead_to_no_job(name, words, tmp_path, capsys):
    """Missing, a folder, or no name of a file at all."""
    write_job(tmp_path, job())

    found = measure(capsys, tmp_path / name)

    assert found.status == UNUSABLE
    assert is_one_sentence(found.sentences[0])
    assert words in found.sentences[0]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_protected_job(tmp_path, capsys):
    """Permissions are the user's to change."""
    path = write_job(tmp_path, job())
    path.chmod(0)

    assert "may not be read" in measure(capsys, path).sentences[0]


def _broken(folder):
    whole = write_photo(folder, "whole.jpg").read_bytes()
    (folder / "cut.jpg").write_bytes(whole[: len(whole) // 2])
    (folder / "text.jpg").write_text("not a picture")
    (folder / "empty.jpg").write_bytes(b"")
    (folder / "folder.jpg").mkdir()
    Image.new("RGB", (800, 600)).save(folder / "half.jpg")
    exif = Image.Exif()
    exif[274] = 6
    write_photo(folder, "turned.jpg", exif=exif)


@pytest.mark.parametrize(
    ("photo", "words"),
    [
        ("none.jpg", ("there is no such file", "check the name")),
        ("cut.jpg", ("cut off before its end",)),
        ("text.jpg", ("not a picture",)),
        ("empty.jpg", ("the file is empty",)),
        ("folder.jpg", ("this is a folder",)),
        ("../" * 24 + "etc/passwd", ("passwd", "not a picture")),
        ("/etc/passwd", ("passwd", "not a picture")),
        ("", ("front: photo", "is empty")),
        ("zero\0byte.jpg", ("zero byte",)),
        ("half\ud800.jpg", ("half a sign",)),
        ("n" * 999, ("cannot be opened",)),
        ("half.jpg", ("camera.size_px", "1600 x 1200", "800 x 600")),
        ("turned.jpg", ("camera.size_px", "turned picture", "leave size_px out")),
        (7, ("front: photo", "not text")),
        (["whole.jpg"], ("front: photo", "not text")),
    ],
)
def test_photos_that_cannot_be_used(photo, words, tmp_path, capsys):
    """The elevation is refused with its name; the one beside it is measured."""
    _broken(tmp_path)
    bad = {**front(), "photo": photo}
    back = {**front(), "name": "back", "photo": "whole.jpg"}

    found = measure(capsys, write_job(tmp_path, job(bad, back)))

    assert found.status == UNUSABLE
    assert len(found.sentences) == 1
    assert is_one_sentence(found.sentences[0])
    assert found.sentences[0].startswith("front: ")
    for word in words:
        assert word in found.sentences[0]
    assert set(found.elevation("front")) == {"name", "error"}
    assert len(found.elevation("back")["lines"]) == 2


def test_a_photo_of_a_wrong_orientation_tag_is_doubted_aloud(tmp_path, capsys):
    """A damaged tag stops nothing, but a person has to look."""
    exif = Image.Exif()
    exif[274] = 99
    write_photo(tmp_path, exif=exif)

    path = write_job(tmp_path, job({**front(), "photo": "front.jpg"}))
    found = measure(capsys, path)

    assert found.status == 0
    said = " ".join(found.elevation("front")["cautions"])
    assert "orientation tag says 99" in said


NASTY = [
    "two\nlines",
    "\x1b[2J\x1b]0;owned\x07",
    "\x9b31m",
    "\u202egpj.tnorf",
    "<script>alert(1)</script>",
    "${7*7} {{7*7}} %s %n",
    "tab\tbell\x07",
    "屋根 軒先",
    "e\u0301\u0301\u0301",
    "=cmd|' /C calc'!A0",
]


@pytest.mark.parametrize("name", NASTY)
def test_names_steer_no_terminal(name, tmp_path, capsys):
    """Markup stays text; control signs and direction marks never reach the terminal."""
    elevation = {**front(), "name": name}
    elevation["references"][0]["name"] = name
    elevation["lines"][0]["name"] = elevation["soffits"][0]["lines"][0] = name
    elevation["soffits"][0]["name"] = name
    bad = {**front(), "name": name + "2", "references": []}
    path = write_job(tmp_path, {**job(elevation, bad), "title": name})

    for options in ([], ["--json"]):
        found = run(capsys, "measure", path, *options)

        assert found.status == UNUSABLE
        assert len(found.sentences) == 1
        printed = (found.out + found.err).replace("\n", "")
        assert printed.isprintable()
    assert found.result["title"] == name
    assert found.elevation(name)["lines"][0]["name"] == name
    assert found.out.isascii()


def test_a_title_of_half_a_sign_is_refused(tmp_path, capsys):
    """Half a surrogate pair cannot be written to any file."""
    found = measure(
        capsys,
        write_job(
            tmp_path, '{"photomeasure_job": 1, "title": "\\ud800", "elevations": [1]}'
        ),
    )

    assert found.status == UNUSABLE
    assert "half a sign" in found.sentences[0]
