"""Where jobs are kept: the home folder and the address of the database."""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError

from calibration.errors import InputError, StoreUnavailable

HOME_VARIABLE: Final = "PHOTOMEASURE_HOME"
DATABASE_VARIABLE: Final = "PHOTOMEASURE_DATABASE"
DATABASE_FILE: Final = "photomeasure.sqlite3"
POSTGRESQL: Final = "postgresql+psycopg"

PRIVATE: Final = 0o700
"""Customers' addresses and houses concern nobody else on the machine."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a store is.

    Attributes
    ----------
    home : Path
        Folder of the photos, and of the database unless that is a server.
    database : sqlalchemy.URL
    """

    home: Path
    database: URL

    @property
    def shown(self) -> str:
        """The database for messages, without its password."""
        if self.database.drivername == "sqlite":
            return str(self.database.database)
        return self.database.render_as_string(hide_password=True)


def find_place(
    home: Path | None = None, environment: Mapping[str, str] = os.environ
) -> Place:
    """Return where the store is, by argument, environment or the platform's custom.

    Parameters
    ----------
    home : Path, optional
        Comes before the environment.
    environment : mapping of str to str, optional

    Returns
    -------
    Place

    Raises
    ------
    InputError
        If the database's address is none.
    """
    if home is None:
        stated = environment.get(HOME_VARIABLE)
        home = Path(stated) if stated else _platform_home()
    home = home.expanduser().absolute()
    address = environment.get(DATABASE_VARIABLE)
    if not address:
        return Place(home, URL.create("sqlite", database=str(home / DATABASE_FILE)))
    try:
        url = make_url(address)
    except ArgumentError:
        url = None
    if url is None or url.drivername != POSTGRESQL:
        raise InputError(
            DATABASE_VARIABLE,
            "is not the address of a PostgreSQL database",
            f"write {POSTGRESQL}://user:password@host/database, or leave it empty",
        )
    return Place(home, url)


def _platform_home() -> Path:
    from platformdirs import user_data_path

    return user_data_path("photomeasure", appauthor=False)


def prepare_home(place: Place) -> None:
    """Make the home folder and SQLite's file, closed to others, unless they are there.

    Parameters
    ----------
    place : Place

    Raises
    ------
    StoreUnavailable
        If it cannot be made or is no folder.
    """
    try:
        place.home.mkdir(mode=PRIVATE, parents=True, exist_ok=True)
        if place.database.drivername == "sqlite":
            # SQLite would make it readable by others; its further files follow it.
            Path(str(place.database.database)).touch(mode=0o600)
    except OSError as error:
        raise StoreUnavailable(
            str(place.home),
            f"the folder for jobs cannot be used ({error.strerror})",
            f"name another folder in {HOME_VARIABLE}",
        ) from error
