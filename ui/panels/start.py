"""The first screen: a new job, those that are there, and the sample house."""

from importlib.resources import as_file, files
from urllib.parse import urlencode

from photomeasure.demo import JOB
from photomeasure.job.edit import new_job, written
from photomeasure.store import jobs
from photomeasure.store.documents import make_draft
from photomeasure.store.intake import bring_in_job_file
from photomeasure.store.jobs import Signature
from ui.panels.markup import moment, tag
from ui.server.office import Office
from ui.texts import said

_SHOWN = 50


def jobs_markup(office: Office, search: str) -> str:
    """Return the jobs that were saved last, as links.

    Parameters
    ----------
    office : Office
    search : str
        Words of the title.

    Returns
    -------
    str
        Markup.
    """
    found = jobs.listed(office.store, search, _SHOWN)
    if not found:
        return str(tag("p", said("start", "none"), class_="pm-note"))
    items = [
        tag(
            "li",
            tag(
                "a",
                tag("b", entry.title or said("start", "untitled")),
                moment(entry.saved_at),
                href=f"/?{urlencode({'job': entry.id})}",
            ),
        )
        for entry in found
    ]
    return str(tag("ul", *items, class_="pm-jobs"))


def begin(office: Office, title: str) -> str:
    """Make a new job.

    Parameters
    ----------
    office : Office
    title : str

    Returns
    -------
    str
        Its id.

    Raises
    ------
    InputError
    StorageError
    """
    named = title.strip() or said("start", "untitled")
    draft = make_draft(written(new_job(named)), {})
    return jobs.create(office.store, draft, Signature()).job_id


def sample(office: Office) -> str:
    """Bring in the house that is shipped with the program.

    Parameters
    ----------
    office : Office

    Returns
    -------
    str
        Id of a new job.

    Raises
    ------
    StorageError
    """
    with as_file(files("sample_images")) as folder:
        return bring_in_job_file(office.store, folder / JOB).job_id
