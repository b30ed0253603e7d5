"""Numbers as people write them in price books; what can be read two ways is refused."""

import re
from decimal import Decimal
from typing import Final

from photomeasure.takeoff.pricing.cells import BadCell, Cell

MAX_NUMBER: Final = Decimal(10) ** 9
MAX_DECIMALS: Final = 6
"""A price by the thousand has them; more is a mistake."""

_PLAIN: Final = re.compile(r"[+-]?\d+(?:[.,]\d+)?", re.ASCII)
_THREE: Final = re.compile(r"[+-]?[1-9]\d{0,2}([.,])\d{3}", re.ASCII)
"""One mark before exactly three digits: of thousands, or of decimals?"""


def number_of(cell: Cell, *, decimal_comma: bool) -> Decimal | BadCell:
    """Read a number, or say why it is none.

    Parameters
    ----------
    cell : Cell
    decimal_comma : bool
        Whether the file writes decimal commas, so that a point may mean thousands.

    Returns
    -------
    Decimal or BadCell

    Examples
    --------
    >>> number_of("12,50", decimal_comma=False), number_of("12.5", decimal_comma=True)
    (Decimal('12.50'), Decimal('12.5'))
    >>> number_of("1,250", decimal_comma=False).what
    '"1,250" can be read as 1.250 or as 1250'
    """
    if isinstance(cell, BadCell):
        return cell
    read = cell if isinstance(cell, Decimal) else _read(cell, decimal_comma=decimal_comma)
    if isinstance(read, BadCell):
        return read
    if not read.is_finite() or abs(read) > MAX_NUMBER:
        return BadCell(f'"{cell}" is beyond all prices', "correct it")
    if read != round(read, MAX_DECIMALS):
        return BadCell(
            f'"{cell}" has more than {MAX_DECIMALS} decimals', "round it in the book"
        )
    return read


def _read(text: str, *, decimal_comma: bool) -> Decimal | BadCell:
    if not _PLAIN.fullmatch(text):
        return BadCell(
            f'"{_short(text)}" is not a number',
            "write digits with one decimal point, without signs, blanks or thousands marks",
        )
    three = _THREE.fullmatch(text)
    if three and (three[1] == "," or decimal_comma):
        whole, decimals = re.split("[.,]", text)
        return BadCell(
            f'"{text}" can be read as {whole}.{decimals} or as {whole}{decimals}',
            f"write {whole}{decimals} or {whole}.{decimals}0",
        )
    if len(text) > 30:
        return BadCell(f'"{_short(text)}" is beyond all prices', "correct it")
    return Decimal(text.replace(",", "."))


def _short(text: str) -> str:
    return text if len(text) <= 30 else text[:27] + "..."
