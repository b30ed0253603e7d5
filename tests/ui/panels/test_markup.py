"""Text never becomes markup, whatever it holds."""

from html.parser import HTMLParser

from hypothesis import given
from hypothesis import strategies as st

from ui.panels.markup import alert, listed, note, table, tag
from ui.panels.wall import wall_markup


class Seen(HTMLParser):
    """Collects elements, their attributes and the text between them."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.attributes: dict[str, str] = {}
        self.text = ""

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes |= dict(attrs)

    def handle_data(self, data):
        self.text += data


def seen(markup):
    parser = Seen()
    parser.feed(str(markup))
    parser.close()
    return parser


TEXT = st.text(st.characters(blacklist_categories=("Cs", "Cc")), max_size=60)


@given(TEXT)
def test_text_is_only_text(text):
    """A browser sees the elements that were made, and the text as it was."""
    found = seen(tag("p", text))

    assert found.tags == ["p"]
    assert found.text == text


@given(TEXT)
def test_attributes_end_where_they_should(text):
    """No text leaves its quotation marks."""
    found = seen(tag("a", "x", href=text))

    assert found.tags == ["a"]
    assert found.attributes == {"href": text}


@given(TEXT, TEXT)
def test_tables_lists_and_alerts_hold_text(one, two):
    """The helpers escape as well."""
    assert set(seen(table([one], [[two]], one)).tags) <= {
        "div",
        "table",
        "thead",
        "tbody",
        "tr",
        "th",
        "td",
    }
    assert seen(listed([one, two])).tags == ["ul", "li", "li"]
    assert seen(alert(one)).tags == ["div", "p"]
    assert seen(note(one)).tags == ["div", "p"]


def test_walls_hold_names_as_text(desk, pictured):
    """A hostile name of a wall or a line is text, in the address of its picture too."""
    from photomeasure.display import Display
    from photomeasure.store.jobs import Signature

    hostile = '"><script>alert(1)</script>/../x.jpg'

    def rename(document):
        document["elevations"][1]["name"] = hostile
        document["elevations"][1]["lines"][0]["name"] = hostile
        return document

    opened = desk.office.change(pictured.id, rename, Signature())
    shown = wall_markup(desk.office, opened, Display.MM)
    found = seen(shown)

    assert "script" not in found.tags
    assert hostile in found.text
    assert "../" not in shown.replace("%2F", "").split("wall/")[2].split('"')[0]
