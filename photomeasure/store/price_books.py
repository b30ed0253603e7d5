"""Price books: every saving is kept, so that an old quotation can be explained."""

from typing import Any

from sqlalchemy import Row, func, select

from calibration.errors import InputError, JobChangedElsewhere, NotInStore
from photomeasure.job.reading import MAX_BYTES
from photomeasure.store.clock import after, moment
from photomeasure.store.documents import LONGEST_PERSON, digest, one_line, pack, unpack
from photomeasure.store.jobs import NOBODY
from photomeasure.store.names import is_plain
from photomeasure.store.records import PriceBook
from photomeasure.store.store import Store
from photomeasure.store.tables import PRICE_BOOKS

_FACTS = [column for column in PRICE_BOOKS.c if column.name != "content"]


def save(
    store: Store, name: str, content: bytes, base: int = 0, who: str = NOBODY
) -> PriceBook:
    """Save a price book that was read and changed, or a new one.

    Parameters
    ----------
    store : Store
    name : str
        A plain file name.
    content : bytes
        The file as it is; its format is the take-off's business.
    base : int, optional
        Number of the state that was read; 0 for a new book.
    who : str, optional

    Returns
    -------
    PriceBook
        The new state; the last one if nothing differs from it.

    Raises
    ------
    InputError
        If the name is a path or the file is too large.
    JobChangedElsewhere
        If `base` is no longer the last state; nothing is saved.
    """
    where = f"price book {name[:80]!r}"
    if not is_plain(name):
        raise InputError(where, "is not a plain file name", "name it without folders")
    if len(content) > MAX_BYTES:
        raise InputError(where, f"is larger than {MAX_BYTES // 2**20} MB", "split it")
    with store.database.writing() as connection:
        newest = select(*_FACTS).where(PRICE_BOOKS.c.name == name)
        row = connection.execute(newest.order_by(PRICE_BOOKS.c.number.desc())).first()
        last = _book(row) if row else None
        if base != (last.number if last else 0):
            latest, saved_by = (last.number, last.saved_by) if last else (0, NOBODY)
            raise JobChangedElsewhere(where, base, latest, saved_by)
        if last and last.sha256 == digest(content):
            return last
        saved_us = after(store.clock, row.saved_us if row else 0)
        book = PriceBook(
            name=name,
            number=base + 1,
            saved_at=moment(saved_us),
            saved_by=one_line(who, LONGEST_PERSON) or NOBODY,
            sha256=digest(content),
        )
        connection.execute(
            PRICE_BOOKS.insert().values(
                name=name,
                number=book.number,
                saved_us=saved_us,
                saved_by=book.saved_by,
                sha256=book.sha256,
                content=pack(content),
            )
        )
    return book


def listed(store: Store) -> list[PriceBook]:
    """Return the last state of every price book, by name.

    Parameters
    ----------
    store : Store

    Returns
    -------
    list of PriceBook

    Raises
    ------
    StorageError
    """
    newest = select(PRICE_BOOKS.c.name, func.max(PRICE_BOOKS.c.number).label("number"))
    latest = newest.group_by(PRICE_BOOKS.c.name).subquery()
    query = select(*_FACTS).join(
        latest,
        (latest.c.name == PRICE_BOOKS.c.name) & (latest.c.number == PRICE_BOOKS.c.number),
    )
    with store.database.reading() as connection:
        return sorted(map(_book, connection.execute(query)), key=lambda book: book.name)


def load(store: Store, name: str, number: int | None = None) -> tuple[PriceBook, bytes]:
    """Return a state of a price book with its content.

    Parameters
    ----------
    store : Store
    name : str
    number : int, optional
        The last one by default.

    Returns
    -------
    book : PriceBook
    content : bytes
        Its hash has been checked.

    Raises
    ------
    NotInStore
    StoreDamaged
    """
    query = select(PRICE_BOOKS).where(PRICE_BOOKS.c.name == name)
    if number is not None:
        query = query.where(PRICE_BOOKS.c.number == number)
    with store.database.reading() as connection:
        row = connection.execute(query.order_by(PRICE_BOOKS.c.number.desc())).first()
    where = f"price book {name[:80]!r}"
    if row is None:
        raise NotInStore(where, "is not in the store", "check its name and number")
    return _book(row), unpack(row.content, row.sha256, where)


def delete(store: Store, name: str) -> None:
    """Delete every state of a price book.

    Parameters
    ----------
    store : Store
    name : str

    Raises
    ------
    NotInStore
    StorageError
    """
    with store.database.writing() as connection:
        gone = connection.execute(PRICE_BOOKS.delete().where(PRICE_BOOKS.c.name == name))
        if not gone.rowcount:
            raise NotInStore(
                f"price book {name[:80]!r}", "is not in the store", "check its name"
            )
    store.database.forget()


def _book(row: Row[Any]) -> PriceBook:
    return PriceBook(
        name=row.name,
        number=row.number,
        saved_at=moment(row.saved_us),
        saved_by=row.saved_by,
        sha256=row.sha256,
    )
