"""What the panels ask of a job, and how refusals are shown."""

from collections.abc import Callable
from functools import lru_cache
from typing import Final

from calibration.errors import MeasureError, UnknownName
from photomeasure.display import Display
from photomeasure.store import price_books
from photomeasure.takeoff.assemble import take_off
from photomeasure.takeoff.model import Takeoff
from photomeasure.takeoff.pricing import (
    BadPriceBook,
    Estimate,
    PriceBook,
    estimate,
    estimate_without_prices,
    example_book,
)
from photomeasure.takeoff.pricing.edit import new_book, with_price
from photomeasure.takeoff.pricing.reader import book_from_bytes
from ui.panels.markup import alert
from ui.panels.plainly import refusal
from ui.server.office import Office, Opened
from ui.texts import said

NO_BOOK: Final = ""
OWN_BOOK: Final = "own-prices.csv"
EXAMPLE: Final = "\0example"
"""No name of a book: it cannot be one of the store's."""

_KEPT: Final = 16


class Desk:
    """Jobs as the panels work on them.

    Parameters
    ----------
    office : Office
    """

    def __init__(self, office: Office) -> None:
        self.office = office
        self._taken = lru_cache(_KEPT)(self._take_off)
        self._read = lru_cache(_KEPT)(self._read_book)

    def open(self, job_id: str) -> Opened:
        """Return the last revision of a job."""
        return self.office.open(job_id)

    def taken(self, opened: Opened) -> Takeoff:
        """Return the take-off of a job."""
        return self._taken(*opened.key)

    def _take_off(self, job_id: str, number: int, _: str) -> Takeoff:
        opened = self.office.open(job_id, number)
        job = self.office.job(opened)
        return take_off(self.office.measured(opened), job.takeoff).takeoff

    def books(self) -> list[tuple[str, str]]:
        """Return the price books to choose from: what is shown, and the name."""
        kept = [(book.name, book.name) for book in price_books.listed(self.office.store)]
        example = (said("boards", "example_book"), EXAMPLE)
        return [*kept, example, (said("boards", "no_book"), NO_BOOK)]

    def usual_book(self) -> str:
        """Return the book that was saved last."""
        kept = price_books.listed(self.office.store)
        return max(kept, key=lambda book: book.saved_at).name if kept else NO_BOOK

    def book(self, name: str | None) -> PriceBook | None:
        """Return a price book by its name.

        Raises
        ------
        NotInStore
        BadPriceBook
        """
        if not name:
            return None
        if name == EXAMPLE:
            return example_book()
        entry, _ = price_books.load(self.office.store, name)
        return self._read(entry.name, entry.number)

    def keep_price(self, takeoff: Takeoff, name: str | None, code: str, price: str) -> str:
        """Keep the price of an item in the firm's book, a new one if none is chosen.

        Returns
        -------
        str
            Name of the book.

        Raises
        ------
        InputError
        BadPriceBook
        """
        items = {quantity.item.code: quantity.item for quantity in takeoff.quantities}
        if code not in items:
            raise UnknownName(said("boards", "item"), code or "", items)
        own, base, data = OWN_BOOK, 0, new_book(takeoff.country)
        if name and name != EXAMPLE:
            entry, data = price_books.load(self.office.store, name)
            own, base = entry.name, entry.number
        changed = with_price(data, own, items[code], price)
        price_books.save(self.office.store, own, changed, base)
        return own

    def _read_book(self, name: str, number: int) -> PriceBook:
        _, content = price_books.load(self.office.store, name, number)
        return book_from_bytes(content, name)

    def priced(self, takeoff: Takeoff, name: str | None) -> Estimate:
        """Return the price of a take-off, or what it lacks."""
        book = self.book(name)
        return estimate(takeoff, book) if book else estimate_without_prices(takeoff)


def shown(act: Callable[[], str]) -> str:
    """Return what an act shows, or its refusal as an alert.

    Parameters
    ----------
    act : callable

    Returns
    -------
    str
        Markup.
    """
    try:
        return act()
    except BadPriceBook as bad:
        return alert(*bad.sentences)
    except MeasureError as error:
        return refusal(error)


def display_of(unit: str | None) -> Display:
    """Return in what lengths are shown."""
    return Display.FEET if unit == Display.FEET else Display.MM
