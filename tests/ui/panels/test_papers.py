"""Papers on the page: made, kept with the job, shown and given out."""

import pytest

from calibration.errors import InputError
from ui.panels import papers
from ui.panels.desk import EXAMPLE
from ui.panels.papers import Letter

LETTER = Letter(
    firm="Invented Rooflines", customer="<b>A. Body</b>", number="7", valid_days="30"
)


def test_papers_are_kept_with_the_revision_they_show(desk, house):
    """Made ones are listed with a link; the letterhead comes back."""
    told = papers.make(
        desk, house, (["quotation", "cut-list"], ["pdf", "csv"]), EXAMPLE, LETTER
    )
    shown = papers.listing(desk, house)

    assert told == ""
    for name in ("quotation.pdf", "quotation.csv", "cut-list.pdf", "cut-list.csv"):
        assert f"/{house.number}/" in shown
        assert name in shown
    assert papers.kept_letter(desk, house) == LETTER
    assert "letterhead" not in shown


def test_papers_of_earlier_states_say_so(desk, house):
    """After a change the old ones are folded away."""
    from photomeasure.store.jobs import Signature

    papers.make(desk, house, (["order"], ["pdf"]), "", Letter())
    changed = desk.office.change(house.id, lambda d: {**d, "title": "new"}, Signature())
    shown = papers.listing(desk, changed)

    assert "make them again" in shown
    assert "1 papers of earlier states" in shown


def test_a_paper_is_shown_as_it_is_printed(desk, house):
    """The preview holds the same content; customers' markup stays text."""
    shown = papers.preview(desk, house, "quotation", EXAMPLE, LETTER)

    assert "Quotation" in shown
    assert "Invented Rooflines" in shown
    assert "&lt;b&gt;A. Body&lt;/b&gt;" in shown
    assert "<b>A. Body" not in shown
    assert "Example with invented prices" in shown


@pytest.mark.parametrize("which", [key for _, key in papers.previewed()])
def test_every_paper_can_be_looked_at(desk, house, which):
    """None has a block that the page cannot draw."""
    assert "pm-paper" in papers.preview(desk, house, which, EXAMPLE, Letter())


@pytest.mark.parametrize(
    ("wanted", "letter", "words"),
    [
        (([], ["pdf"]), Letter(), "none was chosen"),
        ((["order"], []), Letter(), "none was chosen"),
        ((["order"], ["pdf"]), Letter(valid_days="soon"), "no number of days"),
        ((["order"], ["pdf"]), Letter(valid_days="9999"), "no number of days"),
        ((["order"], ["pdf"]), Letter(firm="x" * 3000), "too long"),
    ],
)
def test_what_cannot_be_made(desk, house, wanted, letter, words):
    """Each is one sentence."""
    with pytest.raises(InputError, match=words):
        papers.make(desk, house, wanted, "", letter)


def test_a_quotation_without_prices_is_refused_and_loses_no_other(desk, house):
    """The order is made all the same."""
    told = papers.make(desk, house, (["quotation", "order"], ["pdf"]), "", Letter())

    assert "quotation" in told
    assert "order.pdf" in papers.listing(desk, house)


def test_photos_are_part_of_a_paper(desk, pictured):
    """The cut list shows the wall with its lengths, without a further request."""
    shown = papers.preview(desk, pictured, "cut-list", EXAMPLE, Letter())

    assert "data:image/jpeg;base64," in shown


def test_what_is_stopped_is_told_with_the_papers(desk, bare):
    """Nobody takes a paper away without the reason why lines are missing."""
    told = papers.make(desk, bare, (["take-off"], ["pdf"]), "", Letter())

    assert "may hold asbestos" in told
