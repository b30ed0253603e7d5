"""Changes to a job file that front ends offer: a new job, one more photo, a take-off."""

import json
from collections.abc import Mapping
from typing import Any, Final

from photomeasure.job.schema import FORMAT_VERSION

Document = dict[str, Any]
FIRST: Final = "front"
_NAMES: Final = (FIRST, "back", "left side", "right side")
"""What elevations are called until somebody names them."""


def new_job(title: str) -> Document:
    """Return a job with nothing but one elevation to begin with.

    Parameters
    ----------
    title : str

    Returns
    -------
    dict
        A job file; its elevation has no photo yet.
    """
    return {
        "photomeasure_job": FORMAT_VERSION,
        "title": title.strip()[:_LONGEST_TITLE],
        "elevations": [{"name": FIRST}],
    }


_LONGEST_TITLE: Final = 1000


def with_photo(document: Document, photo: str) -> Document:
    """Return a job with one more photo.

    Parameters
    ----------
    document : dict
        A job file.
    photo : str
        Its name there.

    Returns
    -------
    dict
        The photo goes to an elevation that is empty, else to a new one.
    """
    elevations = list(document["elevations"])
    for index, entry in enumerate(elevations):
        if isinstance(entry, dict) and set(entry) == {"name"}:
            elevations[index] = {**entry, "photo": photo}
            break
    else:
        elevations.append({"name": _free_name(elevations), "photo": photo})
    return {**document, "elevations": elevations}


def _free_name(elevations: list[Any]) -> str:
    taken = {str(entry.get("name")) for entry in elevations if isinstance(entry, dict)}
    usual = (name for name in _NAMES if name not in taken)
    numbered = (f"photo {n}" for n in range(len(elevations) + 1, 10**6))
    named = next(usual, None)
    return named or next(name for name in numbered if name not in taken)


def with_reference(
    document: Document, elevation: str, reference: Mapping[str, Any]
) -> Document:
    """Return a job with one more reference in an elevation.

    Parameters
    ----------
    document : dict
    elevation : str
    reference : mapping
        As in the job file; it replaces one of the same name.

    Returns
    -------
    dict
    """
    return {
        **document,
        "elevations": [
            _referred(entry, reference)
            if isinstance(entry, dict) and entry.get("name") == elevation
            else entry
            for entry in document["elevations"]
        ],
    }


def _referred(entry: Document, reference: Mapping[str, Any]) -> Document:
    name = reference.get("name")
    kept = [old for old in entry.get("references", []) if old.get("name") != name]
    return {**entry, "references": [*kept, dict(reference)]}


def with_takeoff(document: Document, takeoff: Mapping[str, Any]) -> Document:
    """Return a job with another take-off block.

    Parameters
    ----------
    document : dict
    takeoff : mapping

    Returns
    -------
    dict
    """
    return {**document, "takeoff": dict(takeoff)}


def written(document: Document) -> bytes:
    """Return a job file's bytes.

    Parameters
    ----------
    document : dict

    Returns
    -------
    bytes
    """
    text = json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False)
    return text.encode("utf-8", "replace")
