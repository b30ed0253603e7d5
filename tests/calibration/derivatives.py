"""Numeric derivatives to hold analytic ones against."""

from collections.abc import Callable

import numpy as np

from calibration.arrays import FloatArray


def central_differences(
    function: Callable[[FloatArray], FloatArray], at: FloatArray, steps: FloatArray
) -> FloatArray:
    """Return the derivative (..., n) of a function of (n,), fourth order in the step.

    Four evaluations a column: the error is of fifth order in the step, so a step that
    is large against rounding still leaves no visible bend.
    """
    columns = []
    for i, step in enumerate(steps):
        e = np.zeros(len(at))
        e[i] = step
        near = function(at + e) - function(at - e)
        far = function(at + 2.0 * e) - function(at - 2.0 * e)
        columns.append((8.0 * near - far) / (12.0 * step))
    return np.stack(columns, axis=-1)
