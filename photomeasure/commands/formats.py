"""``photomeasure formats``: brick formats and where they come from."""

import argparse

from photomeasure.console import say


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Describe the command.

    Parameters
    ----------
    commands : argparse sub-parsers
    """
    formats = commands.add_parser("formats", help="list brick formats and their sources")
    formats.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:  # noqa: ARG001
    """List the formats.

    Parameters
    ----------
    options : argparse.Namespace

    Returns
    -------
    int
        Exit status.
    """
    from calibration.brick_formats import FORMATS

    for entry in FORMATS.values():
        say(
            f"{entry.name:15} {entry.gauge_mm:7.2f} mm a course "
            f"{entry.stretcher_mm:6.1f} mm a stretcher  {entry.country}\n"
            f"{'':16}{entry.source}"
        )
    return 0
