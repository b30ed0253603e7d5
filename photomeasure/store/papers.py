"""Papers and results that were made from a revision of a job."""

from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import Connection, Row, select

from calibration.errors import InputError, NotInStore
from photomeasure.job.reading import MAX_BYTES
from photomeasure.store.clock import microseconds, moment
from photomeasure.store.documents import LONGEST_PERSON, digest, one_line, pack, unpack
from photomeasure.store.jobs import NOBODY
from photomeasure.store.names import is_plain
from photomeasure.store.records import Paper
from photomeasure.store.store import Store
from photomeasure.store.tables import PAPERS, REVISIONS

RESULT: Final = "result"
"""Kind of what ``measure --json`` prints."""

_FACTS = [column for column in PAPERS.c if column.name != "content"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A paper to be kept.

    Attributes
    ----------
    kind : str
        Lower-case words with hyphens: ``result``, ``quotation``, ``cut-list``.
    name : str
        A plain file name.
    media_type : str
        As ``application/pdf``.
    content : bytes
    """

    kind: str
    name: str
    media_type: str
    content: bytes

    def __post_init__(self) -> None:
        check_words(self.kind, self.name, self.media_type)
        if len(self.content) > MAX_BYTES:
            what = f"is larger than {MAX_BYTES // 2**20} MB"
            raise InputError(f"paper {self.name!r}", what, "make a smaller one")


def check_words(kind: str, name: str, media_type: str) -> None:
    """Refuse a kind, name or type that could lead a file astray.

    Parameters
    ----------
    kind, name, media_type : str

    Raises
    ------
    InputError
    """
    if not is_plain(name):
        raise InputError(
            f"paper {name[:80]!r}", "is not a plain file name", "name it without folders"
        )
    words = kind.replace("-", "a")
    if not (words.isascii() and words.isalnum() and kind == kind.lower()[:50]):
        raise InputError(
            f"paper {name!r}", "has an odd kind", "write lower-case words with hyphens"
        )
    if not (media_type.isascii() and media_type.isprintable() and len(media_type) <= 100):
        raise InputError(f"paper {name!r}", "has an odd type", "write one as text/plain")


def keep(store: Store, job_id: str, number: int, sheet: Sheet, who: str = NOBODY) -> Paper:
    """Keep a paper with the revision it was made from.

    Parameters
    ----------
    store : Store
    job_id : str
    number : int
    sheet : Sheet
        Replaces one of the same kind and name: the revision it shows is the same.
    who : str, optional

    Returns
    -------
    Paper

    Raises
    ------
    NotInStore
        If there is no such revision.
    """
    paper = Paper(
        job_id=job_id,
        number=number,
        kind=sheet.kind,
        name=sheet.name,
        media_type=sheet.media_type,
        saved_at=moment(store.clock()),
        saved_by=one_line(who, LONGEST_PERSON) or NOBODY,
        sha256=digest(sheet.content),
    )
    with store.database.writing() as connection:
        revision = select(REVISIONS.c.number).where(
            REVISIONS.c.job_id == job_id, REVISIONS.c.number == number
        )
        if connection.execute(revision).first() is None:
            raise NotInStore(
                f"job {job_id[:8]}", f"has no revision {number}", "save the job first"
            )
        insert_paper(connection, paper, sheet.content)
    return paper


def insert_paper(connection: Connection, paper: Paper, content: bytes) -> None:
    """Write the row of a paper as it is; one of the same key goes."""
    connection.execute(
        PAPERS.delete().where(
            PAPERS.c.job_id == paper.job_id,
            PAPERS.c.number == paper.number,
            PAPERS.c.kind == paper.kind,
            PAPERS.c.name == paper.name,
        )
    )
    connection.execute(
        PAPERS.insert().values(
            job_id=paper.job_id,
            number=paper.number,
            kind=paper.kind,
            name=paper.name,
            media_type=paper.media_type,
            saved_us=microseconds(paper.saved_at),
            saved_by=paper.saved_by,
            sha256=paper.sha256,
            content=pack(content),
        )
    )


def of_job(store: Store, job_id: str) -> list[Paper]:
    """Return the papers of a job, of the newest revision first.

    Parameters
    ----------
    store : Store
    job_id : str

    Returns
    -------
    list of Paper

    Raises
    ------
    StorageError
    """
    mine = select(*_FACTS).where(PAPERS.c.job_id == job_id)
    with store.database.reading() as connection:
        found = [_paper(row) for row in connection.execute(mine)]
    return sorted(found, key=lambda paper: (-paper.number, paper.kind, paper.name))


def content(store: Store, paper: Paper) -> bytes:
    """Return what a paper holds.

    Parameters
    ----------
    store : Store
    paper : Paper
        From :func:`of_job`.

    Returns
    -------
    bytes
        Its hash has been checked.

    Raises
    ------
    NotInStore
    StoreDamaged
    """
    mine = select(PAPERS.c.content, PAPERS.c.sha256).where(
        PAPERS.c.job_id == paper.job_id,
        PAPERS.c.number == paper.number,
        PAPERS.c.kind == paper.kind,
        PAPERS.c.name == paper.name,
    )
    with store.database.reading() as connection:
        row = connection.execute(mine).first()
    where = f"paper {paper.name!r}"
    if row is None:
        raise NotInStore(where, "is not in the store", "make it again")
    return unpack(row.content, row.sha256, where)


def _paper(row: Row[Any]) -> Paper:
    return Paper(
        job_id=row.job_id,
        number=row.number,
        kind=row.kind,
        name=row.name,
        media_type=row.media_type,
        saved_at=moment(row.saved_us),
        saved_by=row.saved_by,
        sha256=row.sha256,
    )
