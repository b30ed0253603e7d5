"""Dossiers for the tests: the sample take-off, with and without photos and prices."""

import datetime as dt
from dataclasses import replace
from functools import cache
from pathlib import Path

from PIL import Image

from photomeasure.job.load import load_job
from photomeasure.measure import measure_job
from photomeasure.papers.content import Paper
from photomeasure.papers.costing import costing
from photomeasure.papers.cut_list import cut_list
from photomeasure.papers.dossier import Dossier, Letterhead
from photomeasure.papers.order import order
from photomeasure.papers.pictures import pictures_of
from photomeasure.papers.quotation import quotation
from photomeasure.papers.take_off import take_off
from photomeasure.takeoff.model import Takeoff
from photomeasure.takeoff.pricing import estimate, estimate_without_prices, example_book
from tests.photomeasure.house import front, job, write_job, write_photo
from tests.photomeasure.takeoff.sample_takeoff import sample_takeoff

DATE = dt.date(2025, 3, 4)

MAKERS = {
    "quotation": quotation,
    "order": order,
    "cut-list": cut_list,
    "take-off": take_off,
    "costing": costing,
}

LETTERHEAD = Letterhead(
    firm=("Invented Roofline & Sons", "1 Example Street"),
    customer=("A. Nobody", "2 Example Street"),
    number="Q-17",
    valid_days=30,
)

GPS = 0x8825
"""Tag of the block that says where a photo was taken."""


def dossier(takeoff: Takeoff | None = None, **changes: object) -> Dossier:
    """Return a dossier with example prices and no photos."""
    given = takeoff or sample_takeoff()
    made = Dossier(
        takeoff=given,
        estimate=estimate(given, example_book()),
        date=DATE,
        letterhead=LETTERHEAD,
    )
    return replace(made, **changes)


def unpriced(takeoff: Takeoff | None = None) -> Dossier:
    """Return a dossier without a price book."""
    given = takeoff or sample_takeoff()
    return dossier(given, estimate=estimate_without_prices(given))


def with_photo(folder: Path) -> Dossier:
    """Return a dossier of a measured job whose photo says where it was taken."""
    exif = Image.Exif()
    exif.get_ifd(GPS)[1] = "N"
    exif[0x010F] = "invented maker"
    write_photo(folder, exif=exif)
    entry = {**front(), "photo": "front.jpg"}
    measured = measure_job(load_job(write_job(folder, job(entry))))
    pictures, refusals = pictures_of(measured)
    assert not refusals
    return dossier(measured=measured, pictures=pictures)


@cache
def sample_paper(key: str) -> Paper:
    """Return a paper of the sample house."""
    return MAKERS[key](dossier())
