"""The command line: one command a use case, errors to exit statuses.

Exit status: 0 everything was measured; 2 wrong usage; 3 the job, a photo or a line is
unusable; 4 references cannot fix the geometry; 5 the store of jobs is at fault. Whatever
else can be measured is measured and printed; of several failures the lowest status is
reported, and each is one sentence on the standard error stream.
"""

import argparse
import io
import os
import sys
from collections.abc import Sequence
from typing import Final

from calibration.errors import MeasureError
from photomeasure.commands import (
    batch,
    demo,
    formats,
    jobs,
    measure,
    papers,
    read,
    schema,
    serve,
    sheet,
    takeoff,
)
from photomeasure.console import INTERRUPTED, complain, status_of

COMMANDS: Final = (
    measure,
    read,
    takeoff,
    papers,
    batch,
    jobs,
    serve,
    sheet,
    demo,
    schema,
    formats,
)
"""In the order of the help."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command.

    Parameters
    ----------
    arguments : sequence of str, optional
        Without the program's name; those of the process by default.

    Returns
    -------
    int
        Exit status.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # An old terminal that lacks a sign shows a question mark, not a traceback.
            stream.reconfigure(errors="replace")
    options = _parser().parse_args(arguments)
    _one_thread()
    try:
        return int(options.run(options))
    except MeasureError as error:
        complain(str(error))
        return status_of(error)
    except KeyboardInterrupt:
        return INTERRUPTED


def _one_thread() -> None:
    """Keep linear algebra on one thread: on matrices this small more only wait.

    Takes effect if nothing has imported NumPy yet; what a user set stays.
    """
    for library in ("OPENBLAS", "MKL", "OMP"):
        os.environ.setdefault(f"{library}_NUM_THREADS", "1")


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="photomeasure",
        description="Roofline lengths with honest uncertainty from photographs.",
        epilog="Exit status: 0 everything measured, 2 wrong usage, 3 job, photo or line "
        "unusable, 4 references cannot fix the geometry, 5 the store of jobs. Whatever "
        "else can be measured is measured; each refusal is one sentence on the standard "
        "error stream.",
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for command in COMMANDS:
        command.add(commands)
    return parser


if __name__ == "__main__":
    sys.exit(main())
