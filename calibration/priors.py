"""What is known before the first pick: spreads of cameras, walls and tapes.

These are the model errors of real life. They are common to all lengths of an
elevation, no amount of picking removes them, and they enter the adjustment as
pseudo-observations so that every length carries its share.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray, frozen

DIAGONAL_35MM: Final = float(np.hypot(36.0, 24.0))
"""Diagonal of a 36 mm x 24 mm frame, 43.27 mm: CIPA DCG-001's definition of the
35 mm equivalent focal length uses the diagonal."""

FOCAL_UNKNOWN_35MM: Final = 27.0
"""Middle of phone main cameras. Common practice, no source."""

FOCAL_UNKNOWN_LOG_SD: Final = 0.4
"""Phone lenses run from 13 mm to 77 mm equivalent, a factor 2.4 either way of
the middle, taken as about two standard deviations. Common practice, no source."""

CENTRE_SD: Final = 0.008
"""Principal point off the picture's centre, per long side. Common practice, no
source."""

CENTRE_SD_UNKNOWN_PICTURE: Final = 0.015
"""The same without camera data: a messenger may have trimmed it. As above."""

LENS_CORNER_SD_K1: Final = 0.010
"""Relative displacement at the corner of the picture that phone software leaves,
first radial term. Common practice, no source."""

LENS_CORNER_SD_K2: Final = 0.004
"""The same for everything beyond the first radial term."""

LENS_BEYOND_K1: Final = LENS_CORNER_SD_K2 / LENS_CORNER_SD_K1
"""Share of the first radial term's spread that the rest has at the corner: a lens of
which little is known has not just one term. Two calibrated lenses with k1 = -0.29
have k2 = +0.10, a share of 0.19 at their corners (docs/accuracy.md)."""

SWING_SD_RAD: Final = float(np.radians(3.0))
"""How level a hand holds a camera; used only if nothing in the picture is level
or plumb, and of no effect on lengths. Common practice, no source."""

WALL_RELIEF_SD_MM: Final = 4.0
"""Brickwork out of plane where a reference lies: the permitted +-8 mm of NHBC
Standards 2011, 1.2-S1(e)(f), taken as two standard deviations."""

LEVEL_SD_PER_MM: Final = 8.0 / 5000.0 / 2.0
"""Bed joints out of level: +-8 mm in 5 m (NHBC 2011, 1.2-S1(a)) as two sd."""

PLUMB_SD_PER_MM: Final = 8.0 / 2500.0 / 2.0
"""Jambs and quoins out of plumb: +-8 mm a storey of 2.5 m (NHBC 2011), as two sd."""

DIRECTION_FLOOR_MM: Final = 2.0
"""No edge of a building is better defined than this. Common practice, no source."""

OVERHANG_MEAN_MM: Final = 250.0
OVERHANG_SD_MM: Final = 250.0
"""A traced soffit before it is measured: eaves overhang 50 to 600 mm, so this only
keeps a soffit seen edge-on from failing. Common practice, no source."""

SOFFIT_FALL_SD_MM: Final = 3.0
"""Outer edge of a soffit above or below its wall edge. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CameraPrior:
    """What is known of a camera before the references speak.

    Attributes
    ----------
    key : str
        Same key, same camera and zoom: its errors are common to its photos.
    size_px : (2,) float64
        Width and height of the upright picture.
    focal_px, focal_log_sd : float
        Focal length and its relative spread.
    centre_px, centre_sd_px : (2,) float64
        Principal point and its spread.
    k1, k1_sd, k2, k2_sd : float
        Radial distortion and its spread.
    focal_known : bool
        False when only the range of phone lenses is known.
    lens_stated : bool
        Whether somebody stated the spread of the distortion, not we assume it.
    """

    key: str
    size_px: FloatArray
    focal_px: float
    focal_log_sd: float
    centre_px: FloatArray
    centre_sd_px: FloatArray
    k1: float
    k1_sd: float
    k2: float
    k2_sd: float
    focal_known: bool
    lens_stated: bool

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        for name in ("size_px", "centre_px", "centre_sd_px"):
            object.__setattr__(self, name, frozen(getattr(self, name), 2))


@dataclass(frozen=True, slots=True, kw_only=True)
class LensKnowledge:
    """What job file and photo say about the lens; None where they are silent.

    Attributes
    ----------
    focal_px, focal_sd_px : float or None
        Focal length and its standard uncertainty.
    k1, k1_sd : float or None
        First radial coefficient.
    centre_px : tuple of float or None
        Principal point, if it was calibrated.
    centre_sd_px : tuple of float or None
        Its spread, x and y.
    key : str
        Identity of camera and zoom.
    """

    focal_px: float | None = None
    focal_sd_px: float | None = None
    k1: float | None = None
    k1_sd: float | None = None
    centre_px: tuple[float, float] | None = None
    centre_sd_px: tuple[float, float] | None = None
    key: str = "camera"


FOCAL_REL_SD: Final = 0.04
"""Spread of a focal length stated without one: EXIF's 35 mm equivalent is an
integer (1.9 % at 26 mm) and diagonal or width based (4 % at 4:3)."""


def usual_k1_sd(camera: CameraPrior) -> float:
    """Return the spread of k1 that phone software leaves at a camera's focal length."""
    corner = float(np.hypot(*camera.size_px)) / 2.0 / camera.focal_px
    return LENS_CORNER_SD_K1 / corner**2


def camera_prior(size_px: tuple[int, int], lens: LensKnowledge) -> CameraPrior:
    """Return what is known of a camera, from facts where there are any.

    Parameters
    ----------
    size_px : tuple of int
        Width and height of the upright picture.
    lens : LensKnowledge
        Facts, None where unknown.

    Returns
    -------
    CameraPrior
    """
    size = np.array(size_px, dtype=np.float64)
    diagonal = float(np.hypot(*size))
    known = lens.focal_px is not None
    focal = lens.focal_px or FOCAL_UNKNOWN_35MM / DIAGONAL_35MM * diagonal
    log_sd = FOCAL_UNKNOWN_LOG_SD
    if known:
        log_sd = (lens.focal_sd_px or FOCAL_REL_SD * focal) / focal
    corner = diagonal / 2.0 / focal
    k1_sd = lens.k1_sd if lens.k1_sd is not None else LENS_CORNER_SD_K1 / corner**2
    beyond = max(LENS_CORNER_SD_K2, LENS_BEYOND_K1 * k1_sd * corner**2)
    spread = CENTRE_SD if known else CENTRE_SD_UNKNOWN_PICTURE
    centre_sd = lens.centre_sd_px or (spread * float(size.max()),) * 2
    return CameraPrior(
        key=lens.key,
        size_px=size,
        focal_px=focal,
        focal_log_sd=log_sd,
        centre_px=np.array(lens.centre_px) if lens.centre_px else (size - 1.0) / 2.0,
        centre_sd_px=np.array(centre_sd),
        k1=lens.k1 or 0.0,
        k1_sd=k1_sd,
        k2=0.0,
        k2_sd=beyond / corner**4,
        focal_known=known,
        lens_stated=lens.k1_sd is not None,
    )
