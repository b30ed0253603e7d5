"""``photomeasure measure``: every line of a job with its length."""

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from calibration.errors import InputError
from photomeasure.console import UNDETERMINED, UNUSABLE, complain, say

if TYPE_CHECKING:
    from photomeasure.results import MeasuredJob


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Describe the command.

    Parameters
    ----------
    commands : argparse sub-parsers
    """
    measure = commands.add_parser("measure", help="measure every line of a job")
    measure.add_argument("job", type=Path, help="job file")
    measure.add_argument("--json", action="store_true", help="print the result as JSON")
    measure.add_argument(
        "--annotate", type=Path, metavar="DIR", help="write photos with lengths on them"
    )
    measure.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Measure, print, and annotate if asked.

    Parameters
    ----------
    options : argparse.Namespace

    Returns
    -------
    int
        Exit status.
    """
    from photomeasure.job.load import load_job
    from photomeasure.measure import measure_job

    job = measure_job(load_job(options.job))
    if options.json:
        from photomeasure.result_json import job_json

        # ASCII, so that no terminal or pipe can trip over a foreign name.
        say(json.dumps(job_json(job), indent=1, allow_nan=False))
    else:
        from photomeasure.table import job_table

        say(job_table(job).rstrip("\n"))
    status = report_refusals(job)
    if options.annotate:
        status = _annotate(job, options.annotate) or status
    return status


def report_refusals(job: "MeasuredJob") -> int:
    """Say what was not measured; return the exit status that this means.

    Parameters
    ----------
    job : MeasuredJob

    Returns
    -------
    int
        The lowest status of several failures.
    """
    failures = {0}
    for sentence, undetermined in job.refusals():
        complain(sentence)
        failures.add(UNDETERMINED if undetermined else UNUSABLE)
    return min(failures - {0}, default=0)


def _annotate(job: "MeasuredJob", folder: Path) -> int:
    from photomeasure.annotate import annotate_job

    status = 0
    for result in annotate_job(job, folder):
        if isinstance(result, InputError):
            complain(str(result))
            status = UNUSABLE
        else:
            print(f"wrote {result}", file=sys.stderr)
    return status
