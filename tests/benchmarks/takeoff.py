"""How fast a take-off is: quantities, cutting, and the chance of running short.

Run from the top of the tree::

    python -m tests.benchmarks.takeoff

Houses are invented: two eaves and a gable with lengths drawn from a fixed seed. The
aims: quantities for 1,000 jobs in 5 s, a house of 40 pieces planned in 0.3 s. They are
judged by processor time, which is what an idle machine would take; the time on the clock
stands beside it.
"""

import time
from collections.abc import Callable

import numpy as np

from photomeasure.job.takeoff import TakeoffSpec
from photomeasure.results import MeasuredJob
from photomeasure.takeoff.assemble import quantities, rules_of, take_off
from photomeasure.takeoff.boards import Boards
from photomeasure.takeoff.build import build_house
from photomeasure.takeoff.parts import Work
from photomeasure.takeoff.pieces import board_pieces
from photomeasure.takeoff.plan import plan_boards
from photomeasure.takeoff.runs import RunMaker
from photomeasure.takeoff.shortage import Verdicts
from photomeasure.takeoff.tally import in_range
from tests.photomeasure.takeoff.houses import (
    GABLED,
    depth,
    eaves,
    elevation,
    ends,
    gabled,
    measured,
    rakes,
    soffit,
    spec,
)

JOBS = 1000
QUANTITIES_AIM_S = 5.0
HOUSE_AIM_S = 0.3
SEEDS = range(5)
NO_DOUBT = Verdicts(shortages=(), extra=(), deciding=None, undecided=0)


def timed(name: str, work: Callable[[], object], aim_s: float | None = None) -> None:
    """Do something and print one line about its time."""
    start, busy = time.perf_counter(), time.process_time()
    result = work()
    seconds, cpu = time.perf_counter() - start, time.process_time() - busy
    verdict = (
        "" if aim_s is None else f"aim {aim_s:g} s: {'met' if cpu <= aim_s else 'MISSED'}"
    )
    print(
        f"{name:44} {seconds:8.3f} s {cpu:8.3f} s cpu  {verdict} {result or ''}", flush=True
    )


def many_quantities(job: MeasuredJob, facts: TakeoffSpec) -> Callable[[], None]:
    """Prepare one planned house; count everything of it a thousand times.

    Each round builds the house, chooses boards, makes runs and pieces and counts; the
    optimiser's plan is made once, for its time is measured apart.
    """
    rules = rules_of(facts)
    boards = Boards(facts, rules)
    house = build_house(job, facts, rules).house
    maker = RunMaker(house, boards, rules)
    planned = plan_boards(maker.runs(), maker.box_ends(), boards, rules)
    assert planned is not None

    def count() -> None:
        for _ in range(JOBS):
            rules = rules_of(facts)
            boards = Boards(facts, rules)
            house = build_house(job, facts, rules).house
            maker = RunMaker(house, boards, rules)
            runs, box_ends = maker.runs(), maker.box_ends()
            work = Work(
                house=house,
                pieces=board_pieces(runs, planned.plan.boards),
                shapes=tuple(box.shape for box in box_ends),
                problem=planned.problem,
                plan=planned.plan,
                runs=runs,
                box_ends=box_ends,
            )
            quantities(work, rules, NO_DOUBT)

    return count


def large(seed: int) -> tuple[MeasuredJob, TakeoffSpec]:
    """Draw a house of six eaves and two gables: about forty pieces."""
    draw = np.random.default_rng(seed)
    elevations = []
    for i in range(6):
        photo = f"side {i}"
        lines = (
            eaves(f"eaves {i}", float(draw.integers(6000, 14_000)), photo=photo),
            depth(208.0, photo=photo),
        )
        elevations.append(elevation(photo, lines, (soffit("s", 290.0),)))
    for i in range(2):
        span = float(draw.integers(6000, 10_000))
        pair = rakes(span, 0.4 * span, photo=f"gable {i}", prefix=f"{i} ")
        elevations.append(elevation(f"gable {i}", pair))
    lines_facts = ends(**{f"eaves_{i}": ("box end", "box end") for i in range(6)})
    facts = spec(lines=lines_facts, roof={"barge_depth_mm": 208, "rafter_centres_mm": 600})
    return measured(*elevations), facts


def main() -> None:
    """Print the table."""
    job, facts = gabled(), spec(**GABLED)
    take_off(job, facts, draws=0)  # loads the solver, which is not what we time
    timed("quantities of 1,000 jobs", many_quantities(job, facts), QUANTITIES_AIM_S)
    timed("two eaves and a gable, planned", lambda: take_off(job, facts, draws=0) and None)
    timed("the same with 2,000 draws", lambda: take_off(job, facts) and None)
    for seed in SEEDS:
        big, words = large(seed)

        def planned(big: MeasuredJob = big, words: TakeoffSpec = words) -> str:
            found = take_off(big, words, draws=0).takeoff
            proven = found.plan is not None and found.plan.proven
            cuts = sum(len(b.cuts) for b in found.plan.boards) if found.plan else 0
            return f"{cuts} pieces, {'proven' if proven else 'not proven'}"

        timed(f"large house {seed}, planned", planned, HOUSE_AIM_S)

        def judged(big: MeasuredJob = big, words: TakeoffSpec = words) -> str:
            found = take_off(big, words).takeoff
            return "; ".join(
                f"{s.boards}: {in_range(s.at_least, s.chance)}"
                for s in found.shortages
                if s.material.board == "fascia board"
            )

        timed(f"large house {seed}, with 2,000 draws", judged)


if __name__ == "__main__":
    main()
