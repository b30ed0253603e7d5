"""What can be wrong with a price book.

::

    InputError                  (calibration.errors)
      UnreadableBook            the file as a whole cannot be used
      BadPriceBook              rows of it are wrong: all of them, each with its number
      IncompletePrices          a quotation was wanted and prices are missing
"""

from collections.abc import Sequence
from typing import Final

from calibration.errors import InputError

MAX_FAULTS: Final = 25
"""Faults told of one book: more say nothing new."""


class UnreadableBook(InputError):
    """The file is missing, too large, damaged or no table at all."""


class BadPriceBook(InputError):
    """Rows of the price book are wrong.

    Parameters
    ----------
    name : str
        Of the file.
    faults : sequence of InputError
        One a row, in the file's order, at least one.

    Attributes
    ----------
    sentences : tuple of str
        At most :data:`MAX_FAULTS` faults, and how many more there are.
    """

    def __init__(self, name: str, faults: Sequence[InputError]) -> None:
        first, more = faults[0], len(faults) - 1
        what = first.what
        if more:
            what += f" (and {more} more mistake{'s' if more > 1 else ''} in {name})"
        super().__init__(first.where, what, first.remedy)
        shown = [str(fault) for fault in faults[:MAX_FAULTS]]
        if len(faults) > MAX_FAULTS:
            rest = len(faults) - MAX_FAULTS
            shown.append(f"{name}: {rest} more rows are wrong; correct the first ones.")
        self.sentences = tuple(shown)


class IncompletePrices(InputError):
    """A total was asked for and some prices are missing."""

    def __init__(self, missing: Sequence[str]) -> None:
        named = ", ".join(missing[:5])
        if len(missing) > 5:
            named += f" and {len(missing) - 5} more"
        super().__init__(
            "quotation",
            f"there is no price for {named}",
            "add them to the price book; nothing is ever priced at zero",
        )
