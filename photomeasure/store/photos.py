"""Photos, kept on disk under the SHA-256 of their content.

Places and serial numbers are taken out before a copy is kept, unless that is asked for.

A file is on the disk before a row names it, and a row is only removed together with its
file while no revision names it, all under the writer's lock. So a revision never names a
photo that is not there; what a crash may leave is a file that nobody names, which
:func:`sweep` removes.
"""

import hashlib
import shutil
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, exists, select

from calibration.errors import NotInStore, StoreDamaged
from calibration.photo import PhotoHeader, read_header
from photomeasure.disk import UNFINISHED, make_folder, unwritable, write_whole
from photomeasure.privacy import cleaned_photo, whole_photo
from photomeasure.store.records import StoredPhoto
from photomeasure.store.store import Store
from photomeasure.store.tables import PHOTOS, REVISION_PHOTOS

_BLOCK: Final = 1 << 20

FORGOTTEN_US: Final = 24 * 3600 * 10**6
"""A day: a photo that was added but that no job was saved with is removed after it."""


def add(store: Store, path: Path, *, keep_place: bool = False) -> StoredPhoto:
    """Check a photo and keep a copy of it.

    Parameters
    ----------
    store : Store
    path : Path
        Somebody's picture file.
    keep_place : bool, optional
        Keep where, when and with which camera it was taken: the file as it is.

    Returns
    -------
    StoredPhoto
        Equal for equal pictures, however often they are added.

    Raises
    ------
    UnreadablePhoto
        If it is no picture that can be measured.
    StorageError
        If it cannot be kept.
    """
    header = read_header(path)
    content = whole_photo(path) if keep_place else cleaned_photo(path)
    sha256 = hashlib.sha256(content).hexdigest()
    _put(store, sha256, content)
    with store.database.writing() as connection:
        # Between the two a sweep may have taken a file that nobody named.
        _put(store, sha256, content)
        _record(connection, store, header, content, sha256, keep_place=keep_place)
    return get(store, sha256)


def _record(
    connection: Connection,
    store: Store,
    header: PhotoHeader,
    content: bytes,
    sha256: str,
    *,
    keep_place: bool,
) -> None:
    """Write the row of a photo; one that is there is dated anew."""
    mine = PHOTOS.c.sha256 == sha256
    now = store.clock()
    if connection.execute(select(PHOTOS.c.sha256).where(mine)).first():
        connection.execute(PHOTOS.update().where(mine).values(added_us=now))
        return
    width, height = header.upright_size_px
    connection.execute(
        PHOTOS.insert().values(
            sha256=sha256,
            size_bytes=len(content),
            format=str(header.format),
            width_px=width,
            height_px=height,
            place_kept=int(keep_place),
            added_us=now,
        )
    )


def _put(store: Store, sha256: str, content: bytes) -> None:
    """Write the file unless it is there whole."""
    path = place_of(store, sha256)
    if _digest_of(path) == sha256:
        return
    make_folder(path.parent)
    write_whole(path, (content,))


def place_of(store: Store, sha256: str) -> Path:
    """Return where the copy of a photo is, or would be."""
    return store.photo_folder / sha256[:2] / sha256


def previews_of(store: Store, sha256: str) -> Path:
    """Return the folder of what is made of a photo for the screen.

    It may be emptied at any time, and goes with the photo.
    """
    return store.home / "previews" / sha256[:2] / sha256


def get(store: Store, sha256: str) -> StoredPhoto:
    """Return what is known of a photo; its file is not read.

    Parameters
    ----------
    store : Store
    sha256 : str

    Returns
    -------
    StoredPhoto

    Raises
    ------
    NotInStore
    """
    with store.database.reading() as connection:
        row = connection.execute(select(PHOTOS).where(PHOTOS.c.sha256 == sha256)).first()
    if row is None:
        raise _missing(sha256)
    return StoredPhoto(
        sha256=row.sha256,
        size_bytes=row.size_bytes,
        format=row.format,
        width_px=row.width_px,
        height_px=row.height_px,
        place_kept=bool(row.place_kept),
        path=place_of(store, sha256),
    )


def verified_path(store: Store, sha256: str, name: str) -> Path:
    """Return the copy of a photo after its content was checked.

    Parameters
    ----------
    store : Store
    sha256 : str
    name : str
        What the job calls it, for the message.

    Returns
    -------
    Path

    Raises
    ------
    StoreDamaged
        If the file is missing or changed.
    """
    path = place_of(store, sha256)
    found = _digest_of(path)
    if found != sha256:
        what = "is missing from the store" if found is None else "was changed on the disk"
        raise StoreDamaged(
            f"photo {name!r}", what, "add the same photo once more, or put back a copy"
        )
    return path


def _digest_of(path: Path) -> str | None:
    """Return the SHA-256 of a file, or None if there is none that can be read."""
    engine = hashlib.sha256()
    try:
        with path.open("rb") as file:
            while block := file.read(_BLOCK):
                engine.update(block)
    except OSError:
        return None
    return engine.hexdigest()


def require(
    connection: Connection, store: Store, photos: Iterable[tuple[str, str]]
) -> None:
    """Refuse photos that are not kept; within the writer's lock.

    Parameters
    ----------
    connection : sqlalchemy.Connection
    store : Store
    photos : iterable of (str, str)
        Name in the job and SHA-256.

    Raises
    ------
    NotInStore
    """
    for name, sha256 in photos:
        row = connection.execute(
            select(PHOTOS.c.sha256).where(PHOTOS.c.sha256 == sha256)
        ).first()
        if row is None or not place_of(store, sha256).is_file():
            raise _missing(name)


def _missing(name: str) -> NotInStore:
    return NotInStore(f"photo {name[:80]!r}", "is not in the store", "add it again")


def sweep(store: Store, candidates: Iterable[str] = ()) -> int:
    """Remove photos that no revision names.

    Parameters
    ----------
    store : Store
    candidates : iterable of str
        SHA-256 of photos that go at once; others go when they are a day old.

    Returns
    -------
    int
        How many were removed.

    Raises
    ------
    StorageError
    """
    named = exists().where(REVISION_PHOTOS.c.sha256 == PHOTOS.c.sha256)
    wanted = PHOTOS.c.sha256.in_(list(candidates))
    with store.database.writing() as connection:
        old = PHOTOS.c.added_us < store.clock() - FORGOTTEN_US
        unnamed = select(PHOTOS.c.sha256).where(~named, wanted | old)
        found = [row.sha256 for row in connection.execute(unnamed)]
        for sha256 in found:
            # If the commit fails the row stays without its file, and whoever adds
            # the photo next writes the file again.
            _remove(place_of(store, sha256))
            shutil.rmtree(previews_of(store, sha256), ignore_errors=True)
            connection.execute(PHOTOS.delete().where(PHOTOS.c.sha256 == sha256))
    return len(found)


def _remove(path: Path) -> None:
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise unwritable(path, error) from error


def files(store: Store) -> Iterator[Path]:
    """Yield every file of the photo folder that is not being written.

    Parameters
    ----------
    store : Store

    Yields
    ------
    Path
    """
    for path in sorted(store.photo_folder.glob("*/*")):
        if path.suffix != UNFINISHED:
            yield path


def tidy(store: Store) -> int:
    """Remove what crashes left, once it is a day old, and traces of what was deleted.

    Parameters
    ----------
    store : Store

    Returns
    -------
    int
        How many files were removed.

    Raises
    ------
    StorageError
    """
    removed = sweep(store)
    with store.database.writing() as connection:
        known = {row.sha256 for row in connection.execute(select(PHOTOS.c.sha256))}
        horizon_s = (store.clock() - FORGOTTEN_US) / 1e6
        for path in sorted(store.photo_folder.glob("*/*")):
            if path.name not in known and path.stat().st_mtime < horizon_s:
                _remove(path)
                removed += 1
    store.database.forget()
    return removed
