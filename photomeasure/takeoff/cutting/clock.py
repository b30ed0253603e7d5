"""How much time is left, and whether its end was felt."""

import time
from typing import Self


class Clock:
    """A deadline that remembers whether it ever cut a search short.

    Parameters
    ----------
    limit_s : float
        Seconds from now.
    whole : Clock or None
        The clock that this one is a part of: it remembers too.

    Attributes
    ----------
    cut_short : bool
        Whether anybody was told that the time is over. As long as nobody was, no
        result depends on how fast the computer is.
    """

    def __init__(self, limit_s: float, whole: "Clock | None" = None) -> None:
        self._end_s = time.monotonic() + limit_s
        self._whole = whole
        self.cut_short = False

    def left_s(self) -> float:
        """Seconds left, not below 0."""
        return max(0.0, self._end_s - time.monotonic())

    def is_over(self) -> bool:
        """Whether the deadline has passed: whoever asks stops because of it."""
        over = self.left_s() <= 0
        if over:
            self.stopped()
        return over

    def stopped(self) -> None:
        """Remember that a search ended for want of time."""
        self.cut_short = True
        if self._whole is not None:
            self._whole.stopped()

    def part(self, share: float) -> Self:
        """Return a clock for a share of the time left, 0 to 1."""
        return type(self)(share * self.left_s(), self)
