"""Adjustments that are kept while only lines change: nine tenths of measuring a wall.

What an adjustment is kept under is everything that it was computed from, number by
number, so a changed pick, spread, soffit or camera can never meet an older one.
"""

import copy
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, fields, is_dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from calibration.errors import MeasureError
from calibration.priors import CameraPrior
from calibration.references import Reference
from calibration.solution import Solution, calibrate
from photomeasure.job.build import Elevation

MOST: Final = 64
"""Walls that are worked on at once; a kept adjustment takes some 200 kB."""

Adjust = Callable[[Elevation], Solution]
"""From an elevation to its adjusted references; it may refuse."""


def adjust_anew(elevation: Elevation) -> Solution:
    """Adjust the references of an elevation.

    Parameters
    ----------
    elevation : Elevation

    Returns
    -------
    Solution

    Raises
    ------
    EstimationError
        If the references do not fix the geometry.
    """
    return calibrate(elevation.name, elevation.references, elevation.camera)


class Adjustments:
    """The adjustments that were used last; threads may share them.

    Parameters
    ----------
    most : int, optional
        How many are kept.
    """

    def __init__(self, most: int = MOST) -> None:
        self._kept = lru_cache(most)(_outcome)

    def of(self, elevation: Elevation) -> Solution:
        """Return what :func:`adjust_anew` returns, computed once.

        Parameters
        ----------
        elevation : Elevation

        Returns
        -------
        Solution

        Raises
        ------
        EstimationError
            A copy: whoever raises an error writes into it.
        """
        name, references, camera = elevation.name, elevation.references, elevation.camera
        asked = _Asked(content((name, references, camera)), name, references, camera)
        found = self._kept(asked)
        if isinstance(found, MeasureError):
            raise copy.copy(found)
        return found


@dataclass(frozen=True, slots=True)
class _Asked:
    """The arguments of an adjustment; equal if their content is."""

    content: tuple[object, ...]
    name: str = field(compare=False)
    references: tuple[Reference, ...] = field(compare=False)
    camera: CameraPrior = field(compare=False)


def _outcome(asked: _Asked) -> Solution | MeasureError:
    """Adjust, or return the refusal: it costs as much and comes as often."""
    try:
        return calibrate(asked.name, asked.references, asked.camera)
    except MeasureError as refusal:
        return refusal.with_traceback(None)


def content(value: object) -> tuple[object, ...]:
    """Return every part of a value as something that can be compared and hashed.

    Parameters
    ----------
    value : object
        Of dataclasses, tuples, arrays, numbers and texts.

    Returns
    -------
    tuple
        Two are equal only if every number is the same to the last bit.

    Raises
    ------
    TypeError
        For anything else: what cannot be compared must not be kept.

    Examples
    --------
    >>> content((1.0, "a"))
    ('(', 'float', '1.0', 'str', 'a', ')')
    """
    return tuple(_parts(value))


def _parts(value: object) -> Iterator[object]:
    if is_dataclass(value) and not isinstance(value, type):
        yield type(value)
        for entry in fields(value):
            yield from _parts(getattr(value, entry.name))
    elif isinstance(value, tuple):
        yield "("
        for item in value:
            yield from _parts(item)
        yield ")"
    elif isinstance(value, np.ndarray):
        yield from ("array", value.dtype.str, value.shape, value.tobytes())
    elif isinstance(value, str):
        yield from (type(value).__name__, str(value))
    elif value is None or isinstance(value, bool | int | float):
        yield from (type(value).__name__, repr(value))
    else:
        message = f"{type(value).__name__} has no content that can be compared"
        raise TypeError(message)
