"""Traced picks as wall points with everything that is known of their uncertainty."""

from dataclasses import dataclass

import numpy as np

from calibration.arrays import FloatArray
from calibration.camera import CAMERA_UNKNOWNS
from calibration.errors import BadReference
from calibration.solution import Solution
from calibration.uncertain import Input, Uncertain
from photomeasure.job.build import Trace


@dataclass(frozen=True, slots=True, eq=False)
class Traced:
    """A traced line on its plane.

    Attributes
    ----------
    trace : Trace
        What was picked.
    coordinates : Uncertain
        ``x_0, y_0, x_1, y_1, ...`` in the wall frame, millimetres.
    z_mm : float
        Height of its plane above the wall.
    """

    trace: Trace
    coordinates: Uncertain
    z_mm: float

    @property
    def xy_mm(self) -> FloatArray:
        """Points (N, 2), wall frame."""
        return self.coordinates.values.reshape(-1, 2)


@dataclass(frozen=True, slots=True)
class Plane:
    """Where a line's plane is, and what its height depends on.

    Attributes
    ----------
    z_mm : float
        Height above the wall.
    own_column : int or None
        Column of the unknown that it is, if the adjustment found it.
    inputs : tuple of Input
        What else its height depends on.
    sds_mm : tuple of float
        Spread of each.
    """

    z_mm: float
    own_column: int | None
    inputs: tuple[Input, ...]
    sds_mm: tuple[float, ...]


def place_trace(solution: Solution, trace: Trace, where: str) -> Traced:
    """Bring a traced line to the plane where it hangs.

    Parameters
    ----------
    solution : Solution
        The calibrated elevation.
    trace : Trace
    where : str
        Place in the job, for the refusal.

    Returns
    -------
    Traced

    Raises
    ------
    BadReference
        If a pick does not meet the plane in front of the camera.
    """
    plane = _plane(solution, trace)
    name = f"{solution.name}/line {trace.name}"
    coordinates = place_picks(solution, trace.picks_px, trace.pick_sd_px, plane, name)
    if coordinates is None:
        raise BadReference(
            f"{where}.picks",
            f"{trace.name!r} crosses the wall's horizon or its plane lies behind the "
            "camera, so it has no length there",
            "pick the line itself on this wall, or use a photo from further back",
        )
    return Traced(trace, coordinates, plane.z_mm)


def place_on_wall(
    solution: Solution, picks_px: FloatArray, pick_sd_px: float, name: str
) -> Uncertain | None:
    """Bring picks (N, 2) to the wall itself; None if one does not meet it."""
    plane = Plane(0.0, None, (), ())
    return place_picks(solution, picks_px, pick_sd_px, plane, f"{solution.name}/{name}")


def _plane(solution: Solution, trace: Trace) -> Plane:
    hanging = trace.hanging
    relief = Input(f"wall relief at {trace.name}", "wall not flat", is_model=True)
    if hanging.soffit is not None:
        key = f"{hanging.soffit}: overhang"
        column = solution.network.column(key)
        return Plane(solution.value(key), column, (relief,), (hanging.relief_sd_mm,))
    label = "assumed projection" if hanging.assumed else "projection"
    stated = Input(f"projection of {trace.name}", label, is_model=True)
    sds = (hanging.sd_mm, hanging.relief_sd_mm)
    return Plane(hanging.mean_mm, None, (stated, relief), sds)


def place_picks(
    solution: Solution,
    picks_px: FloatArray,
    pick_sd_px: float,
    plane: Plane,
    name: str,
) -> Uncertain | None:
    """Bring picks to a plane parallel to the wall, with first-order uncertainty.

    Parameters
    ----------
    solution : Solution
    picks_px : (N, 2) float64
    pick_sd_px : float
    plane : Plane
    name : str
        Identity of the picks.

    Returns
    -------
    Uncertain or None
        ``x_0, y_0, x_1, ...``; None if a pick does not meet the plane.
    """
    count = len(picks_px)
    wall = solution.camera.back_project(picks_px, np.full(count, plane.z_mm))
    if not np.isfinite(wall.xy_mm).all():
        return None
    wrt_z = wall.wrt_z.reshape(-1)
    common = wall.wrt_camera.reshape(2 * count, -1) @ solution.factor[:CAMERA_UNKNOWNS]
    if plane.own_column is not None:
        common = common + np.outer(wrt_z, solution.factor[plane.own_column])
    picking = np.zeros((2 * count, 2 * count))
    for k in range(count):
        picking[2 * k : 2 * k + 2, 2 * k : 2 * k + 2] = wall.wrt_px[k] * pick_sd_px
    hanging = np.outer(wrt_z, np.array(plane.sds_mm))
    inputs = (
        *solution.inputs,
        *(
            Input(f"{name}#{i}", "picks of the line", is_model=False)
            for i in range(2 * count)
        ),
        *plane.inputs,
    )
    factor = np.concatenate([common, picking, hanging], axis=1)
    return Uncertain(wall.xy_mm.reshape(-1), factor, inputs)
