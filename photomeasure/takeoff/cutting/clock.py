"""How much time is left."""

import time


class Clock:
    """A deadline.

    Parameters
    ----------
    limit_s : float
        Seconds from now.
    """

    def __init__(self, limit_s: float) -> None:
        self._end_s = time.monotonic() + limit_s

    def left_s(self) -> float:
        """Seconds left, not below 0."""
        return max(0.0, self._end_s - time.monotonic())

    def is_over(self) -> bool:
        """Whether the deadline has passed."""
        return self.left_s() <= 0
