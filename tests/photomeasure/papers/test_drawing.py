"""Measured lines as DXF, read back and audited by the library that reads it."""

import io
from dataclasses import replace

import ezdxf
import pytest
from ezdxf import recover

from photomeasure.papers.drawing import LABELS, NOTES, dxf_bytes, plain_text
from photomeasure.papers.produce import Form, Which, produce
from tests.photomeasure.papers.dossiers import with_photo

HOSTILE = "50 %%u ^J \\U+0041 {\\H3;x}\n  0\nSECTION"


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """Return a dossier of a measured job."""
    return with_photo(tmp_path_factory.mktemp("job"))


def drawing(made, **changes):
    """Return the front as written, and as read back."""
    facts = {"title": "invented", "foot": "foot", "cautions": ("mind",), **changes}
    data = dxf_bytes(made.elevations[0], **facts)
    document, auditor = recover.read(io.BytesIO(data))
    assert not auditor.has_errors
    assert not auditor.has_fixes
    return data, document


def test_lines_are_true_to_scale_on_the_layer_of_their_role(made):
    """Millimetres: the drawn eaves is as long as the measured one."""
    _, document = drawing(made)
    eaves = document.modelspace().query('LWPOLYLINE[layer=="eaves"]').first
    points = [ezdxf.math.Vec2(x, y) for x, y, *_ in eaves]
    measured = made.elevations[0].measured[0]

    assert document.units == ezdxf.units.MM
    assert {"eaves", "rake", LABELS, NOTES} <= {layer.dxf.name for layer in document.layers}
    # Drawn in the plane: a line slightly nearer at one end is longer than its drawing.
    assert points[0].distance(points[1]) == pytest.approx(measured.length_mm, abs=0.5)
    assert len(document.modelspace().query("LWPOLYLINE")) == 2


def test_it_says_what_every_paper_says(made):
    """Foot, check, cautions and each length with its interval are written into it."""
    files = produce(made, [Which.DRAWING], [Form.PDF]).files
    ((name, data),) = files.items()
    document, _ = recover.read(io.BytesIO(data))
    said = " ".join(text.dxf.text for text in document.modelspace().query("TEXT"))

    assert name == "01-front-lines.dxf"
    assert "Measured from photographs, ±" in said
    assert "Tape every length on the house before you cut" in said
    for caution in made.takeoff.cautions:
        assert caution in said
    assert "front eaves  " in said


def test_the_same_lines_are_the_same_file(made):
    """No clock and no chance is in it."""
    assert drawing(made)[0] == drawing(made)[0]


def test_names_write_no_codes(made):
    """Signs that DXF reads as codes come out as letters."""
    _, document = drawing(made, title=HOSTILE)
    texts = [text.dxf.text for text in document.modelspace().query("TEXT")]

    (title,) = [text for text in texts if text.startswith("50")]
    assert title == plain_text(HOSTILE)
    assert "%%" not in title
    assert len(document.modelspace().query("LWPOLYLINE")) == 2


def test_an_elevation_without_lines_is_no_drawing(made):
    """Nothing measured, no file."""
    empty = replace(made.elevations[0], lines=())
    job = replace(made.measured, elevations=(empty,))

    assert produce(replace(made, measured=job), [Which.DRAWING], []).files == {}
