"""From a measured job to everything its papers are made from."""

import datetime as dt

from photomeasure.job.load import Job
from photomeasure.papers.dossier import Dossier, Letterhead
from photomeasure.papers.pictures import pictures_of
from photomeasure.results import MeasuredJob
from photomeasure.takeoff.assemble import take_off
from photomeasure.takeoff.pricing import PriceBook, estimate, estimate_without_prices


def prepare(
    job: Job,
    measured: MeasuredJob,
    book: PriceBook | None,
    letterhead: Letterhead,
    date: dt.date,
) -> tuple[Dossier, tuple[str, ...]]:
    """Take off and price a measured job.

    Parameters
    ----------
    job : Job
    measured : MeasuredJob
    book : PriceBook or None
    letterhead : Letterhead
    date : date

    Returns
    -------
    dossier : Dossier
    sentences : tuple of str
        What was stopped, and photos that could not be drawn on.

    Raises
    ------
    InputError
        If the take-off block states what cannot be.
    """
    takeoff = take_off(measured, job.takeoff).takeoff
    pictures, refusals = pictures_of(measured)
    dossier = Dossier(
        takeoff=takeoff,
        estimate=estimate(takeoff, book) if book else estimate_without_prices(takeoff),
        date=date,
        measured=measured,
        pictures=pictures,
        letterhead=letterhead,
    )
    return dossier, (*(stop.reason for stop in takeoff.stops), *map(str, refusals))
