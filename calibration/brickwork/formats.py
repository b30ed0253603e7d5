"""Which brick formats a ratio of stretcher to gauge allows."""

from typing import Final

import numpy as np

from calibration.brick_formats import FORMATS, BrickFormat

RATIO_SD_FOCAL: Final = 0.06
"""The flattened ratio when the focal length is a guess: at 30 degrees of yaw a focal
length 40 % off changes it by about this much. Common practice, no source."""

RATIO_SD: Final = 0.015
"""The same when the focal length is known to 4 %."""

WITHIN_SD: Final = 2.5


def formats_for(ratio: float, ratio_sd: float) -> tuple[BrickFormat, ...]:
    """Return formats whose stretcher against gauge is like a measured one.

    Parameters
    ----------
    ratio : float
        Stretcher with its perpend, in courses.
    ratio_sd : float
        Relative standard uncertainty of it.

    Returns
    -------
    tuple of BrickFormat
        The closest first.

    Examples
    --------
    >>> [entry.name for entry in formats_for(4.0, 0.01)]
    ['de-df']
    """
    near = [(abs(_misfit(entry, ratio, ratio_sd)), entry) for entry in FORMATS.values()]
    near.sort(key=lambda pair: pair[0])
    return tuple(entry for misfit, entry in near if misfit < WITHIN_SD)


def _misfit(entry: BrickFormat, ratio: float, ratio_sd: float) -> float:
    own = entry.stretcher_mm / entry.gauge_mm
    spread = np.hypot(ratio_sd, np.hypot(entry.gauge_rel_sd, entry.stretcher_rel_sd))
    return float(np.log(ratio / own) / spread)
