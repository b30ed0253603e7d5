"""A prior for the focal length, from what a file or a user says about the lens."""

import math
from dataclasses import dataclass

from calibration.errors import InputError
from calibration.photo.framing import Framing, Pair, find_framing, sensor_spread
from calibration.photo.header import PhotoHeader
from calibration.photo.lens import F35_RANGE_MM, LensFacts

FILM_DIAGONAL_MM = math.hypot(36.0, 24.0)
"""43.2666 mm, CIPA DCG-001: equal diagonal angle of view."""

DEFINITION_SD = 0.04
"""Relative; some makers equate the width (36 mm) instead, 4.0 % away at 4:3.  Also the
least a tag is trusted: nobody calibrated this lens."""

FOCAL_PLANE_ALONE_SD = 0.08
"""Relative, where no 35-mm equivalent supports the sensor's resolution; wrong units are
the usual fault.  Common practice, no source."""

SENSOR_DIAGONAL_MM = (3.0, 75.0)
"""From 1/6 inch to medium format; beyond it the tag is broken.  From memory."""

CENTRE_SD = 0.008
"""Of the long side, for the principal point of an uncut picture.  Common practice, no
source."""

_FIELD = "focal_35mm"
_AGREE_SD = 2.0  # two readings agree within two standard deviations of their difference


@dataclass(frozen=True, slots=True, kw_only=True)
class FocalPrior:
    """What is believed of focal length and principal point before measuring.

    Attributes
    ----------
    focal_px : float
        Pixels of the upright picture at full size, > 0.
    sd_px : float
        Its standard uncertainty, pixels, > 0.
    principal_point_sd_px : tuple of float
        Standard uncertainty of the principal point about the picture's centre, x and y
        of the upright picture.
    source : str
        A sentence that says where the number comes from.
    advice : tuple of str
        Doubts, one sentence each.
    """

    focal_px: float
    sd_px: float
    principal_point_sd_px: Pair
    source: str
    advice: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        numbers = (self.focal_px, self.sd_px, *self.principal_point_sd_px)
        if not all(math.isfinite(number) and number > 0 for number in numbers):
            msg = f"a focal prior needs positive finite numbers, not {numbers}"
            raise ValueError(msg)


@dataclass(frozen=True, slots=True)
class _Reading:
    focal_px: float
    relative_sd: float
    source: str
    advice: tuple[str, ...] = ()
    centre_sd_px: Pair = (0.0, 0.0)


def focal_prior_from_35mm(focal_35mm: float, size_px: tuple[int, int]) -> FocalPrior:
    """Turn a stated 35-mm equivalent into a prior for an uncut picture.

    Parameters
    ----------
    focal_35mm : float
        35-mm-equivalent focal length, mm, as on a camera's data sheet.
    size_px : tuple of int
        Width and height of the picture.

    Returns
    -------
    FocalPrior
        ``focal_35mm * diagonal_px / 43.2666`` for 4:3 and 3:2 pictures.

    Raises
    ------
    InputError
        If the length is impossible.

    References
    ----------
    CIPA DCG-001, definition of the 35-mm equivalent by the diagonal.

    Examples
    --------
    >>> round(focal_prior_from_35mm(28, (4000, 3000)).focal_px, 1)
    3235.8
    """
    low, high = F35_RANGE_MM
    if not low <= focal_35mm <= high:
        what = f"{focal_35mm:g} mm is outside {low:g} to {high:g} mm"
        remedy = "give the 35-mm equivalent from the camera's data sheet"
        raise InputError(_FIELD, what, remedy)
    reading = _from_35mm(focal_35mm, size_px, "as stated")
    return _prior(reading, Framing(size_px), size_px)


def focal_prior(header: PhotoHeader) -> FocalPrior | None:
    """Turn the lens facts of a file into a prior.

    Parameters
    ----------
    header : PhotoHeader
        From :func:`calibration.photo.read_header`.

    Returns
    -------
    FocalPrior or None
        None when the file does not tell the angle of view; a true focal length alone
        does not, without the sensor's size.
    """
    size, lens = header.upright_size_px, header.lens
    exif_size = lens.exif_size_px
    if exif_size is not None and header.sideways:
        exif_size = exif_size[1], exif_size[0]
    framing = find_framing(size, exif_size)
    readings = []
    if lens.focal_35mm is not None:
        readings.append(_from_35mm(lens.focal_35mm, framing.frame_px, "in the file"))
    plane = _from_focal_plane(lens, exif_size or size, framing)
    if plane is not None:
        readings.append(plane)
    if not readings:
        return None
    reading = _combine(*readings) if len(readings) == 2 else readings[0]
    if lens.digital_zoom is not None:
        reading = _zoomed(reading, lens.digital_zoom)
    return _prior(reading, framing, size)


def _from_35mm(focal_35mm: float, frame_px: Pair, where: str) -> _Reading:
    whole = sensor_spread(frame_px)
    focal = focal_35mm * math.hypot(*whole.frame_px) / FILM_DIAGONAL_MM
    # A whole number was rounded: uniform within half a millimetre.
    rounding = 0.5 / math.sqrt(3) / focal_35mm if focal_35mm == round(focal_35mm) else 0.0
    sd = math.hypot(DEFINITION_SD, rounding, whole.log_sd)
    source = (
        f"35-mm-equivalent focal length {focal_35mm:g} mm {where}, "
        "equal diagonals (CIPA DCG-001)"
    )
    return _Reading(focal, sd, source, whole.advice, whole.centre_sd_px)


def _from_focal_plane(
    lens: LensFacts, camera_size: Pair, framing: Framing
) -> _Reading | None:
    """Read focal length times sensor resolution, if both make sense.

    The resolution counts the camera's pixels; `framing` says how many of the picture's
    pixels the camera's frame has.
    """
    f, density = lens.focal_length_mm, lens.focal_plane_px_per_mm
    if f is None or density is None:
        return None
    sensor_mm = camera_size[0] / density[0], camera_size[1] / density[1]
    low, high = SENSOR_DIAGONAL_MM
    square = abs(math.log(density[0] / density[1])) <= DEFINITION_SD
    if not (square and low <= math.hypot(*sensor_mm) <= high):
        return None
    shrunk = max(framing.frame_px) / max(camera_size)
    focal = f * math.sqrt(density[0] * density[1]) * shrunk
    source = f"focal length {f:g} mm and the sensor's resolution in the file"
    return _Reading(focal, FOCAL_PLANE_ALONE_SD, source)


def _combine(film: _Reading, plane: _Reading) -> _Reading:
    """Join both readings; they are not independent, so agreement narrows nothing."""
    half = math.log(film.focal_px / plane.focal_px) / 2
    mean = math.sqrt(film.focal_px * plane.focal_px)
    source = f"{film.source}; {plane.source}"
    limit = _AGREE_SD * math.hypot(film.relative_sd, plane.relative_sd)
    if abs(2 * half) <= limit:
        sd, doubts = film.relative_sd, film.advice
    else:
        sd = math.hypot(film.relative_sd, half)
        doubt = (
            "The file contradicts itself about the focal length: "
            f"{film.focal_px:.0f} or {plane.focal_px:.0f} pixels."
        )
        doubts = (*film.advice, doubt)
    return _Reading(mean, sd, source, doubts, film.centre_sd_px)


def _zoomed(reading: _Reading, zoom: float) -> _Reading:
    """Allow for makers that count digital zoom in and for those that do not."""
    half = math.log(zoom) / 2
    doubt = (
        f"The picture was taken with {zoom:g}-fold digital zoom, which the file's "
        "focal length may or may not include; take pictures without it."
    )
    return _Reading(
        reading.focal_px * math.exp(half),
        math.hypot(reading.relative_sd, half),
        reading.source,
        (*reading.advice, doubt),
        reading.centre_sd_px,
    )


def _prior(reading: _Reading, framing: Framing, size: Pair) -> FocalPrior:
    base = CENTRE_SD * max(size)
    x, y = (
        math.hypot(base, framing.centre_sd_px[i], reading.centre_sd_px[i]) for i in (0, 1)
    )
    return FocalPrior(
        focal_px=reading.focal_px,
        sd_px=reading.focal_px * math.hypot(reading.relative_sd, framing.log_sd),
        principal_point_sd_px=(x, y),
        source=f"{reading.source}.",
        advice=(*framing.advice, *reading.advice),
    )
