"""Weighted least squares: to the minimum, then its covariance.

Two stages. Damped steps (Levenberg, Marquardt) at the picks as given walk from the
start to the neighbourhood of the minimum. Undamped steps at *adjusted* picks then
reach the rigorous solution. The covariance is taken there, without damping.
"""

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.camera import CameraUnknown
from calibration.errors import DegenerateGeometry, NotConverged
from calibration.network import Equations, Network, State

_DAMPED_LIMIT: Final = 60
_RIGOROUS_LIMIT: Final = 40

_NEAR: Final = 1e-3
"""Relative fall of the cost below which damped steps hand over."""

_SETTLED: Final = 1e-8
"""Step, in standard deviations of each unknown, below which nothing a person
reads can change: a micron in a length known to 10 mm is 1e-4."""

_ACCEPTABLE: Final = 1e-4
"""Step at the iteration limit that is still far below every uncertainty."""

_SLOW: Final = 0.3
"""Shrinking of the steps above which the next one is extrapolated: slower than this,
forty steps do not settle."""

_MEMORY: Final = 3
"""How many steps back an extrapolation looks."""

_LONGEST: Final = 10.0
"""An extrapolation beyond this many plain steps rests on rounding."""

_DAMPING_START, _DAMPING_UP, _DAMPING_DOWN = 1e-3, 8.0, 0.2
_DAMPING_LIMIT: Final = 1e12

_SINGULAR: Final = 1e-10
"""Singular value of the scaled system, per largest, that is a free direction."""


@dataclass(frozen=True, slots=True, eq=False)
class Adjustment:
    """The minimum.

    Attributes
    ----------
    state : State
        Adjusted unknowns.
    equations : Equations
        The whitened system there; ``residual`` are the final ones.
    cofactor_root : (n, n) float64
        ``U`` with covariance of the unknowns ``U @ U.T``.
    """

    state: State
    equations: Equations
    cofactor_root: FloatArray

    @property
    def covariance(self) -> FloatArray:
        """Covariance of the unknowns at variance factor one, (n, n)."""
        return self.cofactor_root @ self.cofactor_root.T

    @property
    def cost(self) -> float:
        """Weighted sum of squared residuals."""
        return self.equations.cost

    @property
    def degrees_of_freedom(self) -> int:
        """Conditions and priors less unknowns."""
        rows, unknowns = self.equations.jacobian.shape
        return int(rows - unknowns)

    def sensitivity(self) -> FloatArray:
        """Return change of the unknowns for one sd of each observation, (n, M)."""
        root = self.cofactor_root
        gain: FloatArray = -root @ (self.equations.jacobian @ root).T
        return gain


def descend(network: Network, start: State) -> tuple[State, float]:
    """Walk downhill from a start, at the picks as given.

    Parameters
    ----------
    network : Network
    start : State

    Returns
    -------
    State
        Near a local minimum.
    float
        Its weighted sum of squares; infinite if the start cannot be evaluated.
    """
    state, here = start, network.equations(start, network.picks_px)
    if not np.isfinite(here.cost):
        return start, np.inf
    damping = _DAMPING_START
    for _ in range(_DAMPED_LIMIT):
        step = _damped_step(network, here, damping)
        ahead = network.equations(state.moved(step), network.picks_px)
        gain = here.cost - ahead.cost
        if not np.isfinite(ahead.cost) or gain < 0.0:
            damping *= _DAMPING_UP
            if damping > _DAMPING_LIMIT or abs(gain) <= _SETTLED * (1.0 + here.cost):
                break
            continue
        state, here = state.moved(step), ahead
        damping = max(damping * _DAMPING_DOWN, 1e-12)
        if gain <= _NEAR * (1.0 + here.cost):
            break
    return state, here.cost


def _damped_step(network: Network, here: Equations, damping: float) -> FloatArray:
    scaled = here.jacobian * network.scales
    normal = scaled.T @ scaled
    # The floor keeps a free direction from blowing up before it is named.
    weight = damping * np.maximum(np.diag(normal), 1e-6 * np.trace(normal) / len(normal))
    normal[np.diag_indices_from(normal)] += weight
    step = np.linalg.solve(normal, -scaled.T @ here.residual)
    bounded = np.clip(step * network.scales, *_LIMITS(network))
    return np.asarray(bounded, dtype=np.float64)


def _LIMITS(network: Network) -> tuple[FloatArray, FloatArray]:  # noqa: N802
    limit = np.full(network.size, np.inf)
    # A turn or a doubling beyond this leaves the region where the linearised
    # equations mean anything.
    limit[CameraUnknown.LOG_FOCAL] = 0.5
    limit[CameraUnknown.TURN_X : CameraUnknown.TURN_Z + 1] = 0.3
    limit[CameraUnknown.LOG_STANDOFF] = 0.7
    return -limit, limit


def adjust(network: Network, near: State) -> Adjustment:
    """Reach the rigorous least-squares solution from a state near it.

    Parameters
    ----------
    network : Network
    near : State
        From :func:`descend`.

    Returns
    -------
    Adjustment

    Raises
    ------
    DegenerateGeometry
        If a direction of the unknowns is free; it is named.
    NotConverged
        If the steps do not settle.
    """
    state, picks = near, network.picks_px
    size = np.inf
    steps: deque[FloatArray] = deque(maxlen=_MEMORY + 1)
    moves: deque[FloatArray] = deque(maxlen=_MEMORY)
    for _ in range(_RIGOROUS_LIMIT):
        equations = network.equations(state, picks)
        if not np.isfinite(equations.cost):
            break
        root = _cofactor_root(network, equations)
        whitened_step = -root.T @ (equations.jacobian.T @ equations.residual)
        previous, size = size, float(np.abs(whitened_step).max(initial=0.0))
        move = root @ whitened_step
        steps.append(move)
        if moves and size > _SLOW * previous:
            move = _extrapolated(equations.jacobian, steps, moves)
        moves.append(move)
        picks = network.adjusted(equations, equations.residual + equations.jacobian @ move)
        state = state.moved(move)
        if size <= _SETTLED or (size <= _ACCEPTABLE and size >= previous):
            break
    if not size <= _ACCEPTABLE:
        raise NotConverged(
            "the references could not be brought together",
            "check that each pick is on the point it names and that no size is mistyped",
        )
    final = network.equations(state, picks)
    return Adjustment(state, final, _cofactor_root(network, final))


def _extrapolated(
    jacobian: FloatArray, steps: Sequence[FloatArray], moves: Sequence[FloatArray]
) -> FloatArray:
    """Return where steps that shrink slowly, or swing to and fro, will end.

    Loosely fixed unknowns of a strongly curved fit shrink their steps by the same
    factors, of either sign, each time. ``steps`` are the plain ones up to now,
    ``moves`` what was done instead of all but the last (Anderson 1965, from memory).
    """
    bends = np.diff(np.array(steps), axis=0).T
    share, *_ = np.linalg.lstsq(jacobian @ bends, jacobian @ steps[-1], rcond=None)
    move: FloatArray = steps[-1] - (np.array(moves).T + bends) @ share
    reach = np.linalg.norm(jacobian @ steps[-1])
    return steps[-1] if np.linalg.norm(jacobian @ move) > _LONGEST * reach else move


def _cofactor_root(network: Network, equations: Equations) -> FloatArray:
    """Return ``U`` with ``inv(J' J) = U U'``, or name the free direction."""
    scales = network.scales
    R = np.linalg.qr(equations.jacobian * scales, mode="r")
    length = np.sqrt(np.einsum("ij,ij->j", R, R))
    length = np.where(length > 0.0, length, 1.0)
    singular = np.linalg.svd(R / length, compute_uv=False)
    if len(singular) < network.size or singular[-1] <= _SINGULAR * singular[0]:
        raise _free_direction(network, R / length)
    inverse = np.linalg.inv(R)
    return np.asarray(scales[:, None] * inverse, dtype=np.float64)


def _free_direction(network: Network, scaled: FloatArray) -> DegenerateGeometry:
    """Say which unknown nothing determines."""
    *_, rows = np.linalg.svd(scaled)
    part = int(np.argmax(np.abs(rows[-1])))
    return degenerate(network, part)


def degenerate(network: Network, column: int) -> DegenerateGeometry:
    """Return the refusal that names an undetermined unknown.

    Parameters
    ----------
    network : Network
    column : int
        Its column in the whole system.

    Returns
    -------
    DegenerateGeometry
    """
    first_own = len(CameraUnknown)
    if column >= first_own:
        what = network.unknowns[column - first_own].what
        return DegenerateGeometry(
            f"the references do not fix {what or 'every unknown'}",
            "spread its picks, or add a taped distance, a rectangle of known size or "
            "level and plumb lines",
        )
    if column == CameraUnknown.LOG_STANDOFF:
        return DegenerateGeometry(
            "nothing in the references fixes the scale",
            "add a taped distance, a rectangle of known size or counted brick courses",
        )
    return DegenerateGeometry(
        "the references do not fix how the wall is turned to the camera",
        "add level and plumb lines that lie far apart, a rectangle, or brick courses "
        "counted over the height and width of the wall",
    )
