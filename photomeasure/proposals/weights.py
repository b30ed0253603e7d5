"""How much each piece of evidence counts for a role: a logit fitted to drawn houses."""

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from photomeasure.job.schema import Role

DOUBT: Final = {Role.EAVES: 1.0, Role.RIDGE: 1.0, Role.RAKE: 1.0, Role.SOFFIT: 0.0}
"""Added to the odds of 'none' unless a wall was found: photos show more than drawn houses
do. A chimney's cap and a lamp were taken for roof lines in photographs without it."""

USUAL_SHARE: Final = {Role.EAVES: 0.25, Role.RIDGE: 0.15, Role.RAKE: 0.4}
BY_HAND: Final = {"small": 3.0}
"""What is measured fills its photo, by at least this share of the long side. No drawn
house shows less, so this is not fitted. Common practice, no source."""


def small(share: FloatArray, role: Role) -> FloatArray:
    """Return 0 for lines (S,) that fill their usual share of the photo, less if small."""
    usual: FloatArray = np.log(np.maximum(share, 1e-3) / USUAL_SHARE[role])
    return np.minimum(usual, 0.0)


NONE: Final = {Role.EAVES: 23.59, Role.RIDGE: 17.38, Role.RAKE: -3.69, Role.SOFFIT: -4.79}
"""Log odds of 'none of these'."""

NO_EAVES: Final = (21.0, 10.3)
"""Log odds of 'no eaves' if the photo shows no gable, and what a sure gable adds: a house
shows one or the other. Used where it is sure that the photo shows a house."""

WEIGHTS: Final[dict[Role, dict[str, float]]] = {
    Role.EAVES: {
        "darker below": 3.68,
        "unseen": 4.03,
        "main wall": 7.27,
        "pale, darker below": -3.41,
        "clear": 3.67,
        "length": 2.64,
        "even above": 2.63,
        "next light lost": 1.27,
        "even after next": -2.14,
        "next darker": 1.43,
        "texture over it": 1.74,
        "sides differ": 3.27,
        "shown": 10.25,
        "edges below": -0.64,
        "even below": 1.63,
        "uprights below": 4.93,
        "support": -5.92,
        "longest": 1.76,
        "edges above": 0.50,
        "last lighter": 0.59,
        "gap to uprights": 3.04,
        "deepest": 0.47,
        "light lost": 0.19,
    },
    Role.RIDGE: {
        "main wall": 9.78,
        "sides differ": 5.64,
        "sky over it": 4.32,
        "light lost": -1.16,
        "even above": 2.27,
        "uprights reach it": -0.93,
        "past right quoin": -4.55,
        "pale, darker below": 1.70,
        "depth above": -0.79,
        "length": 1.88,
        "edges above": -0.60,
        "sky above": 3.83,
        "past left quoin": -3.68,
        "longest": -1.47,
        "texture over it": -0.76,
        "texture under it": -1.18,
        "clear": 1.00,
        "even below": -0.89,
        "gap to uprights": 2.10,
        "support": -2.76,
        "even after next": -0.64,
        "next darker": -0.22,
        "sky under it": -1.32,
        "edges below": -0.07,
        "next light lost": 0.04,
    },
    Role.RAKE: {
        "unseen": 0.58,
        "depth above": 1.75,
        "edges above": 0.97,
        "pale, darker below": 2.43,
        "uppermost": -2.72,
        "uneven spans": -7.19,
        "sky above": -2.59,
        "even below": 1.31,
        "deepest": -0.71,
        "even after next": -0.95,
        "depth below": -0.53,
        "clear": 0.70,
        "light lost": 0.30,
        "next light lost": 0.33,
        "last lighter": 0.61,
        "longest": -2.06,
        "coarse": 0.27,
        "unlike steps": -0.16,
        "even above": 0.64,
        "darker below": 0.37,
        "support": 2.01,
        "edges below": -0.21,
        "short of apex": -2.33,
        "next darker": -0.26,
    },
    Role.SOFFIT: {
        "drop": -4.04,
        "pale, darker below": 6.08,
        "even above": 3.53,
        "clear": 5.02,
        "support": -12.96,
        "light lost": 1.07,
        "depth below": 0.91,
        "last lighter": -1.06,
        "darker below": -0.84,
        "even after next": -1.12,
        "next light lost": 1.04,
        "next darker": 0.75,
        "next below": 1.05,
        "deepest": 0.54,
        "depth above": 0.50,
        "edges above": -1.67,
    },
}
"""Fitted by `python -m tests.accuracy.roofline_weights`; strongest evidence first."""


def weighed(evidence: Mapping[str, FloatArray], role: Role) -> FloatArray:
    """Return log odds (S,) from named evidence (S,)."""
    odds = np.zeros(len(next(iter(evidence.values()))))
    for name, weight in (WEIGHTS[role] | BY_HAND).items():
        if name in evidence:
            odds = odds + weight * evidence[name]
    return odds


def chances(odds: Sequence[float], role: Role) -> FloatArray:
    """Return probabilities of lines; what is missing to 1 is 'none of these'."""
    every = np.array([*odds, NONE[role] + DOUBT[role]])
    weight = np.exp(every - every.max())
    shares: FloatArray = weight[:-1] / weight.sum()
    return shares


def of_house(none: Mapping[Role, float]) -> dict[Role, float]:
    """Return by how much lines are likelier once it is sure that a photo shows a house.

    Parameters
    ----------
    none : mapping of Role to float
        Chances of 'none of these' in any photo.

    Returns
    -------
    dict of Role to float
        A factor a role: all its lines gain alike.
    """
    gain = {role: _gain(share, -DOUBT[role]) for role, share in none.items()}
    if Role.EAVES in none and Role.RAKE in none:
        gable = 1.0 - none[Role.RAKE]
        expected = NO_EAVES[0] + NO_EAVES[1] * min(gable * gain[Role.RAKE], 1.0)
        change = min(expected - NONE[Role.EAVES], 0.0) - DOUBT[Role.EAVES]
        gain[Role.EAVES] = _gain(none[Role.EAVES], change)
    return gain


def _gain(none: float, change: float) -> float:
    """Return what chances grow by if the log odds of 'none' change by so much."""
    return float(1.0 / (1.0 - none * (1.0 - np.exp(change))))
