"""``photomeasure takeoff``: what to cut, order and do for a measured job."""

import argparse
import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from photomeasure.console import UNUSABLE, complain, say

if TYPE_CHECKING:
    from photomeasure.job.takeoff import TakeoffSpec
    from photomeasure.results import MeasuredJob
    from photomeasure.takeoff.model import Takeoff


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Describe the command.

    Parameters
    ----------
    commands : argparse sub-parsers
    """
    takeoff = commands.add_parser("takeoff", help="list what a job takes: boards to hours")
    takeoff.add_argument("job", type=Path, help="job file")
    takeoff.add_argument("--json", action="store_true", help="print the take-off as JSON")
    takeoff.add_argument(
        "--cut",
        type=_numbers,
        metavar="1,2,...",
        help="boards already cut, by their number in the plan made before anything was "
        "taped: plan the rest anew with the taped lengths of the job",
    )
    takeoff.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Take off and print.

    Parameters
    ----------
    options : argparse.Namespace

    Returns
    -------
    int
        Exit status: 3 if any line was stopped.
    """
    from photomeasure.job.load import load_job
    from photomeasure.measure import measure_job
    from photomeasure.takeoff.assemble import take_off

    job = load_job(options.job)
    if options.cut is not None:
        return _plan_anew(measure_job(job), job.takeoff, options.cut)
    takeoff = take_off(measure_job(job), job.takeoff).takeoff
    if options.json:
        from photomeasure.takeoff.to_json import takeoff_json

        say(json.dumps(takeoff_json(takeoff), indent=1, allow_nan=False))
    else:
        from photomeasure.takeoff.table import takeoff_table

        say(takeoff_table(takeoff).rstrip("\n"))
    return _report_stops(takeoff)


def _report_stops(takeoff: "Takeoff") -> int:
    for stop in takeoff.stops:
        complain(stop.reason)
    return UNUSABLE if takeoff.stops else 0


def _plan_anew(
    measured: "MeasuredJob", spec: "TakeoffSpec", cut_boards: Sequence[int]
) -> int:
    """Repeat the plan made before taping, and plan the rest of it with taped lengths."""
    from photomeasure.takeoff.assemble import take_off
    from photomeasure.takeoff.taped import plan_anew, replan_table

    taped = {line.name: line.taped_mm for line in spec.lines if line.taped_mm is not None}
    lines = [line.model_copy(update={"taped_mm": None}) for line in spec.lines]
    before = take_off(measured, spec.model_copy(update={"lines": lines}), draws=0)
    say(replan_table(plan_anew(before, cut_boards, taped)).rstrip("\n"))
    return _report_stops(before.takeoff)


def _numbers(text: str) -> tuple[int, ...]:
    return tuple(int(word) for word in text.split(",") if word.strip())
