"""Few computations at a time, and a bounded queue before them."""

import threading

import anyio
import pytest

from calibration.errors import StoreBusy
from ui.server.lanes import Lanes
from ui.server.settings import Limits


def test_no_more_than_allowed_compute_at_once():
    """Ten people at once share two places, and all get their answer."""
    inside, most, lock = 0, 0, threading.Lock()

    def work(number):
        nonlocal inside, most
        with lock:
            inside += 1
            most = max(most, inside)
        threading.Event().wait(0.01)
        with lock:
            inside -= 1
        return number

    async def ten():
        lanes, found = Lanes(Limits(at_once=2)), []

        async def one(number):
            found.append(await lanes.work(work, number))

        async with anyio.create_task_group() as group:
            for number in range(10):
                group.start_soon(one, number)
        return sorted(found)

    assert anyio.run(ten) == list(range(10))
    assert most == 2


def test_too_many_who_wait_are_refused():
    """A full queue says so at once, instead of growing."""
    gate = threading.Event()

    async def crowd():
        lanes, refused = Lanes(Limits(at_once=1, waiting=1)), []

        async def one():
            try:
                await lanes.work(gate.wait, 5.0)
            except StoreBusy as error:
                refused.append(str(error))
                gate.set()

        async with anyio.create_task_group() as group:
            for _ in range(3):
                group.start_soon(one)
        return refused

    assert anyio.run(crowd) == [
        "server: too many people ask at once; try again in a few seconds."
    ]


@pytest.mark.parametrize("lane", ["work", "photo"])
def test_refusals_come_through(lane):
    """What a thread raises reaches the route."""

    def refuse():
        raise StoreBusy("a", "b", "c")

    async def run():
        await getattr(Lanes(Limits()), lane)(refuse)

    with pytest.raises(StoreBusy, match="a: b; c"):
        anyio.run(run)
