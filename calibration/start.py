"""The closed-form start: for a trial wall normal everything else is linear.

Fix the direction of the wall's normal in the camera, and the focal length. Picks
brought to that plane at standoff one are complex numbers ``q``; the wall is
``s q + offset`` with one complex ``s`` (its size the standoff, its angle the
camera's swing). Every reference is linear in ``s`` or states its size, so ``s``
and the misfit in pixels follow in closed form for all trial normals at once. The
best trial lies in the basin of the true viewpoint; its mirror image about the line
of sight, the other minimum that a plane has, is tried too and never taken unseen.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray, IntArray, rotation_from_vector
from calibration.camera import Camera
from calibration.errors import DegenerateGeometry
from calibration.lens import undistort
from calibration.network import Network
from calibration.priors import CameraPrior
from calibration.references.hints import CoordinateHint, LengthHint

_TRIALS: Final = 110
_STEEPEST_RAD: Final = float(np.radians(68.0))
"""Cone of trial normals about the optical axis: about 11 degrees apart, a third of
the basin of the damped descent. A wall seen more obliquely cannot be traced."""

_FOCAL_STEPS: Final = (-0.7, -0.25, 0.2, 0.65)
"""Trial focal lengths when it is unknown, as logarithms about the middle."""

_PICKS_PER_HINT: Final = 24
_MM_PER_PX: Final = 3.0
"""Only to weigh millimetres against pixels while choosing a basin."""

_GRAZING: Final = 0.05
"""Smallest fall of a ray towards a trial wall, per unit depth."""

_NO_SIZE: Final = 1e-150
"""Keeps the square of a standoff of zero from being zero: picks all at one spot."""

_LEVEL_PULL: Final = 1e-6
"""Weight of 'held level', per weight of the references: decides only where they
say nothing."""


@dataclass(frozen=True, slots=True, eq=False)
class _Equation:
    """Hints of all references, flattened.

    Attributes
    ----------
    picks : (n,) int
        Positions among all picks.
    group : (n,) int
        Which hint each belongs to: one free offset a hint.
    axis : (n,) int
    values_mm : (n,) float64
        Centred within the hint.
    weight : (n,) float64
        One over pixels.
    """

    picks: IntArray
    group: IntArray
    axis: IntArray
    values_mm: FloatArray
    weight: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class _Lengths:
    first: IntArray
    second: IntArray
    length_mm: FloatArray
    weight: FloatArray


def trial_normals() -> FloatArray:
    """Return trial normals (T, 3) in the camera frame, towards the camera.

    A sunflower spiral over the cone: even spacing without a preferred direction,
    so a picture turned by 90 degrees meets the same trials.
    """
    steps = np.arange(_TRIALS) + 0.5
    fall = 1.0 - (1.0 - np.cos(_STEEPEST_RAD)) * steps / _TRIALS
    angle = np.pi * (1.0 + np.sqrt(5.0)) * steps
    side = np.sqrt(1.0 - fall**2)
    return np.stack([side * np.cos(angle), side * np.sin(angle), -fall], axis=1)


def rotations_facing(normals: FloatArray) -> FloatArray:
    """Return rotations wall from camera (T, 3, 3) for wall normals (T, 3).

    The camera's x axis lies level on the wall: swing zero.
    """
    right = np.array([1.0, 0.0, 0.0]) - normals[:, :1] * normals
    right /= np.linalg.norm(right, axis=1)[:, None]
    return np.stack([right, np.cross(normals, right), normals], axis=1)


def first_cameras(network: Network, normals: FloatArray, keep: int = 1) -> list[Camera]:
    """Return the best closed-form cameras over trial normals.

    Parameters
    ----------
    network : Network
    normals : (T, 3) float64
        Trial wall normals in the camera frame.
    keep : int
        How many, best first, at least 25 degrees apart.

    Returns
    -------
    list of Camera
        Empty if every trial puts a pick beyond the wall's horizon.

    Raises
    ------
    DegenerateGeometry
        If no reference states a size.
    """
    if not any(reference.sized for reference in network.references):
        raise DegenerateGeometry(
            "nothing in the references fixes the scale",
            "add a taped distance, a rectangle of known size or counted brick courses",
        )
    equations, lengths = _flatten(network)
    found: list[tuple[float, Camera, FloatArray]] = []
    for focal, penalty in _focal_trials(network.camera):
        q, stretch, valid = _planes(network, focal, normals)
        weight = focal / stretch
        s, cost = _fit(q, weight, equations, lengths)
        cost = np.where(valid & (np.abs(s) > 0.0), cost + penalty, np.inf)
        for t in np.argsort(cost)[: 8 * keep]:
            if np.isfinite(cost[t]):
                camera = _camera(network.camera, focal, normals[t], complex(s[t]))
                found.append((float(cost[t]), camera, normals[t]))
    return list(_apart(sorted(found, key=lambda item: item[0]), keep))


def _apart(
    ranked: Iterable[tuple[float, Camera, FloatArray]], keep: int
) -> Iterable[Camera]:
    taken: list[FloatArray] = []
    for _, camera, normal in ranked:
        if all(normal @ other < np.cos(np.radians(25.0)) for other in taken):
            taken.append(normal)
            yield camera
        if len(taken) == keep:
            return


def mirrored_normals(network: Network, camera: Camera) -> FloatArray:
    """Return the normals of other minima that a plane may have, (3, 3), camera frame.

    Foreshortening does not tell which way a plane is slanted. Seen from far away it
    looks like its mirror image about the line of sight (Oberkampf, DeMenthon and
    Davis 1996, from memory); level lines that converge settle the slant in one of
    level and plumb and leave the other open. So: mirrored both ways, and each alone.
    """
    ideal = undistort(
        (network.picks_px - camera.centre_px) / camera.focal_px, camera.k1, camera.k2
    ).points
    rays = np.c_[ideal, np.ones(len(ideal))]
    sight = (rays / np.linalg.norm(rays, axis=1)[:, None]).mean(axis=0)
    level, plumb, normal = camera.R_wall_from_camera
    into = (normal @ sight) * normal
    about = np.stack(
        [sight, into + (plumb @ sight) * plumb, into + (level @ sight) * level]
    )
    about /= np.linalg.norm(about, axis=1)[:, None]
    mirrored: FloatArray = 2.0 * (about @ normal)[:, None] * about - normal
    return mirrored


def _focal_trials(prior: CameraPrior) -> list[tuple[float, float]]:
    if prior.focal_known:
        return [(prior.focal_px, 0.0)]
    return [
        (prior.focal_px * float(np.exp(step)), (step / prior.focal_log_sd) ** 2)
        for step in _FOCAL_STEPS
    ]


def _camera(prior: CameraPrior, focal: float, normal: FloatArray, s: complex) -> Camera:
    turn = rotation_from_vector(np.array([0.0, 0.0, float(np.angle(s))]))
    return Camera(
        focal_px=focal,
        centre_px=prior.centre_px,
        k1=prior.k1,
        k2=prior.k2,
        R_wall_from_camera=turn @ rotations_facing(normal[None])[0],
        standoff_mm=abs(s),
    )


def _planes(
    network: Network, focal: float, normals: FloatArray
) -> tuple[NDArray[np.complex128], FloatArray, NDArray[np.bool_]]:
    """Bring all picks to all trial planes at standoff one.

    Returns complex points (T, N), the stretch of a pixel there (T, N) in units of
    one over the focal length, and which trials keep every pick below the horizon.
    """
    prior = network.camera
    ideal = undistort(
        (network.picks_px - prior.centre_px) / focal, prior.k1, prior.k2
    ).points
    rays = np.c_[ideal, np.ones(len(ideal))]
    turned = rotations_facing(normals) @ rays.T
    fall = -turned[:, 2]
    valid = np.all(fall > _GRAZING, axis=1)
    fall = np.where(fall > _GRAZING, fall, 1.0)
    q = (turned[:, 0] + 1j * turned[:, 1]) / fall
    return q, fall**-1.5, valid


def _flatten(network: Network) -> tuple[_Equation, _Lengths]:
    rows: list[tuple[IntArray, int, int, FloatArray, float]] = []
    lengths: list[tuple[int, int, float, float]] = []
    for reference, part in zip(network.references, network.slices, strict=True):
        for hint in reference.hints():
            weight = 1.0 / float(np.hypot(reference.pick_sd_px, hint.sd_mm / _MM_PER_PX))
            if isinstance(hint, LengthHint):
                a, b = (part.start + pick for pick in hint.picks)
                lengths.append((a, b, hint.length_mm, weight))
            else:
                picks, values = _thinned(hint)
                rows.append((part.start + picks, len(rows), hint.axis, values, weight))
    equations = _Equation(
        np.concatenate([row[0] for row in rows] or [np.zeros(0, np.intp)]),
        np.concatenate([np.full(len(r[0]), r[1]) for r in rows] or [np.zeros(0, np.intp)]),
        np.concatenate([np.full(len(r[0]), r[2]) for r in rows] or [np.zeros(0, np.intp)]),
        np.concatenate([row[3] for row in rows] or [np.zeros(0)]),
        np.concatenate([np.full(len(row[0]), row[4]) for row in rows] or [np.zeros(0)]),
    )
    table = np.array(lengths).reshape(-1, 4)
    first, second = table[:, 0].astype(np.intp), table[:, 1].astype(np.intp)
    return equations, _Lengths(first, second, table[:, 2], table[:, 3])


def _thinned(hint: CoordinateHint) -> tuple[IntArray, FloatArray]:
    count = len(hint.picks)
    some = np.unique(np.linspace(0, count - 1, _PICKS_PER_HINT).astype(np.intp))
    values = hint.values_mm[some]
    return hint.picks[some], values - values.mean()


def _fit(
    q: NDArray[np.complex128], gain: FloatArray, equations: _Equation, lengths: _Lengths
) -> tuple[NDArray[np.complex128], FloatArray]:
    """Solve every trial for ``s``; return it (T,) and its misfit in pixels^2 (T,)."""
    trials = len(q)
    points = q[:, equations.picks]
    groups = int(equations.group.max(initial=-1)) + 1
    member = np.zeros((len(equations.picks), groups))
    member[np.arange(len(equations.picks)), equations.group] = 1.0
    means = (points @ member) / member.sum(axis=0)
    points = points - means[:, equations.group]
    weight = gain[:, equations.picks] * equations.weight
    # x = Re(s q) = a q_x - b q_y,  y = Im(s q) = a q_y + b q_x,  s = a + i b.
    up = equations.axis == 1
    wrt_a = np.where(up, points.imag, points.real) * weight
    wrt_b = np.where(up, points.real, -points.imag) * weight
    goal = weight * equations.values_mm
    aa, ab, bb = (np.sum(x * y, axis=1) for x, y in _pairs(wrt_a, wrt_b))
    bb = bb + _LEVEL_PULL * (aa + bb)
    if np.any(equations.values_mm != 0.0):
        a0, b0 = np.sum(wrt_a * goal, axis=1), np.sum(wrt_b * goal, axis=1)
        aa = aa * (1.0 + 1e-12) + 1e-300
        det = aa * bb - ab**2 + 1e-300
        s = (bb * a0 - ab * b0 + 1j * (aa * b0 - ab * a0)) / det
    else:
        angle = 0.5 * np.arctan2(2.0 * ab, aa - bb) + np.pi / 2.0
        s = np.exp(1j * angle)
        s = s * np.where(s.real < 0.0, -1.0, 1.0)
    span = np.abs(q[:, lengths.second] - q[:, lengths.first])
    pull = lengths.weight * gain[:, lengths.first]
    if not np.any(equations.values_mm != 0.0):
        fit = np.sum(pull**2 * span * lengths.length_mm, axis=1)
        s = s * fit / (np.sum((pull * span) ** 2, axis=1) + 1e-300)
    size = np.abs(s) + _NO_SIZE
    misfit = s.real[:, None] * wrt_a + s.imag[:, None] * wrt_b - goal
    stretch = pull * (size[:, None] * span - lengths.length_mm)
    cost = (np.sum(misfit**2, axis=1) + np.sum(stretch**2, axis=1) / 2.0) / size**2
    return s, np.where(np.isfinite(cost), cost, np.inf).reshape(trials)


def _pairs(a: FloatArray, b: FloatArray) -> tuple[tuple[FloatArray, FloatArray], ...]:
    return (a, a), (a, b), (b, b)
