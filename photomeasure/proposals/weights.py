"""How much each piece of evidence counts for a role: a logit fitted to drawn houses."""

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from photomeasure.job.schema import Role

NONE: Final = {Role.EAVES: 27.93, Role.RIDGE: 19.36, Role.RAKE: -1.98, Role.SOFFIT: -5.08}
"""Log odds of 'none of these'."""

WEIGHTS: Final[dict[Role, dict[str, float]]] = {
    Role.EAVES: {
        "darker below": 2.67,
        "next darker": 1.55,
        "even above": 2.25,
        "next light lost": 1.14,
        "texture over it": 2.17,
        "shown": 9.98,
        "main wall": 4.22,
        "clear": 2.15,
        "even after next": -1.88,
        "edges above": 0.71,
        "uprights below": 4.39,
        "length": 1.47,
        "longest": 1.69,
        "sides differ": 2.42,
        "pale, darker below": -1.29,
        "even below": 1.20,
        "gap to uprights": 5.07,
        "deepest": 0.81,
        "depth above": -0.54,
        "uppermost": 1.62,
        "edges below": -0.37,
        "uprights reach it": 0.43,
        "sky over it": -1.57,
        "support": -2.26,
        "texture under it": -0.85,
        "last lighter": 0.34,
    },
    Role.RIDGE: {
        "main wall": 9.47,
        "sides differ": 5.83,
        "length": 2.72,
        "sky over it": 4.27,
        "even above": 2.20,
        "light lost": -1.02,
        "pale, darker below": 1.91,
        "gap to uprights": 5.00,
        "past left quoin": -5.76,
        "sky above": 4.87,
        "longest": -2.03,
        "edges above": -0.53,
        "even after next": -1.42,
        "past right quoin": -4.44,
        "depth above": -0.64,
        "uprights reach it": -0.60,
        "texture under it": -1.51,
        "next darker": -0.68,
        "darker below": 0.55,
        "texture over it": -0.78,
        "edges below": -0.31,
        "clear": 0.36,
    },
    Role.RAKE: {
        "pale, darker below": 2.56,
        "depth above": 1.12,
        "even below": 1.77,
        "sky above": -2.53,
        "uppermost": -2.28,
        "edges below": -0.52,
        "unlike depth above": -0.72,
        "edges above": 0.47,
        "even above": 1.26,
        "unlike steps": -0.26,
        "next light lost": 0.33,
        "clear": 0.57,
        "short of apex": -3.61,
        "depth below": -0.39,
        "next darker": -0.52,
        "uneven feet": -33.54,
        "uneven spans": -2.54,
        "last lighter": 0.46,
        "light lost": 0.21,
        "even after next": -0.45,
        "deepest": 0.30,
        "coarse": 0.17,
        "longest": -1.12,
    },
    Role.SOFFIT: {
        "drop": -2.04,
        "even above": 2.34,
        "pale, darker below": 2.81,
        "clear": 2.98,
        "depth below": 0.73,
        "darker below": -0.78,
        "even after next": -1.29,
        "support": -4.72,
        "next below": 1.26,
        "next light lost": 1.02,
        "light lost": 0.44,
        "last lighter": -0.47,
        "edges above": -2.18,
        "second below": -0.67,
        "deepest": -0.20,
    },
}
"""Fitted by `python -m tests.accuracy.roofline_weights`; strongest evidence first."""


DOUBT: Final = {Role.EAVES: 1.0, Role.RIDGE: 1.0, Role.RAKE: 2.5, Role.SOFFIT: 0.0}
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
