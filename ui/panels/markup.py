"""Markup that text cannot become: all text that is put into it is escaped."""

import html
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

_EMPTY: Final = frozenset({"img", "br", "line", "rect", "path", "input", "polyline"})
"""Elements that hold nothing."""


@dataclass(frozen=True, slots=True)
class Html:
    """A piece of markup.

    Attributes
    ----------
    text : str
        Only :func:`tag` and :func:`join` make it.
    """

    text: str

    def __str__(self) -> str:
        """Return the markup."""
        return self.text


Node = str | Html | None
"""Text is escaped; None is left out."""

NOTHING: Final = Html("")


def join(nodes: Iterable[Node]) -> Html:
    """Return nodes one after another.

    Examples
    --------
    >>> str(join(["a < b", tag("b", "bold")]))
    'a &lt; b<b>bold</b>'
    """
    return Html("".join(_written(node) for node in nodes))


def tag(name: str, *children: Node, **attributes: object) -> Html:
    """Return an element.

    Parameters
    ----------
    name : str
        Of ours, never from outside.
    *children : str, Html or None
    **attributes : object
        Underscores become hyphens; one at the end is dropped, as in ``class_``. None is
        left out, true is an attribute without a value.

    Returns
    -------
    Html

    Examples
    --------
    >>> str(tag("a", "<b>", href='x"y', class_="wide", hidden=None))
    '<a href="x&quot;y" class="wide">&lt;b&gt;</a>'
    """
    given = "".join(
        _attribute(key.rstrip("_").replace("_", "-"), value)
        for key, value in attributes.items()
        if value is not None and value is not False
    )
    if name in _EMPTY:
        return Html(
            f"<{name}{given}>" if name in ("img", "br", "input") else f"<{name}{given}/>"
        )
    return Html(f"<{name}{given}>{join(children)}</{name}>")


def _attribute(key: str, value: object) -> str:
    return f" {key}" if value is True else f' {key}="{html.escape(str(value))}"'


def _written(node: Node) -> str:
    if node is None:
        return ""
    return node.text if isinstance(node, Html) else html.escape(node)


def table(
    heads: Iterable[Node], rows: Iterable[Iterable[Node]], **attributes: object
) -> Html:
    """Return a table that scrolls sideways where it does not fit."""
    head = tag("tr", *(tag("th", cell, scope="col") for cell in heads))
    body = (tag("tr", *(tag("td", cell) for cell in row)) for row in rows)
    whole = tag("table", tag("thead", head), tag("tbody", *body), **attributes)
    return tag("div", whole, class_="pm-scroll", tabindex="0", role="region")


def listed(sentences: Iterable[Node], **attributes: object) -> Html:
    """Return a list of sentences, or nothing."""
    items = [tag("li", sentence) for sentence in sentences]
    return tag("ul", *items, **attributes) if items else NOTHING


def alert(*sentences: str) -> str:
    """Return what nobody may overlook, as text for a component."""
    said = [tag("p", sentence) for sentence in sentences]
    return str(tag("div", *said, class_="pm-alert", role="alert"))


def note(*sentences: str) -> str:
    """Return what may be read in peace."""
    return str(tag("div", *(tag("p", one) for one in sentences), class_="pm-note"))
