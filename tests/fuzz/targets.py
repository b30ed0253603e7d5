"""What reads files of strangers, as functions of bytes that take or refuse them."""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from calibration.errors import MeasureError
from calibration.photo import focal_prior, load_upright, read_header
from photomeasure.job.load import job_from_document
from photomeasure.job.reading import parse
from photomeasure.measure import measure_job
from photomeasure.privacy import cleaned_photo
from photomeasure.store.home import find_place
from photomeasure.store.package import Duplicate, bring_in_package, write_package
from photomeasure.store.store import open_store
from photomeasure.takeoff.pricing import example_book
from photomeasure.takeoff.pricing.reader import EXAMPLE, book_from_bytes
from photomeasure.takeoff.rules.load import countries, rules_from_text
from tests.calibration.photo.files import FORMATS, camera_exif, encode, scene
from tests.photomeasure.house import front, job
from tests.photomeasure.store.travelling import fill

TARGETS = ("photo", "job", "package", "prices", "rules")


@dataclass(frozen=True)
class Target:
    """A reader under attack.

    Attributes
    ----------
    take : callable
        Reads bytes; raises MeasureError to refuse them, and nothing else.
    seeds : tuple of bytes
        Good inputs to start from.
    """

    take: Callable[[bytes], object]
    seeds: tuple[bytes, ...]


def refused_or_taken(take: Callable[[bytes], object], data: bytes) -> bool:
    """Return whether bytes were taken; a refusal must be one sentence."""
    try:
        take(data)
    except MeasureError as refusal:
        sentence = str(refusal)
    else:
        return True
    assert sentence
    assert sentence.isprintable()
    return False


def target(name: str, folder: Path) -> Target:
    """Return one of TARGETS, which keeps its files in a folder."""
    return {
        "photo": photo,
        "job": job_file,
        "package": package,
        "prices": prices,
        "rules": rules,
    }[name](folder)


def photo(folder: Path) -> Target:
    """Return the reader of pictures, every format, and the cleaner behind it."""
    path = folder / "photo.bin"

    def take(data: bytes) -> None:
        path.write_bytes(data)
        focal_prior(read_header(path))
        load_upright(path)
        cleaned_photo(path)

    exif = camera_exif(orientation=6)
    return Target(take, tuple(encode(scene(), kind, exif) for kind in FORMATS))


def job_file(folder: Path) -> Target:
    """Return the reader of job files, which measures what it can."""

    def take(data: bytes) -> None:
        measure_job(job_from_document(parse(data, "job"), folder, "job"))

    return Target(take, tuple(_documents()))


def _documents() -> Iterator[bytes]:
    yield json.dumps(job(front())).encode()
    yield json.dumps({**job(front()), "takeoff": {"country": "uk"}}).encode()


def package(folder: Path) -> Target:
    """Return the import of a travelling job."""
    store = open_store(find_place(folder / "here", {}))
    path = folder / "job.zip"

    def take(data: bytes) -> None:
        path.write_bytes(data)
        bring_in_package(store, path, Duplicate.REFUSE)

    with open_store(find_place(folder / "there", {})) as there:
        job_id = fill(there, folder)
        plain = write_package(there, job_id, folder / "plain.zip").read_bytes()
        whole = write_package(there, job_id, folder / "whole.zip", with_history=True)
        return Target(take, (plain, whole.read_bytes()))


def prices(_: Path) -> Target:
    """Return the reader of price books."""

    def take(data: bytes) -> None:
        book_from_bytes(data, "prices")

    assert example_book().prices
    return Target(take, ((files("photomeasure.takeoff.pricing") / EXAMPLE).read_bytes(),))


def rules(_: Path) -> Target:
    """Return the reader of rules files."""

    def take(data: bytes) -> None:
        rules_from_text(data.decode("utf-8", "replace"), "elsewhere")

    shipped = files("photomeasure.takeoff.rules")
    return Target(take, tuple((shipped / f"{c}.toml").read_bytes() for c in countries()))
