"""How fast jobs are saved, listed and searched, and what a second core brings.

Run from the top of the tree; with an address of PostgreSQL in
``PHOTOMEASURE_TEST_POSTGRES`` that is measured too::

    python -m tests.benchmarks.keeping

Aims: 10,000 jobs listed and searched in 50 ms, 95 of 100 saves in 20 ms. All jobs are
invented. What is only read is judged by processor time, the best of some runs, which is
what an idle machine would take; the time on the clock stands beside it. Saves wait for
the disk, so they are judged by the clock alone, on a machine that should be idle.
"""

import os
import tempfile
import time
import uuid
from collections.abc import Callable
from pathlib import Path

import numpy as np
from sqlalchemy import create_engine, make_url, text

from photomeasure.batch import run_batch
from photomeasure.batch.run import Batch
from photomeasure.store import Place, Store, find_place, jobs, open_store
from photomeasure.store.jobs import Signature
from tests.photomeasure.house import front, job, write_job, write_photo
from tests.photomeasure.store.samples import draft

JOBS = 10_000
SAVES = 400
LIST_AIM_MS, SAVE_AIM_MS = 50.0, 20.0
BATCHES = (25, 50, 100)
STREETS = ("High Street", "Mill Lane", "Station Road", "Church Way", "Müller Walk")


def best_ms(ask: Callable[[], object], runs: int = 9) -> tuple[float, float]:
    """Return the shortest processor time and time on the clock of some runs."""
    times = []
    for _ in range(runs):
        started = time.process_time(), time.perf_counter()
        ask()
        took = time.process_time() - started[0], time.perf_counter() - started[1]
        times.append([1000 * t for t in took])
    busy, clock = zip(*times, strict=True)
    return min(busy), min(clock)


def fill(store: Store) -> None:
    """Save jobs without waiting for the disk each time; that is not what is measured."""
    from photomeasure.store import shelf

    with store.database.writing() as connection:
        for i in range(JOBS):
            title = f"{i} {STREETS[i % len(STREETS)]}, invented"
            made = draft(title)
            revision = jobs._signed(store, uuid.uuid4().hex, made, Signature("Ann"))
            shelf.insert_job(connection, revision)
            shelf.insert_revision(connection, revision, made.document)


def keeping(place: Place) -> None:
    """Print the times of one database."""
    with open_store(place) as store:
        fill(store)
        print(f"{JOBS} jobs, milliseconds (aim {LIST_AIM_MS:g})")
        for name, ask in {
            "list all": lambda: jobs.listed(store),
            "list 50": lambda: jobs.listed(store, limit=50),
            "search, 1 found": lambda: jobs.listed(store, "1232 station"),
            "search, 2,000 found": lambda: jobs.listed(store, "muller"),
            "search, none found": lambda: jobs.listed(store, "cottage"),
        }.items():
            busy, clock = best_ms(ask)
            print(f"  {name:22} {busy:7.1f} ({clock:.1f} on the clock)")
        saving(store)


def saving(store: Store) -> None:
    """Print how long saves take, each of a job of its own revision."""
    saved = jobs.create(store, draft("saved often"))
    times = []
    for i in range(SAVES):
        changed = draft("saved often", i / SAVES)
        started = time.perf_counter()
        saved = jobs.save(store, saved.job_id, changed, saved.number)
        times.append(1000 * (time.perf_counter() - started))
    middle, high, most = np.percentile(times, (50, 95, 100))
    print(
        f"{SAVES} saves, milliseconds: median {middle:.1f}, p95 {high:.1f} "
        f"(aim {SAVE_AIM_MS:g}), longest {most:.1f}"
    )


def batches(folder: Path) -> None:
    """Print what one and two workers measure in a second, by number of jobs."""
    print("batch: jobs with a photo each, seconds (inputs a second)")
    for count in BATCHES:
        inputs = folder / f"{count}"
        for i in range(count):
            place = inputs / f"{i}"
            place.mkdir(parents=True)
            write_photo(place)
            write_job(place, job({**front(), "photo": "front.jpg"}))
        told = []
        for workers in (1, 2):
            started = time.perf_counter()
            run_batch(
                Batch(folder=inputs, target=folder / f"{count}-{workers}", workers=workers)
            )
            took = time.perf_counter() - started
            told.append(f"{workers} worker(s) {took:6.2f} ({2 * count / took:5.1f})")
        print(f"  {count:4} jobs  " + "   ".join(told))


def main() -> None:
    """Measure all of it."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        print("SQLite")
        keeping(find_place(folder / "home", {}))
        address = os.environ.get("PHOTOMEASURE_TEST_POSTGRES")
        if address:
            schema = f"bench_{uuid.uuid4().hex}"
            engine = create_engine(address)
            with engine.begin() as connection:
                connection.execute(text(f"CREATE SCHEMA {schema}"))
            options = {"options": f"-csearch_path={schema}"}
            print("PostgreSQL")
            keeping(Place(folder / "pg", make_url(address).update_query_dict(options)))
            with engine.begin() as connection:
                connection.execute(text(f"DROP SCHEMA {schema} CASCADE"))
        batches(folder / "batch")


if __name__ == "__main__":
    main()
