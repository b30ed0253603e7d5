"""``photomeasure papers``: quotation, order, cut list, take-off, costing and drawings."""

import argparse
import datetime as dt
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from photomeasure.console import UNUSABLE, complain

if TYPE_CHECKING:
    from photomeasure.papers.dossier import Dossier
    from photomeasure.papers.produce import Which
    from photomeasure.takeoff.pricing import PriceBook

PAPERS: Final = ("quotation", "order", "cut-list", "take-off", "costing", "drawing")
"""Written out, so that the help needs no import."""

FORMS: Final = ("pdf", "xlsx", "csv", "json")

MAX_TEXT: Final = 2000
"""Letters of a letterhead or an address."""


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Describe the command.

    Parameters
    ----------
    commands : argparse sub-parsers
    """
    papers = commands.add_parser("papers", help="write quotation, order, cut list and more")
    papers.add_argument("job", type=Path, help="job file")
    papers.add_argument(
        "--to", type=Path, required=True, metavar="DIR", help="where to write them"
    )
    book = papers.add_mutually_exclusive_group()
    book.add_argument("--prices", type=Path, metavar="BOOK", help="price book, CSV or XLSX")
    book.add_argument(
        "--example-prices", action="store_true", help="use the example of invented prices"
    )
    papers.add_argument(
        "--only", action="append", choices=PAPERS, help="this paper; may be repeated"
    )
    papers.add_argument(
        "--format", action="append", choices=FORMS, help="this form; may be repeated"
    )
    papers.add_argument(
        "--date", type=_date, help="printed date, as 2025-03-04; else today"
    )
    papers.add_argument(
        "--firm", type=_text, default="", help="letterhead, | between lines"
    )
    papers.add_argument(
        "--customer", type=_text, default="", help="name and address, likewise"
    )
    papers.add_argument("--number", type=_text, default="", help="of the quotation")
    papers.add_argument(
        "--valid-days", type=_days, metavar="N", help="quotation stays open"
    )
    papers.add_argument(
        "--replace", action="store_true", help="also files that this did not write"
    )
    papers.set_defaults(run=run)


def _date(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


def _days(text: str) -> int:
    days = int(text)
    if not 0 <= days <= 3650:
        raise argparse.ArgumentTypeError("0 to 3650 days")
    return days


def _text(text: str) -> str:
    if len(text) > MAX_TEXT:
        raise argparse.ArgumentTypeError(f"at most {MAX_TEXT} letters")
    return text


def run(options: argparse.Namespace) -> int:
    """Measure, take off, price and write.

    Parameters
    ----------
    options : argparse.Namespace

    Returns
    -------
    int
        Exit status: 3 if anything was stopped, refused or not measured.
    """
    from photomeasure.papers.files import write_files
    from photomeasure.papers.produce import Form, produce
    from photomeasure.takeoff.pricing import BadPriceBook

    try:
        book = _book(options)  # before anything that takes long
    except BadPriceBook as bad:
        for sentence in bad.sentences:
            complain(sentence)
        return UNUSABLE
    dossier, status = _dossier(options, book)
    forms = [Form(word) for word in options.format or FORMS]
    produced = produce(dossier, _which(options), forms)
    for refusal in produced.refusals:
        complain(str(refusal))
        status = UNUSABLE
    strangers = write_files(options.to, produced.files, replace=options.replace)
    for name in produced.files:
        verb = "replaced" if name in strangers else "wrote"
        print(f"{verb} {options.to / name}", file=sys.stderr)
    return status


def _which(options: argparse.Namespace) -> "Sequence[Which]":
    """Return the papers asked for; by default those that can be made."""
    from photomeasure.papers.produce import NEED_PRICES, Which

    if options.only:
        return [Which(word) for word in options.only]
    priced = bool(options.prices or options.example_prices)
    return [which for which in Which if priced or which not in NEED_PRICES]


def _dossier(
    options: argparse.Namespace, book: "PriceBook | None"
) -> "tuple[Dossier, int]":
    """Return everything that papers are made from, and the status so far."""
    from photomeasure.commands.measure import report_refusals
    from photomeasure.job.load import load_job
    from photomeasure.measure import measure_job
    from photomeasure.papers.dossier import Letterhead
    from photomeasure.papers.prepare import prepare

    job = load_job(options.job)
    measured = measure_job(job)
    status = report_refusals(measured)
    letterhead = Letterhead(
        firm=_lines(options.firm),
        customer=_lines(options.customer),
        number=options.number,
        valid_days=options.valid_days,
    )
    date = options.date or dt.datetime.now(tz=dt.UTC).astimezone().date()
    dossier, sentences = prepare(job, measured, book, letterhead, date)
    for sentence in sentences:
        complain(sentence)
        status = UNUSABLE
    return dossier, status


def _book(options: argparse.Namespace) -> "PriceBook | None":
    from photomeasure.takeoff.pricing import example_book, read_book

    if options.example_prices:
        return example_book()
    return read_book(options.prices) if options.prices else None


def _lines(text: str) -> tuple[str, ...]:
    return tuple(line.strip() for line in text.split("|") if line.strip())
