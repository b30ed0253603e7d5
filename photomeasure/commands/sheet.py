"""``photomeasure sheet``: print marker sheets, and find them in a photo."""

import argparse
import json
import math
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

from photomeasure.console import UNUSABLE, complain, say

if TYPE_CHECKING:
    from photomeasure.sheets.reach import Phone

PAPERS: Final = ("a4", "letter")
"""Written out, so that the help needs no import."""

MOST_SHEETS: Final = 8
"""Numbers that there are."""

FARTHEST_MM: Final = 1e5
"""From the wall; as in a job file."""


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Describe the command.

    Parameters
    ----------
    commands : argparse sub-parsers
    """
    sheet = commands.add_parser(
        "sheet",
        help="print marker sheets that give a photo its scale, or find them in a photo",
    )
    sheet.add_argument(
        "--to", type=Path, default=Path("marker-sheets.pdf"), help="PDF to write"
    )
    sheet.add_argument("--paper", choices=PAPERS, default="a4")
    sheet.add_argument(
        "--count", type=int, choices=range(1, MOST_SHEETS + 1), default=2, help="sheets"
    )
    sheet.add_argument(
        "--distance", type=_positive, metavar="M", help="from camera to wall, metres"
    )
    camera = sheet.add_mutually_exclusive_group()
    camera.add_argument(
        "--megapixels",
        type=_positive,
        metavar="MP",
        help="of the photo as sent, usually 12",
    )
    camera.add_argument("--like", type=Path, metavar="PHOTO", help="a photo of that camera")
    found = sheet.add_argument_group("finding sheets, instead of printing")
    found.add_argument(
        "--find", type=Path, metavar="PHOTO", help="print its sheets as references of a job"
    )
    for line in ("a", "b"):
        found.add_argument(
            f"--line-{line}", type=_positive, metavar="MM", help="what a ruler says of it"
        )
    found.add_argument(
        "--printer", default="the printer", help="name, if there are several"
    )
    found.add_argument(
        "--projection",
        type=_projection,
        default=0.0,
        metavar="MM",
        help="how far the paper hangs in front of the wall",
    )
    sheet.set_defaults(run=run)


def _positive(text: str) -> float:
    value = float(text)
    if not (math.isfinite(value) and value > 0.0):
        raise ValueError(text)
    return value


def _projection(text: str) -> float:
    value = float(text)
    if not abs(value) <= FARTHEST_MM:
        raise ValueError(text)
    return value


def run(options: argparse.Namespace) -> int:
    """Write the PDF, or print the references.

    Parameters
    ----------
    options : argparse.Namespace

    Returns
    -------
    int
        Exit status.
    """
    from calibration.errors import InputError

    if options.find:
        return _find(options)
    if options.line_a or options.line_b or options.projection:
        raise InputError(
            "sheet",
            "check lines and projection say something of sheets in a photo",
            "add --find PHOTO",
        )
    return _write(options)


def _write(options: argparse.Namespace) -> int:
    from calibration.sheet import COARSE, GOOD_CELL_PX
    from photomeasure.disk import write_whole
    from photomeasure.sheets.paper import PaperSize
    from photomeasure.sheets.pdf import sheets_pdf
    from photomeasure.sheets.reach import choose_layout

    phone = _phone(options)
    layout = choose_layout(phone, options.distance) if options.distance else COARSE
    numbers = range(1, options.count + 1)
    data = sheets_pdf(layout, numbers, PaperSize(options.paper), phone)
    write_whole(options.to, [data])
    print(f"wrote {options.to}", file=sys.stderr)
    best = phone.stated_reach_m(layout, GOOD_CELL_PX)
    if options.distance and options.distance > best:
        complain(
            f"from {options.distance:g} m the squares are small in the photo: up to "
            f"{best:.1f} m is better"
        )
    return 0


def _phone(options: argparse.Namespace) -> "Phone":
    """Return the camera from a photo of it, its megapixels or what is usual."""
    from photomeasure.sheets.reach import Phone, usual_phone

    if options.like:
        from calibration.errors import UnreadablePhoto
        from calibration.photo import focal_prior, read_header

        focal = focal_prior(read_header(options.like))
        if focal is None:
            raise UnreadablePhoto(
                str(options.like),
                "does not say its focal length",
                "give --megapixels instead, or a photo straight from the camera",
            )
        return Phone(focal_px=focal.focal_px)
    return usual_phone(options.megapixels) if options.megapixels else usual_phone()


def _find(options: argparse.Namespace) -> int:
    from photomeasure.sheets.printed import PrintSize
    from photomeasure.sheets.references import (
        read_sheets,
        sheet_cautions,
        sheet_references,
    )

    size = PrintSize(
        line_a_mm=options.line_a, line_b_mm=options.line_b, printer=options.printer
    )
    found, refused = read_sheets(options.find)
    references = sheet_references(found, size, options.projection)
    said = [entry.model_dump(mode="json", exclude_defaults=True) for entry in references]
    say(json.dumps(said, indent=1))
    for sentence in (*sheet_cautions(found, size), *(sheet.reason for sheet in refused)):
        complain(sentence)
    if not found:
        complain(f"{options.find}: no marker sheet can be used")
    return 0 if found else UNUSABLE
