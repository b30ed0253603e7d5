"""Read a job file; whatever is wrong with it becomes one sentence."""

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from calibration.errors import InputError
from photomeasure.job.complaints import complaint, shown
from photomeasure.job.limits import refuse_long_job
from photomeasure.job.reading import Twice, parse, read_bytes
from photomeasure.job.scalars import MAX_NAME
from photomeasure.job.schema import (
    FORMAT_VERSION,
    MAX_ELEVATIONS,
    ElevationSpec,
    JobSpec,
)
from photomeasure.job.takeoff import TakeoffSpec


@dataclass(frozen=True, slots=True)
class Job:
    """A job file as read.

    Attributes
    ----------
    title : str
        As the user wrote it.
    folder : Path
        Where relative photo names start.
    elevations : tuple of ElevationSpec or InputError
        In the file's order; an elevation that cannot be used is its refusal.
    names : tuple of str
        The elevations' names, also of refused ones.
    takeoff : TakeoffSpec
        The usual one if the job says nothing.
    """

    title: str
    folder: Path
    elevations: tuple[ElevationSpec | InputError, ...]
    names: tuple[str, ...]
    takeoff: TakeoffSpec = field(default_factory=TakeoffSpec)


def load_job(path: Path) -> Job:
    """Read a job file.

    Parameters
    ----------
    path : Path

    Returns
    -------
    Job
        Elevations that contradict the format are kept as their refusals, so one
        bad elevation does not lose the others.

    Raises
    ------
    InputError
        If the file as a whole cannot be used.
    """
    document = parse(read_bytes(path), path.name)
    return job_from_document(document, path.parent, path.name)


def job_from_document(document: object, folder: Path, where: str = "job") -> Job:
    """Check a parsed job.

    Parameters
    ----------
    document : object
        What JSON gave.
    folder : Path
        Where relative photo names start.
    where : str
        Name of the file for messages.

    Returns
    -------
    Job

    Raises
    ------
    InputError
        If the job as a whole cannot be used.
    """
    head, raw = _opened(document, where)
    try:
        # The elevations are checked one by one, so that a bad one stands alone.
        spec = JobSpec.model_validate({**head, "elevations": [{"name": "any"}]})
    except ValidationError as error:
        raise complaint(error, where) from None
    names = _names(raw)
    elevations = tuple(_elevation(entry, names, i) for i, entry in enumerate(raw))
    refuse_long_job((e for e in elevations if isinstance(e, ElevationSpec)), where)
    return Job(spec.title, folder, elevations, names, spec.takeoff or TakeoffSpec())


def _opened(document: object, where: str) -> tuple[dict[str, Any], list[Any]]:
    """Return the words beside the elevations, and the elevations."""
    if isinstance(document, Twice):
        what = f'gives "{shown(document.word)}" twice'
        raise InputError(where, what, "keep one of them")
    if not isinstance(document, dict) or "photomeasure_job" not in document:
        raise InputError(
            where, "is not a photomeasure job", 'start it with {"photomeasure_job": 1'
        )
    version = document["photomeasure_job"]
    if version != FORMAT_VERSION or isinstance(version, bool):
        raise InputError(
            f"{where}: photomeasure_job",
            f"is {shown(version)}, not the version {FORMAT_VERSION} that this program "
            "reads",
            "set it to 1 or use a newer program",
        )
    raw = document.get("elevations")
    if not isinstance(raw, list) or not raw:
        raise InputError(
            f"{where}: elevations", "is not a list of elevations", "give at least one"
        )
    if len(raw) > MAX_ELEVATIONS:
        raise InputError(
            f"{where}: elevations",
            f"has {len(raw)} entries, more than {MAX_ELEVATIONS}",
            "split the job into several files",
        )
    return {key: document[key] for key in document if key != "elevations"}, raw


def _names(raw: list[Any]) -> tuple[str, ...]:
    """Return what each elevation is called: its place if it has no name of its own."""
    names: list[str] = []
    taken: set[str] = set()
    for i, entry in enumerate(raw):
        given = entry.get("name") if isinstance(entry, dict) else None
        own = isinstance(given, str) and bool(given.strip()) and len(given) <= MAX_NAME
        names.append(str(given) if own and given not in taken else f"elevations[{i}]")
        taken.add(names[-1])
    return tuple(names)


def _elevation(
    entry: object, names: tuple[str, ...], index: int
) -> ElevationSpec | InputError:
    try:
        spec = ElevationSpec.model_validate(entry)
    except ValidationError as error:
        return complaint(error, names[index])
    if spec.name != names[index]:
        return InputError(
            f"{names[index]}: name",
            f'"{shown(spec.name)}" is empty or names an elevation before it too',
            "give each its own name",
        )
    return spec
