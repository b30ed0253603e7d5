"""``photomeasure takeoff``: what to cut, order and do for a measured job."""

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from photomeasure.console import UNUSABLE, complain, say

if TYPE_CHECKING:
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
