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
from calibration.camera import CAMERA_UNKNOWNS, CameraUnknown
from calibration.errors import NotConverged
from calibration.freedom import free_direction, refuse_loose_turn
from calibration.network import Equations, Network, State

_DAMPED_LIMIT: Final = 60
_RIGOROUS_LIMIT: Final = 120
"""Steps; four or five settle a focal length that is known. Along the bent valley of one
that courses alone must find, each step leaves up to nine tenths of the last."""

_NEAR: Final = 1e-3
"""Relative fall of the cost below which damped steps hand over."""

_SETTLED: Final = 1e-7
"""Step, in standard deviations of each unknown, below which nothing a person
reads can change: a micron in a length known to 10 mm is 1e-4."""

_ACCEPTABLE: Final = 1e-4
"""Step at the iteration limit that is still far below every uncertainty."""

_DAMPING_START, _DAMPING_UP, _DAMPING_DOWN = 1e-3, 8.0, 0.2
_DAMPING_LIMIT: Final = 1e12

_SLOW: Final = 0.3
"""Shrinking of the steps above which the next one is extrapolated: slower than this,
forty steps do not settle."""

_MEMORY: Final = 3
"""How many steps back an extrapolation looks."""

_LONGEST: Final = 10.0
"""An extrapolation beyond this many plain steps rests on rounding."""
_WANDERED: Final = 3.0
"""Change of the logarithm of focal length or standoff, a factor of twenty from a state
near the minimum, that only a free direction brings about."""

_LOGARITHMS: Final = [CameraUnknown.LOG_FOCAL, CameraUnknown.LOG_STANDOFF]

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


def descend(
    network: Network, start: State, hopeless: float = np.inf
) -> tuple[State, float]:
    """Walk downhill from a start, at the picks as given.

    Parameters
    ----------
    network : Network
    start : State
    hopeless : float
        Do not walk from a start with a larger weighted sum of squares.

    Returns
    -------
    State
        Near a local minimum.
    float
        Its weighted sum of squares; infinite if the start cannot be evaluated.
    """
    state, here = start, network.equations(start, network.picks_px)
    if not (np.isfinite(here.cost) and here.cost <= hopeless):
        return start, np.inf
    damping = _DAMPING_START
    for _ in range(_DAMPED_LIMIT):
        there, ahead = _tried(network, here, state, _damped_step(network, here, damping))
        gain = here.cost - ahead.cost
        if not np.isfinite(ahead.cost) or gain < 0.0:
            damping *= _DAMPING_UP
            if damping > _DAMPING_LIMIT or abs(gain) <= _SETTLED * (1.0 + here.cost):
                break
            continue
        # A small gain of a heavily damped step says nothing of the minimum.
        settled = gain <= _NEAR * (1.0 + here.cost) and damping <= _DAMPING_START
        state, here = there, ahead
        damping = max(damping * _DAMPING_DOWN, 1e-12)
        if settled:
            break
    return state, here.cost


def _tried(
    network: Network, here: Equations, state: State, step: FloatArray
) -> tuple[State, Equations]:
    """Return where a step leads, references fitted again where it bends away.

    Origins and turns of references hang on a camera that moves, and not in a straight
    line: a long step along the valley of focal length and standoff leaves them behind.
    They are nearly linear, so one more solution for them alone brings them along
    (Golub and Pereyra 1973, separable least squares, from memory).
    """
    there = state.moved(step)
    ahead = network.equations(there, network.picks_px)
    predicted = here.residual + here.jacobian @ step
    if not np.isfinite(ahead.cost) or 2.0 * ahead.cost <= here.cost + predicted @ predicted:
        return there, ahead
    own = slice(CAMERA_UNKNOWNS, None)
    columns = ahead.jacobian[:, own] * network.scales[own]
    fit, *_ = np.linalg.lstsq(columns, -ahead.residual, rcond=_SINGULAR)
    fitted = State(there.camera, there.own + fit * network.scales[own])
    found = network.equations(fitted, network.picks_px)
    return (fitted, found) if found.cost < ahead.cost else (there, ahead)


def _damped_step(network: Network, here: Equations, damping: float) -> FloatArray:
    scaled = here.jacobian * network.scales
    normal = scaled.T @ scaled
    # The floor keeps a free direction from blowing up before it is named.
    weight = damping * np.maximum(np.diag(normal), 1e-6 * np.trace(normal) / len(normal))
    normal[np.diag_indices_from(normal)] += weight
    step = np.linalg.solve(normal, -scaled.T @ here.residual)
    bounded = np.clip(step * network.scales, *_limits(network))
    return np.asarray(bounded, dtype=np.float64)


def _limits(network: Network) -> tuple[FloatArray, FloatArray]:
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
        If a direction of the unknowns is free, or so loose that the steps wander;
        it is named.
    NotConverged
        If the steps do not settle.
    """
    state, picks = near, network.picks_px
    size, walked = np.inf, np.zeros(network.size)
    steps: deque[FloatArray] = deque(maxlen=_MEMORY + 1)
    moves: deque[FloatArray] = deque(maxlen=_MEMORY)
    for _ in range(_RIGOROUS_LIMIT):
        equations = network.equations(state, picks)
        if not np.isfinite(equations.cost):
            size = np.inf
            break
        R = _triangle(network, equations)
        if not _regular(network, R):
            raise free_direction(network, R)
        pull = network.scales * (equations.jacobian.T @ equations.residual)
        whitened_step = np.asarray(-np.linalg.solve(R.T, pull), np.float64)
        previous, size = size, float(np.abs(whitened_step).max(initial=0.0))
        move = network.scales * np.linalg.solve(R, whitened_step)
        steps.append(move)
        if moves and size > _SLOW * previous:
            move = _extrapolated(equations.jacobian, steps, moves)
        moves.append(move)
        walked += move
        if not (
            np.isfinite(move).all() and np.all(np.abs(walked[_LOGARITHMS]) < _WANDERED)
        ):
            size = np.inf
            break
        picks = network.adjusted(equations, equations.residual + equations.jacobian @ move)
        state = state.moved(move)
        if size <= _SETTLED or (size <= _ACCEPTABLE and size >= previous):
            break
    if not size <= _ACCEPTABLE:
        refuse_loose_turn(network, _covariance_at(network, near))
        raise NotConverged(
            "the references could not be brought together",
            "check that no size is mistyped and no pick misplaced, or add level and plumb "
            "lines that lie far apart",
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


def _triangle(network: Network, equations: Equations) -> FloatArray:
    """Return the triangle ``R`` of the scaled system, (n, n)."""
    scaled = equations.jacobian * network.scales
    return np.asarray(np.linalg.qr(scaled, mode="r"), dtype=np.float64)


def _regular(network: Network, R: FloatArray) -> bool:
    """Return whether no pivot of the scaled triangle (n, n) has vanished."""
    if len(R) < network.size:
        return False
    pivots = np.abs(np.diag(R))
    lengths = np.sqrt(np.einsum("ij,ij->j", R, R))
    return bool(np.all(pivots > _SINGULAR * lengths))


def _covariance_at(network: Network, state: State) -> FloatArray:
    """Return the covariance (9 + n, 9 + n) as if a state were the solution."""
    root = _cofactor_root(network, network.equations(state, network.picks_px))
    return root @ root.T


def _cofactor_root(network: Network, equations: Equations) -> FloatArray:
    """Return ``U`` with ``inv(J' J) = U U'``, or name the free direction."""
    R = _triangle(network, equations)
    lengths = np.sqrt(np.einsum("ij,ij->j", R, R))
    if not _regular(network, R) or np.linalg.cond(R / lengths) > 1.0 / _SINGULAR:
        raise free_direction(network, R)
    return np.asarray(network.scales[:, None] * np.linalg.inv(R), dtype=np.float64)
