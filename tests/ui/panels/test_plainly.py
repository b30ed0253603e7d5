"""What the library says of job files becomes what to do on the page."""

import re

import pytest

from photomeasure.job.edit import with_takeoff
from photomeasure.store.jobs import Signature
from ui.panels import fields
from ui.panels.plainly import plainly
from ui.panels.wall import wall_markup
from ui.texts import said

PATH = re.compile(r"takeoff[.\[]|\w_\w|\[\]|\+-|\bmm[23]\b", re.ASCII)
"""Words of the job file, and signs as they are typed."""


def text_of(markup: str) -> str:
    """Return what is read, without what is folded away as a rule's key or its source."""
    shown = re.sub(r'<details class="pm-fold" data-fold="rules">.*?</details>', "", markup)
    shown = re.sub(r'<p class="pm-small">.*?</p>', "", shown)
    return re.sub(r"<[^>]+>", " ", shown)


@pytest.mark.parametrize("field", fields.ALL, ids=lambda field: field.key)
def test_every_field_is_called_as_on_the_page(field):
    """A place that a person can fill in is named by its label, the full stop stays."""
    label = said("fields", field.key)
    place = "takeoff." + ".".join(field.path)

    assert plainly(f"state {place}.") == f"state “{label}”."
    assert plainly(f"{place} is missing") == f"“{label}” is missing"


def test_plain_words_stay():
    """English that happens to be a word of the file is left as it is."""
    sentence = "The work on the roof, its country and verge: colour as it was."

    assert plainly(sentence) == sentence


def test_a_place_without_a_field_is_found_in_the_whole_text():
    """What has no field of its own is named with the text that holds it."""
    shown = plainly("state wider boards in takeoff.boards.fascia.widths_mm.")

    assert said("boards", "whole") in shown
    assert "boards.fascia.widths_mm" in shown


@pytest.mark.parametrize(
    "block",
    [
        {},
        {"year_built": 2005},
        {"asbestos_survey": "found"},
        {"year_built": 2005, "roof": {"fascia_depth_mm": 210}},
        {"year_built": 2005, "roof": {"fascia_depth_mm": 210, "soffit_width_mm": 300}},
    ],
    ids=["nothing", "year", "asbestos", "fascia", "soffit"],
)
def test_the_boards_speak_no_file(desk, bare, block):
    """However little is stated, stops, verdicts and cautions name no path."""
    from tests.ui.panels.test_boards import drawn

    changed = desk.office.change(bare.id, lambda d: with_takeoff(d, block), Signature())

    shown = text_of(drawn(desk, changed))
    found = PATH.search(shown)

    assert found is None, shown[found.start() - 60 : found.end() + 60]


def test_a_wall_without_photo_or_scale_says_what_to_do(desk, bare):
    """Both refusals name the panel that helps."""
    from photomeasure.display import Display

    def strip(document):
        document["elevations"][0]["references"] = []
        document["elevations"][1].pop("camera")
        return document

    shown = wall_markup(
        desk.office, desk.office.change(bare.id, strip, Signature()), Display.MM
    )

    assert said("plainly", "scale", wall="front") in text_of(shown)
    assert said("plainly", "photo", wall="gable") in text_of(shown)
    assert PATH.findall(text_of(shown)) == []
