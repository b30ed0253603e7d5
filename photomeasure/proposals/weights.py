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


NONE: Final = {Role.EAVES: 22.06, Role.RIDGE: 16.93, Role.RAKE: -3.66, Role.SOFFIT: 4.15}
"""Log odds of 'none of these'."""

WEIGHTS: Final[dict[Role, dict[str, float]]] = {
    Role.EAVES: {
        "darker below": 3.61,
        "unseen": 1.67,
        "main wall": 7.27,
        "pale, darker below": -3.61,
        "clear": 3.73,
        "even above": 2.50,
        "length": 2.43,
        "next light lost": 1.17,
        "even after next": -2.11,
        "next darker": 1.36,
        "texture over it": 1.78,
        "shown": 8.70,
        "sides differ": 3.15,
        "support": -6.51,
        "even below": 1.73,
        "uprights below": 5.34,
        "edges below": -0.66,
        "longest": 1.93,
        "edges above": 0.53,
        "last lighter": 0.56,
        "gap to uprights": 3.32,
        "deepest": 0.53,
    },
    Role.RIDGE: {
        "main wall": 9.74,
        "sides differ": 6.06,
        "sky over it": 4.29,
        "even above": 2.57,
        "light lost": -1.17,
        "uprights reach it": -0.91,
        "length": 1.97,
        "pale, darker below": 1.67,
        "depth above": -0.76,
        "past right quoin": -4.30,
        "edges above": -0.55,
        "past left quoin": -4.11,
        "sky above": 3.60,
        "texture under it": -1.33,
        "support": -3.93,
        "texture over it": -0.71,
        "even below": -0.91,
        "gap to uprights": 2.64,
        "darker below": 0.51,
        "longest": -1.02,
        "clear": 0.67,
        "even after next": -0.58,
    },
    Role.RAKE: {
        "unseen": -0.18,
        "depth above": 1.75,
        "edges above": 0.92,
        "pale, darker below": 2.49,
        "uppermost": -2.47,
        "sky above": -2.48,
        "uneven spans": -6.64,
        "even below": 1.31,
        "even after next": -0.95,
        "clear": 0.73,
        "depth below": -0.53,
        "deepest": -0.67,
        "light lost": 0.29,
        "coarse": 0.31,
        "last lighter": 0.57,
        "unlike steps": -0.17,
        "next light lost": 0.28,
        "longest": -1.80,
        "edges below": -0.25,
        "uneven feet": -32.32,
        "darker below": 0.36,
        "support": 1.97,
        "even above": 0.54,
        "next darker": -0.30,
    },
    Role.SOFFIT: {
        "drop": -4.00,
        "pale, darker below": 6.04,
        "even above": 3.89,
        "clear": 4.52,
        "light lost": 1.12,
        "support": -10.18,
        "depth below": 0.85,
        "darker below": -0.96,
        "last lighter": -0.89,
        "even after next": -1.52,
        "next darker": 0.89,
        "next light lost": 1.17,
        "next below": 1.15,
        "depth above": 0.65,
        "deepest": 0.25,
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


def undoubted(none: float, role: Role) -> float:
    """Return by how much lines are likelier once it is sure that a photo shows a house.

    Parameters
    ----------
    none : float
        Chance of 'none of these' before.
    role : Role

    Returns
    -------
    float
        A factor: all lines of a role gain alike.
    """
    return float(1.0 / (1.0 - none * (1.0 - np.exp(-DOUBT[role]))))
