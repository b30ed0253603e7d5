"""Who works: processes of this machine, or a cluster, by the same call."""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from typing import Final

from calibration.errors import InputError
from photomeasure.batch.work import Line, Task, failed, fingerprint, work

PATIENCE_S: Final = 10.0
"""How long a scheduler may take to answer."""

AHEAD: Final = 2
"""Inputs handed out for each worker, so that none waits for its next."""


def lines(
    tasks: list[Task],
    workers: int,
    cluster: str | None = None,
    do: Callable[[Task], Line] = work,
) -> Iterator[Line]:
    """Yield the line of every task as it comes, in any order.

    Parameters
    ----------
    tasks : list of Task
    workers : int
        Processes, >= 1; a cluster has its own.
    cluster : str, optional
        Address of a dask.distributed scheduler.
    do : callable, optional
        What is done with each; replaced in tests.

    Yields
    ------
    dict

    Raises
    ------
    InputError
        If the cluster cannot be reached.
    """
    left = {task.name: task for task in tasks}
    with _engine(cluster):
        while left:
            try:
                for line in _together(list(left.values()), workers, do):
                    del left[line["input"]]
                    yield line
            except _stopped_workers():
                # Handed out in order: the one that stopped its worker is among these.
                suspects = list(left.values())[: AHEAD * workers]
                for line in _one_by_one(suspects, do):
                    del left[line["input"]]
                    yield line


def _together(
    tasks: list[Task], workers: int, do: Callable[[Task], Line]
) -> Iterator[Line]:
    from joblib import Parallel, delayed

    parallel = Parallel(
        n_jobs=workers,
        return_as="generator_unordered",
        batch_size=1,
        pre_dispatch=AHEAD * workers,
    )
    found: Iterator[Line] = parallel(delayed(do)(task) for task in tasks)
    return found


def _one_by_one(tasks: list[Task], do: Callable[[Task], Line]) -> Iterator[Line]:
    """Try each in a process of its own and note which stop it."""
    for task in tasks:
        try:
            yield from _together([task], 2, do)
        except _stopped_workers():
            what = "the process that measured it was stopped, perhaps for lack of memory"
            yield {
                "input": task.name,
                "fingerprint": fingerprint(task),
                **failed(task, what),
            }


def _stopped_workers() -> tuple[type[BaseException], ...]:
    from joblib.externals.loky.process_executor import TerminatedWorkerError

    return (TerminatedWorkerError,)


def _engine(cluster: str | None) -> AbstractContextManager[object]:
    return _dask(cluster) if cluster else nullcontext()


@contextmanager
def _dask(address: str) -> Iterator[None]:
    """Let the same call run on a cluster, whose workers see the same folder."""
    try:
        from distributed import Client
    except ImportError:
        raise InputError(
            "--cluster", "needs dask.distributed", "install photomeasure[cluster]"
        ) from None
    from joblib import parallel_config

    try:
        client = Client(address, timeout=PATIENCE_S)  # type: ignore[no-untyped-call]
    except (OSError, ValueError):
        raise InputError(
            f"--cluster {address}", "does not answer", "check the scheduler's address"
        ) from None
    with client, parallel_config(backend="dask", wait_for_workers_timeout=60):
        yield
