"""Many simulated jobs, measured as a user's would be, and what came of them."""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from photomeasure.job.load import job_from_document
from photomeasure.measure import measure_job
from photomeasure.results import MeasuredElevation, MeasuredJob, MeasuredLine
from tests.scenes import Noise, Scene
from tests.simulation.cutting_out import cut_out
from tests.simulation.houses import random_house
from tests.simulation.real_life import RealLife


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of many jobs.

    Attributes
    ----------
    job : (N,) int
        Seed of the job that each length belongs to.
    error_mm, u_mm, length_mm : (N,) float64
        Measured less true length, stated standard uncertainty, truth.
    refused : tuple of str
        Reasons of jobs and lines without a length.
    failed_global : int
        Jobs whose global test failed.
    size_w : (K,) float64
        Standardised residuals of all stated sizes that are checked.
    variance_factors : (J,) float64
    """

    job: np.ndarray
    error_mm: np.ndarray
    u_mm: np.ndarray
    length_mm: np.ndarray
    refused: tuple[str, ...]
    failed_global: int
    size_w: np.ndarray
    variance_factors: np.ndarray

    @property
    def coverage(self) -> float:
        """Share of 95 % intervals that hold the truth."""
        return float(np.mean(np.abs(self.error_mm) <= 1.959964 * self.u_mm))

    @property
    def rms_score(self) -> float:
        """Root mean square of error per stated standard uncertainty."""
        return float(np.sqrt(np.mean((self.error_mm / self.u_mm) ** 2)))

    @property
    def median_half_width(self) -> float:
        """Median half-width of the 95 % interval, relative to the length."""
        return float(np.median(1.96 * self.u_mm / self.length_mm))


def measure(document: dict) -> MeasuredJob:
    """Measure a job document."""
    return measure_job(job_from_document(document, Path()))


def _scene(kind: str, seed: int) -> Scene:
    if kind == "real life":
        return random_house(seed, Noise(), kind=RealLife)
    if kind.startswith("cut"):
        exif = kind == "cut, focal length kept"
        whole = random_house(seed, Noise(), exif=exif)
        return cut_out(whole, np.random.default_rng([seed, 2]), exif=exif)
    return random_house(seed, Noise(), exif=kind != "no camera data")


@cache
def outcome(kind: str, jobs: int) -> Outcome:
    """Measure ``jobs`` seeded jobs of one of the kinds that the report prints."""
    rows, refused, size_w, factors, failed = [], [], [], [], 0
    for seed in range(jobs):
        scene = _scene(kind, seed)
        entry = measure(scene.job()).elevations[0]
        if not isinstance(entry, MeasuredElevation):
            refused.append(str(entry.error))
            continue
        reliability = entry.solution.reliability
        failed += not reliability.passed
        factors.append(reliability.variance_factor)
        sizes = [r.size for r in reliability.references]
        size_w += [size.w for size in sizes if size and size.checked > 0.02]
        for line in entry.lines:
            if isinstance(line, MeasuredLine):
                truth = scene.truth[line.name]
                rows.append((seed, line.length_mm - truth, line.u_mm, truth))
            else:
                refused.append(line.reason)
    job, error, u, truth = np.array(rows).T
    return Outcome(
        job=job.astype(int),
        error_mm=error,
        u_mm=u,
        length_mm=truth,
        refused=tuple(refused),
        failed_global=failed,
        size_w=np.array(size_w),
        variance_factors=np.array(factors),
    )
