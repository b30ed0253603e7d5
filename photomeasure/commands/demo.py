"""``photomeasure demo``: the house that is shipped with the program."""

import argparse
from pathlib import Path


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Describe the command.

    Parameters
    ----------
    commands : argparse sub-parsers
    """
    demo = commands.add_parser("demo", help="measure the house that comes with this")
    demo.add_argument(
        "--to", type=Path, default=Path("demo-output"), help="where to write the photos"
    )
    demo.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Measure the sample house.

    Parameters
    ----------
    options : argparse.Namespace

    Returns
    -------
    int
        Exit status.
    """
    from photomeasure.demo import run_demo

    return run_demo(options.to)
