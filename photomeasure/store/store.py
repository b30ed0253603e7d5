"""The store as one object: where it is, its database, its clock."""

from dataclasses import dataclass
from pathlib import Path
from typing import Self

from photomeasure.disk import make_folder
from photomeasure.store.clock import Clock, now_us
from photomeasure.store.database import Database, open_database
from photomeasure.store.home import Place, find_place, prepare_home
from photomeasure.store.migrations import migrate


@dataclass(frozen=True, slots=True)
class Store:
    """An opened store; close it when done, best by ``with``.

    Attributes
    ----------
    home : Path
    database : Database
    clock : Clock
        Replaced in tests.
    """

    home: Path
    database: Database
    clock: Clock = now_us

    @property
    def photo_folder(self) -> Path:
        """Where the photos are."""
        return self.home / "photos"

    def close(self) -> None:
        """Close every connection."""
        self.database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def open_store(place: Place | None = None, clock: Clock = now_us) -> Store:
    """Open the store; make it if there is none.

    Parameters
    ----------
    place : Place, optional
        From :func:`photomeasure.store.home.find_place`, which is asked by default.
    clock : Clock, optional

    Returns
    -------
    Store

    Raises
    ------
    StoreTooNew
        If a newer program wrote it.
    StorageError
        If folder or database cannot be used.
    """
    place = place or find_place()
    prepare_home(place)
    store = Store(place.home, open_database(place), clock)
    try:
        make_folder(store.photo_folder)
        migrate(store.database, clock)
    except BaseException:
        store.close()
        raise
    return store
