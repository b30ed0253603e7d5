"""An elevation of the job file, with its photo, as something that can be adjusted."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from calibration.arrays import FloatArray
from calibration.errors import BadReference, InputError, UnknownName, UnreadablePhoto
from calibration.photo import (
    FocalPrior,
    PhotoHeader,
    focal_prior,
    focal_prior_from_35mm,
    read_header,
    unknown_framing,
)
from calibration.priors import (
    CENTRE_SD_UNKNOWN_PICTURE,
    SOFFIT_FALL_SD_MM,
    CameraPrior,
    LensKnowledge,
    camera_prior,
)
from calibration.references import Reference, Soffit
from calibration.references.soffit import Statement
from photomeasure.job.checks import ends_apart, picks_inside, spread_out
from photomeasure.job.limits import refuse_too_much
from photomeasure.job.references import build_references
from photomeasure.job.roles import RUNS_AWAY, UNSTATED_SD, USUAL_PROJECTION
from photomeasure.job.schema import ElevationSpec, LineSpec, Role, SoffitSpec


@dataclass(frozen=True, slots=True, kw_only=True)
class Hanging:
    """Where a line hangs in front of the wall.

    Attributes
    ----------
    mean_mm, sd_mm : float
        Stated or usual projection.
    assumed : bool
        True if nobody stated it.
    relief_sd_mm : float
        How flat its wall is: no plane is known better, however it was measured.
    soffit : str or None
        Name of the traced soffit that measures it instead.
    """

    mean_mm: float
    sd_mm: float
    assumed: bool
    relief_sd_mm: float
    soffit: str | None = None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Trace:
    """A traced line, checked.

    Attributes
    ----------
    name : str
    role : Role
    picks_px : (N, 2) float64
    pick_sd_px : float
    hanging : Hanging
    """

    name: str
    role: Role
    picks_px: FloatArray
    pick_sd_px: float
    hanging: Hanging


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Elevation:
    """An elevation ready to be adjusted and measured.

    Attributes
    ----------
    name : str
    photo : Path or None
    size_px : tuple of int
        Upright.
    camera : CameraPrior
    references : tuple of Reference
        Soffits included, last.
    traces : tuple of Trace or BadReference
        Lines that cannot be measured are their refusals.
    relief_sd_mm : float
        How flat the wall is.
    line_names : tuple of (str, Role)
        Name and role of all lines, in the file's order.
    ground_px : dict of str to (2,) float64
        Foot of the wall below each soffit that has one.
    advice : tuple of str
        Doubts about photo and lens.
    """

    name: str
    photo: Path | None
    size_px: tuple[int, int]
    camera: CameraPrior
    references: tuple[Reference, ...]
    traces: tuple[Trace | BadReference, ...]
    relief_sd_mm: float
    line_names: tuple[tuple[str, Role], ...]
    ground_px: dict[str, FloatArray]
    advice: tuple[str, ...]


def build_elevation(spec: ElevationSpec, folder: Path) -> Elevation:
    """Check an elevation against its photo and turn it into references and traces.

    Parameters
    ----------
    spec : ElevationSpec
    folder : Path
        Where a relative photo name starts.

    Returns
    -------
    Elevation

    Raises
    ------
    InputError
        UnreadablePhoto or BadReference, naming file or place.
    """
    refuse_too_much(spec)
    header = _header(spec, folder)
    size = _size(spec, header)
    camera, advice = camera_of(spec, header, size)
    if not spec.references:
        raise BadReference(
            f"{spec.name}: references",
            "there are none, so the photo has no scale",
            "add a taped distance, a rectangle of known size or counted brick courses",
        )
    references = build_references(spec, size)
    _check_lines(spec)
    soffits = [_soffit(spec, i, size) for i in range(len(spec.soffits))]
    traces = tuple(_trace(spec, i, size) for i in range(len(spec.lines)))
    return Elevation(
        name=spec.name,
        photo=header.path if header else None,
        size_px=size,
        camera=camera,
        references=(*references, *soffits),
        traces=traces,
        relief_sd_mm=spec.wall_relief_sd_mm,
        line_names=tuple((line.name, line.role) for line in spec.lines),
        ground_px=_grounds(spec, size),
        advice=advice,
    )


def _header(spec: ElevationSpec, folder: Path) -> PhotoHeader | None:
    if spec.photo is None:
        return None
    if "\0" in spec.photo:
        raise UnreadablePhoto(
            f"{spec.name}: photo", "the name holds a zero byte", "give a file name"
        )
    try:
        return read_header(folder / spec.photo)
    except UnreadablePhoto as error:
        raise _in_elevation(spec, error) from error


def _in_elevation(spec: ElevationSpec, error: UnreadablePhoto) -> UnreadablePhoto:
    """Return the refusal of a photo with the place in the job that names it."""
    what = f"{error.where}: {error.what}"
    return UnreadablePhoto(f"{spec.name}: photo", what, error.remedy)


def _size(spec: ElevationSpec, header: PhotoHeader | None) -> tuple[int, int]:
    stated = spec.camera.size_px
    if header is None:
        if stated is None:
            raise InputError(
                f"{spec.name}: camera.size_px",
                "is missing and there is no photo",
                "give the photo or the size of the upright picture",
            )
        return stated
    actual = header.upright_size_px
    if stated is not None and stated != actual:
        turned = " (it was picked on a turned picture)" if stated[::-1] == actual else ""
        raise InputError(
            f"{spec.name}: camera.size_px",
            f"says {stated[0]} x {stated[1]} but the upright photo is "
            f"{actual[0]} x {actual[1]} px{turned}",
            "pick on this photo as it stands upright, or leave size_px out",
        )
    return actual


def camera_of(
    spec: ElevationSpec, header: PhotoHeader | None, size: tuple[int, int]
) -> tuple[CameraPrior, tuple[str, ...]]:
    """Return what job and photo say of the camera, with doubts in words.

    Parameters
    ----------
    spec : ElevationSpec
    header : PhotoHeader or None
    size : tuple of int
        Upright photo.

    Returns
    -------
    CameraPrior, tuple of str
    """
    facts = spec.camera
    focal, advice = _focal(spec, header, size)
    if facts.centre_px is not None:
        picks_inside(f"{spec.name}: camera.centre_px", [facts.centre_px], size)
    make = header.lens.camera_key if header else ""
    known = facts.focal_px or (focal and focal.focal_px)
    sd = facts.focal_sd_px or (focal and focal.sd_px)
    # Without camera data nothing says that two photos come from one camera.
    key = f"camera {make} {size[0]}x{size[1]} {known:.1f}" if known else spec.name
    lens = LensKnowledge(
        focal_px=known or None,
        focal_sd_px=sd or None,
        k1=facts.distortion_k1,
        k1_sd=facts.distortion_k1_sd,
        centre_px=facts.centre_px,
        centre_sd_px=_centre_sd(spec, focal, size),
        key=key,
    )
    return camera_prior(size, lens), advice


def _centre_sd(
    spec: ElevationSpec, focal: FocalPrior | None, size: tuple[int, int]
) -> tuple[float, float] | None:
    """Return the spread of the principal point, None where the usual one holds."""
    facts = spec.camera
    if facts.centre_sd_px is not None:
        return (facts.centre_sd_px,) * 2
    if focal is not None:
        return focal.principal_point_sd_px
    if facts.centre_px is not None or facts.focal_px is not None:
        return None
    x, y = unknown_framing(size).centre_sd_px
    usual = CENTRE_SD_UNKNOWN_PICTURE * max(size)
    return float(np.hypot(usual, x)), float(np.hypot(usual, y))


def _focal(
    spec: ElevationSpec, header: PhotoHeader | None, size: tuple[int, int]
) -> tuple[FocalPrior | None, tuple[str, ...]]:
    """Return the focal length that job or photo state: the job's word comes first."""
    doubts = header.advice if header else ()
    if spec.camera.focal_px is not None:
        return None, doubts
    if spec.camera.focal_35mm is not None:
        focal: FocalPrior | None = focal_prior_from_35mm(spec.camera.focal_35mm, size)
    else:
        focal = focal_prior(header) if header else None
    if focal is None:
        unknown = (
            "The photo does not say its focal length (messengers remove it): it was "
            "found from the references alone."
        )
        return None, (*doubts, unknown, *unknown_framing(size).advice)
    return focal, (*doubts, *focal.advice)


def _check_lines(spec: ElevationSpec) -> None:
    names = [line.name for line in spec.lines]
    for i, name in enumerate(names):
        if name in names[:i]:
            raise BadReference(
                f"{spec.name}: lines[{i}].name",
                f"{name!r} names two lines",
                "give each line of one elevation its own name",
            )
    owner: dict[str, str] = {}
    for i, soffit in enumerate(spec.soffits):
        where = f"{spec.name}: soffits[{i}]"
        if soffit.name in [other.name for other in spec.soffits[:i]]:
            raise BadReference(
                f"{where}.name",
                f"{soffit.name!r} names two soffits",
                "give each its own name",
            )
        for name in soffit.lines:
            if name not in names:
                raise UnknownName(f"{where}.lines", name, names)
            if owner.setdefault(name, soffit.name) != soffit.name:
                raise BadReference(
                    f"{where}.lines",
                    f"{name!r} hangs at two soffits",
                    "leave it with the one it hangs at",
                )


def _soffit(spec: ElevationSpec, index: int, size: tuple[int, int]) -> Reference:
    entry = spec.soffits[index]
    where = f"{spec.name}: soffits[{index}]"
    wall = picks_inside(f"{where}.wall_edge", entry.wall_edge, size)
    outer = picks_inside(f"{where}.outer_edge", entry.outer_edge, size)
    for name, edge in (("wall_edge", wall), ("outer_edge", outer)):
        spread_out(f"{where}.{name}", edge)
        ends_apart(f"{where}.{name}", edge[[0, -1]])
    return Soffit(
        name=_soffit_name(spec, entry),
        picks_px=np.concatenate([wall, outer]),
        pick_sd_px=entry.pick_sd_px or spec.pick_sd_px,
        wall_picks=len(wall),
        fall_sd_mm=entry.sd_mm or SOFFIT_FALL_SD_MM,
        stated=_stated_overhang(spec, entry),
        title=entry.name,
    )


def _soffit_name(spec: ElevationSpec, entry: SoffitSpec) -> str:
    taken = {reference.name for reference in spec.references}
    return entry.name if entry.name not in taken else f"soffit {entry.name}"


def _stated_overhang(spec: ElevationSpec, entry: SoffitSpec) -> Statement | None:
    """Return the best stated projection of the lines at a soffit: one more observation."""
    stated = [
        Statement(line.projection_mm, line.projection_sd_mm or UNSTATED_SD, line.name)
        for line in spec.lines
        if line.name in entry.lines and line.projection_mm is not None
    ]
    return min(stated, key=lambda statement: statement.sd_mm, default=None)


def _trace(spec: ElevationSpec, index: int, size: tuple[int, int]) -> Trace | BadReference:
    entry = spec.lines[index]
    where = f"{spec.name}: lines[{index}]"
    try:
        picks = picks_inside(f"{where}.picks", entry.picks, size)
        for k in range(len(picks) - 1):
            ends_apart(f"{where}.picks[{k}:{k + 2}]", picks[k : k + 2])
        return Trace(
            name=entry.name,
            role=entry.role,
            picks_px=picks,
            pick_sd_px=entry.pick_sd_px or spec.pick_sd_px,
            hanging=_hanging(spec, entry, where),
        )
    except BadReference as refusal:
        return refusal


def _hanging(spec: ElevationSpec, entry: LineSpec, where: str) -> Hanging:
    if entry.role in RUNS_AWAY:
        raise BadReference(
            f"{where}.role",
            f"a {entry.role} runs away from the wall, so a photo of the wall does not show "
            "its length",
            "measure the eaves and a rake or pitch instead",
        )
    flat = spec.wall_relief_sd_mm
    for soffit in spec.soffits:
        if entry.name in soffit.lines:
            name = _soffit_name(spec, soffit)
            return Hanging(
                mean_mm=0.0, sd_mm=0.0, assumed=False, relief_sd_mm=flat, soffit=name
            )
    if entry.projection_mm is not None:
        sd = entry.projection_sd_mm or UNSTATED_SD
        return Hanging(
            mean_mm=entry.projection_mm, sd_mm=sd, assumed=False, relief_sd_mm=flat
        )
    usual = USUAL_PROJECTION[entry.role]
    if usual is None:
        raise BadReference(
            f"{where}.projection_mm",
            f"a {entry.role} hangs far from the wall and no usual value helps",
            "state how far it lies in front of the wall (negative: behind it)",
        )
    return Hanging(
        mean_mm=usual.mean_mm,
        sd_mm=usual.sd_mm,
        assumed=not usual.on_wall,
        relief_sd_mm=flat,
    )


def _grounds(spec: ElevationSpec, size: tuple[int, int]) -> dict[str, FloatArray]:
    return {
        _soffit_name(spec, entry): picks_inside(
            f"{spec.name}: soffits[{i}].ground", [entry.ground], size
        )[0]
        for i, entry in enumerate(spec.soffits)
        if entry.ground is not None
    }
