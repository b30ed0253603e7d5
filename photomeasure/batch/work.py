"""What is done with one input; this runs in another process, perhaps on another machine.

Everything here depends on the input alone, so the same line comes from any worker.
"""

import hashlib
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any, Final

from calibration.errors import InputError, MeasureError, printable
from photomeasure.console import UNUSABLE, status_of
from photomeasure.result_json import RESULT_VERSION

Line = dict[str, Any]
"""One line of the results, fit for JSON."""

JOB_ENDING: Final = ".job.json"
PHOTO_ENDINGS: Final = frozenset(
    {".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff", ".heic", ".heif"}
)


class Outcome(StrEnum):
    """How it went with one input."""

    MEASURED = "measured"
    PARTLY = "partly measured"
    READ = "read"
    REFUSED = "refused"
    FAILED = "failed"


@dataclass(frozen=True, slots=True)
class Task:
    """One input.

    Attributes
    ----------
    name : str
        Path within the folder, with forward slashes.
    path : Path
    of_job : bool
        Whether it is a photo that a job of the batch names: it is measured there.
    brick_format : str or None
        Of the walls of photos that no job names.
    """

    name: str
    path: Path
    of_job: bool = False
    brick_format: str | None = None

    @property
    def is_job(self) -> bool:
        """Whether it is a job file; otherwise it is a photo."""
        return self.name.lower().endswith(JOB_ENDING)


def work(task: Task) -> Line:
    """Measure a job, or read a photo; whatever happens becomes a line.

    Parameters
    ----------
    task : Task

    Returns
    -------
    dict
    """
    mark = fingerprint(task)
    try:
        found = _job(task) if task.is_job else _photo(task)
    except MeasureError as error:
        found = _line(Outcome.REFUSED, status_of(error), [str(error)], None)
    except Exception as error:  # noqa: BLE001 - one input must not stop a thousand others
        found = failed(task, f"the program failed with {type(error).__name__}")
    return {"input": task.name, "fingerprint": mark, **found}


def failed(task: Task, what: str) -> Line:
    """Return the line of an input on which the program itself failed.

    Parameters
    ----------
    task : Task
    what : str

    Returns
    -------
    dict
        Without name and fingerprint.
    """
    error = InputError(task.name, what, "measure it alone and report what it says")
    return _line(Outcome.FAILED, UNUSABLE, [str(error)], None)


def fingerprint(task: Task) -> str:
    """Return a mark that changes with the input, its photos or the result's format.

    Parameters
    ----------
    task : Task

    Returns
    -------
    str
        Photos beside a job count by size and time of change, which takes no reading.
    """
    from photomeasure.job.reading import parse, photo_names, read_bytes

    engine = hashlib.sha256(f"result {RESULT_VERSION}".encode())
    if not task.is_job:
        engine.update(_state(task.path) + f"{task.of_job} {task.brick_format}".encode())
        return engine.hexdigest()
    try:
        content = read_bytes(task.path)
        engine.update(content)
        for name in photo_names(parse(content, task.name)):
            engine.update(_state(task.path.parent / name))
    except MeasureError as error:
        engine.update(str(error).encode("utf-8", "replace"))
    return engine.hexdigest()


def _state(path: Path) -> bytes:
    try:
        facts = path.stat()
    except (OSError, ValueError):
        return b"missing"
    return f"{facts.st_size} {facts.st_mtime_ns} ".encode()


def _job(task: Task) -> Line:
    from photomeasure.job.load import load_job
    from photomeasure.measure import measure_job
    from photomeasure.result_json import job_json
    from photomeasure.results import MeasuredElevation

    measured = measure_job(load_job(task.path))
    sentences, statuses = [], {0}
    for sentence, undetermined in measured.refusals():
        sentences.append(printable(sentence))
        statuses.add(UNUSABLE + undetermined)
    has_lines = any(
        isinstance(entry, MeasuredElevation) and entry.measured
        for entry in measured.elevations
    )
    outcome = Outcome.PARTLY if has_lines else Outcome.REFUSED
    if not sentences:
        outcome = Outcome.MEASURED
    status = min(statuses - {0}, default=0)
    return _line(outcome, status, sentences, job_json(measured))


def _photo(task: Task) -> Line:
    from calibration.photo import focal_prior, read_header

    header = read_header(task.path)
    prior = focal_prior(header)
    advice = [*header.advice, *(prior.advice if prior else ())]
    facts = {
        "format": str(header.format),
        "size_px": list(header.upright_size_px),
        "focal_px": round(prior.focal_px, 3) if prior else None,
        "focal_sd_px": round(prior.sd_px, 3) if prior else None,
        "advice": advice,
    }
    if task.of_job:
        return _line(Outcome.READ, 0, [], facts)
    return _reading(task, facts)


def _reading(task: Task, facts: dict[str, Any]) -> Line:
    """Look for scale and roofline; what only a person can tell becomes the sentences."""
    from photomeasure.reading import Told, read_photo
    from photomeasure.reading.report import asked, reading_json

    reading = read_photo(task.path, Told(brick_format=task.brick_format))
    refused = (reading.refused,) if reading.refused else ()
    questions = map(asked, reading.questions)
    sentences = [printable(s) for s in (*refused, *reading.missing, *questions)]
    return _line(Outcome.READ, 0, sentences, facts | reading_json(reading))


def _line(
    outcome: Outcome, status: int, sentences: list[str], result: dict[str, Any] | None
) -> Line:
    return {
        "outcome": str(outcome),
        "status": status,
        "sentences": sentences,
        "result": result,
    }
