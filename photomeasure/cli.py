"""The command line: one command a use case, errors to exit statuses.

Exit status: 0 everything was measured; 2 wrong usage; 3 the job, a photo or a line is
unusable; 4 references cannot fix the geometry. Whatever else can be measured is measured
and printed; of several failures the lowest status is reported, and each is one sentence
on the standard error stream.
"""

import argparse
import io
import json
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from calibration.errors import InputError, MeasureError

if TYPE_CHECKING:
    from photomeasure.results import MeasuredJob

DIALECT = "https://json-schema.org/draft/2020-12/schema"

USAGE, UNUSABLE, UNDETERMINED, INTERRUPTED = 2, 3, 4, 130


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
        _complain(str(error))
        return UNUSABLE if isinstance(error, InputError) else UNDETERMINED
    except KeyboardInterrupt:
        return INTERRUPTED


def _say(text: str) -> None:
    """Print a result, or refuse if it cannot be written."""
    try:
        print(text, flush=True)
    except OSError as error:
        # What is left in the buffer must not fail once more when the program ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if not isinstance(error, BrokenPipeError):  # that reader has seen enough
            raise InputError(
                "standard output", f"cannot be written ({error.strerror})", "make room"
            ) from None


def _complain(sentence: str) -> None:
    print(f"photomeasure: {sentence}", file=sys.stderr)


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
        "unusable, 4 references cannot fix the geometry. Whatever else can be measured "
        "is measured; each refusal is one sentence on the standard error stream.",
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
    schema.add_argument(
        "--result", action="store_true", help="that of what measure --json prints"
    )
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

        # ASCII, so that no terminal or pipe can trip over a foreign name.
        _say(json.dumps(job_json(job), indent=1, allow_nan=False))
    else:
        from photomeasure.table import job_table

        _say(job_table(job).rstrip("\n"))
    status = _report_refusals(job)
    if options.annotate:
        status = _annotate(job, options.annotate) or status
    return status


def _report_refusals(job: "MeasuredJob") -> int:
    """Say what was not measured; return the exit status that this means."""
    failures = {0}
    for sentence, undetermined in job.refusals():
        _complain(sentence)
        failures.add(UNDETERMINED if undetermined else UNUSABLE)
    return min(failures - {0}, default=0)


def _annotate(job: "MeasuredJob", folder: Path) -> int:
    from photomeasure.annotate import annotate_job

    status = 0
    for result in annotate_job(job, folder):
        if isinstance(result, InputError):
            _complain(str(result))
            status = UNUSABLE
        else:
            print(f"wrote {result}", file=sys.stderr)
    return status


def _demo(options: argparse.Namespace) -> int:
    from photomeasure.demo import run_demo

    return run_demo(options.to)


def _schema(options: argparse.Namespace) -> int:
    if options.result:
        from photomeasure.result_schema import ResultOut

        schema = ResultOut.model_json_schema()
    else:
        from photomeasure.job.schema import JobSpec

        schema = JobSpec.model_json_schema()
    _say(json.dumps({"$schema": DIALECT, **schema}, indent=1))
    return 0


def _formats(options: argparse.Namespace) -> int:  # noqa: ARG001
    from calibration.brick_formats import FORMATS

    for entry in FORMATS.values():
        _say(
            f"{entry.name:15} {entry.gauge_mm:7.2f} mm a course "
            f"{entry.stretcher_mm:6.1f} mm a stretcher  {entry.country}\n"
            f"{'':16}{entry.source}"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
