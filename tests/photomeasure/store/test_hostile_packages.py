"""Whatever somebody sends as a package: one sentence, or the very same job."""

import io
import json
import struct
import time
import tracemalloc
import zipfile
from pathlib import Path

import numpy as np
import pytest

from calibration.errors import InputError, MeasureError
from photomeasure.store import Store, jobs, open_store, photos
from photomeasure.store.check import check
from photomeasure.store.package import bring_in_package, write_package
from photomeasure.store.package.opening import MAX_GROWTH
from tests.calibration.photo.files import flat_png
from tests.photomeasure.privacy.test_cleaning import SECRET, telling
from tests.photomeasure.run import is_one_sentence
from tests.photomeasure.store.conftest import empty_place
from tests.photomeasure.store.travelling import everything, fill


@pytest.fixture(scope="module")
def good(tmp_path_factory) -> dict[str, bytes]:
    """Return the files of a valid package."""
    folder = tmp_path_factory.mktemp("good")
    with open_store(empty_place(folder / "source")) as source:
        package = write_package(
            source, fill(source, folder), folder / "good.zip", with_history=True
        )
    with zipfile.ZipFile(package) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def zipped(files: dict[str, bytes] | list[tuple[object, bytes]], **options: int) -> bytes:
    """Return a zip of some files."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items() if isinstance(files, dict) else files:
            archive.writestr(name, content, **options)
    return file.getvalue()


def relisted(files: dict[str, bytes], **changes: object) -> bytes:
    """Return a package whose list is true to its files but for some words."""
    import hashlib

    manifest = json.loads(files["manifest.json"])
    manifest["files"] = [
        {
            "path": name,
            "size_bytes": len(content),
            "sha256": hashlib.sha256(content).hexdigest(),
        }
        for name, content in files.items()
        if name != "manifest.json"
    ]
    manifest.update(changes)
    return zipped({**files, "manifest.json": json.dumps(manifest).encode()})


def refused(store: Store, data: bytes, tmp_path: Path) -> str:
    """Return the one sentence that a package is refused with; nothing may remain."""
    path = tmp_path / "evil.zip"
    path.write_bytes(data)
    with pytest.raises(MeasureError) as error:
        bring_in_package(store, path)
    assert is_one_sentence(str(error.value)), str(error.value)
    assert jobs.listed(store) == []
    return str(error.value)


SLIPS = [
    "../evil.txt", "job/../../evil.txt", "/etc/passwd", "C:/evil.txt", "job\\..\\evil",
    "job//evil", "job/a/b/c/d", "other/evil", "job/", "job/nul", "job/CON.txt", "job/a:b",
    "evil", "job/evil.", "job/ evil", "job/a\x1b[2J", "job/\u202egpj.exe",
]  # fmt: skip


@pytest.mark.parametrize("name", SLIPS)
def test_names_that_lead_elsewhere(other, good, tmp_path, name):
    """Nothing is written, inside or outside."""
    before = sorted(tmp_path.rglob("*"))
    sentence = refused(other, zipped({**good, name: b"evil"}), tmp_path)

    assert "leads elsewhere" in sentence or "ordinary file" in sentence
    after = set(tmp_path.rglob("*")) - {tmp_path / "evil.zip"}
    assert after == set(before)


def test_links_and_other_odd_files(other, good, tmp_path):
    """A link would lead whoever unpacks the file elsewhere."""
    for mode in (0o120777, 0o060600, 0o010600, 0o040700):
        info = zipfile.ZipInfo("job/link.jpg")
        info.external_attr = mode << 16
        files = [*good.items(), (info, b"/etc/passwd")]
        assert "no ordinary file" in refused(other, zipped(files), tmp_path)


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_one_name_twice(other, good, tmp_path):
    """Which of the two would be meant? Capitals alone do not tell files apart."""
    for name in ("job/house.job.json", "job/House.job.json"):
        files = [*good.items(), (name, b"other")]
        assert "there twice" in refused(other, zipped(files), tmp_path)


def test_contents_that_differ_from_the_list(other, good, tmp_path):
    """A changed, a missing and an additional file."""
    for name in (name for name in good if name != "manifest.json"):
        content = good[name]
        changed = {**good, name: content[:-1] + bytes((content[-1] ^ 1,))}
        assert "not what" in refused(other, zipped(changed), tmp_path)
        longer = {**good, name: content + b" "}
        assert "other files" in refused(other, zipped(longer), tmp_path)
        missing = {key: value for key, value in good.items() if key != name}
        assert "other files" in refused(other, zipped(missing), tmp_path)
    more = {**good, "papers/1/x/more.pdf": b"x"}
    assert "other files" in refused(other, zipped(more), tmp_path)


def test_zip_bombs(other, good, tmp_path):
    """Refused by their stated size, before anything is unpacked."""
    bomb = bytes(200 * 2**20)
    data = relisted({**good, "papers/1/order/bomb.pdf": bomb})
    assert len(data) * MAX_GROWTH < len(bomb)
    tracemalloc.start()
    started = time.process_time()
    sentence = refused(other, data, tmp_path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()

    assert "would grow" in sentence
    assert time.process_time() - started < 5
    assert peak < 50 * 2**20


def test_a_zip_that_lies_about_its_sizes(other, good, tmp_path):
    """No more is read than was stated, however much there is."""
    data = bytearray(relisted({**good, "papers/1/order/bomb.pdf": bytes(60 * 2**20)}))
    at = data.rindex(b"papers/1/order/bomb.pdf") - 46
    assert data[at : at + 4] == b"PK\x01\x02"
    data[at + 24 : at + 28] = struct.pack("<I", 1000)

    assert "other files" in refused(other, bytes(data), tmp_path)


def test_more_files_than_any_job_has(other, tmp_path):
    """The list alone would take minutes to read."""
    end = struct.pack("<4s4H2LH", b"PK\x05\x06", 0, 0, 65535, 65535, 2**31, 0, 0)
    assert "more files" in refused(other, end, tmp_path)
    large = struct.pack("<4sLQL", b"PK\x06\x07", 0, 0, 1)
    small_end = struct.pack("<4s4H2LH", b"PK\x05\x06", 0, 0, 1, 1, 46, 0, 0)
    assert "more files" in refused(other, large + small_end, tmp_path)


@pytest.mark.parametrize(
    "data",
    [b"", b"PK", b"not a zip" * 99, telling("JPEG"), zipped({}), zipped({"a": b"b"})],
    ids=["empty", "short", "text", "picture", "empty zip", "another zip"],
)
def test_files_that_are_no_package(other, tmp_path, data):
    """Said as such."""
    refused(other, data, tmp_path)


def test_a_path_that_leads_to_no_file(other, tmp_path):
    """Missing, or a folder."""
    for path in (tmp_path, tmp_path / "none.zip", Path("zero\0byte.zip")):
        with pytest.raises(InputError):
            bring_in_package(other, path)


MANIFESTS = [
    b"", b"{", b"[]", b"5", b"null", b"[" * 100_000, b'{"a":' * 100_000, b"\xff\xfe",
    b'{"photomeasure_package": 2}', b'{"photomeasure_package": 1e999}',
    b'{"photomeasure_package": true}', b'{"photomeasure_package": NaN}',
    b'{"photomeasure_package": 1, "photomeasure_package": 1}',
    b'{"photomeasure_package": ' + b"9" * 5000 + b"}",
]  # fmt: skip


@pytest.mark.parametrize("manifest", MANIFESTS, ids=lambda m: repr(m[:40]))
def test_lists_that_are_none(other, good, tmp_path, manifest):
    """Depth bombs, other versions, words given twice."""
    refused(other, zipped({**good, "manifest.json": manifest}), tmp_path)


CHANGES = [
    {"job_id": "../../x"}, {"job_id": "A" * 32}, {"revisions": []}, {"revisions": {}},
    {"papers": None}, {"places_kept": ["x"]}, {"more": 1},
    {"papers": [{"revision": 9, "kind": "a", "name": "b", "media_type": "",
                 "saved_at": "2024-01-01T00:00:00Z", "saved_by": "",
                 "sha256": "0" * 64}]},
]  # fmt: skip


@pytest.mark.parametrize("changes", CHANGES, ids=str)
def test_lists_that_say_nonsense(other, good, tmp_path, changes):
    """Each word is checked before anything is believed."""
    refused(other, relisted(good, **changes), tmp_path)


REVISION_CHANGES = [
    {"number": 0}, {"number": 2**40}, {"number": -1}, {"number": True}, {"number": 1.5},
    {"saved_at": "yesterday"}, {"saved_at": "2024-01-01T00:00:00"}, {"saved_at": 1e300},
    {"sha256": "0" * 64}, {"photos": []}, {"photos": [{"name": "a.png", "sha256": "x"}]},
    {"photos": [{"name": "../a.png", "sha256": "0" * 64}]}, {"saved_by": "x" * 999},
    {"number": 2},
]  # fmt: skip


@pytest.mark.parametrize("changes", REVISION_CHANGES, ids=str)
def test_revisions_that_say_nonsense(other, good, tmp_path, changes):
    """Numbers, times and hashes included."""
    revisions = json.loads(good["manifest.json"])["revisions"]
    revisions[0] |= changes
    refused(other, relisted(good, revisions=revisions), tmp_path)


def test_photos_of_a_package_pass_the_same_gate(other, good, tmp_path):
    """A bomb, a page and a picture that is cut off."""
    import hashlib

    name = next(name for name in good if name.endswith("a.png"))
    old = hashlib.sha256(good[name]).hexdigest()
    for evil in (flat_png(30_000, 30_000), b"<html>", good[name][:-30]):
        files = {**good, name: evil}
        text = files["manifest.json"].decode()
        new = hashlib.sha256(evil).hexdigest()
        files["manifest.json"] = text.replace(old, new).encode()
        refused(other, relisted(files), tmp_path)


def test_a_photo_that_still_says_where_it_was_taken(other, good, tmp_path):
    """Whoever wrote the package: it is cleaned unless its list says it was kept."""
    import hashlib

    name = next(name for name in good if name.endswith("a.png"))
    text = good["manifest.json"].decode()
    old, evil = hashlib.sha256(good[name]).hexdigest(), telling("PNG")
    new = hashlib.sha256(evil).hexdigest()
    files = {**good, name: evil, "manifest.json": text.replace(old, new).encode()}
    for key in list(files):
        if key != name and hashlib.sha256(files[key]).hexdigest() == old:
            files[key] = evil
    path = tmp_path / "evil.zip"
    path.write_bytes(relisted(files))
    bring_in_package(other, path)

    assert all(SECRET not in p.read_bytes() for p in photos.files(other))
    assert check(other).problems == ()


MUTANTS = 250


def test_mutants_are_refused_or_whole(other, good, tmp_path, tell):
    """Changed, cut and doubled bytes: one sentence, or the very same job."""
    whole = relisted(good)
    path = tmp_path / "whole.zip"
    path.write_bytes(whole)
    arrived = bring_in_package(other, path)
    truth = everything(other, arrived.job_id)
    jobs.delete(other, arrived.job_id)
    draw = np.random.default_rng(11)
    found = {"refused": 0, "whole": 0}
    for _ in range(MUTANTS):
        path.write_bytes(_mutant(whole, draw))
        try:
            bring_in_package(other, path)
        except MeasureError as error:
            assert is_one_sentence(str(error)), str(error)  # noqa: PT017
            found["refused"] += 1
            assert jobs.listed(other) == []
            continue
        found["whole"] += 1
        entry = jobs.listed(other)[0]
        assert everything(other, entry.id) == truth
        jobs.delete(other, entry.id)
    tell(f"mutants of a package: {found['refused']} refused, {found['whole']} identical")

    assert found["refused"] > MUTANTS // 2
    assert sum(found.values()) == MUTANTS


def _mutant(data: bytes, draw: np.random.Generator) -> bytes:
    """Change bytes, mostly in the zip's own structure; cut or repeat a part."""
    at = int(draw.integers(0, len(data)))
    if draw.random() < 0.6:  # the central directory and the end
        at = int(draw.integers(data.index(b"PK\x01\x02"), len(data)))
    kind = draw.integers(0, 4)
    if kind == 0:
        return data[:at] + data[at + int(draw.integers(1, 50)) :]
    if kind == 1:
        return data[:at] + data[at - 20 : at] + data[at:]
    changed = bytearray(data)
    for place in (at, *draw.integers(0, len(data), kind - 2)):
        changed[place] ^= int(draw.integers(1, 256))
    return bytes(changed)
