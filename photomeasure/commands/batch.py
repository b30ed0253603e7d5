"""``photomeasure batch``: every job and photo of a folder."""

import argparse
from pathlib import Path

from photomeasure.console import complain, say


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Describe the command.

    Parameters
    ----------
    commands : argparse sub-parsers
    """
    batch = commands.add_parser(
        "batch",
        help="measure every job and read every photo of a folder",
        description="Writes one line of JSON for each input as it comes, and a summary. "
        "Started again, it goes on where it stopped and does what has changed.",
    )
    batch.add_argument("folder", type=Path)
    batch.add_argument(
        "--to", type=Path, default=Path("batch-output"), help="where the results go"
    )
    batch.add_argument(
        "--workers", type=int, default=0, metavar="N", help="processes; all cores if 0"
    )
    batch.add_argument(
        "--cluster",
        metavar="ADDRESS",
        help="scheduler of dask.distributed, whose workers see the same folder",
    )
    batch.add_argument(
        "--format",
        metavar="NAME",
        help="brick format of the walls of photos that no job names",
    )
    batch.add_argument("--again", action="store_true", help="do everything anew")
    batch.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Work through the folder with a progress bar.

    Parameters
    ----------
    options : argparse.Namespace

    Returns
    -------
    int
        Exit status.
    """
    import os

    from tqdm import tqdm

    from photomeasure.batch.run import Batch, run_batch

    batch = Batch(
        folder=options.folder,
        target=options.to,
        workers=max(options.workers, 0) or os.cpu_count() or 1,
        cluster=options.cluster,
        again=options.again,
        brick_format=options.format,
    )
    # Shown on a terminal alone.
    with tqdm(disable=None, unit=" inputs", desc="measuring") as bar:

        def progress(total: int, done: int) -> None:
            bar.total = total
            bar.update(done - bar.n)

        summary = run_batch(batch, progress)
    for sentence in summary.refusals:
        complain(sentence)
    told = ", ".join(f"{count} {outcome}" for outcome, count in summary.counts.items())
    say(f"{told}; {summary.skipped} of them before. Results in {options.to}.")
    return summary.status
