"""The command line: one command a use case, errors to exit statuses.

Exit status: 0 measured; 2 wrong usage; 3 job or photo unusable; 4 references cannot
fix the geometry. When several elevations fail the lowest status wins.
"""

import argparse
import json
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from calibration.errors import EstimationError, InputError, MeasureError

if TYPE_CHECKING:
    from photomeasure.results import MeasuredJob

USAGE, UNUSABLE, UNDETERMINED = 2, 3, 4


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
    options = _parser().parse_args(arguments)
    _one_thread()
    try:
        return int(options.run(options))
    except MeasureError as error:
        print(f"photomeasure: {error}", file=sys.stderr)
        return UNUSABLE if isinstance(error, InputError) else UNDETERMINED
    except BrokenPipeError:
        sys.stderr.close()
        return 0


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
        epilog="Exit status: 0 measured, 2 wrong usage, 3 job or photo unusable, "
        "4 references cannot fix the geometry.",
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    measure = commands.add_parser("measure", help="measure every line of a job")
    measure.add_argument("job", type=Path, help="job file")
    measure.add_argument("--json", action="store_true", help="print the result as JSON")
    measure.add_argument(
        "--annotate", type=Path, metavar="DIR", help="write photos with lengths on them"
    )
    measure.set_defaults(run=_measure)

    demo = commands.add_parser("demo", help="measure the house that comes with this")
    demo.add_argument(
        "--to", type=Path, default=Path("demo-output"), help="where to write the photos"
    )
    demo.set_defaults(run=_demo)

    schema = commands.add_parser("schema", help="print the job file's JSON Schema")
    schema.set_defaults(run=_schema)

    formats = commands.add_parser("formats", help="list brick formats and their sources")
    formats.set_defaults(run=_formats)
    return parser


def _measure(options: argparse.Namespace) -> int:
    from photomeasure.job.load import load_job
    from photomeasure.measure import measure_job

    job = measure_job(load_job(options.job))
    if options.json:
        from photomeasure.result_json import job_json

        print(json.dumps(job_json(job), indent=1, ensure_ascii=False, allow_nan=False))
    else:
        from photomeasure.table import job_table

        print(job_table(job), end="")
    if options.annotate:
        from photomeasure.annotate import annotate_job

        for path in annotate_job(job, options.annotate):
            print(f"wrote {path}", file=sys.stderr)
    return _status(job)


def _status(job: "MeasuredJob") -> int:
    from photomeasure.results import MeasuredElevation, RefusedElevation, RefusedLine

    failures = set()
    for entry in job.elevations:
        if isinstance(entry, RefusedElevation):
            determined = not isinstance(entry.error, EstimationError)
            failures.add(UNUSABLE if determined else UNDETERMINED)
        elif isinstance(entry, MeasuredElevation) and any(
            isinstance(line, RefusedLine) for line in entry.lines
        ):
            failures.add(UNUSABLE)
    return min(failures, default=0)


def _demo(options: argparse.Namespace) -> int:
    from photomeasure.demo import run_demo

    return run_demo(options.to)


def _schema(options: argparse.Namespace) -> int:  # noqa: ARG001
    from photomeasure.job.schema import JobSpec

    print(json.dumps(JobSpec.model_json_schema(), indent=1))
    return 0


def _formats(options: argparse.Namespace) -> int:  # noqa: ARG001
    from calibration.brick_formats import FORMATS

    for entry in FORMATS.values():
        print(
            f"{entry.name:15} {entry.gauge_mm:7.2f} mm a course "
            f"{entry.stretcher_mm:6.1f} mm a stretcher  {entry.country}\n"
            f"{'':16}{entry.source}"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
