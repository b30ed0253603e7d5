"""``photomeasure schema``: the formats as JSON Schema."""

import argparse
import json
from typing import Final

from photomeasure.console import say

DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Describe the command.

    Parameters
    ----------
    commands : argparse sub-parsers
    """
    schema = commands.add_parser("schema", help="print the job file's JSON Schema")
    schema.add_argument(
        "--result", action="store_true", help="that of what measure --json prints"
    )
    schema.add_argument(
        "--takeoff", action="store_true", help="that of what takeoff --json prints"
    )
    schema.add_argument(
        "--papers", action="store_true", help="that of a paper written as JSON"
    )
    schema.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print a schema.

    Parameters
    ----------
    options : argparse.Namespace

    Returns
    -------
    int
        Exit status.
    """
    if options.result:
        from photomeasure.result_schema import ResultOut

        schema = ResultOut.model_json_schema()
    elif options.takeoff:
        from photomeasure.takeoff.contract import TakeoffOut

        schema = TakeoffOut.model_json_schema()
    elif options.papers:
        from photomeasure.papers.contract import PaperOut

        schema = PaperOut.model_json_schema()
    else:
        from photomeasure.job.schema import JobSpec

        schema = JobSpec.model_json_schema()
    say(json.dumps({"$schema": DIALECT, **schema}, indent=1))
    return 0
