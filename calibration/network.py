"""All references of one elevation as one system of linearised equations.

The functional model is ``F(x, l) = 0`` in conditions between unknowns ``x`` and
picks ``l`` (the Gauss-Helmert model). Linearised at ``x`` and adjusted picks ``l^``

    w + A dx + B v = e,   w = F(x, l^) + B (l - l^),   cov(w) = B S_l B' + S_e

and whitened with the Cholesky factor of cov(w). Evaluating at *adjusted* picks
keeps the estimate free of the bias that noisy picks in ``A`` would cause.
References: Mikhail and Ackermann (1976), Observations and Least Squares, ch. 5-9;
Lenzmann and Lenzmann (2004) for the rigorous iteration (both from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np

from calibration.arrays import FloatArray, IntArray
from calibration.camera import CAMERA_UNKNOWNS, Camera, CameraUnknown, OnWall
from calibration.priors import SWING_SD_RAD, CameraPrior
from calibration.references.base import Conditions, Prior, Reference, Unknown

_LENS = slice(CameraUnknown.LOG_FOCAL, CameraUnknown.K2 + 1)

_LARGEST: Final = 1e100
"""A derivative beyond this means nothing, and its square may overflow."""


@dataclass(frozen=True, eq=False)
class State:
    """Values of all unknowns.

    Attributes
    ----------
    camera : Camera
        The first nine unknowns.
    own : (n,) float64
        Those of the references, in the network's order.
    """

    camera: Camera
    own: FloatArray

    def moved(self, step: FloatArray) -> "State":
        """Return the state after a step in all unknowns, (9 + n,)."""
        camera = self.camera.moved(step[:CAMERA_UNKNOWNS])
        return State(camera, self.own + step[CAMERA_UNKNOWNS:])


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """One reference's whitened conditions.

    Attributes
    ----------
    rows : slice
        Its rows in the whole system.
    wrt_picks : (U, C, 2 K) float64
        ``B``, millimetres per pixel.
    unwhiten : (U, C, C) float64
        Lower Cholesky factor of cov(w).
    picks : (U, K) int
        Positions of its picks among all picks.
    """

    rows: slice
    wrt_picks: FloatArray
    unwhiten: FloatArray
    picks: IntArray


@dataclass(frozen=True, slots=True, eq=False)
class Equations:
    """The whitened system ``residual + jacobian dx``: conditions, then priors.

    Attributes
    ----------
    jacobian : (M, 9 + n) float64
        Unit-free rows.
    residual : (M,) float64
        In standard deviations.
    blocks : tuple of Block
        One a reference.
    """

    jacobian: FloatArray
    residual: FloatArray
    blocks: tuple[Block, ...]

    @property
    def cost(self) -> float:
        """Weighted sum of squares."""
        with np.errstate(over="ignore", invalid="ignore"):
            return float(self.residual @ self.residual)


@dataclass(frozen=True, eq=False)
class Network:
    """The references of an elevation and what is known of its camera.

    Attributes
    ----------
    references : tuple of Reference
        At least one.
    camera : CameraPrior
        What is known of the camera.
    swing_rad : float or None
        Prior of the camera's swing when nothing in the picture is level.
    """

    references: tuple[Reference, ...]
    camera: CameraPrior
    swing_rad: float | None = None

    @cached_property
    def unknowns(self) -> tuple[Unknown, ...]:
        """Unknowns of the references, shared ones once."""
        found: dict[str, Unknown] = {}
        for reference in self.references:
            for unknown in reference.unknowns():
                found.setdefault(unknown.key, unknown)
        return tuple(found.values())

    @cached_property
    def _columns(self) -> tuple[IntArray, ...]:
        place = {unknown.key: i for i, unknown in enumerate(self.unknowns)}
        return tuple(
            np.array([place[u.key] for u in reference.unknowns()], dtype=np.intp)
            for reference in self.references
        )

    def column(self, key: str) -> int:
        """Return the column of an own unknown in the whole system."""
        keys = [unknown.key for unknown in self.unknowns]
        return CAMERA_UNKNOWNS + keys.index(key)

    @property
    def size(self) -> int:
        """Number of unknowns."""
        return CAMERA_UNKNOWNS + len(self.unknowns)

    @cached_property
    def picks_px(self) -> FloatArray:
        """All picks, (N, 2)."""
        return np.concatenate([r.picks_px for r in self.references])

    @cached_property
    def slices(self) -> tuple[slice, ...]:
        """Where each reference's picks lie among all."""
        ends = np.cumsum([len(r.picks_px) for r in self.references])
        starts = np.concatenate([[0], ends[:-1]])
        return tuple(slice(int(a), int(b)) for a, b in zip(starts, ends, strict=True))

    @cached_property
    def scales(self) -> FloatArray:
        """Typical size of a change of each unknown, (9 + n,), for conditioning."""
        lens = np.concatenate(
            [
                [max(self.camera.focal_log_sd, 1e-3)],
                self.camera.centre_sd_px,
                [self.camera.k1_sd, self.camera.k2_sd],
            ]
        )
        pose = np.array([0.01, 0.01, 0.01, 0.01])
        own = np.array([unknown.scale for unknown in self.unknowns])
        return np.concatenate([np.maximum(lens, 1e-9), pose, own])

    @cached_property
    def priors(self) -> tuple[tuple[int, Prior], ...]:
        """Column and prior of every pseudo-observation, the swing's apart."""
        lens = self.camera
        key = lens.key
        camera = [
            ("focal length", float(np.log(lens.focal_px)), lens.focal_log_sd),
            (
                "principal point x",
                float(lens.centre_px[0]),
                float(lens.centre_sd_px[0]),
            ),
            (
                "principal point y",
                float(lens.centre_px[1]),
                float(lens.centre_sd_px[1]),
            ),
            ("lens k1", lens.k1, lens.k1_sd),
            ("lens k2", lens.k2, lens.k2_sd),
        ]
        labels = ["focal length", *["principal point"] * 2, *["lens distortion"] * 2]
        listed = [
            (
                column,
                Prior(mean=m, sd=s, key=f"{key}: {name}", label=label, shared=True),
            )
            for column, ((name, m, s), label) in enumerate(zip(camera, labels, strict=True))
        ]
        listed.extend(
            (CAMERA_UNKNOWNS + i, unknown.prior)
            for i, unknown in enumerate(self.unknowns)
            if unknown.prior is not None
        )
        return tuple(listed)

    def blurred(self, factor: float) -> "Network":
        """Return the same network with every pick that many times less sure."""
        less_sure = (
            replace(reference, pick_sd_px=factor * reference.pick_sd_px)
            for reference in self.references
        )
        return replace(self, references=tuple(less_sure))

    def start(self, camera: Camera) -> State:
        """Return first values of all unknowns for a roughly known camera."""
        own = np.zeros(len(self.unknowns))
        heights = [np.full(len(r.picks_px), r.projection_mm) for r in self.references]
        wall = camera.back_project(self.picks_px, np.concatenate(heights))
        for reference, columns, part in zip(
            self.references, self._columns, self.slices, strict=True
        ):
            own[columns] = np.nan_to_num(reference.initial(wall[part]))
        return State(camera, own)

    def place(self, state: State, picks_px: FloatArray) -> tuple[OnWall, list[FloatArray]]:
        """Return all picks on their planes, and each reference's plane derivative."""
        planes = [
            reference.planes(state.own[columns])
            for reference, columns in zip(self.references, self._columns, strict=True)
        ]
        heights = np.concatenate([height for height, _ in planes])
        return state.camera.back_project(picks_px, heights), [s for _, s in planes]

    def own_values(self, state: State, index: int) -> FloatArray:
        """Return the values of one reference's own unknowns, (n,)."""
        values: FloatArray = state.own[self._columns[index]]
        return values

    def conditions(self, state: State, wall: OnWall, index: int) -> Conditions:
        """Return the conditions of one reference at placed picks."""
        xy = wall.xy_mm[self.slices[index]]
        return self.references[index].conditions(xy, self.own_values(state, index))

    def equations(self, state: State, adjusted_px: FloatArray) -> Equations:
        """Return the whitened linearised system.

        Parameters
        ----------
        state : State
            Where to linearise.
        adjusted_px : (N, 2) float64
            Adjusted picks, where to linearise.

        Returns
        -------
        Equations
            Of infinite or undefined cost where a pick does not meet the wall, and
            where a trial state lies so far off that nothing can be evaluated.
        """
        # A trial state may put two ends on one spot, or overflow. Its cost tells, and
        # whoever tries states asks for it.
        with np.errstate(all="ignore"):
            try:
                found = self._linearised(state, adjusted_px)
            except (np.linalg.LinAlgError, OverflowError):
                return self._nowhere
            fits = np.abs(found.jacobian).max(initial=0.0) < _LARGEST
            return found if fits else self._nowhere

    @cached_property
    def _nowhere(self) -> Equations:
        """Equations of a state at which there are none."""
        return Equations(np.zeros((0, self.size)), np.array([np.inf]), ())

    def _linearised(self, state: State, adjusted_px: FloatArray) -> Equations:
        wall, plane_slopes = self.place(state, adjusted_px)
        misses = self.picks_px - adjusted_px
        jacobians, residuals, blocks = [], [], []
        row = 0
        for i, reference in enumerate(self.references):
            found = self.conditions(state, wall, i)
            part = wall[self.slices[i]]
            A, B = self._spread(i, found, part, plane_slopes[i])
            shift = np.einsum(
                "ucq,uq->uc", B, misses[self.slices[i]][found.picks].reshape(len(B), -1)
            )
            noise = reference.pick_sd_px**2 * (B @ B.transpose(0, 2, 1))
            L = np.asarray(np.linalg.cholesky(noise + found.covariance), np.float64)
            joint = np.concatenate([A, (found.misclosure + shift)[:, :, None]], axis=2)
            white = np.linalg.solve(L, joint).reshape(-1, self.size + 1)
            rows = slice(row, row + len(white))
            row = rows.stop
            jacobians.append(white[:, :-1])
            residuals.append(white[:, -1])
            blocks.append(Block(rows, B, L, found.picks + self.slices[i].start))
        prior_jacobian, prior_residual = self._prior_rows(state)
        return Equations(
            np.concatenate([*jacobians, prior_jacobian]),
            np.concatenate([*residuals, prior_residual]),
            tuple(blocks),
        )

    def _spread(
        self, index: int, found: Conditions, wall: OnWall, plane_slope: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Chain a reference's derivatives to all unknowns (A) and to its picks (B)."""
        units, count, picks, _ = found.wrt_xy.shape
        wrt_xy = found.wrt_xy.reshape(units, count, 2 * picks)
        camera = wall.wrt_camera[found.picks].reshape(units, 2 * picks, -1)
        A = np.zeros((units, count, self.size))
        A[:, :, :CAMERA_UNKNOWNS] = wrt_xy @ camera
        own = found.wrt_own
        if plane_slope.size:
            lift = wall.wrt_z[found.picks][..., None] * plane_slope[found.picks][:, :, None]
            own = own + wrt_xy @ lift.reshape(units, 2 * picks, -1)
        A[:, :, CAMERA_UNKNOWNS + self._columns[index]] = own
        per_pick = found.wrt_xy.transpose(0, 2, 1, 3) @ wall.wrt_px[found.picks]
        B = per_pick.transpose(0, 2, 1, 3).reshape(units, count, 2 * picks)
        return A, B

    @cached_property
    def _prior_table(self) -> tuple[IntArray, FloatArray, FloatArray]:
        columns = np.array([column for column, _ in self.priors], dtype=np.intp)
        means = np.array([prior.mean for _, prior in self.priors])
        sds = np.array([prior.sd for _, prior in self.priors])
        return columns, means, sds

    def _prior_rows(self, state: State) -> tuple[FloatArray, FloatArray]:
        columns, means, sds = self._prior_table
        lens = state.camera
        values = np.concatenate(
            [
                [np.log(lens.focal_px), *lens.centre_px, lens.k1, lens.k2],
                np.zeros(CAMERA_UNKNOWNS - CameraUnknown.TURN_X),
                state.own,
            ]
        )
        jacobian = np.zeros((len(columns), self.size))
        jacobian[np.arange(len(columns)), columns] = 1.0 / sds
        residual = (values[columns] - means) / sds
        if self.swing_rad is None:
            return jacobian, residual
        slope, miss = _swing(lens, self.swing_rad)
        row = np.zeros((1, self.size))
        row[0, CameraUnknown.TURN_X : CameraUnknown.TURN_Z + 1] = slope / SWING_SD_RAD
        return (
            np.concatenate([jacobian, row]),
            np.append(residual, miss / SWING_SD_RAD),
        )

    def adjusted(self, equations: Equations, residual: FloatArray) -> FloatArray:
        """Return adjusted picks (N, 2) from the whitened residuals of a solution."""
        picks = self.picks_px.copy()
        for block, reference in zip(equations.blocks, self.references, strict=True):
            shape = block.unwhiten.shape[:2]
            white = residual[block.rows].reshape(*shape, 1)
            correlate = np.linalg.solve(block.unwhiten.transpose(0, 2, 1), white)
            v = -(reference.pick_sd_px**2) * (
                block.wrt_picks.transpose(0, 2, 1) @ correlate
            )
            picks[block.picks] += v.reshape(*block.picks.shape, 2)
        return picks


def _swing(camera: Camera, target_rad: float) -> tuple[FloatArray, float]:
    """Return derivative of the swing by the turn, (3,), and its miss."""
    right = camera.R_wall_from_camera[:, 0]
    planar = right[0] ** 2 + right[1] ** 2
    # d right = turn x right; d atan2(y, x) = (x dy - y dx) / (x^2 + y^2).
    slope = np.array([-right[0] * right[2], -right[1] * right[2], planar]) / planar
    miss = (camera.swing_rad - target_rad + np.pi) % (2 * np.pi) - np.pi
    return slope, float(miss)


def build_network(references: Sequence[Reference], camera: CameraPrior) -> Network:
    """Return the network of an elevation.

    Parameters
    ----------
    references : sequence of Reference
        At least one, soffits included.
    camera : CameraPrior
        What is known of the camera.

    Returns
    -------
    Network
        With a weak prior of the swing if no reference is level or plumb.
    """
    network = Network(tuple(references), camera)
    if any(reference.levels for reference in references):
        return network
    return replace(network, swing_rad=0.0)
