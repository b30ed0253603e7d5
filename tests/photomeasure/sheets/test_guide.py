"""The guide's words stand in the documentation as they are printed."""

from pathlib import Path

import pytest

from photomeasure.sheets.guide import STEPS

PAGE = Path(__file__).parents[3] / "docs" / "sheet.md"


@pytest.mark.parametrize(("title", "lines"), STEPS)
def test_guide_is_documented_word_by_word(title, lines):
    """Whoever sends the words by message sends those of the PDF."""
    words = " ".join(PAGE.read_text(encoding="utf-8").split())

    assert " ".join(lines) in words
    assert title.partition("  ")[2] in words
