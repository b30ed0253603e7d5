"""Costs that boards can add up to at all."""

from collections.abc import Iterable

MOST_UNITS = 10_000_000
"""Largest cost looked at, in cost units: the set is a number of so many bits."""


def next_attainable(costs: Iterable[int], least: int) -> int:
    """Return the smallest sum of board costs that is not below a bound.

    Parameters
    ----------
    costs : iterable of int
        Cost of each board, >= 0.
    least : int
        Lower bound on the sum, >= 0.

    Returns
    -------
    int
        ``least`` itself where every board is free or the bound is very large.

    Examples
    --------
    >>> next_attainable([5, 4], 11), next_attainable([5, 4], 14)
    (12, 14)
    """
    positive = {cost for cost in costs if cost}
    if not positive or least > MOST_UNITS:
        return least
    top = least + min(positive)
    mask = (1 << (top + 1)) - 1
    sums = 1
    for cost in positive:
        step = cost
        while step <= top:
            sums |= (sums << step) & mask
            step *= 2
    above = sums >> least
    return least + (above & -above).bit_length() - 1
