"""Photos with the measured lengths written on them."""

from itertools import pairwise
from pathlib import Path
from typing import Final

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from calibration.arrays import FloatArray
from calibration.errors import InputError, UnreadablePhoto, printable
from calibration.photo import load_upright
from photomeasure.results import (
    COVERAGE_FACTOR,
    MeasuredElevation,
    MeasuredJob,
    MeasuredLine,
)

LONG_SIDE_PX: Final = 2400
"""Large enough to read on paper, small enough to send."""

_INK: Final = (20, 24, 30)
_PLATE: Final = (255, 250, 235)
_LINE: Final = (235, 60, 20)
_SOFFIT: Final = (20, 130, 190)
_REFERENCE: Final = (40, 160, 90)
_FOOT: Final = (
    "Measured from a photograph. 95 % intervals. Tape each length before you cut."
)


_STRIP: Final = 30
"""Height of the foot."""

_TRIES: Final = 12
"""Places tried for a label, beyond one for each label before it."""

_SAMPLES: Final = 300
"""Points on each segment that labels keep clear of."""

Box = tuple[float, float, float, float]
"""Left, top, right, bottom."""


def annotate_job(job: MeasuredJob, folder: Path) -> list[Path | InputError]:
    """Write one annotated photo for each measured elevation that has a photo.

    Parameters
    ----------
    job : MeasuredJob
    folder : Path
        Made if it is not there.

    Returns
    -------
    list of Path or InputError
        The files written; for a photo that cannot be decoded, its refusal.

    Raises
    ------
    InputError
        If the folder cannot be written.
    """
    results: list[Path | InputError] = []
    for number, entry in enumerate(job.elevations, start=1):
        if isinstance(entry, MeasuredElevation) and entry.elevation.photo:
            path = folder / f"{number:02d}-{file_name(entry.name)}-lengths.jpg"
            try:
                _save(annotate(entry, entry.elevation.photo), path)
                results.append(path)
            except UnreadablePhoto as refusal:
                results.append(refusal)
    return results


def _save(picture: Image.Image, path: Path) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        picture.save(path, quality=88)
    except (OSError, ValueError) as error:  # ValueError: a zero byte in the name
        reason = getattr(error, "strerror", None) or "no place for a file"
        raise InputError(
            str(path.parent), f"cannot be written ({reason})", "name another folder"
        ) from None


def file_name(name: str) -> str:
    """Return a name that is safe on every file system.

    Parameters
    ----------
    name : str
        Of an elevation.

    Returns
    -------
    str

    Examples
    --------
    >>> file_name("Front, left!"), file_name("../")
    ('front--left', 'elevation')
    """
    kept = "".join(c if c.isalnum() and c.isascii() else "-" for c in name.lower())
    return kept.strip("-")[:60] or "elevation"


def annotate(entry: MeasuredElevation, photo: Path) -> Image.Image:
    """Draw references, soffits and lengths on a photo.

    Parameters
    ----------
    entry : MeasuredElevation
    photo : Path

    Returns
    -------
    PIL.Image.Image
        At most :data:`LONG_SIDE_PX` on its long side, without metadata.
    """
    pixels = load_upright(photo, LONG_SIDE_PX)
    picture = Image.fromarray(pixels)
    # Integer coordinates are pixel centres in the photo and here.
    gain = picture.width / entry.elevation.size_px[0]
    pen = _Pen(picture, gain)
    for reference in entry.elevation.references:
        colour = _SOFFIT if reference.kind == "soffit" else _REFERENCE
        pen.crosses(reference.picks_px, colour)
    for line in entry.measured:
        pen.halo(line.trace.picks_px)
    for line in entry.measured:
        pen.path(line.trace.picks_px, _LINE)
    for line in entry.measured:
        pen.label(line.trace.picks_px, printable(line.name), _length(line))
    pen.foot(_FOOT)
    return picture


def _length(line: MeasuredLine) -> str:
    return f"{line.length_mm:.0f} ±{COVERAGE_FACTOR * line.u_mm:.0f} mm"


class _Pen:
    """Drawing in photo coordinates on a reduced picture."""

    def __init__(self, picture: Image.Image, gain: float) -> None:
        self._draw = ImageDraw.Draw(picture)
        self._size = picture.size
        self._gain = gain
        self._unit = max(picture.size) / 1200.0
        self._font = _font(19 * self._unit)
        self._plates: list[Box] = []
        self._drawn = np.zeros((0, 2))

    def _at(self, picks: FloatArray) -> list[tuple[float, float]]:
        # A pixel's centre at i lies at (i + 1/2) gain - 1/2 in the reduced picture.
        return [tuple(p) for p in ((picks + 0.5) * self._gain - 0.5).tolist()]

    def crosses(self, picks: FloatArray, colour: tuple[int, int, int]) -> None:
        arm = 6 * self._unit
        width = max(round(1.5 * self._unit), 1)
        for x, y in self._at(picks):
            self._draw.line([(x - arm, y), (x + arm, y)], colour, width)
            self._draw.line([(x, y - arm), (x, y + arm)], colour, width)

    def halo(self, picks: FloatArray) -> None:
        """Brighten what lies beside a line, before any line is drawn."""
        self._draw.line(self._at(picks), _PLATE, max(round(6 * self._unit), 3))

    def path(self, picks: FloatArray, colour: tuple[int, int, int]) -> None:
        points = self._at(picks)
        self._drawn = np.concatenate([self._drawn, _sampled(np.array(points))])
        self._draw.line(points, colour, max(round(3 * self._unit), 2))
        radius = 5 * self._unit
        for x, y in points:
            box = [x - radius, y - radius, x + radius, y + radius]
            self._draw.ellipse(box, outline=colour, width=max(round(2 * self._unit), 1))

    def label(self, picks: FloatArray, name: str, length: str) -> None:
        """Write a plate at the middle of a line, moved until it is free."""
        points = np.array(self._at(picks))
        middle = (points[0] + points[-1]) / 2.0
        text = self._shortened(name, length)
        left, top, right, bottom = self._draw.textbbox((0, 0), text, font=self._font)
        pad = 6 * self._unit
        box = self._free_place(middle, right - left + 2 * pad, bottom - top + 2 * pad)
        self._plates.append(box)
        self._draw.rounded_rectangle(box, radius=pad / 2, fill=_PLATE, outline=_LINE)
        at = (box[0] + pad - left, box[1] + pad - top)
        self._draw.text(at, text, _INK, font=self._font)

    def _shortened(self, name: str, length: str) -> str:
        """Return name and length, the name cut until both fit: the length never is."""
        room = self._size[0] - 12 * self._unit
        for kept in range(len(name), 0, -1):
            shown = name if kept == len(name) else name[:kept].rstrip() + "…"
            text = f"{shown}  {length}"
            if self._draw.textlength(text, font=self._font) <= room:
                return text
        return length

    def _free_place(self, middle: FloatArray, width: float, height: float) -> Box:
        """Return a place inside the picture: below the line, else above, else on it."""
        low = max(self._size[1] - height - _STRIP * self._unit, 0.0)
        x = float(np.clip(middle[0] - width / 2.0, 0.0, max(self._size[0] - width, 0.0)))
        first = float(np.clip(middle[1] + 12 * self._unit, 0.0, low))
        steps = np.arange(len(self._plates) + _TRIES) * (height + 1)
        tops = [float(y) for y in (*(first + steps), *(first - steps)) if 0.0 <= y <= low]
        boxes = [(x, y, x + width, y + height) for y in tops]
        apart = [
            box for box in boxes if not any(_overlap(box, other) for other in self._plates)
        ]
        clear = [box for box in apart if not self._crossed(box)]
        return (clear or apart or boxes or [(x, first, x + width, first + height)])[0]

    def _crossed(self, box: Box) -> bool:
        """Return whether a drawn line runs through a box."""
        corners = np.array(box)
        inside = (self._drawn > corners[:2]) & (self._drawn < corners[2:])
        return bool(inside.all(axis=1).any())

    def foot(self, text: str) -> None:
        """Write a line below everything."""
        width, height = self._size
        strip = _STRIP * self._unit
        self._draw.rectangle([0, height - strip, width, height], fill=_INK)
        size = 15 * self._unit
        long = self._draw.textlength(text, font=_font(size))
        size *= min(1.0, (width - 20 * self._unit) / long)
        at = (10 * self._unit, height - strip + 5 * self._unit)
        self._draw.text(at, text, _PLATE, font=_font(size))


def _font(size: float) -> "ImageFont.FreeTypeFont | ImageFont.ImageFont":
    # Smaller letters cannot be read, and none at all cannot be drawn.
    return ImageFont.load_default(size=max(round(size), 6))


def _sampled(points: FloatArray) -> FloatArray:
    """Return places (M, 2) along a path (N, 2), a few pixels apart."""
    share = np.linspace(0.0, 1.0, _SAMPLES)[:, None]
    parts = [a + share * (b - a) for a, b in pairwise(points)]
    return np.concatenate(parts)


def _overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
