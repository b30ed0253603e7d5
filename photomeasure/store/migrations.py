"""The steps from an empty database to the tables of today.

A step that has been released is never changed: what it made is out there. The newest
step's outcome equals :mod:`photomeasure.store.tables`, which a test compares.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from sqlalchemy import Connection, func, inspect, select

from calibration.errors import StoreTooNew
from photomeasure.store.clock import Clock
from photomeasure.store.database import Database
from photomeasure.store.tables import MIGRATIONS


@dataclass(frozen=True, slots=True)
class Migration:
    """One step.

    Attributes
    ----------
    number : int
        From 1, without gaps.
    name : str
    statements : tuple of str
        SQL for both engines; ``{bytes}`` is the type of binary content.
    """

    number: int
    name: str
    statements: tuple[str, ...]


_RECORD = """CREATE TABLE migrations (
  number INTEGER PRIMARY KEY NOT NULL,
  name TEXT NOT NULL,
  applied_us BIGINT NOT NULL
)"""

_JOBS = """CREATE TABLE jobs (
  id TEXT PRIMARY KEY NOT NULL,
  title TEXT NOT NULL,
  title_key TEXT NOT NULL,
  latest INTEGER NOT NULL,
  created_us BIGINT NOT NULL,
  saved_us BIGINT NOT NULL,
  saved_by TEXT NOT NULL
)"""

_REVISIONS = """CREATE TABLE revisions (
  job_id TEXT NOT NULL REFERENCES jobs (id) ON DELETE CASCADE,
  number INTEGER NOT NULL,
  parent INTEGER,
  restored_from INTEGER,
  saved_us BIGINT NOT NULL,
  saved_by TEXT NOT NULL,
  note TEXT NOT NULL,
  title TEXT NOT NULL,
  sha256 TEXT NOT NULL,
  document {bytes} NOT NULL,
  PRIMARY KEY (job_id, number)
)"""

_PHOTOS = """CREATE TABLE photos (
  sha256 TEXT PRIMARY KEY NOT NULL,
  size_bytes BIGINT NOT NULL,
  format TEXT NOT NULL,
  width_px INTEGER NOT NULL,
  height_px INTEGER NOT NULL,
  place_kept INTEGER NOT NULL,
  added_us BIGINT NOT NULL
)"""

_REVISION_PHOTOS = """CREATE TABLE revision_photos (
  job_id TEXT NOT NULL,
  number INTEGER NOT NULL,
  name TEXT NOT NULL,
  sha256 TEXT NOT NULL REFERENCES photos (sha256),
  PRIMARY KEY (job_id, number, name),
  FOREIGN KEY (job_id, number) REFERENCES revisions (job_id, number) ON DELETE CASCADE
)"""

_PAPERS = """CREATE TABLE papers (
  job_id TEXT NOT NULL,
  number INTEGER NOT NULL,
  kind TEXT NOT NULL,
  name TEXT NOT NULL,
  media_type TEXT NOT NULL,
  saved_us BIGINT NOT NULL,
  saved_by TEXT NOT NULL,
  sha256 TEXT NOT NULL,
  content {bytes} NOT NULL,
  PRIMARY KEY (job_id, number, kind, name),
  FOREIGN KEY (job_id, number) REFERENCES revisions (job_id, number) ON DELETE CASCADE
)"""

_PRICE_BOOKS = """CREATE TABLE price_books (
  name TEXT NOT NULL,
  number INTEGER NOT NULL,
  saved_us BIGINT NOT NULL,
  saved_by TEXT NOT NULL,
  sha256 TEXT NOT NULL,
  content {bytes} NOT NULL,
  PRIMARY KEY (name, number)
)"""

STEPS: Final = (
    Migration(
        1,
        "jobs, revisions, photos, papers, price books",
        (
            _RECORD,
            _JOBS,
            _REVISIONS,
            _PHOTOS,
            _REVISION_PHOTOS,
            "CREATE INDEX ix_revision_photos_sha256 ON revision_photos (sha256)",
            _PAPERS,
            _PRICE_BOOKS,
        ),
    ),
)


def migrate(database: Database, clock: Clock, steps: Sequence[Migration] = STEPS) -> None:
    """Bring a database to the tables of today; all steps or none.

    The steps and their records are one transaction. A database that is up to date is
    only read.

    Parameters
    ----------
    database : Database
    clock : Clock
    steps : sequence of Migration, optional

    Raises
    ------
    StoreTooNew
        If a newer program has been here; nothing is changed.
    StorageError
        If the database cannot be read or written.
    """
    with database.reading() as connection:
        if not _pending(connection, database.shown, steps):
            return
    with database.writing() as connection:
        # Another process may have done it between the two transactions.
        for step in _pending(connection, database.shown, steps):
            _apply(connection, step, clock)


def schema_number(connection: Connection) -> int:
    """Return the number of the last step that was applied, 0 for an empty database.

    Parameters
    ----------
    connection : sqlalchemy.Connection

    Returns
    -------
    int
    """
    if not inspect(connection).has_table(MIGRATIONS.name):
        return 0
    found = connection.execute(select(func.max(MIGRATIONS.c.number))).scalar()
    return int(found or 0)


def _pending(
    connection: Connection, shown: str, steps: Sequence[Migration]
) -> list[Migration]:
    there, newest = schema_number(connection), steps[-1].number
    if there > newest:
        raise StoreTooNew(
            shown,
            f"was written by a newer program (tables of step {there}, this program knows "
            f"{newest})",
            "install the newer program, or put back the copy made before it",
        )
    return [step for step in steps if step.number > there]


def _apply(connection: Connection, step: Migration, clock: Clock) -> None:
    binary = "BLOB" if connection.dialect.name == "sqlite" else "BYTEA"
    for statement in step.statements:
        connection.exec_driver_sql(statement.replace("{bytes}", binary))
    connection.execute(
        MIGRATIONS.insert().values(number=step.number, name=step.name, applied_us=clock())
    )
