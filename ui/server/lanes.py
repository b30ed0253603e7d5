"""Who computes at a time, and who waits: a server in an office has a few cores."""

from collections.abc import Callable
from typing import ParamSpec, TypeVar

from anyio import CapacityLimiter, to_thread

from calibration.errors import StoreBusy
from ui.server.settings import Limits

P = ParamSpec("P")
T = TypeVar("T")


class Lanes:
    """Threads for what takes long, with a bounded queue before them.

    Parameters
    ----------
    limits : Limits
    """

    def __init__(self, limits: Limits) -> None:
        self._work = CapacityLimiter(limits.at_once)
        self._photos = CapacityLimiter(limits.uploads_at_once)
        self._most = limits.waiting
        self._asked = 0

    async def work(self, act: Callable[P, T], *args: P.args, **words: P.kwargs) -> T:
        """Run something in a thread once a place is free.

        Raises
        ------
        StoreBusy
            If too many wait already.
        """
        return await self._run(self._work, act, *args, **words)

    async def photo(self, act: Callable[P, T], *args: P.args, **words: P.kwargs) -> T:
        """Run what decodes a whole photo, likewise: fewer at a time."""
        return await self._run(self._photos, act, *args, **words)

    async def _run(
        self,
        limiter: CapacityLimiter,
        act: Callable[P, T],
        *args: P.args,
        **words: P.kwargs,
    ) -> T:
        # Counted here: the limiter counts only after its first pause.
        if self._asked >= self._most + int(limiter.total_tokens):
            raise StoreBusy(
                "server", "too many people ask at once", "try again in a few seconds"
            )
        self._asked += 1
        try:
            return await to_thread.run_sync(lambda: act(*args, **words), limiter=limiter)
        finally:
            self._asked -= 1
