"""Exact money: where it is rounded, and how a total is shared out without loss.

Every line is rounded once, halves away from zero, to the currency's minor unit; totals
are sums of rounded lines. So each printed column adds up to its printed total.
"""

from collections.abc import Sequence
from decimal import ROUND_DOWN, ROUND_HALF_UP, Context, Decimal
from typing import Final

EXACT: Final = Context(prec=50)
"""Digits for products of amounts and prices: nothing in a book is ever cut off."""

_MINOR_UNITS: Final = {
    **dict.fromkeys(("CLP", "ISK", "JPY", "KRW", "VND", "XAF", "XOF"), 0),
    **dict.fromkeys(("BHD", "JOD", "KWD", "OMR", "TND"), 3),
}
"""Decimals of currencies that have not two. ISO 4217, from memory."""

_SIGNS: Final = {"GBP": "£", "EUR": "€", "USD": "$"}
"""Signs that stand for one currency in the country that uses it."""


def minor_units(currency: str) -> int:
    """Return the decimals of a currency.

    Parameters
    ----------
    currency : str
        ISO 4217 code, or "" for none.

    Returns
    -------
    int

    Examples
    --------
    >>> minor_units("GBP"), minor_units("JPY")
    (2, 0)
    """
    return _MINOR_UNITS.get(currency, 2)


def rounded(value: Decimal, currency: str) -> Decimal:
    """Return an amount of money rounded half away from zero.

    Parameters
    ----------
    value : Decimal
    currency : str

    Returns
    -------
    Decimal

    Examples
    --------
    >>> rounded(Decimal("2.675"), "GBP"), rounded(Decimal("2.5"), "JPY")
    (Decimal('2.68'), Decimal('3'))
    """
    step = Decimal(1).scaleb(-minor_units(currency))
    return value.quantize(step, ROUND_HALF_UP, context=EXACT)


def shared_out(
    total: Decimal, weights: Sequence[Decimal], currency: str
) -> tuple[Decimal, ...]:
    """Share a total in proportion, in whole minor units, so that the parts add up to it.

    Parameters
    ----------
    total : Decimal
        Already rounded, >= 0.
    weights : sequence of Decimal
        >= 0, with a sum > 0 unless the total is zero.
    currency : str

    Returns
    -------
    tuple of Decimal
        One part a weight; what rounding leaves goes to the largest remainders, the
        first of equals.

    Examples
    --------
    >>> parts = shared_out(Decimal("10.00"), [Decimal(1)] * 3, "GBP")
    >>> [str(part) for part in parts]
    ['3.34', '3.33', '3.33']
    """
    whole = sum(weights, Decimal(0))
    step = Decimal(1).scaleb(-minor_units(currency))
    if not whole:
        return tuple(Decimal(0).quantize(step) for _ in weights)
    exact = [EXACT.divide(EXACT.multiply(total, w), whole) for w in weights]
    parts = [part.quantize(step, ROUND_DOWN, context=EXACT) for part in exact]
    left = int((total - sum(parts, Decimal(0))) / step)
    order = sorted(range(len(parts)), key=lambda i: (parts[i] - exact[i], i))
    for i in order[:left]:
        parts[i] += step
    return tuple(parts)


def in_words(value: Decimal, currency: str) -> str:
    """Return an amount as a person writes it.

    Parameters
    ----------
    value : Decimal
    currency : str

    Returns
    -------
    str

    Examples
    --------
    >>> in_words(Decimal("1234.5"), "GBP"), in_words(Decimal("1234.5"), "SEK")
    ('£1,234.50', 'SEK 1,234.50')
    """
    number = f"{rounded(value, currency):,f}"
    sign = _SIGNS.get(currency)
    return f"{sign}{number}" if sign else f"{currency} {number}".strip()
