"""The database: one writer at a time, readers that see one moment.

The same on both engines. SQLite takes its write lock with ``BEGIN IMMEDIATE``;
PostgreSQL takes one advisory lock. So what a writer has read stays true until it commits.
"""

import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import Connection, Engine, create_engine, event, text

from calibration.errors import StorageError
from photomeasure.store.failures import told_plainly
from photomeasure.store.home import Place
from photomeasure.store.tables import METADATA

WAIT_S: Final = 10.0
"""How long another process is waited for; a save takes a hundredth of a second."""

_WRITER_LOCK: Final = 0x70686F746F
"""Any number that no other program of the database uses."""

_BEGIN: Final = "photomeasure_begin"
"""Execution option: how SQLite begins the transaction; None for none at all."""

_PRAGMAS: Final = (
    "PRAGMA foreign_keys = ON",
    "PRAGMA synchronous = FULL",  # a commit that was told of survives a power cut
    "PRAGMA secure_delete = ON",  # what is deleted is overwritten
)


@dataclass(frozen=True, slots=True)
class Database:
    """An opened database.

    Attributes
    ----------
    engine : sqlalchemy.Engine
    shown : str
        For messages, without a password.
    """

    engine: Engine
    shown: str

    @property
    def is_sqlite(self) -> bool:
        """Whether it is a file."""
        return self.engine.dialect.name == "sqlite"

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Open a transaction that sees one moment.

        Yields
        ------
        sqlalchemy.Connection

        Raises
        ------
        StorageError
        """
        with told_plainly(self.shown), self.engine.connect() as connection:
            if not self.is_sqlite:
                connection.execution_options(
                    isolation_level="REPEATABLE READ", postgresql_readonly=True
                )
            with connection.begin():
                yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Open a transaction that nobody else writes beside.

        Committed to the disk when the block ends, undone if it raises.

        Yields
        ------
        sqlalchemy.Connection

        Raises
        ------
        StorageError
        """
        with told_plainly(self.shown), self.engine.connect() as connection:
            connection.execution_options(**{_BEGIN: "BEGIN IMMEDIATE"})
            with connection.begin():
                if not self.is_sqlite:
                    connection.execute(text(f"SET LOCAL lock_timeout = '{WAIT_S:g}s'"))
                    lock = text("SELECT pg_advisory_xact_lock(:key)")
                    connection.execute(lock, {"key": _WRITER_LOCK})
                yield connection

    @contextmanager
    def outside(self) -> Iterator[Connection]:
        """Open a connection without a transaction, for the engine's own commands.

        Yields
        ------
        sqlalchemy.Connection

        Raises
        ------
        StorageError
        """
        with told_plainly(self.shown), self.engine.connect() as connection:
            if self.is_sqlite:
                yield connection.execution_options(**{_BEGIN: None})
            else:
                yield connection.execution_options(isolation_level="AUTOCOMMIT")

    def forget(self) -> None:
        """Let what was deleted leave the files too.

        SQLite overwrites deleted content (``secure_delete``); this empties the log of
        recent changes, which still holds it. PostgreSQL writes its tables anew.

        Raises
        ------
        StorageError
            If another process or a full disk is in the way; what was deleted stays so.
        """
        try:
            with self.outside() as connection:
                done = self._rewrite(connection)
        except StorageError as error:
            raise self._traces() from error
        if not done:
            raise self._traces()

    def _rewrite(self, connection: Connection) -> bool:
        """Return whether nothing old is left; SQLite says so, PostgreSQL raises."""
        if self.is_sqlite:
            checkpoint = connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
            return not checkpoint.one()[0]
        connection.exec_driver_sql(f"VACUUM FULL {', '.join(METADATA.tables)}")
        return True

    def _traces(self) -> StorageError:
        return StorageError(
            self.shown,
            "what was deleted is gone for good, but traces of it are left in the files",
            "end other programs or make room, then run 'photomeasure jobs check --tidy'",
        )

    def close(self) -> None:
        """Close every connection."""
        self.engine.dispose()


def open_database(place: Place) -> Database:
    """Return a database; nothing is connected yet.

    Parameters
    ----------
    place : Place

    Returns
    -------
    Database
    """
    is_sqlite = place.database.drivername == "sqlite"
    options: dict[str, Any] = {"timeout": WAIT_S} if is_sqlite else {"connect_timeout": 10}
    engine = create_engine(
        place.database,
        connect_args=options,
        hide_parameters=True,  # errors must not carry customers' names
        pool_pre_ping=not is_sqlite,  # a server may have been restarted meanwhile
    )
    if is_sqlite:
        event.listen(engine, "connect", _set_up)
        event.listen(engine, "begin", _begin)
    return Database(engine, place.shown)


def _set_up(connection: sqlite3.Connection, _: object) -> None:
    """Prepare a new SQLite connection."""
    connection.isolation_level = None  # transactions are begun by _begin
    _write_ahead(connection)
    for pragma in _PRAGMAS:
        connection.execute(pragma)


def _write_ahead(connection: sqlite3.Connection) -> None:
    """Let readers go on while one writes; a file remembers this once it is set.

    SQLite does not wait for others at this one step, so waiting is done here.
    """
    deadline = time.monotonic() + WAIT_S
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorname != "SQLITE_BUSY" or time.monotonic() > deadline:
                raise
            time.sleep(0.01)
        else:
            return


def _begin(connection: Connection) -> None:
    statement = connection.get_execution_options().get(_BEGIN, "BEGIN")
    if statement:
        connection.exec_driver_sql(statement)
