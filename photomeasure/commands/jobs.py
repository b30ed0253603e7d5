"""``photomeasure jobs``: the jobs that are kept."""

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from photomeasure.console import UNKEPT, USAGE, complain, say, status_of

if TYPE_CHECKING:
    from photomeasure.store import Store
    from photomeasure.store.jobs import Signature
    from photomeasure.store.records import JobEntry, Revision

_LISTED = 50
"""Jobs that are listed unless more are asked for."""


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Describe the command and what it does to jobs.

    Parameters
    ----------
    commands : argparse sub-parsers
    """
    jobs = commands.add_parser("jobs", help="the jobs that are kept")
    actions = jobs.add_subparsers(required=True, metavar="ACTION")
    for describe in (_add_looking, _add_moving, _add_changing):
        describe(actions)


def _add_looking(actions: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    listed = actions.add_parser("list", help="the last saved first")
    listed.add_argument("--search", default="", metavar="WORDS", help="words of the title")
    listed.add_argument("--limit", type=int, default=_LISTED, help="at most; 0 for all")
    listed.add_argument("--json", action="store_true", help="print it as JSON")
    listed.set_defaults(run=run, act=_list)
    show = _on_job(actions, "show", "a job with its photos and papers")
    show.add_argument("--revision", type=int, metavar="N", help="not the last one")
    show.add_argument("--file", action="store_true", help="print the job file itself")
    show.set_defaults(act=_show)
    _on_job(actions, "history", "who saved it when").set_defaults(act=_history)
    check = actions.add_parser("check", help="verify every hash and reference")
    check.add_argument(
        "--tidy", action="store_true", help="remove what stopped programs left behind"
    )
    check.set_defaults(run=run, act=_check)


def _add_moving(actions: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    export = _on_job(actions, "export", "write a job as one file")
    export.add_argument("--to", type=Path, metavar="FILE", help="must not exist")
    export.add_argument("--history", action="store_true", help="with earlier revisions")
    export.set_defaults(act=_export)
    bring = actions.add_parser("import", help="a package, or a job file with its photos")
    bring.add_argument("files", type=Path, nargs="+", metavar="FILE")
    bring.add_argument(
        "--as",
        dest="duplicate",
        choices=("copy", "revision"),
        help="for a package of a job that is here already but differs",
    )
    bring.add_argument(
        "--keep-place",
        action="store_true",
        help="keep where and with which camera the photos of a job file were taken",
    )
    _signed(bring)
    bring.set_defaults(run=run, act=_import)


def _add_changing(actions: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    measure = _on_job(actions, "measure", "measure a job and keep the result with it")
    measure.add_argument("--json", action="store_true", help="print the result as JSON")
    _signed(measure)
    measure.set_defaults(act=_measure)
    restore = _on_job(actions, "restore", "bring an earlier revision back")
    restore.add_argument("revision", type=int, metavar="N")
    _signed(restore)
    restore.set_defaults(act=_restore)
    delete = _on_job(actions, "delete", "delete a job for good, with its history")
    delete.add_argument("--yes", action="store_true", help="do not only say what would go")
    delete.set_defaults(act=_delete)


def _on_job(
    actions: "argparse._SubParsersAction[argparse.ArgumentParser]", name: str, words: str
) -> argparse.ArgumentParser:
    parser = actions.add_parser(name, help=words)
    parser.add_argument("job", help="its id, or the beginning of it")
    parser.set_defaults(run=run)
    return parser


def _signed(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--who", help="who saves; the user of this machine by default")


def run(options: argparse.Namespace) -> int:
    """Open the store and act on it.

    Parameters
    ----------
    options : argparse.Namespace

    Returns
    -------
    int
        Exit status.
    """
    from photomeasure.store import open_store

    with open_store() as store:
        return int(options.act(store, options))


def _list(store: "Store", options: argparse.Namespace) -> int:
    from photomeasure.store import jobs

    found = jobs.listed(store, options.search, options.limit or None)
    if options.json:
        say(json.dumps([_entry_json(entry) for entry in found], indent=1))
        return 0
    for entry in found:
        say(
            f"{entry.id[:8]}  {entry.saved_at:%Y-%m-%d %H:%M}  revision {entry.latest:<4} "
            f"{entry.saved_by:12}  {entry.title}"
        )
    return 0


def _entry_json(entry: "JobEntry") -> dict[str, object]:
    return {
        "id": entry.id,
        "title": entry.title,
        "revision": entry.latest,
        "saved_at": entry.saved_at.isoformat(),
        "saved_by": entry.saved_by,
    }


def _show(store: "Store", options: argparse.Namespace) -> int:
    from photomeasure.store import jobs, papers, photos

    job_id = jobs.find(store, options.job).id
    stored = jobs.load(store, job_id, options.revision)
    if options.file:
        say(stored.document.decode("utf-8-sig"))
        return 0
    say(f"{job_id}\n{stored.revision.title}\n{_line(stored.revision)}")
    for name, sha256 in stored.revision.photos:
        photo = photos.get(store, sha256)
        place = "with its place and camera" if photo.place_kept else "without its place"
        say(f"photo  {name}  {photo.width_px} x {photo.height_px} px, {place}")
    for paper in papers.of_job(store, job_id):
        say(f"paper  {paper.kind}  {paper.name}  of revision {paper.number}")
    return 0


def _line(revision: "Revision") -> str:
    words = f"revision {revision.number}  {revision.saved_at:%Y-%m-%d %H:%M:%S} UTC  "
    words += revision.saved_by
    if revision.restored_from is not None:
        words += f"  brought back from {revision.restored_from}"
    return f"{words}  {revision.note}".rstrip()


def _history(store: "Store", options: argparse.Namespace) -> int:
    from photomeasure.store import jobs

    for revision in jobs.history(store, jobs.find(store, options.job).id):
        say(_line(revision))
    return 0


def _export(store: "Store", options: argparse.Namespace) -> int:
    from photomeasure.store import jobs
    from photomeasure.store.names import slug
    from photomeasure.store.package import write_package

    entry = jobs.find(store, options.job)
    target = options.to or Path(f"{slug(entry.title)}-{entry.id[:8]}.zip")
    write_package(store, entry.id, target, with_history=options.history)
    say(f"wrote {target}")
    return 0


def _import(store: "Store", options: argparse.Namespace) -> int:
    from calibration.errors import MeasureError

    failures = {0}
    for path in options.files:
        try:
            revision = _bring_in(store, path, options)
        except MeasureError as error:
            complain(str(error))
            failures.add(status_of(error))
        else:
            say(f"{revision.job_id[:8]}  {_line(revision)}  {revision.title}")
    return min(failures - {0}, default=0)


def _bring_in(store: "Store", path: Path, options: argparse.Namespace) -> "Revision":
    from photomeasure.store.intake import bring_in_job_file
    from photomeasure.store.package import Duplicate, bring_in_package

    if path.suffix.lower() == ".zip":
        return bring_in_package(store, path, Duplicate(options.duplicate or "refuse"))
    return bring_in_job_file(
        store, path, _signature(options), keep_place=options.keep_place
    )


def _signature(options: argparse.Namespace) -> "Signature":
    import getpass

    from photomeasure.store.jobs import NOBODY, Signature

    try:
        return Signature(options.who or getpass.getuser())
    except (OSError, KeyError):  # a user without a name, as in a container
        return Signature(NOBODY)


def _measure(store: "Store", options: argparse.Namespace) -> int:
    from photomeasure.commands.measure import report_refusals
    from photomeasure.measure import measure_job
    from photomeasure.result_json import job_json
    from photomeasure.store import jobs, papers
    from photomeasure.table import job_table

    stored = jobs.load(store, jobs.find(store, options.job).id)
    measured = measure_job(jobs.measurable(store, stored))
    result = json.dumps(job_json(measured), indent=1, allow_nan=False)
    sheet = papers.Sheet(
        kind=papers.RESULT,
        name="result.json",
        media_type="application/json",
        content=result.encode(),
    )
    papers.keep(
        store,
        stored.revision.job_id,
        stored.revision.number,
        sheet,
        _signature(options).who,
    )
    say(result if options.json else job_table(measured).rstrip("\n"))
    return report_refusals(measured)


def _restore(store: "Store", options: argparse.Namespace) -> int:
    from photomeasure.store import jobs

    entry = jobs.find(store, options.job)
    say(_line(jobs.restore(store, entry.id, options.revision, _signature(options))))
    return 0


def _check(store: "Store", options: argparse.Namespace) -> int:
    from photomeasure.store import photos
    from photomeasure.store.check import check

    found = check(store)
    for problem in found.problems:
        complain(str(problem))
    say(
        f"looked at {found.jobs} jobs, {found.revisions} revisions, {found.photos} photos, "
        f"{found.papers} papers, {found.price_books} price books: "
        f"{len(found.problems)} problems"
    )
    if options.tidy:
        say(f"removed {photos.tidy(store)} files that no job names")
    elif found.unnamed:
        say(f"{found.unnamed} files that no job names; --tidy removes those a day old")
    return UNKEPT if found.problems else 0


def _delete(store: "Store", options: argparse.Namespace) -> int:
    from photomeasure.store import jobs

    entry = jobs.find(store, options.job)
    if not options.yes:
        complain(f"would delete {entry.id[:8]} {entry.title!r} for good; add --yes.")
        return USAGE
    jobs.delete(store, entry.id)
    say(f"deleted {entry.id[:8]}")
    return 0
