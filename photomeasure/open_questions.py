"""What an elevation leaves open that a person could settle by a word or a ruler."""

from dataclasses import dataclass

import numpy as np

from calibration.brick_formats import FORMATS
from calibration.errors import BadReference
from photomeasure.job.schema import CoursesSpec, ElevationSpec, PointsSpec, ReferenceSpec
from photomeasure.sheets.printed import PrintSize


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenFormat:
    """Brickwork of which only the mean gauge of several formats is known.

    Attributes
    ----------
    references : tuple of int
        Places of its ladders in the elevation's references.
    formats : tuple of str
        Names, likeliest first, those of the job's country before others.
    """

    references: tuple[int, ...]
    formats: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenPrint:
    """Marker sheets whose check lines nobody measured.

    Attributes
    ----------
    references : tuple of int
        Places of the sheets in the elevation's references.
    """

    references: tuple[int, ...]


def open_format(spec: ElevationSpec, country: str = "") -> OpenFormat | None:
    """Return the brickwork whose format is open.

    Parameters
    ----------
    spec : ElevationSpec
    country : str, optional
        Where the house stands, in words.

    Returns
    -------
    OpenFormat or None
    """
    ladders = [
        (index, entry)
        for index, entry in enumerate(spec.references)
        if isinstance(entry, CoursesSpec) and _is_open(entry)
    ]
    if not ladders:
        return None
    names = dict.fromkeys(name for _, entry in ladders for name in entry.may_be)
    known = [name for name in names if name in FORMATS]
    near = sorted(known, key=lambda name: country not in FORMATS[name].country)
    return OpenFormat(references=tuple(index for index, _ in ladders), formats=tuple(near))


def _is_open(entry: CoursesSpec) -> bool:
    return bool(entry.may_be) and entry.format is None and entry.taped_mm is None


def open_print(spec: ElevationSpec) -> OpenPrint | None:
    """Return the marker sheets that nobody held a ruler to.

    Parameters
    ----------
    spec : ElevationSpec

    Returns
    -------
    OpenPrint or None
    """
    sheets = tuple(i for i, entry in enumerate(spec.references) if _is_unmeasured(entry))
    return OpenPrint(references=sheets) if sheets else None


def _is_unmeasured(entry: ReferenceSpec) -> bool:
    unknown = PrintSize().scale()
    return (
        isinstance(entry, PointsSpec)
        and entry.scale_of is not None
        and entry.scale_sd == unknown.sd
        and entry.axis_scale_sd == (unknown.across_sd, unknown.up_sd)
    )


def with_print_size(spec: ElevationSpec, size: PrintSize) -> ElevationSpec:
    """Return an elevation whose open sheets are as large as a ruler says.

    Parameters
    ----------
    spec : ElevationSpec
    size : PrintSize
        At least one reading.

    Returns
    -------
    ElevationSpec

    Raises
    ------
    BadReference
        If there is no reading, or no sheet that waits for one.
    """
    where = f"{spec.name}: marker sheets"
    if not size.measured:
        raise BadReference(where, "no reading was given", "measure check line A, B or both")
    asked = open_print(spec)
    if asked is None:
        raise BadReference(where, "none waits for its check lines", "reload the page")
    references = list(spec.references)
    for index in asked.references:
        references[index] = _measured(references[index], size)
    return spec.model_copy(update={"references": references})


def _measured(entry: ReferenceSpec, size: PrintSize) -> ReferenceSpec:
    if not isinstance(entry, PointsSpec):
        return entry
    scale = size.scale()
    wall_mm = np.array(entry.wall_mm) * [scale.across, scale.up]
    return entry.model_copy(
        update={
            "wall_mm": [(x, y) for x, y in wall_mm.round(4).tolist()],
            "scale_sd": scale.sd,
            "axis_scale_sd": (scale.across_sd, scale.up_sd),
        }
    )
