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


NONE: Final = {Role.EAVES: 22.89, Role.RIDGE: 17.86, Role.RAKE: -4.08, Role.SOFFIT: -5.39}
"""Log odds of 'none of these'."""

NO_EAVES: Final = (18.0, 12.0)
"""Log odds of 'no eaves' if the photo shows no gable, and what a sure gable adds: a house
shows one or the other. Used where it is sure that the photo shows a house."""

WEIGHTS: Final[dict[Role, dict[str, float]]] = {
    Role.EAVES: {
        "unseen": 5.04,
        "pale, darker below": -4.50,
        "darker below": 2.70,
        "main wall": 6.69,
        "length": 2.76,
        "light lost": -3.37,
        "clear": 2.83,
        "shown": 12.14,
        "even above": 1.95,
        "sides differ": 3.39,
        "texture over it": 1.65,
        "support": -5.80,
        "even after next": -1.54,
        "uprights below": 4.37,
        "next darker": 0.98,
        "even below": 1.38,
        "edges below": -0.50,
        "longest": 1.68,
        "next light lost": 1.53,
        "edges above": 0.38,
        "last lighter": 0.65,
        "gap to uprights": 2.51,
        "deepest": 0.49,
        "depth below": 0.24,
    },
    Role.RIDGE: {
        "main wall": 9.44,
        "sides differ": 7.11,
        "even above": 3.22,
        "sky over it": 4.58,
        "depth above": -0.95,
        "pale, darker below": 1.98,
        "uprights reach it": -0.88,
        "length": 2.03,
        "edges above": -0.61,
        "past right quoin": -4.39,
        "sky above": 3.65,
        "past left quoin": -3.89,
        "clear": 1.28,
        "texture under it": -1.36,
        "even below": -0.94,
        "even after next": -0.86,
        "support": -3.30,
        "light lost": -0.97,
        "darker below": 0.46,
        "gap to uprights": 2.16,
        "longest": -0.98,
        "texture over it": -0.54,
        "next darker": -0.31,
    },
    Role.RAKE: {
        "unseen": 0.38,
        "depth above": 1.76,
        "edges above": 0.98,
        "uppermost": -2.75,
        "pale, darker below": 2.03,
        "sky above": -2.64,
        "uneven spans": -6.01,
        "even below": 1.35,
        "deepest": -0.76,
        "even after next": -0.93,
        "depth below": -0.51,
        "clear": 0.66,
        "edges below": -0.32,
        "last lighter": 0.56,
        "next darker": -0.51,
        "unlike steps": -0.15,
        "support": 2.29,
        "short of apex": -3.23,
        "coarse": 0.22,
        "even above": 0.48,
        "uneven feet": -20.17,
        "next light lost": 0.46,
        "longest": -1.61,
        "darker below": 0.18,
    },
    Role.SOFFIT: {
        "pale, darker below": 6.20,
        "drop": -3.30,
        "even above": 3.43,
        "clear": 5.69,
        "support": -11.75,
        "darker below": -1.27,
        "last lighter": -1.15,
        "depth below": 0.92,
        "next below": 1.45,
        "light lost": 1.34,
        "even after next": -0.71,
        "edges above": -1.79,
        "next darker": 0.36,
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
