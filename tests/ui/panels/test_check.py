"""The panel that holds a taped length against the photo."""

import pytest

from calibration.errors import InputError
from photomeasure.display import Display
from photomeasure.results import MeasuredElevation
from ui.panels.check import check_markup, lines_of, use_as_reference


@pytest.fixture
def front(desk, house):
    """Return the key of the front eaves."""
    return next(
        key for name, key in lines_of(desk.office.measured(house)) if "front eaves" in name
    )


def test_every_measured_line_can_be_checked(desk, house):
    """Lines are told apart by their wall."""
    names = [name for name, _ in lines_of(desk.office.measured(house))]

    assert names == [
        "front: front eaves",
        "gable: front rake",
        "gable: back rake",
        "front messenger: front eaves",
    ]


@pytest.mark.parametrize(
    ("taped", "words", "look"),
    [
        ("7650", "agrees with the photo", "pm-yes"),
        ("7.610 m", "hardly agrees", '"pm-verdict"'),
        ("25 ft 6 in", "agrees" if False else "does not agree", "pm-no"),
    ],
)
def test_the_verdict_is_said(desk, house, front, taped, words, look):
    """In words, with both expanded uncertainties and both scores."""
    shown = check_markup(desk.office, house, front, (taped, "3 mm"), Display.MM)

    assert words in shown
    assert look in shown
    assert "Zeta score" in shown
    assert "Eₙ number" in shown
    assert "k = 2" in shown


@pytest.mark.parametrize(
    ("key", "typed", "words"),
    [
        (None, ("7650", "3"), "line"),
        ("9/none", ("7650", "3"), "line"),
        ("-1/front eaves", ("7650", "3"), "line"),
        ("0/other", ("7650", "3"), "is not known"),
        ("0/front eaves", ("", "3"), "Taped length"),
        ("0/front eaves", ("long", "3"), "no length"),
        ("0/front eaves", ("0", "3"), "no length of a house"),
        ("0/front eaves", ("7650", "-3"), "no length"),
    ],
)
def test_what_cannot_be_checked(desk, house, key, typed, words):
    """Each is one sentence that names what to mend."""
    with pytest.raises(InputError, match=words):
        check_markup(desk.office, house, key, typed, Display.MM)


def test_use_as_a_reference_tightens_the_line_and_cuts_to_the_tape(desk, house, front):
    """The reference is saved with the job, and the take-off takes the taped length."""
    before = desk.office.elevation(house, "front")
    shown = use_as_reference(desk.office, house, front, ("7650", "3"), Display.MM)
    opened = desk.open(house.id)
    after = desk.office.elevation(opened, "front")

    assert isinstance(before, MeasuredElevation)
    assert isinstance(after, MeasuredElevation)
    assert after.measured[0].u_mm < before.measured[0].u_mm
    assert "± 40 mm" in shown
    names = [r.get("name") for r in opened.document["elevations"][0]["references"]]
    assert names[-1] == "tape on front eaves"
    assert opened.document["takeoff"]["lines"][0]["taped_mm"] == 7650
    assert opened.document["takeoff"]["year_built"] == 1986


def test_taping_a_line_again_replaces_the_reference(desk, house, front):
    """Two readings of one tape are not two references."""
    use_as_reference(desk.office, house, front, ("7650", "3"), Display.MM)
    use_as_reference(desk.office, desk.open(house.id), front, ("7655", "3"), Display.MM)
    references = desk.open(house.id).document["elevations"][0]["references"]

    assert [
        r["length_mm"] for r in references if r.get("name") == "tape on front eaves"
    ] == [7655]


def test_boards_are_not_cut_to_a_tape_that_does_not_agree(desk, house, front):
    """It may be a reference, to be found out by the others; boards wait."""
    shown = use_as_reference(desk.office, house, front, ("7800", "3"), Display.MM)

    assert "boards are not cut to it" in shown
    assert "lines" not in desk.open(house.id).document["takeoff"]
