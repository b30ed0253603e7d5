"""Kill programs at random moments and look at what they left.

Run as a program of its own, so that a killed child is a fork of a small process::

    python -m tests.photomeasure.store.killing saves HOME KILLS SEED

The database is that of the environment. A child tells of each step in a pipe before it
begins it and after it was told that it is kept; what is in the pipe survives its death.
"""

import json
import os
import random
import signal
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from calibration.errors import NotInStore
from photomeasure.store import Store, find_place, jobs, open_store, papers, photos
from photomeasure.store.check import check
from photomeasure.store.package import bring_in_package, write_package
from tests.photomeasure.store.samples import document, draft, picture

SPREAD = 1.15
"""How fast the longest life follows the machine: kills shall fall into the first steps."""

PHOTOS = 40
CHECKED_EVERY = 20


@dataclass
class Count:
    """What happened in all kills."""

    kills: int = 0
    inside: int = 0
    acknowledged: int = 0
    kept_unacknowledged: int = 0
    problems: list[str] = field(default_factory=list)


@dataclass
class Killer:
    """Kills children at random moments of their first few steps.

    Attributes
    ----------
    draw : random.Random
    longest_s : float
        Longest life after the first word; it follows the speed of machine and database.
    """

    draw: random.Random
    longest_s: float = 0.15

    def kill(self, work: Callable[[int], None]) -> list[tuple[str, int]]:
        """Let a child work for a while, kill it, and return what it told."""
        story = told(fork_and_kill(work, self.draw.uniform(0, self.longest_s)))
        steps = sum(word == "k" for word, _ in story)
        self.longest_s *= 1 / SPREAD if steps > 2 else SPREAD if steps < 1 else 1
        return story


def fork_and_kill(work: Callable[[int], None], life_s: float) -> bytes:
    """Let a child work until its first word and a while more, kill it, return its words."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(reading)
            work(writing)
        finally:
            os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb", buffering=0) as pipe:
        first = pipe.read(1)
        time.sleep(life_s)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return first + pipe.readall()


def told(data: bytes) -> list[tuple[str, int]]:
    """Return what a child told: ``b`` for begun, ``k`` for kept, with a number."""
    words = data.decode().split()
    return [(word[0], int(word[1:])) for word in words]


def tell(pipe: int, what: str) -> None:
    """Tell the parent; short writes to a pipe are never torn."""
    os.write(pipe, f"{what} ".encode())


def content_of(number: int) -> tuple[bytes, int]:
    """Return the job file of a revision and which photo it names."""
    return document(f"revision {number}", "front.png", remark=number / 8), number % PHOTOS


def saves(home: Path, kills: int, killer: Killer) -> Count:
    """Kill programs that save one job again and again, with photos and papers."""
    pictures = [picture(home.parent / "pictures", i) for i in range(PHOTOS)]
    with open_store() as store:
        sha256 = photos.add(store, pictures[1]).sha256
        first = draft("revision 1", 1 / 8, front=sha256)
        job_id = jobs.create(store, first).job_id

    def work(pipe: int) -> None:
        store = open_store()
        number = jobs.load(store, job_id).revision.number
        while True:
            number += 1
            tell(pipe, f"b{number}")
            sha256 = photos.add(store, pictures[number % PHOTOS]).sha256
            changed = draft(f"revision {number}", number / 8, front=sha256)
            jobs.save(store, job_id, changed, number - 1)
            sheet = papers.Sheet(
                kind="order", name="o.txt", media_type="a/b", content=b"%d" % number
            )
            papers.keep(store, job_id, number, sheet)
            tell(pipe, f"k{number}")

    count, last = Count(), 1
    for _ in range(kills):
        story = killer.kill(work)
        kept = [number for word, number in story if word == "k"]
        count.kills += 1
        count.inside += bool(story) and story[-1][0] == "b"
        count.acknowledged += len(kept)
        acknowledged = max(kept, default=last)
        with open_store() as store:
            there = jobs.load(store, job_id).revision.number
            count.kept_unacknowledged += there - acknowledged
            if there not in (acknowledged, acknowledged + 1):
                count.problems.append(f"{acknowledged} acknowledged, {there} there")
            for number in range(last, there + 1):
                count.problems += compare(store, job_id, number, kept)
            if count.kills % CHECKED_EVERY == 0 or count.kills == kills:
                count.problems += map(str, check(store).problems)
        last = there
    return count


def compare(store: Store, job_id: str, number: int, kept: list[int]) -> Iterator[str]:
    """Yield what differs from what was saved."""
    stored = jobs.load(store, job_id, number)
    if stored.document != content_of(number)[0]:
        yield f"revision {number} differs"
    for name, sha256 in stored.revision.photos:
        photos.verified_path(store, sha256, name)
    if number in kept:
        found = [p for p in papers.of_job(store, job_id) if p.number == number]
        if [papers.content(store, paper) for paper in found] != [b"%d" % number]:
            yield f"the paper of revision {number} is lost"


PACKAGES = 30


def imports(home: Path, kills: int, killer: Killer) -> Count:
    """Kill programs that bring jobs in, and delete every other one of them."""
    packages = _packages(home.parent / "source")
    count = Count()
    gone: set[int] = set()
    here: set[int] = set()

    def work(pipe: int) -> None:
        store = open_store()
        left = [i for i in range(PACKAGES) if i not in gone | here]
        for i in left:
            tell(pipe, f"b{i}")
            job_id = bring_in_package(store, packages[i][1]).job_id
            tell(pipe, f"k{i}")
            if i % 2:
                tell(pipe, f"b{i + PACKAGES}")
                jobs.delete(store, job_id)
                tell(pipe, f"k{i + PACKAGES}")

    for _ in range(kills):
        if len(gone | here) == PACKAGES:
            _empty(here, packages)
            gone.clear()
        story = killer.kill(work)
        kept = {number for word, number in story if word == "k"}
        count.kills += 1
        count.inside += bool(story) and story[-1][0] == "b"
        count.acknowledged += len(kept)
        with open_store() as store:
            for i in {n % PACKAGES for _, n in story}:
                was_there = _is_whole(store, *packages[i], count)
                _judge(count, story, i, was_there)
                (here if was_there else gone if i + PACKAGES in kept else set()).add(i)
            if count.kills % CHECKED_EVERY == 0 or count.kills == kills:
                count.problems += map(str, check(store).problems)
    return count


def _judge(count: Count, story: list[tuple[str, int]], i: int, was_there: bool) -> None:
    """Compare what is there with what was acknowledged."""
    deleting = ("b", i + PACKAGES) in story
    if ("k", i + PACKAGES) in story and was_there:
        count.problems.append(f"job {i} is there though it was deleted")
    if ("k", i) in story and not deleting and not was_there:
        count.problems.append(f"job {i} is lost")
    if ("k", i) not in story and was_there:
        count.kept_unacknowledged += 1


def _packages(home: Path) -> list[tuple[str, Path]]:
    found = []
    with open_store(find_place(home, {})) as store:
        for i in range(PACKAGES):
            shas = [
                photos.add(store, picture(home.parent / "pictures", s)).sha256
                for s in (i, i + 1)
            ]
            job_id = jobs.create(store, draft(f"job {i}", a=shas[0], b=shas[1])).job_id
            jobs.save(store, job_id, draft(f"job {i}, again", a=shas[0]), 1)
            sheet = papers.Sheet(
                kind="order", name="o.txt", media_type="a/b", content=b"%d" % i
            )
            papers.keep(store, job_id, 2, sheet)
            path = home / f"{i}.zip"
            write_package(store, job_id, path, with_history=True)
            found.append((job_id, path))
    return found


def _is_whole(store: Store, job_id: str, path: Path, count: Count) -> bool:
    """Tell whether a job is there; half of one is a problem."""
    try:
        history = jobs.history(store, job_id)
    except NotInStore:
        return False
    if [r.number for r in history] != [2, 1] or len(papers.of_job(store, job_id)) != 1:
        count.problems.append(f"half of {path.name} is there")
    for revision in history:
        jobs.measurable(store, jobs.load(store, job_id, revision.number))
    return True


def _empty(here: set[int], packages: list[tuple[str, Path]]) -> None:
    with open_store() as store:
        for i in here:
            jobs.delete(store, packages[i][0])
    here.clear()


def main(kind: str, home: str, kills: str, seed: str) -> None:
    """Print the counts as JSON."""
    work = {"saves": saves, "imports": imports}[kind]
    count = work(Path(home), int(kills), Killer(random.Random(int(seed))))  # noqa: S311
    print(json.dumps(vars(count)))  # noqa: T201 - the parent reads it


if __name__ == "__main__":
    main(*sys.argv[1:])
