"""How much each piece of evidence counts for a role: a logit fitted to drawn houses."""

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from photomeasure.job.schema import Role

DOUBT: Final = {Role.EAVES: 1.0, Role.RIDGE: 1.0, Role.RAKE: 1.0, Role.SOFFIT: 0.0}
"""Added to the odds of 'none': photos show more than drawn houses do. A chimney's cap and
a lamp were taken for roof lines in photographs without it."""

USUAL_SHARE: Final = {Role.EAVES: 0.25, Role.RIDGE: 0.15, Role.RAKE: 0.4}
BY_HAND: Final = {"small": 3.0}
"""What is measured fills its photo, by at least this share of the long side. No drawn
house shows less, so this is not fitted. Common practice, no source."""


def small(share: FloatArray, role: Role) -> FloatArray:
    """Return 0 for lines (S,) that fill their usual share of the photo, less if small."""
    usual: FloatArray = np.log(np.maximum(share, 1e-3) / USUAL_SHARE[role])
    return np.minimum(usual, 0.0)


NONE: Final = {Role.EAVES: 23.00, Role.RIDGE: 17.16, Role.RAKE: 1.74, Role.SOFFIT: -0.19}
"""Log odds of 'none of these'."""

WEIGHTS: Final[dict[Role, dict[str, float]]] = {
    Role.EAVES: {
        "darker below": 3.43,
        "even above": 2.83,
        "clear": 3.16,
        "main wall": 5.35,
        "next darker": 1.72,
        "pale, darker below": -2.63,
        "length": 2.40,
        "next light lost": 1.19,
        "texture over it": 1.87,
        "shown": 8.76,
        "edges above": 0.71,
        "even after next": -1.68,
        "uprights below": 3.76,
        "gap to uprights": 5.20,
        "last lighter": 0.80,
        "sides differ": 1.97,
        "edges below": -0.42,
        "longest": 1.26,
        "even below": 0.95,
        "uppermost": 1.51,
        "sky over it": -1.71,
        "uprights reach it": 0.43,
        "texture under it": -1.08,
        "support": -2.10,
        "deepest": 0.39,
        "sky above": -2.28,
    },
    Role.RIDGE: {
        "main wall": 8.03,
        "sides differ": 4.71,
        "edges above": -0.82,
        "light lost": -0.95,
        "past left quoin": -6.01,
        "uprights reach it": -0.74,
        "support": -6.49,
        "length": 1.88,
        "even above": 1.56,
        "sky over it": 2.59,
        "edges below": -0.50,
        "clear": 1.44,
        "shown": 4.14,
        "depth above": -0.56,
        "next darker": -0.64,
        "sky above": 3.22,
        "past right quoin": -2.85,
        "gap to uprights": 2.75,
        "depth below": -0.42,
        "even after next": -0.90,
        "next light lost": -0.43,
        "uprights below": 1.50,
        "longest": -0.75,
    },
    Role.RAKE: {
        "pale, darker below": 3.02,
        "depth above": 1.14,
        "edges below": -0.60,
        "even below": 1.44,
        "edges above": 0.52,
        "uppermost": -2.07,
        "sky above": -2.14,
        "uneven feet": -57.98,
        "uneven spans": -4.19,
        "even after next": -0.85,
        "depth below": -0.47,
        "unlike steps": -0.20,
        "next darker": -0.54,
        "longest": -1.82,
        "short of apex": -3.38,
        "light lost": 0.23,
        "even above": 0.56,
        "next light lost": 0.20,
        "last lighter": 0.39,
        "clear": 0.36,
        "support": 1.63,
        "unlike depth above": -0.21,
        "coarse": 0.16,
    },
    Role.SOFFIT: {
        "drop": -2.22,
        "pale, darker below": 2.92,
        "even above": 1.99,
        "clear": 3.04,
        "light lost": 0.74,
        "last lighter": -0.79,
        "next below": 1.19,
        "depth below": 0.45,
        "even below": -0.84,
        "support": -3.53,
        "edges above": -1.59,
        "edges below": -0.21,
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
