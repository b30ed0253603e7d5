"""A job with everything that travels, and all that a store says of it."""

from pathlib import Path

from photomeasure.store import Store, jobs, papers, photos
from photomeasure.store.jobs import Signature
from tests.photomeasure.store.samples import TITLE, draft, picture

SHADES = range(4)


def fill(store: Store, folder: Path, title: str = TITLE) -> str:
    """Save a job of three revisions with photos and papers; return its id."""
    shas = [photos.add(store, picture(folder, shade)).sha256 for shade in SHADES]
    saved = jobs.create(store, draft(title, a=shas[0], b=shas[1]), Signature("Ann", "x"))
    jobs.save(store, saved.job_id, draft("other", a=shas[2]), 1, Signature("Bob"))
    jobs.save(store, saved.job_id, draft(title, a=shas[0], c=shas[0], d=shas[3]), 2)
    for number, name in ((1, "offer.pdf"), (3, "offer.pdf"), (3, "Offer.pdf")):
        sheet = papers.Sheet(
            kind="quotation", name=name, media_type="application/pdf", content=name.encode()
        )
        papers.keep(store, saved.job_id, number, sheet, "Ann")
    return saved.job_id


def everything(store: Store, job_id: str, numbers: set[int] | None = None) -> list[object]:
    """Return all that the store says of a job."""
    history = [
        r for r in jobs.history(store, job_id) if numbers is None or r.number in numbers
    ]
    found: list[object] = [jobs.load(store, job_id, r.number) for r in history]
    for revision in history:
        for name, sha256 in revision.photos:
            found.append(photos.verified_path(store, sha256, name).read_bytes())
    found.extend(
        (paper, papers.content(store, paper))
        for paper in papers.of_job(store, job_id)
        if numbers is None or paper.number in numbers
    )
    return found
