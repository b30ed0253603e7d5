"""Write a job as a package."""

import hashlib
import tempfile
import zipfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from calibration.errors import InputError
from photomeasure.disk import unwritable, write_whole
from photomeasure.store import jobs, papers, photos
from photomeasure.store.names import distinct
from photomeasure.store.package.manifest import (
    MANIFEST,
    FileEntry,
    Manifest,
    PaperEntry,
    PhotoEntry,
    RevisionEntry,
    manifest_bytes,
)
from photomeasure.store.records import Paper, Revision
from photomeasure.store.store import Store

JOB_FILE: Final = "job/house.job.json"
_ZIP_EPOCH: Final = (1980, 1, 1, 0, 0, 0)
"""Every file's time: a package depends on the job alone, not on when it was written."""

_BLOCK: Final = 1 << 20


@dataclass(slots=True)
class _Packer:
    """A zip that is being filled, and the list of what is in it."""

    archive: zipfile.ZipFile
    files: list[FileEntry] = field(default_factory=list)
    hashes: set[str] = field(default_factory=set)
    taken: set[str] = field(default_factory=set)

    def put(self, path: str, content: bytes, *, coded: bool = False) -> None:
        """Add a file; content that is there already, under any name, is not repeated."""
        sha256 = hashlib.sha256(content).hexdigest()
        if sha256 in self.hashes:
            return
        self.hashes.add(sha256)
        # Papers whose names differ in capitals alone would be one file to some systems.
        path = distinct(path, self.taken)
        self.files.append(FileEntry(path=path, size_bytes=len(content), sha256=sha256))
        self.write(path, content, coded=coded)

    def write(self, path: str, content: bytes, *, coded: bool = False) -> None:
        """Add a file without listing it."""
        info = zipfile.ZipInfo(path, _ZIP_EPOCH)
        info.external_attr = 0o600 << 16
        # Pictures are packed already.
        info.compress_type = zipfile.ZIP_STORED if coded else zipfile.ZIP_DEFLATED
        self.archive.writestr(info, content)


def write_package(
    store: Store, job_id: str, target: Path, *, with_history: bool = False
) -> Path:
    """Write a job as one file.

    Parameters
    ----------
    store : Store
    job_id : str
    target : Path
        Must not exist.
    with_history : bool, optional
        With every revision and its papers, not the last alone.

    Returns
    -------
    Path
        The file: whole, or not there.

    Raises
    ------
    InputError
        If there is such a file already.
    StorageError
        If the job is not there, is damaged, or the file cannot be written.
    """
    if target.exists():
        raise InputError(str(target), "is there already", "name another file")
    history = jobs.history(store, job_id)
    chosen = history if with_history else history[:1]
    kept = papers.of_job(store, job_id)
    numbers = {revision.number for revision in chosen}
    with tempfile.TemporaryFile() as file:
        try:
            with zipfile.ZipFile(file, "w", allowZip64=False) as archive:
                _fill(
                    store,
                    _Packer(archive),
                    chosen,
                    [p for p in kept if p.number in numbers],
                )
        except zipfile.LargeZipFile:
            raise InputError(
                str(target), "would be larger than 4 GB", "split the job into several"
            ) from None
        except OSError as error:
            raise unwritable(target, error) from error
        file.seek(0)
        write_whole(target, iter(lambda: file.read(_BLOCK), b""))
    return target


def _fill(
    store: Store, packer: _Packer, history: list[Revision], kept: list[Paper]
) -> None:
    """Write every file, and the list of them as the last."""
    places_kept: set[str] = set()
    for revision in history:
        newest = revision is history[0]
        stored = jobs.load(store, revision.job_id, revision.number)
        early = f"earlier/{revision.number}.job.json"
        packer.put(JOB_FILE if newest else early, stored.document)
        for name, sha256 in revision.photos:
            path = photos.verified_path(store, sha256, name)
            if photos.get(store, sha256).place_kept:
                places_kept.add(sha256)
            if newest or sha256 not in packer.hashes:
                inside = f"job/{name}" if newest else f"earlier/photos/{sha256}"
                _put_photo(packer, inside, path.read_bytes())
    for paper in kept:
        inside = f"papers/{paper.number}/{paper.kind}/{paper.name}"
        packer.put(inside, papers.content(store, paper))
    manifest = Manifest(
        photomeasure_package=1,
        job_id=history[0].job_id,
        revisions=[_revision_entry(revision) for revision in history],
        papers=[_paper_entry(paper) for paper in kept],
        places_kept=sorted(places_kept),
        files=packer.files,
    )
    packer.write(MANIFEST, manifest_bytes(manifest))


def _put_photo(packer: _Packer, inside: str, content: bytes) -> None:
    """Write a photo; two names of one photo are two files, so that both can be opened."""
    sha256 = hashlib.sha256(content).hexdigest()
    packer.hashes.discard(sha256)
    packer.put(inside, content, coded=True)


def _revision_entry(revision: Revision) -> RevisionEntry:
    return RevisionEntry(
        number=revision.number,
        parent=revision.parent,
        restored_from=revision.restored_from,
        saved_at=revision.saved_at,
        saved_by=revision.saved_by,
        note=revision.note,
        sha256=revision.sha256,
        photos=[PhotoEntry(name=name, sha256=sha) for name, sha in revision.photos],
    )


def _paper_entry(paper: Paper) -> PaperEntry:
    return PaperEntry(
        revision=paper.number,
        kind=paper.kind,
        name=paper.name,
        media_type=paper.media_type,
        saved_at=paper.saved_at,
        saved_by=paper.saved_by,
        sha256=paper.sha256,
    )
