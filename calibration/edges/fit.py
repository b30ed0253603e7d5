"""Sub-pixel fit of straight edges near rough segments, many at once.

At each place along an edge the gradient across it is weighed with a bell about the
present line; the centroid, corrected for the bell, says how far the line is off. All
places together, robustly, give the two ends and the bend that the lens allows. With a
bell of twice the blur the variance of one place is 1.45 times the bound of Cramer and
Rao for known levels, ``noise / contrast * sqrt(2 sqrt(pi) blur)``, so the line stands
at 1.2 times the bound.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import BoolArray, FloatArray, IntArray
from calibration.edges.arcs import arcs
from calibration.edges.light import Light
from calibration.edges.strips import interpolation_shift, sample_strips
from calibration.priors import CameraPrior

BELL_PER_BLUR: Final = 2.0
"""Width of the bell by the blur; 2.2 has least variance, less keeps neighbours out."""

FIRST_BELL_PX: Final = 2.0
BLUR_RANGE_PX: Final = (0.6, 3.0)
"""A pixel's own box and a sharp lens; a picture out of focus."""

_ROUNDS: Final = 5
_REACH_PER_BELL: Final = 3.0
_SETTLED_PX: Final = 0.005
"""An edge that moves less in a round is done: the next would be a third of it."""

_BELL_GROUPS_PX: Final = (2.2, 3.2, 4.5)

GAP_CONTRAST: Final = 0.25
"""Places with less than this share of the usual contrast show nothing of the edge."""

BIWEIGHT: Final = 4.685
"""Tukey's constant: 95 % efficient on normal errors."""

_REWEIGHTED: Final = 3
"""Robust steps a round; the rounds themselves go on reweighting."""

_MAD_TO_SD: Final = 1.4826
_LAGS: Final = 12
"""Places over which errors along an edge hang together: blur, joints, JPEG blocks."""

_LEAST_SD_PX: Final = 0.004
"""Interpolation, its correction and rounding leave this much."""


@dataclass(frozen=True, slots=True, eq=False)
class EdgeFits:
    """Fitted edges, one a row.

    Attributes
    ----------
    ends_px : (S, 2, 2) float64
        On the edge, opposite the ends of the rough segment; image frame.
    k1 : (S,) float64
        The bend, as the lens's first radial coefficient that would explain it.
    covariance : (S, 3, 3) float64
        Of first end across, second end across (pixels, to the right of the way) and
        k1; first order, errors correlated along the edge.
    contrast : (S,) float64
        Step of light to the right of the way, signed; 1 is black to white.
    blur_px : (S,) float64
        Standard width of the edge.
    support : (S,) float64
        Share of the places that show the edge.
    scatter_px : (S,) float64
        Robust spread of single places about the line.
    """

    ends_px: FloatArray
    k1: FloatArray
    covariance: FloatArray
    contrast: FloatArray
    blur_px: FloatArray
    support: FloatArray
    scatter_px: FloatArray

    def __len__(self) -> int:
        """Return how many."""
        return len(self.ends_px)

    def __getitem__(self, rows: slice | IntArray | BoolArray) -> "EdgeFits":
        """Return some of them."""
        parts = (getattr(self, name) for name in self.__slots__)
        return EdgeFits(*(part[rows] for part in parts))

    @property
    def length_px(self) -> FloatArray:
        """Lengths (S,)."""
        way: FloatArray = self.ends_px[:, 1] - self.ends_px[:, 0]
        return np.hypot(way[:, 0], way[:, 1])

    @property
    def sd_px(self) -> FloatArray:
        """Standard uncertainty across at the worse end (S,)."""
        sd: FloatArray = np.sqrt(
            np.maximum(self.covariance[:, 0, 0], self.covariance[:, 1, 1])
        )
        return sd


def fit_edges(
    light: Light,
    ends_px: FloatArray,
    camera: CameraPrior,
    *,
    places: int | None = None,
    polarity: FloatArray | None = None,
    most_bell_px: FloatArray | None = None,
) -> EdgeFits:
    """Fit straight edges near rough segments.

    Parameters
    ----------
    light : Light
        The picture.
    ends_px : (S, 2, 2) float64
        Rough ends, within about two pixels of their edges.
    camera : CameraPrior
        What is known of the lens: straight lines may bend that far.
    places : int, optional
        Along each edge; one a pixel of the longest without.
    polarity : (S,) float64, optional
        Sign of the step that is meant; the stronger without.
    most_bell_px : (S,) float64, optional
        Widest bell of each: less keeps a stronger edge beside it out of sight.

    Returns
    -------
    EdgeFits
        An edge that shows nowhere has support 0 and keeps its rough ends.
    """
    ends = np.array(ends_px, dtype=np.float64).reshape(-1, 2, 2)
    count = len(ends)
    if not count:
        return no_edges()
    way = ends[:, 1] - ends[:, 0]
    length = np.maximum(np.hypot(way[:, 0], way[:, 1]), 1.0)
    number = places or int(np.clip(np.ceil(length.max(initial=1.0)), 8, 6000))
    share = (np.arange(number) + 0.5) / number
    k1 = np.full(count, camera.k1)
    widest = np.full(count, np.inf) if most_bell_px is None else most_bell_px
    bell = np.minimum(FIRST_BELL_PX, widest)
    sign = np.zeros(count) if polarity is None else np.sign(polarity)
    state = _blank(count)
    active = np.arange(count)
    for _ in range(_ROUNDS):
        for rows in _alike(active, bell):
            lines = ends[rows], k1[rows], camera
            state.take(rows, _one_round(light, lines, share, bell[rows], sign[rows]))
        step = state.step[active]
        ends[active] += step[:, :2, None] * state.normal[active][:, None]
        k1[active] += step[:, 2]
        sign[active] = np.sign(state.contrast[active])
        bell[active] = np.minimum(BELL_PER_BLUR * state.blur[active], widest[active])
        active = active[np.abs(step[:, :2]).max(axis=1) >= _SETTLED_PX]
        if not len(active):
            break
    return EdgeFits(
        ends,
        k1,
        state.covariance,
        state.contrast,
        state.blur,
        state.support,
        state.scatter,
    )


def _alike(rows: IntArray, bell: FloatArray) -> list[IntArray]:
    """Return edges by how far across they look: one wide one makes all of them slow."""
    group = np.searchsorted(_BELL_GROUPS_PX, bell[rows])
    return [rows[group == place] for place in np.unique(group)]


def no_edges() -> EdgeFits:
    """Return an empty table of edges."""
    none = np.zeros(0)
    return EdgeFits(np.zeros((0, 2, 2)), none, np.zeros((0, 3, 3)), none, none, none, none)


@dataclass(frozen=True, slots=True, eq=False)
class _Round:
    step: FloatArray
    covariance: FloatArray
    normal: FloatArray
    contrast: FloatArray
    blur: FloatArray
    support: FloatArray
    scatter: FloatArray

    def take(self, rows: IntArray, part: "_Round") -> None:
        """Put a round of some edges into that of all."""
        for name in self.__slots__:
            getattr(self, name)[rows] = getattr(part, name)


def _blank(count: int) -> _Round:
    none = [np.zeros(count) for _ in range(4)]
    return _Round(
        np.zeros((count, 3)), np.zeros((count, 3, 3)), np.zeros((count, 2)), *none
    )


def _one_round(
    light: Light,
    lines: tuple[FloatArray, FloatArray, CameraPrior],
    share: FloatArray,
    bell: FloatArray,
    sign: FloatArray,
) -> _Round:
    ends, k1, camera = lines
    arc = arcs(ends, share, camera, k1)
    reach = int(np.ceil(_REACH_PER_BELL * bell.max(initial=FIRST_BELL_PX)))
    offsets = np.arange(-reach, reach + 1, dtype=np.float64)
    strips = sample_strips(light, arc, offsets)
    slope = np.diff(strips, axis=2).astype(np.float64)
    at = (offsets[1:] + offsets[:-1]) / 2.0
    weight = np.exp(-0.5 * (at / bell[:, None]) ** 2)
    mean_slope = slope.mean(axis=1) * weight
    if not sign.all():
        sign = np.where(sign == 0.0, np.sign(mean_slope.sum(axis=1)), sign)
    blur = _blur(mean_slope * sign[:, None], at, bell)
    gain = 1.0 + (blur / bell) ** 2
    mass, moment = np.moveaxis(slope @ np.stack([weight, weight * at], axis=2), 2, 0)
    # The bell takes part of the step: a bell of width w leaves w / hypot(w, blur).
    seen = mass * np.sqrt(gain)[:, None] * sign[:, None]
    usual = np.maximum(np.median(seen, axis=1), np.mean(seen, axis=1))
    shows = seen > np.maximum(GAP_CONTRAST * usual, 1e-6)[:, None]
    shift = np.where(shows, moment / np.where(shows, mass, 1.0), 0.0) * gain[:, None]
    shift -= interpolation_shift(arc, blur, bell)
    # A place far off sees another edge's tail.
    shows &= np.abs(shift) < 2.0 * bell[:, None]
    strength = np.where(shows, np.minimum(seen, 1.5 * usual[:, None]) ** 2, 0.0)
    step, covariance, scatter, kept = _line(
        shift, strength, share, arc.bend_px, (k1 - camera.k1, camera.k1_sd), ends
    )
    limit = 1.5 * bell[:, None]
    step[:, :2] = np.clip(step[:, :2], -limit, limit)
    contrast = sign * np.where(kept.any(axis=1), np.abs(usual), 0.0)
    return _Round(
        step,
        covariance,
        arc.across[:, 0],
        contrast,
        blur,
        kept.mean(axis=1),
        scatter,
    )


def _blur(mean_slope: FloatArray, at: FloatArray, bell: FloatArray) -> FloatArray:
    """Return the standard width of edges from their weighed mean gradient (S, M)."""
    mass = np.clip(mean_slope, 0.0, None)
    total = np.maximum(mass.sum(axis=1), 1e-12)
    middle = (mass @ at) / total
    spread = np.sum(mass * (at - middle[:, None]) ** 2, axis=1) / total
    # 1 / spread = 1 / blur^2 + 1 / bell^2, the product of two bells.
    inverse = 1.0 / np.maximum(spread, 1e-3) - 1.0 / bell**2
    blur: FloatArray = 1.0 / np.sqrt(np.maximum(inverse, 1e-3))
    return np.clip(blur, *BLUR_RANGE_PX)


def _line(
    shift: FloatArray,
    strength: FloatArray,
    share: FloatArray,
    bend: FloatArray,
    known_k1: tuple[FloatArray, float],
    ends: FloatArray,
) -> tuple[FloatArray, FloatArray, FloatArray, BoolArray]:
    """Fit ends and bend robustly; return step, covariance, scatter and places kept."""
    count, number = shift.shape
    design = np.empty((count, number, 3))
    design[..., 0], design[..., 1], design[..., 2] = 1.0 - share, share, bend
    so_far, k1_sd = known_k1
    usual = np.maximum(strength.max(axis=1, keepdims=True), 1e-30)
    base = strength / usual
    robust = (base > 0.0).astype(np.float64)
    step = np.zeros((count, 3))
    scatter = np.ones(count)
    normal = np.empty((count, 3, 3))
    for _ in range(_REWEIGHTED):
        weight = base * robust
        weighed = (design * weight[..., None]).transpose(0, 2, 1)
        normal = weighed @ design
        goal = (weighed @ shift[..., None])[..., 0]
        # What is known of the lens, in units of the scatter of one place.
        tie = scatter**2 / max(k1_sd, 1e-9) ** 2
        normal[:, 2, 2] += tie + 1e-12
        goal[:, 2] -= tie * so_far
        normal[:, 0, 0] += 1e-9
        normal[:, 1, 1] += 1e-9
        step = np.linalg.solve(normal, goal[..., None])[..., 0]
        left = shift - (design @ step[..., None])[..., 0]
        scatter = _spread(left, base)
        # Weaker places scatter more: by one over their contrast.
        ratio = left * np.sqrt(base) / (BIWEIGHT * scatter)[:, None]
        robust = np.where(np.abs(ratio) < 1.0, (1.0 - ratio**2) ** 2, 0.0)
    weight = base * robust
    left = (shift - (design @ step[..., None])[..., 0]) * np.sqrt(weight)
    free = np.maximum((weight > 0.1).sum(axis=1) - 3.0, 1.0)
    variance = np.sum(left**2, axis=1) / free * _correlation(left)
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    # Places closer than a pixel repeat each other.
    variance = variance * np.maximum(number / np.maximum(length, 1.0), 1.0)
    covariance = np.linalg.inv(normal) * variance[:, None, None] + _floor(k1_sd)
    kept = (weight > 0.02) & (robust > 0.0)
    return step, covariance, scatter, kept


def _floor(k1_sd: float) -> FloatArray:
    return np.diag([_LEAST_SD_PX**2, _LEAST_SD_PX**2, (1e-3 * k1_sd) ** 2])


def _spread(left: FloatArray, base: FloatArray) -> FloatArray:
    """Return the robust spread of residuals (S, N) that have weight."""
    shown = base > 0.0
    size = np.sort(np.where(shown, np.abs(left) * np.sqrt(base), np.inf), axis=1)
    half = np.maximum(shown.sum(axis=1) - 1, 0) // 2
    middle = size[np.arange(len(size)), half]
    spread: FloatArray = np.where(np.isfinite(middle), middle, 1.0)
    return np.maximum(_MAD_TO_SD * spread, 1e-3)


def _correlation(left: FloatArray) -> FloatArray:
    """Return by how much correlated errors along an edge enlarge its variance (S,)."""
    power = np.maximum(np.sum(left**2, axis=1), 1e-30)
    factor = np.ones(len(left))
    alive = np.ones(len(left), dtype=bool)
    for lag in range(1, min(_LAGS, left.shape[1] // 4) + 1):
        rho = np.sum(left[:, lag:] * left[:, :-lag], axis=1) / power
        alive &= rho > 0.0
        factor += 2.0 * np.where(alive, rho, 0.0)
    return factor
