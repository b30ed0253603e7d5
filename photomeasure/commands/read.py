"""``photomeasure read``: a job from a photo, without a click."""

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

from photomeasure.console import UNDETERMINED, say

if TYPE_CHECKING:
    from photomeasure.reading import PhotoReading, Told


MOST_COURSES: Final = 10_000
MOST_MM: Final = 1e6
"""Of a taped run, as in a job file."""


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Describe the command.

    Parameters
    ----------
    commands : argparse sub-parsers
    """
    read = commands.add_parser(
        "read", help="find scale and roofline in a photo and write a job to confirm"
    )
    read.add_argument("photo", type=Path, help="photo of one elevation")
    read.add_argument(
        "--format", metavar="NAME", help="brick format: see 'photomeasure formats'"
    )
    read.add_argument(
        "--taped-courses",
        nargs=2,
        type=float,
        metavar=("N", "MM"),
        help="a run of courses and what the tape read, e.g. 10 752",
    )
    read.add_argument(
        "--at",
        nargs=2,
        type=float,
        metavar=("X", "Y"),
        help="a place on the brickwork, pixels of the upright photo",
    )
    for line in ("a", "b"):
        read.add_argument(
            f"--line-{line}",
            type=float,
            metavar="MM",
            help="what a ruler says of this check line of the marker sheets",
        )
    read.add_argument(
        "--accept",
        action="store_true",
        help="use brickwork that is not sure: its count was looked at",
    )
    read.add_argument("--to", type=Path, metavar="JOB", help="job file to write")
    read.add_argument("--json", action="store_true", help="print what was read as JSON")
    read.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Read, write the job, print.

    Parameters
    ----------
    options : argparse.Namespace

    Returns
    -------
    int
        Exit status; 4 if there are no lengths.
    """
    from photomeasure.reading import read_photo
    from photomeasure.reading.report import reading_json, reading_text

    told = _told(options)
    if options.to:
        _refuse_loss(options.to)
    reading = read_photo(options.photo, told)
    if options.to:
        _write(reading, options.to)
    if options.json:
        say(json.dumps(reading_json(reading), indent=1, allow_nan=False))
    else:
        say(reading_text(reading).rstrip("\n"))
        if reading.measured:
            from photomeasure.table import job_table

            say("\n" + job_table(reading.job).rstrip("\n"))
    return 0 if reading.measured else UNDETERMINED


def _told(options: argparse.Namespace) -> "Told":
    from photomeasure.reading import Told
    from photomeasure.sheets.printed import PrintSize

    run_of = _run_of_courses(*options.taped_courses) if options.taped_courses else None
    return Told(
        brick_format=options.format,
        taped_courses=run_of[0] if run_of else None,
        taped_mm=run_of[1] if run_of else None,
        tap_px=tuple(options.at) if options.at else None,
        print_size=PrintSize(line_a_mm=options.line_a, line_b_mm=options.line_b),
        accept=options.accept,
    )


def _run_of_courses(count: float, taped_mm: float) -> tuple[int, float]:
    from calibration.errors import InputError

    if count == round(count) and 1 <= count <= MOST_COURSES and 1 <= taped_mm <= MOST_MM:
        return int(count), taped_mm
    raise InputError(
        "--taped-courses",
        f"{count:g} courses in {taped_mm:g} mm is no run of courses",
        "give a whole number and millimetres, e.g. 10 752",
    )


def _refuse_loss(path: Path) -> None:
    """Refuse to write over a job: a person may have corrected it."""
    from calibration.errors import InputError

    if path.exists():
        raise InputError(
            str(path), "is there already, perhaps corrected by hand", "give another name"
        )


def _write(reading: "PhotoReading", path: Path) -> None:
    from photomeasure.disk import write_whole
    from photomeasure.reading.report import job_document

    document = job_document(reading)
    photo = reading.photo.resolve()
    folder = path.resolve().parent
    inside = photo.is_relative_to(folder)
    name = photo.relative_to(folder) if inside else photo
    document["elevations"][0]["photo"] = name.as_posix()
    write_whole(path, [json.dumps(document, indent=1).encode()])
    print(f"wrote {path}", file=sys.stderr)
