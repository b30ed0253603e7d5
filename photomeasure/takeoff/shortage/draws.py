"""Draws of all true lengths of a house together: one scale error moves them all."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray
from calibration.uncertain import stack
from photomeasure.takeoff.house import Eaves, Rake, whole_mm

IntArray = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Draws:
    """What the lengths may truly be.

    Attributes
    ----------
    lines : tuple of str
        M lines.
    lengths_mm : (S, M) float64
        Drawn lengths.
    more_mm : (S, M) int64
        Whole millimetres beyond the planned length, negative if less.
    """

    lines: tuple[str, ...]
    lengths_mm: FloatArray
    more_mm: IntArray


def draw_lengths(
    runs: Sequence[Eaves | Rake], count: int, generator: np.random.Generator
) -> Draws:
    """Draw the lengths of all lines jointly.

    Parameters
    ----------
    runs : sequence of Eaves or Rake
        Lines, all different.
    count : int
        Draws, S.
    generator : numpy.random.Generator

    Returns
    -------
    Draws
        From the normal distribution of the joint covariance, first order. A length
        below a tenth of the measured one is no length and is held there.
    """
    joint = stack([run.length for run in runs])
    variances, axes = np.linalg.eigh(joint.covariance)
    # Rounding leaves a singular covariance with eigenvalues a little below zero. The
    # symmetric root is the same on every machine; signs of eigenvectors are not.
    root = (axes * np.sqrt(np.maximum(variances, 0.0))) @ axes.T
    lengths = joint.values + generator.standard_normal((count, len(runs))) @ root
    lengths = np.maximum(lengths, 0.1 * joint.values)
    planned = np.array([whole_mm(run.length) for run in runs], dtype=np.int64)
    more = np.ceil(lengths - 1e-3).astype(np.int64) - planned
    return Draws(tuple(run.line for run in runs), lengths, more)
