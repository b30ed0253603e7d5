"""Time as the store writes it: whole microseconds since 1970, UTC."""

import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

Clock = Callable[[], int]
"""Returns microseconds since 1970."""

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def now_us() -> int:
    """Return the machine's time."""
    return time.time_ns() // 1000


def after(clock: Clock, last_us: int) -> int:
    """Return the time, or the microsecond after `last_us` if the clock went backwards.

    Parameters
    ----------
    clock : Clock
    last_us : int
        Time of the revision before.

    Returns
    -------
    int
        Above `last_us`, so that the order of times is the order of saving.
    """
    return max(clock(), last_us + 1)


def moment(time_us: int) -> datetime:
    """Return a stored time.

    Examples
    --------
    >>> moment(1_000_000).isoformat()
    '1970-01-01T00:00:01+00:00'
    """
    return _EPOCH + timedelta(microseconds=time_us)


def microseconds(when: datetime) -> int:
    """Return a time as it is stored.

    Examples
    --------
    >>> microseconds(moment(12_345))
    12345
    """
    return (when - _EPOCH) // timedelta(microseconds=1)
