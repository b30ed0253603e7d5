"""Counts on a wall as a projective function of the picture: two numbers a pixel.

Frame ``count``: u along the wall to the right, v **down** the wall, both in courses
(u is metric only as far as the focal length is known). A wall seen through a lens is::

    (u w, v w, w) = H_count_from_ideal (x, y, 1),   (x, y) undistorted, units of focal
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray, frozen
from calibration.lens import distort, undistort

_STEPS: Final = 8
"""Re-weighted Gauss-Newton steps; the model is nearly linear."""

SLOPE_SD: Final = 0.8
"""Spread of the vanishing line's two coefficients, units of one over the focal length:
a wall at 45 degrees of yaw has 1."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class View:
    """What is known of the camera beforehand.

    Attributes
    ----------
    focal_px : float
    centre_px : (2,) float64
    k1, k2 : float
        Radial distortion to begin with.
    k1_sd : float
        How far k1 may be off.
    """

    focal_px: float
    centre_px: FloatArray
    k1: float = 0.0
    k2: float = 0.0
    k1_sd: float = 0.02

    def ideal(self, points_px: FloatArray) -> FloatArray:
        """Return undistorted points (N, 2), units of the focal length."""
        flat = (points_px - self.centre_px) / self.focal_px
        return undistort(flat, self.k1, self.k2).points


@dataclass(frozen=True, slots=True, eq=False)
class WallPlane:
    """The counts of a wall.

    Attributes
    ----------
    view : View
        With the lens that fits.
    H_count_from_ideal : (3, 3) float64
    """

    view: View
    H_count_from_ideal: FloatArray

    def counts(self, points_px: FloatArray) -> FloatArray:
        """Return u and v (N, 2) at places (N, 2) of the photo; NaN beyond the horizon."""
        ideal = self.view.ideal(points_px)
        rays = np.c_[ideal, np.ones(len(ideal))] @ self.H_count_from_ideal.T
        depth = np.where(rays[:, 2] > 0.0, rays[:, 2], np.nan)
        return np.asarray(rays[:, :2] / depth[:, None])

    def pixels(self, counts: FloatArray) -> FloatArray:
        """Return places (N, 2) in the photo of counts (N, 2); NaN beyond the horizon."""
        H = np.linalg.inv(self.H_count_from_ideal)
        rays = np.c_[counts, np.ones(len(counts))] @ H.T
        rays *= np.sign(H[2] @ np.linalg.inv(H) @ np.array([0.0, 0.0, 1.0]))
        depth = np.where(rays[:, 2] > 1e-9, rays[:, 2], np.nan)
        ideal = rays[:, :2] / depth[:, None]
        flat = distort(ideal, self.view.k1, self.view.k2)
        return np.asarray(flat * self.view.focal_px + self.view.centre_px)

    @property
    def lean_rad(self) -> float:
        """How far the plane leans back from the upright of the picture; walls: the tilt."""
        _, h, one = self.H_count_from_ideal[2]
        return float(np.arctan2(h, one))

    def eye_level(self, u: float) -> float:
        """Return v at the height of the camera: as upright as the courses are level."""
        right, down, origin = np.linalg.inv(self.H_count_from_ideal).T
        return float(-(down @ (origin + u * right)) / (down @ down))

    def scaled(self, u_factor: float, v_factor: float) -> "WallPlane":
        """Return the same wall counted in other units."""
        return self.mapped(np.diag([u_factor, v_factor, 1.0]))

    def mapped(self, A_new_from_count: FloatArray) -> "WallPlane":
        """Return the same wall with its counts mapped by a projective matrix."""
        H = A_new_from_count @ self.H_count_from_ideal
        return WallPlane(self.view, frozen(H / H[2, 2], 3, 3))


@dataclass(frozen=True, slots=True, eq=False)
class BedFit:
    """Courses fitted to counted places.

    Attributes
    ----------
    view : View
        With the fitted lens.
    bed : (5,) float64
        ``a, b, c, g, h`` of ``v = (a x + b y + c) / (1 + g x + h y)``.
    residual : (N,) float64
        Courses.
    weight : (N,) float64
        0..1; small for places that do not belong.
    """

    view: View
    bed: FloatArray
    residual: FloatArray
    weight: FloatArray

    def counts(self, points_px: FloatArray) -> FloatArray:
        """Return v (N,) at places (N, 2)."""
        a, b, c, g, h = self.bed
        x, y = self.view.ideal(points_px).T
        depth = 1.0 + g * x + h * y
        return np.asarray((a * x + b * y + c) / np.where(depth > 0.0, depth, np.nan))

    def waves(self, points_px: FloatArray) -> FloatArray:
        """Return the gradient of v (N, 2), cycles per pixel."""
        step = 0.5
        turns = np.array([[step, 0.0], [-step, 0.0], [0.0, step], [0.0, -step]])
        values = self.counts((points_px[:, None, :] + turns).reshape(-1, 2)).reshape(-1, 4)
        return np.stack([values[:, 0] - values[:, 1], values[:, 2] - values[:, 3]], axis=1)


def fit_beds(
    view: View, points_px: FloatArray, count: FloatArray, scale: float, sd: float
) -> BedFit | None:
    """Fit the courses of a plane wall, lens included, to counted places.

    Parameters
    ----------
    view : View
    points_px : (N, 2) float64
    count : (N,) float64
        Courses, downwards.
    scale : float
        Weight of each place relative to a single good one.
    sd : float
        Of one count, courses.

    Returns
    -------
    BedFit or None
        None if no plane wall has such counts.
    """
    flat = (points_px - view.centre_px) / view.focal_px
    state = np.concatenate([_affine_start(flat, count), [0.0, 0.0, view.k1]])
    prior = np.array([0.0, 0.0, view.k1])
    prior_sd = np.array([SLOPE_SD, SLOPE_SD, view.k1_sd])
    weight = np.ones(len(count))
    residual = np.zeros(len(count))
    for step in range(_STEPS):
        lens = undistort(flat, state[5], view.k2)
        x, y = lens.points.T
        a, b, c, g, h = state[:5]
        depth = np.maximum(1.0 + g * x + h * y, 0.05)
        v = (a * x + b * y + c) / depth
        J = np.stack([x, y, np.ones_like(x), -v * x, -v * y], axis=1) / depth[:, None]
        slope = np.stack([(a - v * g) / depth, (b - v * h) / depth], axis=1)
        J = np.c_[J, np.einsum("ni,ni->n", slope, lens.wrt_k[:, :, 0])]
        residual = count - v
        if step > 1:
            weight = _cauchy(residual, sd)
        root = np.sqrt(weight * scale) / sd
        if not np.isfinite(J).all() or not np.isfinite(residual).all():
            return None
        A = np.r_[J * root[:, None], np.c_[np.zeros((3, 3)), np.diag(1.0 / prior_sd)]]
        rhs = np.r_[residual * root, (prior - state[3:]) / prior_sd]
        state = state + np.linalg.lstsq(A, rhs, rcond=None)[0]
        state[5] = np.clip(state[5], *(view.k1 + np.array([-3.0, 3.0]) * view.k1_sd))
    fitted = replace(view, k1=float(state[5]))
    return BedFit(fitted, frozen(state[:5], 5), residual, weight)


def _affine_start(flat: FloatArray, count: FloatArray) -> FloatArray:
    A = np.c_[flat, np.ones(len(flat))]
    return np.asarray(np.linalg.lstsq(A, count, rcond=None)[0])


def _cauchy(residual: FloatArray, sd: float) -> FloatArray:
    spread = max(sd, 1.4826 * float(np.median(np.abs(residual))))
    return np.asarray(1.0 / (1.0 + (residual / (2.0 * spread)) ** 2))


def metric_plane(fit: BedFit) -> WallPlane:
    """Return u beside v: level, plumb and of the same unit, by the focal length.

    The wall's horizon gives its normal, the beds' vanishing point its level; the plumb
    is at right angles to both.

    Parameters
    ----------
    fit : BedFit

    Returns
    -------
    WallPlane
    """
    a, b, c, g, h = fit.bed
    horizon = np.array([g, h, 1.0])
    down = np.array([a, b, c])
    level = np.cross(down, horizon)
    level = level / np.linalg.norm(level)
    normal = horizon / np.linalg.norm(horizon)
    plumb = np.cross(normal, level)
    # down = alpha plumb + beta normal, because level is at right angles to all three.
    gain = float(down @ plumb) / np.linalg.norm(horizon)
    along = level * gain * np.linalg.norm(horizon)
    if along[0] < 0.0:
        along = -along
    H = np.stack([along, down, horizon])
    return WallPlane(fit.view, frozen(H, 3, 3))


@dataclass(frozen=True, slots=True, eq=False)
class PlaneFit:
    """A wall plane fitted to measured joints.

    Attributes
    ----------
    plane : WallPlane
    bed_residual, perpend_residual : (N,), (M,) float64
        Courses.
    bed_sd, perpend_sd : float
        Robust standard deviations, courses.
    """

    plane: WallPlane
    bed_residual: FloatArray
    perpend_residual: FloatArray
    bed_sd: float
    perpend_sd: float


def fit_plane(
    start: WallPlane,
    bed_px: FloatArray,
    v: FloatArray,
    perpend_px: FloatArray,
    u: FloatArray,
) -> PlaneFit | None:
    """Fit plane and lens to bed joints of known v and perpends of known u.

    Parameters
    ----------
    start : WallPlane
    bed_px, perpend_px : (N, 2), (M, 2) float64
        Places in the photo.
    v, u : (N,), (M,) float64
        Courses down and along.

    Returns
    -------
    PlaneFit or None
        Without perpends, u stays as it was. None if no plane wall has such joints.
    """
    view = start.view
    flat = (np.r_[bed_px, perpend_px] - view.centre_px) / view.focal_px
    goal = np.r_[v, u]
    beds = np.arange(len(goal)) < len(v)
    H = start.H_count_from_ideal / start.H_count_from_ideal[2, 2]
    state = np.concatenate([H.ravel()[:8], [view.k1]])
    weight = np.ones(len(goal))
    sds = np.ones(2)
    residual = np.zeros(len(goal))
    free = np.arange(9) if len(u) else np.arange(3, 9)
    for step in range(_STEPS):
        value, J = _counts_and_slopes(flat, beds, state, view.k2)
        residual = goal - value
        sds = np.array([_robust_sd(residual[beds]), _robust_sd(residual[~beds])])
        sd = np.where(beds, sds[0], sds[1])
        if step > 0:
            weight = 1.0 / (1.0 + (residual / (2.5 * sd)) ** 2)
        root = np.sqrt(weight) / sd
        keep = np.zeros((1, 9))
        keep[0, 8] = 1.0 / view.k1_sd
        A = np.r_[J * root[:, None], keep][:, free]
        rhs = np.r_[residual * root, (view.k1 - state[8]) / view.k1_sd]
        scale = np.linalg.norm(A, axis=0) + 1e-12
        if not np.isfinite(A).all() or not np.isfinite(rhs).all():
            return None
        state[free] += np.linalg.lstsq(A / scale, rhs, rcond=None)[0] / scale
    H = np.append(state[:8], 1.0).reshape(3, 3)
    plane = WallPlane(replace(view, k1=float(state[8])), frozen(H, 3, 3))
    return PlaneFit(plane, residual[beds], residual[~beds], float(sds[0]), float(sds[1]))


def _counts_and_slopes(
    flat: FloatArray, beds: NDArray[np.bool_], state: FloatArray, k2: float
) -> tuple[FloatArray, FloatArray]:
    """Return v of beds and u of perpends (N,) and derivatives (N, 9)."""
    lens = undistort(flat, state[8], k2)
    rays = np.c_[lens.points, np.ones(len(flat))]
    H = np.append(state[:8], 1.0).reshape(3, 3)
    depth = np.maximum(rays @ H[2], 1e-3)
    row = np.where(beds, 1, 0)
    top = np.einsum("ni,ni->n", rays, H[row])
    value = top / depth
    J = np.zeros((len(flat), 9))
    J[beds, 3:6] = rays[beds] / depth[beds, None]
    J[~beds, 0:3] = rays[~beds] / depth[~beds, None]
    J[:, 6:8] = -value[:, None] * rays[:, :2] / depth[:, None]
    slope = (H[row][:, :2] - value[:, None] * H[2, :2]) / depth[:, None]
    J[:, 8] = np.einsum("ni,ni->n", slope, lens.wrt_k[:, :, 0])
    return value, J


def _robust_sd(residual: FloatArray) -> float:
    if len(residual) == 0:
        return 1.0
    return max(1e-3, 1.4826 * float(np.median(np.abs(residual))))
