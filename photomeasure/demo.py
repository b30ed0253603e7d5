"""Measure the house that is shipped with the program."""

from importlib.resources import as_file, files
from pathlib import Path
from typing import Final

from calibration.errors import InputError
from photomeasure.annotate import annotate_job
from photomeasure.job.load import load_job
from photomeasure.measure import measure_job
from photomeasure.table import job_table

JOB: Final = "house.job.json"
"""An invented house, rendered: see sample_images/README.md."""


def run_demo(folder: Path) -> int:
    """Print the table of the sample house and write its annotated photos.

    Parameters
    ----------
    folder : Path
        Where to write the photos.

    Returns
    -------
    int
        Exit status.
    """
    with as_file(files("sample_images")) as samples:
        job = measure_job(load_job(samples / JOB))
        print(job_table(job))
        for result in annotate_job(job, folder):
            if isinstance(result, InputError):
                raise result
            print(f"wrote {result}")
    return 0
