"""Array types, and the checks that stand at every door."""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]
"""float64; the docstring beside each use gives shape, unit and frame."""

IntArray = NDArray[np.intp]
"""Indices."""

BoolArray = NDArray[np.bool_]
"""Which rows of a table."""

GreyImage = NDArray[np.uint8]
"""Grey picture [row, column]."""

TINY: Final = 1e-12
"""Below this a unit-free quantity of order one is rounding, not geometry."""


def frozen(values: ArrayLike, *shape: int | None) -> FloatArray:
    """Return a read-only float64 copy with the given shape.

    Parameters
    ----------
    values : array_like
        The numbers.
    *shape : int or None
        Expected extents; None leaves an axis free.

    Returns
    -------
    (…) float64
        A copy that cannot be written to.

    Raises
    ------
    ValueError
        If the shape differs or a number is not finite: callers check user
        input before, so this is a programming mistake.

    Examples
    --------
    >>> frozen([[1, 2]], None, 2)
    array([[1., 2.]])
    """
    array = np.array(values, dtype=np.float64)
    fits = array.ndim == len(shape) and all(
        want in (None, have) for want, have in zip(shape, array.shape, strict=True)
    )
    if not fits or not np.isfinite(array).all():
        message = f"expected finite numbers of shape {shape}, got {array.shape}"
        raise ValueError(message)
    array.setflags(write=False)
    return array


def skew(vectors: FloatArray) -> FloatArray:
    """Return the cross-product matrices ``[v]x``, ``[v]x @ w == cross(v, w)``.

    Parameters
    ----------
    vectors : (N, 3) float64

    Returns
    -------
    (N, 3, 3) float64
    """
    x, y, z = vectors.T
    zero = np.zeros_like(x)
    rows = [[zero, -z, y], [z, zero, -x], [-y, x, zero]]
    return np.moveaxis(np.array(rows), 2, 0)


def rotation_from_vector(omega_rad: FloatArray) -> FloatArray:
    """Return the rotation matrix of a rotation vector (Rodrigues' formula).

    Parameters
    ----------
    omega_rad : (3,) float64
        Axis times angle, radians.

    Returns
    -------
    (3, 3) float64
    """
    angle = float(np.linalg.norm(omega_rad))
    matrix: FloatArray = skew(omega_rad[None])[0]
    if angle < TINY:
        return np.eye(3) + matrix
    first = np.sin(angle) / angle
    second = (1.0 - np.cos(angle)) / angle**2
    rotation: FloatArray = np.eye(3) + first * matrix + second * (matrix @ matrix)
    return rotation
