"""The table a person reads: inside its width, nothing cut, one snapshot."""

import json
import re
from itertools import cycle

import pytest

from photomeasure.layout import WIDTH
from photomeasure.terminal import columns, folded, padded
from tests.photomeasure.golden_files import GOLDEN, same_as_golden
from tests.photomeasure.house import front, job, write_job
from tests.photomeasure.run import measure, run
from tests.photomeasure.test_schemas import gable

LONG = "the eaves of the rear extension towards the neighbour's garden, upper run " * 2
ENDLESS = "Dachrinnenbefestigungskonstruktion" * 5
WIDE = "裏庭に面した増築部分の軒先と鼻隠し板の長さ" * 2
COMBINED = "e\u0301" * 100


def table(capsys, tmp_path, *elevations):
    return run(capsys, "measure", write_job(tmp_path, job(*elevations))).out


def named(name):
    """Return the house with one name everywhere a name can be."""
    elevation = {**front(), "name": name}
    elevation["references"][0]["name"] = name
    elevation["lines"][0]["name"] = elevation["soffits"][0]["lines"][0] = name
    elevation["soffits"][0]["name"] = name
    return elevation


@pytest.mark.parametrize("name", [LONG, ENDLESS, WIDE, COMBINED])
def test_long_and_wide_names_stay_inside_the_width(name, tmp_path, capsys):
    """They go on below themselves; nothing of them is lost."""
    other = {**named(name), "name": "back"}
    refused = {**front(), "name": name[::-1], "references": []}
    document = {**job(named(name), other, refused), "title": name}

    out = run(capsys, "measure", write_job(tmp_path, document)).out

    assert max(map(columns, out.splitlines())) <= WIDTH
    letters = "".join(name.split())
    assert "".join(out.split()).count(letters[:20]) >= 4
    assert letters in "".join(out.split())


def test_each_length_stands_beside_its_line(tmp_path, capsys):
    """The first line of a folded name carries the numbers."""
    out = table(capsys, tmp_path, named(LONG))

    row = next(line for line in out.splitlines() if re.search(r"eaves +\d{4} ", line))
    assert row.startswith(LONG[:20])
    assert row.split()[-3] in {str(n) for n in range(5990, 6011)}


def test_a_house_without_lines(tmp_path, capsys):
    """References alone show the camera, and nothing pretends to be a length."""
    out = table(capsys, tmp_path, {**front(), "lines": [], "soffits": []})

    assert "no line was measured" in out
    assert "all photos together" not in out
    assert "length mm" not in out


def test_a_job_of_refusals_has_no_total(tmp_path, capsys):
    """Nothing is added up when nothing was measured."""
    out = table(capsys, tmp_path, {**front(), "references": []})

    assert "Not measured: front: references" in out
    assert "all" not in out.split("Lengths are measured")[0].split()


def whole_job():
    """Return a job with two photos, a gable, a bad line and a bad elevation."""
    back = {**front(), "name": "back"}
    back["lines"][1]["projection_mm"] = 9000
    unsized = {**front(), "name": "unsized", "references": []}
    return job(*map(jittered, (front(), back, gable())), unsized)


def jittered(elevation):
    """Move the picks of references by up to a pixel: ties depend on the processor."""
    steps = cycle((0.31, -0.77, 0.58, 0.93, -0.42, -0.11, 0.69))
    for reference in elevation["references"]:
        for word in ("picks", "corners", "ends"):
            for pick in reference.get(word, ()):
                pick[:] = [round(value + next(steps), 2) for value in pick]
    return elevation


def test_the_table_is_the_kept_one(tmp_path, capsys):
    """Word for word: a change of it is a change somebody looked at."""
    found = run(capsys, "measure", write_job(tmp_path, whole_job()))

    same = same_as_golden("house.table.txt", found.out)
    assert same, f"compare with {GOLDEN}"


def test_the_result_is_the_kept_one(tmp_path, capsys):
    """Numbers to a hundredth of a millimetre: more depends on the processor."""
    result = measure(capsys, write_job(tmp_path, whole_job())).result

    text = json.dumps(rounded(result), indent=1, ensure_ascii=False) + "\n"
    same = same_as_golden("house.result.json", text)
    assert same, f"compare with {GOLDEN}"


def rounded(node):
    """Return a document with its numbers rounded."""
    if isinstance(node, dict):
        return {key: rounded(value) for key, value in node.items()}
    if isinstance(node, list):
        return [rounded(value) for value in node]
    # + 0.0 turns -0.0 into 0.0.
    return round(node, 2) + 0.0 if isinstance(node, float) else node


@pytest.mark.parametrize("width", [2, 3, 7, 78])
@pytest.mark.parametrize("text", ["", "  ", "a", LONG, ENDLESS, WIDE, COMBINED, "軒 a 先"])
def test_folding_loses_only_blanks(text, width):
    """Every line fits and every letter is kept."""
    lines = folded(text, width)

    assert lines
    assert max(map(columns, lines)) <= width
    assert "".join("".join(lines).split()) == "".join(text.split())


def test_padding_counts_columns_not_letters():
    """A wide letter takes two."""
    assert padded("軒", 4, "<") == "軒  "
    assert padded("軒", 4, ">") == "  軒"
