"""Files in the folder: whole, ours, the same each time."""

import json

import pytest

from calibration.errors import InputError
from photomeasure.papers.files import LIST, OthersFile, write_files
from photomeasure.papers.produce import NEED_PRICES, Form, Which, produce
from tests.photomeasure.papers.dossiers import dossier, unpriced
from tests.photomeasure.run import is_one_sentence

FILES = {"a.pdf": b"one", "b.csv": b"two"}


def test_files_are_written_into_a_new_folder(tmp_path):
    """The folder is made; beside the files lies only their list."""
    folder = tmp_path / "deep" / "er"

    assert write_files(folder, FILES) == ()
    assert {p.name: p.read_bytes() for p in folder.iterdir() if p.name != LIST} == FILES
    assert (folder / "a.pdf").stat().st_mode & 0o077  # readable as the user's files are


def test_our_own_files_are_renewed(tmp_path):
    """What we wrote and nobody changed is replaced without a word."""
    write_files(tmp_path, FILES)
    write_files(tmp_path, {"c.pdf": b"other paper"})

    assert write_files(tmp_path, {"a.pdf": b"new"}) == ()
    assert (tmp_path / "a.pdf").read_bytes() == b"new"
    assert set(json.loads((tmp_path / LIST).read_text())["files"]) == {*FILES, "c.pdf"}


def test_a_foreign_file_stops_everything(tmp_path):
    """Nothing is written if one of the names belongs to somebody else."""
    (tmp_path / "b.csv").write_bytes(b"mine")
    with pytest.raises(OthersFile) as caught:
        write_files(tmp_path, FILES)

    assert is_one_sentence(str(caught.value))
    assert "b.csv" in str(caught.value)
    assert {p.name for p in tmp_path.iterdir()} == {"b.csv"}
    assert (tmp_path / "b.csv").read_bytes() == b"mine"


def test_a_paper_that_somebody_changed_is_theirs(tmp_path):
    """Figures written into the cut list are not lost by making it again."""
    write_files(tmp_path, FILES)
    (tmp_path / "b.csv").write_bytes(b"two, taped 4632")
    with pytest.raises(OthersFile):
        write_files(tmp_path, FILES)

    assert write_files(tmp_path, FILES, replace=True) == ("b.csv",)
    assert (tmp_path / "b.csv").read_bytes() == b"two"


def test_a_link_is_never_followed(tmp_path):
    """A link in place of a paper is not ours; replacing it leaves its target alone."""
    target = tmp_path / "target"
    target.write_bytes(b"precious")
    folder = tmp_path / "papers"
    folder.mkdir()
    (folder / "a.pdf").symlink_to(target)
    with pytest.raises(OthersFile):
        write_files(folder, FILES)

    assert write_files(folder, FILES, replace=True) == ("a.pdf",)
    assert target.read_bytes() == b"precious"
    assert (folder / "a.pdf").read_bytes() == b"one"


@pytest.mark.parametrize("listed", [b"", b"[]", b'{"files": 3}', b"\xff", b"[" * 100_000])
def test_a_spoilt_list_knows_nothing(tmp_path, listed):
    """Then every file there is somebody else's."""
    write_files(tmp_path, FILES)
    (tmp_path / LIST).write_bytes(listed)

    with pytest.raises(OthersFile):
        write_files(tmp_path, FILES)


def test_cut_short_between_two_files_both_are_still_ours(tmp_path, monkeypatch):
    """A run that dies half way leaves old and new papers, all whole, all renewable."""
    write_files(tmp_path, FILES)
    new = {"a.pdf": b"one new", "b.csv": b"two new"}
    from photomeasure.papers import files as module

    put = module._put

    def dying(folder, name, data):
        if name == "b.csv":
            raise OSError(28, "No space left on device")
        put(folder, name, data)

    monkeypatch.setattr(module, "_put", dying)
    with pytest.raises(InputError, match="No space left"):
        write_files(tmp_path, new)
    monkeypatch.undo()

    assert (tmp_path / "a.pdf").read_bytes() == b"one new"
    assert (tmp_path / "b.csv").read_bytes() == b"two"
    assert write_files(tmp_path, new) == ()
    assert not [p for p in tmp_path.iterdir() if p.name.startswith(".")]


def test_a_folder_that_cannot_be_written_is_told(tmp_path):
    """One sentence, no traceback."""
    (tmp_path / "file").write_bytes(b"")
    for folder in (tmp_path / "file", tmp_path / "a\0b"):
        with pytest.raises(InputError) as caught:
            write_files(folder, FILES)
        assert is_one_sentence(str(caught.value))


def test_all_papers_in_all_forms():
    """Five papers in four forms, and again byte for byte."""
    first = produce(dossier(), list(Which), list(Form))
    second = produce(dossier(), list(Which), list(Form))

    assert first.refusals == ()
    assert len(first.files) == 5 * len(Form)
    assert first.files == second.files


def test_a_paper_that_cannot_be_made_does_not_lose_the_others():
    """Without prices all but the quotation are made."""
    done = produce(unpriced(), list(Which), [Form.JSON])

    assert set(done.files) == {
        "order.json",
        "cut-list.json",
        "take-off.json",
        "costing.json",
    }
    assert [is_one_sentence(str(refusal)) for refusal in done.refusals] == [True]
    assert Which.QUOTATION in NEED_PRICES
