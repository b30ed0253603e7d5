"""The measured lines of an elevation as DXF: millimetres, one layer a role."""

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final

from calibration.errors import printable
from photomeasure.job.schema import Role
from photomeasure.papers import texts
from photomeasure.papers.wording import half_mm
from photomeasure.results import MeasuredElevation, MeasuredLine

if TYPE_CHECKING:
    from ezdxf.layouts import Modelspace

NOTES: Final = "notes"
"""Layer of what every drawing says."""

LABELS: Final = "lengths"
"""Layer of names and lengths."""

_COLOURS: Final = (1, 5, 3, 6, 4, 30, 140, 94, 210, 40, 170, 62, 8, 9, 7)
"""Colour numbers of the layers, role by role: told apart on light and dark grounds."""

_LETTER_MM: Final = 120.0
"""Height of letters in the drawing: 2.4 mm on paper at 1 : 50."""


def dxf_bytes(
    entry: MeasuredElevation, *, title: str, foot: str, cautions: tuple[str, ...]
) -> bytes:
    """Write the measured lines of an elevation.

    Parameters
    ----------
    entry : MeasuredElevation
    title : str
        Of the job.
    foot : str
        Measured from photographs, with the interval.
    cautions : tuple of str

    Returns
    -------
    bytes
        x to the right and y up in the elevation's reported frame; z, which is how far a
        line hangs before the wall, is left out. The same for the same input.
    """
    import ezdxf
    from ezdxf import units

    with _without_time_stamps():
        document = ezdxf.new("R2010", units=units.MM)
        document.header["$MEASUREMENT"] = 1  # metric
        used = {line.role for line in entry.measured}
        for role, colour in zip(Role, _COLOURS, strict=True):
            if role in used:
                document.layers.add(str(role), color=colour)
        document.layers.add(LABELS, color=7)
        document.layers.add(NOTES, color=8)
        space = document.modelspace()
        for line in entry.measured:
            _line(space, line)
        _notes(space, entry, (title, foot, texts.CHECK, *cautions))
        stream = io.StringIO()
        document.write(stream)
    return document.encode(stream.getvalue())


@contextmanager
def _without_time_stamps() -> Iterator[None]:
    import ezdxf

    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def _line(space: "Modelspace", line: MeasuredLine) -> None:
    points = [(float(x), float(y)) for x, y in line.points_mm[:, :2]]
    space.add_lwpolyline(points, dxfattribs={"layer": str(line.role)})
    (x0, y0), (x1, y1) = points[0], points[-1]
    text = f"{line.name}  {line.length_mm:.0f} ± {half_mm(line.u_mm)} mm"
    where = {"layer": LABELS, "insert": ((x0 + x1) / 2.0, (y0 + y1) / 2.0 + 40.0)}
    space.add_text(plain_text(text), height=_LETTER_MM, dxfattribs=where)


def _notes(
    space: "Modelspace", entry: MeasuredElevation, sentences: tuple[str, ...]
) -> None:
    points = [line.points_mm[:, :2] for line in entry.measured]
    left = min((float(p[:, 0].min()) for p in points), default=0.0)
    low = min((float(p[:, 1].min()) for p in points), default=0.0)
    for number, sentence in enumerate(s for s in (entry.name, *sentences) if s):
        at = (left, low - (4 + 1.6 * number) * _LETTER_MM)
        space.add_text(
            plain_text(sentence),
            height=_LETTER_MM,
            dxfattribs={"layer": NOTES, "insert": at},
        )


def plain_text(text: str) -> str:
    r"""Return text whose letters a drawing program shows as they are.

    Parameters
    ----------
    text : str

    Returns
    -------
    str
        Without the signs by which DXF writes codes: ``%%`` for symbols, ``^`` for
        control characters, ``\U+`` and ``\M+`` for letters.

    Examples
    --------
    >>> plain_text("50 %%u ^J"), plain_text(r"a\U+0041")
    ('50 % %u ^ J', 'a\\ U+0041')
    """
    shown = printable(text)
    while "%%" in shown:
        shown = shown.replace("%%", "% %")
    shown = shown.replace("^", "^ ").replace("^  ", "^ ")
    for letter in "UuMm":
        shown = shown.replace(f"\\{letter}+", f"\\ {letter}+")
    return shown
