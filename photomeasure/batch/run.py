"""Measure everything in a folder; go on where an earlier run stopped."""

import os
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from calibration.brick_formats import brick_format as known_format
from calibration.errors import InputError, MeasureError
from photomeasure.batch.engines import lines
from photomeasure.batch.results import (
    add_line,
    opened_results,
    read_lines,
    write_sorted,
    write_summary,
)
from photomeasure.batch.work import (
    JOB_ENDING,
    PHOTO_ENDINGS,
    Line,
    Outcome,
    Task,
    fingerprint,
    work,
)
from photomeasure.job.reading import parse, photo_names, read_bytes

Progress = Callable[[int, int], None]
"""Told how many inputs there are and how many of them are done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """What is to be done.

    Attributes
    ----------
    folder : Path
        Where the inputs are, at any depth.
    target : Path
        Where the results go.
    workers : int
    cluster : str or None
        Address of a scheduler.
    again : bool
        Whether inputs that have a result are done again.
    brick_format : str or None
        Of the walls of photos that no job names.
    """

    folder: Path
    target: Path
    workers: int = 1
    cluster: str | None = None
    again: bool = False
    brick_format: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """How a batch went.

    Attributes
    ----------
    counts : dict of str to int
        Inputs by outcome.
    skipped : int
        How many had a result already.
    refusals : tuple of str
        Sentences, in the order of the inputs.
    status : int
        Exit status: the lowest of several failures.
    """

    counts: dict[str, int]
    skipped: int
    refusals: tuple[str, ...]
    status: int


def find_tasks(folder: Path, target: Path, brick_format: str | None = None) -> list[Task]:
    """List the inputs of a folder by name.

    Parameters
    ----------
    folder : Path
    target : Path
        What lies there are results, not inputs.
    brick_format : str, optional
        Of the walls of photos that no job names.

    Returns
    -------
    list of Task

    Raises
    ------
    InputError
        If it is no folder or holds no input.
    """
    if not folder.is_dir():
        raise InputError(str(folder), "is no folder", "name one that holds jobs or photos")
    paths = list(_walk(folder, target.absolute()))
    jobs = [path for path in paths if path.name.lower().endswith(JOB_ENDING)]
    named = {photo for path in jobs for photo in _named_by(path)}
    found = [
        Task(
            path.relative_to(folder).as_posix(),
            path.absolute(),
            path in named,
            brick_format,
        )
        for path in paths
        if path.name.lower().endswith(JOB_ENDING) or path.suffix.lower() in PHOTO_ENDINGS
    ]
    if not found:
        what = f"holds neither job files (*{JOB_ENDING}) nor photos"
        raise InputError(str(folder), what, "name another folder")
    return sorted(found, key=lambda task: task.name)


def _named_by(job: Path) -> Iterator[Path]:
    """Yield the photos beside a job file that it names; a bad one has its own line."""
    with suppress(MeasureError):
        document = parse(read_bytes(job), job.name)
        yield from (job.parent / name for name in photo_names(document))


def _walk(folder: Path, target: Path) -> Iterator[Path]:
    for place, folders, names in os.walk(folder):
        here = Path(place)
        folders[:] = [name for name in folders if (here / name).absolute() != target]
        yield from (here / name for name in names)


def run_batch(
    batch: Batch,
    progress: Progress | None = None,
    do: Callable[[Task], Line] = work,
) -> Summary:
    """Work through a folder; every line is on the disk before the next is awaited.

    Parameters
    ----------
    batch : Batch
    progress : callable, optional
        Told after each input.
    do : callable, optional
        What is done with each input; replaced in tests.

    Returns
    -------
    Summary

    Raises
    ------
    InputError
        If there is nothing to do or the cluster does not answer.
    StorageError
        If the results cannot be written.
    """
    if batch.brick_format is not None:
        known_format(batch.brick_format)
    tasks = find_tasks(batch.folder, batch.target, batch.brick_format)
    with opened_results(batch.target) as file:
        known = {} if batch.again else read_lines(file)
        done = {
            task.name: known[task.name]
            for task in tasks
            if task.name in known and _still_true(task, known[task.name])
        }
        left = [task for task in tasks if task.name not in done]
        skipped = len(done)
        tell = progress or _nobody
        tell(len(tasks), skipped)
        for line in lines(left, batch.workers, batch.cluster, do) if left else ():
            add_line(file, line)
            done[line["input"]] = line
            tell(len(tasks), len(done))
        write_sorted(batch.target, list(done.values()))
    summary = _summary([done[task.name] for task in tasks], skipped)
    write_summary(
        batch.target,
        {
            "inputs": len(tasks),
            "outcomes": summary.counts,
            "refusals": list(summary.refusals),
        },
    )
    return summary


def _nobody(total: int, done: int) -> None:
    """Tell nobody."""


def _still_true(task: Task, line: Line) -> bool:
    """Tell whether a result is of the input as it is; what failed is tried again."""
    same: bool = line["fingerprint"] == fingerprint(task)
    return same and line["outcome"] != Outcome.FAILED


def _summary(found: list[Line], skipped: int) -> Summary:
    statuses = {int(line["status"]) for line in found}
    return Summary(
        counts=dict(sorted(Counter(str(line["outcome"]) for line in found).items())),
        skipped=skipped,
        refusals=tuple(text for line in found for text in line["sentences"]),
        status=min(statuses - {0}, default=0),
    )
