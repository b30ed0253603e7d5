"""Usage, exit statuses and streams, as a shell and a script meet them."""

import json
import os
import subprocess
import sys

import pytest

from photomeasure.cli import main
from tests.photomeasure.house import front, job, write_job, write_photo
from tests.photomeasure.run import is_one_sentence, measure, run

USAGE, UNUSABLE, UNDETERMINED = 2, 3, 4

COMMAND = [sys.executable, "-m", "photomeasure.cli"]
ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))  # noqa: PTH100, PTH120


def shell(*arguments, **options):
    """Run the command in a process of its own."""
    return subprocess.run(  # noqa: S603
        [*COMMAND, *map(str, arguments)],
        capture_output="stdout" not in options,
        text=True,
        check=False,
        timeout=120,
        env={**os.environ, "PYTHONPATH": ROOT, **options.pop("env", {})},
        **options,
    )


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["measure"],
        ["measure", "a.json", "b.json"],
        ["measure", "a.json", "--jsn"],
        ["measure", "a.json", "--annotate"],
        ["masure", "a.json"],
        ["schema", "--results=5"],
        ["--verbose"],
    ],
)
def test_wrong_usage(arguments, capsys):
    """The status is 2 and the usage is shown; nothing goes to the output."""
    with pytest.raises(SystemExit) as stop:
        main(arguments)

    out, err = capsys.readouterr()
    assert stop.value.code == USAGE
    assert out == ""
    assert "usage: photomeasure" in err


def test_help_tells_the_statuses(capsys):
    """A script writer looks there first."""
    with pytest.raises(SystemExit) as stop:
        main(["--help"])

    out = " ".join(capsys.readouterr().out.split())
    assert stop.value.code == 0
    for words in ("0 everything measured", "2 wrong usage", "3 job", "4 references"):
        assert words in out


def mixed():
    """Return a job with one good elevation, one of input and one of references."""
    unusable = {**front(), "name": "unusable", "references": []}
    loose = {**front(), "name": "loose", "soffits": []}
    loose["references"] = [r for r in loose["references"] if r["kind"] == "level"]
    return job(front(), unusable, loose)


@pytest.mark.parametrize(
    ("kept", "status"), [([0], 0), ([0, 1], 3), ([0, 2], 4), ([1, 2], 3), ([0, 1, 2], 3)]
)
def test_the_lowest_status_of_the_failures_is_reported(kept, status, tmp_path, capsys):
    """As the help and the documentation say."""
    document = mixed()
    document["elevations"] = [document["elevations"][i] for i in kept]

    assert measure(capsys, write_job(tmp_path, document)).status == status


def test_refusals_are_on_the_error_stream_in_both_modes(tmp_path, capsys):
    """Each once, the same words; the output keeps them beside what was measured."""
    path = write_job(tmp_path, mixed())

    as_json = measure(capsys, path)
    as_table = run(capsys, "measure", path)

    assert as_json.sentences == as_table.sentences
    assert [text.split(":")[0] for text in as_json.sentences] == ["unusable", "loose"]
    errors = [as_json.elevation(name)["error"] for name in ("unusable", "loose")]
    assert [error["cause"] for error in errors] == ["input", "references"]
    assert [error["message"] for error in errors] == as_json.sentences
    for sentence in as_table.sentences:
        assert sentence in " ".join(as_table.out.split())


def test_a_process_prints_the_same(tmp_path):
    """JSON alone on the output, sentences alone on the error stream."""
    done = shell("measure", write_job(tmp_path, mixed()), "--json")

    assert done.returncode == UNUSABLE
    assert json.loads(done.stdout)["photomeasure_result"] == 1
    assert len(done.stderr.splitlines()) == 2


def test_an_old_terminal_gets_a_question_mark(tmp_path):
    """A letter that the terminal lacks is no reason to stop."""
    title = {**job(), "title": "Dachüberstand 屋根"}
    path = write_job(tmp_path, title)
    ascii_only = {"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}

    table = shell("measure", path, env=ascii_only)
    result = shell("measure", path, "--json", env=ascii_only)

    assert table.returncode == result.returncode == 0
    assert table.stdout.startswith("Dach?berstand ??")
    assert json.loads(result.stdout)["title"] == title["title"]


@pytest.mark.parametrize("command", [["formats"], ["schema"], ["schema", "--result"]])
def test_a_reader_that_leaves_early(command):
    """`photomeasure formats | head -1` ends quietly."""
    read, write = os.pipe()
    os.close(read)
    with os.fdopen(write, "w") as nobody:
        done = shell(*command, stdout=nobody, stderr=subprocess.PIPE)

    assert done.returncode == 0
    assert done.stderr == ""


def test_a_reader_that_leaves_early_does_not_hide_a_refusal(tmp_path):
    """The status still tells that something was not measured."""
    path = write_job(tmp_path, mixed())
    read, write = os.pipe()
    os.close(read)
    with os.fdopen(write, "w") as nobody:
        done = shell("measure", path, stdout=nobody, stderr=subprocess.PIPE)

    assert done.returncode == UNUSABLE
    assert len(done.stderr.splitlines()) == 2
    assert "Traceback" not in done.stderr


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs /dev/full")  # noqa: PTH110
def test_a_full_disk(tmp_path):
    """A result that could not be written is no success."""
    with open("/dev/full", "w") as full:  # noqa: PTH123
        done = shell(
            "measure", write_job(tmp_path, job()), stdout=full, stderr=subprocess.PIPE
        )

    assert done.returncode == UNUSABLE
    assert "standard output: cannot be written" in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_annotated_photos_are_announced(tmp_path, capsys):
    """On the error stream, so that JSON stays JSON."""
    write_photo(tmp_path)
    path = write_job(tmp_path, job({**front(), "photo": "front.jpg"}))

    found = measure(capsys, path, "--annotate", str(tmp_path / "out"))

    assert found.status == 0
    assert found.err.startswith("wrote ")
    assert (tmp_path / "out" / "01-front-lengths.jpg").is_file()
    assert found.result["photomeasure_result"] == 1


@pytest.mark.parametrize("folder", ["front.jpg", "front.jpg/inside", "zero\0byte"])
def test_a_folder_that_cannot_be_written(folder, tmp_path, capsys):
    """The lengths are printed all the same."""
    write_photo(tmp_path)
    path = write_job(tmp_path, job({**front(), "photo": "front.jpg"}))

    found = measure(capsys, path, "--annotate", str(tmp_path / folder))

    assert found.status == UNUSABLE
    assert len(found.sentences) == 1
    assert is_one_sentence(found.sentences[0])
    assert "cannot be written" in found.sentences[0]
    assert len(found.elevation("front")["lines"]) == 2


def test_a_photo_damaged_behind_its_header_loses_only_its_own_drawing(tmp_path, capsys):
    """Measuring needs the header alone; drawing needs the pixels."""
    data = bytearray(write_photo(tmp_path, "whole.png").read_bytes())
    middle = data.index(b"IDAT") + 20
    data[middle : middle + 40] = bytes(40)
    (tmp_path / "damaged.png").write_bytes(data)
    pair = [
        {**front(), "photo": "damaged.png"},
        {**front(), "name": "back", "photo": "whole.png"},
    ]

    found = measure(
        capsys, write_job(tmp_path, job(*pair)), "--annotate", str(tmp_path / "out")
    )

    assert found.status == UNUSABLE
    assert len(found.sentences) == 1
    assert "damaged.png" in found.sentences[0]
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["02-back-lengths.jpg"]
    assert all(elevation["lines"] for elevation in found.result["elevations"])
