"""The list of what a package holds, version 1 of the format."""

import json
from typing import Annotated, Final, Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, ValidationError

from calibration.errors import InputError
from photomeasure.job.reading import parse
from photomeasure.store.documents import LONGEST_NOTE, LONGEST_PERSON

MANIFEST: Final = "manifest.json"
PACKAGE_VERSION: Final = 1

MAX_REVISIONS: Final = 100_000
MAX_FILES: Final = 20_000

Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Number = Annotated[int, Field(strict=True, ge=1, le=2**31 - 1)]
Path = Annotated[str, Field(min_length=1, max_length=400)]
Person = Annotated[str, Field(max_length=LONGEST_PERSON)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class FileEntry(_Strict):
    """A file of the package."""

    path: Path
    size_bytes: Annotated[int, Field(strict=True, ge=0)]
    sha256: Sha256


class PhotoEntry(_Strict):
    """What a revision calls a photo, and which file it is."""

    name: Annotated[str, Field(min_length=1, max_length=200)]
    sha256: Sha256


class RevisionEntry(_Strict):
    """A revision of the job."""

    number: Number
    parent: Number | None
    restored_from: Number | None
    saved_at: AwareDatetime
    saved_by: Person
    note: Annotated[str, Field(max_length=LONGEST_NOTE)]
    sha256: Sha256
    photos: Annotated[list[PhotoEntry], Field(max_length=MAX_FILES)]


class PaperEntry(_Strict):
    """A paper or a result."""

    revision: Number
    kind: Annotated[str, Field(min_length=1, max_length=50)]
    name: Annotated[str, Field(min_length=1, max_length=200)]
    media_type: Annotated[str, Field(max_length=100)]
    saved_at: AwareDatetime
    saved_by: Person
    sha256: Sha256


class Manifest(_Strict):
    """Everything in a package; files are found by their hash."""

    photomeasure_package: Literal[1]
    job_id: Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
    revisions: Annotated[list[RevisionEntry], Field(min_length=1, max_length=MAX_REVISIONS)]
    papers: Annotated[list[PaperEntry], Field(max_length=MAX_FILES)]
    places_kept: Annotated[list[Sha256], Field(max_length=MAX_FILES)]
    files: Annotated[list[FileEntry], Field(max_length=2 * MAX_FILES)]


def manifest_bytes(manifest: Manifest) -> bytes:
    """Return a manifest as JSON.

    Parameters
    ----------
    manifest : Manifest

    Returns
    -------
    bytes
    """
    return json.dumps(manifest.model_dump(mode="json"), indent=1).encode()


def read_manifest(content: bytes, where: str) -> Manifest:
    """Read a manifest that somebody else wrote.

    Parameters
    ----------
    content : bytes
    where : str
        The package, for the message.

    Returns
    -------
    Manifest

    Raises
    ------
    InputError
    """
    parsed = parse(content, f"{where}, {MANIFEST}")
    version = parsed.get("photomeasure_package") if isinstance(parsed, dict) else None
    if isinstance(version, int) and version > PACKAGE_VERSION:
        what = f"is a package of version {min(version, 10**6)}, newer than this program"
        raise InputError(where, what, "install the newer program")
    try:
        return Manifest.model_validate_json(content.removeprefix(b"\xef\xbb\xbf"))
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        place = ".".join(str(part)[:40] for part in first["loc"])
        what = f"has an unusable list of its files ({place}: {first['type']})"
        raise InputError(where, what, "export the job again") from None
