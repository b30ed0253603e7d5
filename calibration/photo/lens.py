"""What the EXIF block tells about the lens, believed only where it is believable."""

import math
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, replace

from calibration.photo.exif import Tag, Tags

F35_RANGE_MM = (5.0, 2000.0)
"""Outside lie broken tags: 48388, 54200, 37337, 65535 (exiftool forum, topic 3572)."""

FOCAL_RANGE_MM = (0.5, 2000.0)
"""Phones begin at 1.5 mm.  Common practice, no source."""

CROP_FACTOR_RANGE = (0.5, 15.0)
"""Ratio of 35-mm equivalent to true focal length: 0.6 (medium format) to 14 (front
cameras of phones).  Common practice, no source."""

LARGEST_ZOOM = 100.0
"""Beyond it the tag is broken.  Common practice, no source."""

_PX_PER_MM: dict[float, float] = {2: 1 / 25.4, 3: 0.1, 4: 1.0, 5: 1000.0}
"""By EXIF resolution unit: inch, cm; mm and micrometre are TIFF/EP's additions."""
_INCH = 2  # EXIF's default unit


@dataclass(frozen=True, slots=True, kw_only=True)
class LensFacts:
    """Facts of one exposure; None where the file is silent or not believable.

    Attributes
    ----------
    focal_length_mm : float or None
        True focal length.
    focal_35mm : float or None
        35-mm equivalent, mm; 0 in the file means unknown.
    focal_plane_px_per_mm : tuple of float or None
        Columns and rows per mm on the sensor.
    digital_zoom : float or None
        Above 1; 1 and 0 in the file mean that there was none.
    exif_size_px : tuple of int or None
        Width and height that the file says it has, before any turn; they stay when the
        picture is later resized.
    camera_key : str or None
        Equal for pictures of the same make and model, otherwise meaningless.
    """

    focal_length_mm: float | None = None
    focal_35mm: float | None = None
    focal_plane_px_per_mm: tuple[float, float] | None = None
    digital_zoom: float | None = None
    exif_size_px: tuple[int, int] | None = None
    camera_key: str | None = None


def lens_facts(tags: Tags) -> tuple[LensFacts, tuple[str, ...]]:
    """Read the lens facts and say which of them were not believed.

    Parameters
    ----------
    tags : mapping of Tag to number or text
        From :func:`calibration.photo.exif.read_exif`.

    Returns
    -------
    facts : LensFacts
        Believable values only.
    advice : tuple of str
        One sentence for each value that was ignored.
    """
    facts = LensFacts(
        focal_length_mm=_number(tags, Tag.FOCAL_LENGTH),
        focal_35mm=_number(tags, Tag.FOCAL_35MM),
        focal_plane_px_per_mm=_focal_plane(tags),
        digital_zoom=_number(tags, Tag.DIGITAL_ZOOM),
        exif_size_px=_size(tags),
        camera_key=_camera_key(tags),
    )
    advice: list[str] = []
    facts = _believable_zoom(facts, advice)
    facts = _believable_lengths(facts, advice)
    return facts, tuple(advice)


def _believable_zoom(facts: LensFacts, advice: list[str]) -> LensFacts:
    zoom = facts.digital_zoom
    if zoom is None or 1 < zoom <= LARGEST_ZOOM:
        return facts
    if zoom != 1:
        advice.append(f"The file's digital zoom of {zoom:g} is ignored as impossible.")
    return replace(facts, digital_zoom=None)


def _believable_lengths(facts: LensFacts, advice: list[str]) -> LensFacts:
    f, f35 = facts.focal_length_mm, facts.focal_35mm
    if f is not None and not FOCAL_RANGE_MM[0] <= f <= FOCAL_RANGE_MM[1]:
        advice.append(f"The file's focal length of {f:g} mm is ignored as impossible.")
        f = None
    if f35 is not None and not _believable_f35(f35, f, facts.digital_zoom or 1.0):
        advice.append(
            f"The file's 35-mm-equivalent focal length of {f35:g} mm is ignored as "
            "impossible."
        )
        f35 = None
    return replace(facts, focal_length_mm=f, focal_35mm=f35)


def _believable_f35(f35: float, f: float | None, zoom: float) -> bool:
    """Tell whether the equivalent is possible; it may or may not include the zoom."""
    if not F35_RANGE_MM[0] <= f35 <= F35_RANGE_MM[1]:
        return False
    low, high = CROP_FACTOR_RANGE
    return f is None or low <= f35 / f <= high * zoom


def _number(tags: Mapping[Tag, float | str], tag: Tag) -> float | None:
    """Return a positive finite number or None."""
    value = tags.get(tag)
    if isinstance(value, str) or value is None or not math.isfinite(value):
        return None
    return float(value) if value > 0 else None


def _focal_plane(tags: Tags) -> tuple[float, float] | None:
    unit = tags.get(Tag.FOCAL_PLANE_UNIT, _INCH)
    factor = None if isinstance(unit, str) else _PX_PER_MM.get(unit)
    x, y = _number(tags, Tag.FOCAL_PLANE_X), _number(tags, Tag.FOCAL_PLANE_Y)
    if factor is None or x is None or y is None:
        return None
    return x * factor, y * factor


def _size(tags: Tags) -> tuple[int, int] | None:
    width, height = _number(tags, Tag.PIXEL_WIDTH), _number(tags, Tag.PIXEL_HEIGHT)
    if width is None or height is None or min(width, height) < 1:
        return None
    return int(width), int(height)


def _camera_key(tags: Tags) -> str | None:
    """Condense make and model, so that neither is kept."""
    words = [str(tags.get(tag, "")) for tag in (Tag.MAKE, Tag.MODEL)]
    if not any(words):
        return None
    data = "\x00".join(words).encode("utf-8", "replace")
    return f"{zlib.crc32(data):08x}"
