"""What a take-off costs: the firm's price book, exact money, gaps named.

``read_book`` reads a book, ``estimate`` prices a take-off by it. A price that is missing
is named and never zero: the estimate then has no total.
"""

from photomeasure.takeoff.pricing.book import MarginBasis, Price, PriceBook, Terms
from photomeasure.takeoff.pricing.errors import (
    BadPriceBook,
    IncompletePrices,
    UnreadableBook,
)
from photomeasure.takeoff.pricing.estimate import (
    Charge,
    Estimate,
    Gap,
    Totals,
    estimate,
    estimate_without_prices,
)
from photomeasure.takeoff.pricing.money import in_words, minor_units, rounded, shared_out
from photomeasure.takeoff.pricing.reader import example_book, read_book

__all__ = [
    "BadPriceBook",
    "Charge",
    "Estimate",
    "Gap",
    "IncompletePrices",
    "MarginBasis",
    "Price",
    "PriceBook",
    "Terms",
    "Totals",
    "UnreadableBook",
    "estimate",
    "estimate_without_prices",
    "example_book",
    "in_words",
    "minor_units",
    "read_book",
    "rounded",
    "shared_out",
]
