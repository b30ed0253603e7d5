"""What a database says when it fails, in words for a user."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from sqlalchemy.exc import DBAPIError, SQLAlchemyError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from calibration.errors import (
    StorageError,
    StoreBusy,
    StoreDamaged,
    StoreUnavailable,
)

_Words = tuple[type[StorageError], str, str]

_BUSY: Final[_Words] = (
    StoreBusy,
    "another program holds the store",
    "wait until it has finished and try again",
)
_FULL: Final[_Words] = (
    StoreUnavailable,
    "the disk is full or refused to be written; nothing was changed",
    "make room and try again",
)
_CLOSED: Final[_Words] = (
    StoreUnavailable,
    "the database may not be opened or written",
    "allow writing in its folder, or name another in PHOTOMEASURE_HOME",
)
_BROKEN: Final[_Words] = (
    StoreDamaged,
    "the database file is damaged",
    "put back a copy of the whole folder, as docs/keeping.md says",
)
_UNREACHED: Final[_Words] = (
    StoreUnavailable,
    "the database server does not answer or does not know the user",
    "check PHOTOMEASURE_DATABASE and whether the server runs",
)
_REFUSED: Final[_Words] = (
    StorageError,
    "the database refused the request; nothing was changed",
    "run 'photomeasure jobs check'",
)

_SQLITE: Final = (
    ("SQLITE_BUSY", _BUSY),
    ("SQLITE_LOCKED", _BUSY),
    ("SQLITE_FULL", _FULL),
    ("SQLITE_IOERR", _FULL),
    ("SQLITE_READONLY", _CLOSED),
    ("SQLITE_CANTOPEN", _CLOSED),
    ("SQLITE_PERM", _CLOSED),
    ("SQLITE_AUTH", _CLOSED),
    ("SQLITE_CORRUPT", _BROKEN),
    ("SQLITE_NOTADB", _BROKEN),
)
"""Beginnings of SQLite's error names."""

_POSTGRESQL: Final = (
    ("55P03", _BUSY),  # lock not available
    ("57014", _BUSY),  # cancelled, as by a time limit
    ("40", _BUSY),  # the transaction was rolled back for another
    ("53", _FULL),  # out of disk, memory or connections
    ("42501", _CLOSED),
    ("25006", _CLOSED),  # read-only
    ("XX", _BROKEN),  # data corrupted
    ("08", _UNREACHED),
    ("28", _UNREACHED),
    ("3D", _UNREACHED),  # no such database
    ("57P", _UNREACHED),  # server shutting down
)
"""Beginnings of SQLSTATE codes, PostgreSQL documentation appendix A."""


@contextmanager
def told_plainly(where: str) -> Iterator[None]:
    """Turn whatever the database raises in the block into one sentence.

    Parameters
    ----------
    where : str
        The database, for the message.

    Yields
    ------
    None

    Raises
    ------
    StorageError
    """
    try:
        yield
    except PoolTimeout as error:
        raise StoreBusy(where, *_BUSY[1:]) from error
    except (UnicodeDecodeError, OverflowError) as error:
        # Texts and times of a damaged file, and SQLite's own words about it.
        raise StoreDamaged(where, *_BROKEN[1:]) from error
    except SQLAlchemyError as error:
        kind, what, remedy = _words(error)
        # The cause stays for a developer; the engine hides the parameters in it.
        raise kind(where, what, remedy) from error


def _words(error: SQLAlchemyError) -> _Words:
    cause = error.orig if isinstance(error, DBAPIError) else None
    if isinstance(cause, sqlite3.Error):
        return _look_up(_SQLITE, getattr(cause, "sqlite_errorname", ""), _REFUSED)
    # A connection that was never made has no SQLSTATE.
    unknown = _UNREACHED if _lost(error, cause) else _REFUSED
    return _look_up(_POSTGRESQL, getattr(cause, "sqlstate", None) or "", unknown)


def _lost(error: SQLAlchemyError, cause: BaseException | None) -> bool:
    stated = getattr(cause, "sqlstate", None)
    return isinstance(error, DBAPIError) and not stated and _is_operational(error)


def _is_operational(error: DBAPIError) -> bool:
    return type(error).__name__ in ("OperationalError", "InterfaceError")


def _look_up(table: tuple[tuple[str, _Words], ...], code: str, other: _Words) -> _Words:
    return next((words for start, words in table if code.startswith(start)), other)
