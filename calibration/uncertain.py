"""Results as linear forms in independent, labelled, standard inputs.

Every result of this project is, to first order, ``value + factor @ e`` with
independent inputs ``e`` of mean 0 and variance 1: one for each observation and
one for each prior. An input that two results share (one scale, one lens, one
projection) is one column with one key, so correlation is never lost, not even
between photographs. JCGM 100:2008 (GUM), clause 5.2.2, in factored form.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray, frozen

_SOLVED: Final = 1e-6
"""Misfit of unit right-hand sides at which a pseudo-inverse has not solved them; an
exactly singular covariance misses by order one."""


@dataclass(frozen=True, slots=True)
class Input:
    """One independent source of uncertainty.

    Attributes
    ----------
    key : str
        Identity: equal keys are the same quantity, wherever they occur.
    label : str
        What a person would call it; the budget adds up equal labels.
    is_model : bool
        True for what stays the same however often one picks (lens, gauge,
        projection): it does not average out.
    """

    key: str
    label: str
    is_model: bool


@dataclass(frozen=True, slots=True, eq=False)
class Uncertain:
    """Several results with everything that is known of their uncertainty.

    Attributes
    ----------
    values : (M,) float64
        Best estimates.
    factor : (M, N) float64
        Change of each result for one standard deviation of each input.
    inputs : tuple of Input
        The N inputs, keys all different.
    """

    values: FloatArray
    factor: FloatArray
    inputs: tuple[Input, ...]

    def __post_init__(self) -> None:
        """Freeze and check the shapes."""
        object.__setattr__(self, "values", frozen(self.values, None))
        shape = (len(self.values), len(self.inputs))
        object.__setattr__(self, "factor", frozen(self.factor, *shape))

    def __len__(self) -> int:
        """Return the number of results."""
        return len(self.values)

    @property
    def covariance(self) -> FloatArray:
        """Covariance of the results, (M, M), first order."""
        return self.factor @ self.factor.T

    @property
    def u(self) -> FloatArray:
        """Standard uncertainties, (M,)."""
        squares: FloatArray = np.einsum("mn,mn->m", self.factor, self.factor)
        return np.sqrt(squares)

    def __getitem__(self, index: "int | Sequence[int] | slice") -> "Uncertain":
        """Return some of the results, inputs kept."""
        rows = np.atleast_1d(np.arange(len(self))[index])
        return Uncertain(self.values[rows], self.factor[rows], self.inputs)

    def linear(self, matrix: FloatArray, offset: FloatArray | float = 0.0) -> "Uncertain":
        """Return ``matrix @ results + offset``.

        Parameters
        ----------
        matrix : (K, M) float64
        offset : (K,) float64 or float

        Returns
        -------
        Uncertain
        """
        values = matrix @ self.values + offset
        return Uncertain(values, matrix @ self.factor, self.inputs)

    def mapped(self, values: FloatArray, jacobian: FloatArray) -> "Uncertain":
        """Return ``f(results)`` to first order.

        Parameters
        ----------
        values : (K,) float64
            The function at the best estimates.
        jacobian : (K, M) float64
            Its derivative there.

        Returns
        -------
        Uncertain
        """
        return Uncertain(values, jacobian @ self.factor, self.inputs)

    def scaled(self, gain: float) -> "Uncertain":
        """Return the same results with every uncertainty multiplied."""
        return Uncertain(self.values, self.factor * gain, self.inputs)

    def budget(self, row: int = 0) -> Mapping[str, float]:
        """Return label to standard uncertainty contributed, largest first."""
        parts: dict[str, float] = {}
        for source, gain in zip(self.inputs, self.factor[row], strict=True):
            parts[source.label] = parts.get(source.label, 0.0) + float(gain) ** 2
        ranked = sorted(parts.items(), key=lambda part: -part[1])
        return {label: float(np.sqrt(square)) for label, square in ranked}

    def u_model(self) -> FloatArray:
        """Return the part of ``u`` that repeated picking would not reduce, (M,)."""
        common = np.array([source.is_model for source in self.inputs], dtype=np.bool_)
        part = self.factor[:, common]
        squares: FloatArray = np.einsum("mn,mn->m", part, part)
        return np.sqrt(squares)


def stack(parts: Iterable[Uncertain]) -> Uncertain:
    """Put results together; inputs with the same key become one column.

    Parameters
    ----------
    parts : iterable of Uncertain

    Returns
    -------
    Uncertain
        All results in order, over the union of the inputs.
    """
    chunks = tuple(parts)
    column: dict[str, int] = {}
    inputs: list[Input] = []
    for source in (source for chunk in chunks for source in chunk.inputs):
        if source.key not in column:
            column[source.key] = len(inputs)
            inputs.append(source)
    factor = np.zeros((sum(map(len, chunks)), len(inputs)))
    row = 0
    for chunk in chunks:
        columns = [column[source.key] for source in chunk.inputs]
        factor[row : row + len(chunk), columns] = chunk.factor
        row += len(chunk)
    values = np.concatenate([chunk.values for chunk in chunks] or [np.zeros(0)])
    return Uncertain(values, factor, tuple(inputs))


def weighted_mean(results: Uncertain) -> Uncertain:
    """Combine several measurements of one quantity by least squares.

    Parameters
    ----------
    results : Uncertain
        M >= 1 measurements, any correlation.

    Returns
    -------
    Uncertain
        One result, never outside the measurements. Measurements that repeat one
        error equally share the weight evenly.

    References
    ----------
    Best linear unbiased combination of correlated results: Lyons, Gibaut and
    Clifford (1988), Nucl. Instrum. Methods A 270, 110 (from memory).
    """
    ones = np.ones(len(results))
    scale = float(np.trace(results.covariance)) / len(results)
    if scale == 0.0:
        return results.linear(ones[None] / len(results))
    covariance = results.covariance / scale
    weights = np.linalg.pinv(covariance, rcond=1e-9, hermitian=True) @ ones
    solved = np.allclose(covariance @ weights, ones, rtol=0.0, atol=_SOLVED)
    if np.any(weights < 0.0) or not solved:
        # A negative weight would put the mean outside the measurements, and one
        # error seen in unequal size has no minimum inside them: the correlation is
        # not known that well. Weigh by variance alone.
        weights = 1.0 / np.maximum(results.u, 1e-9 * np.sqrt(scale)) ** 2
    return results.linear(weights[None] / float(weights.sum()))
