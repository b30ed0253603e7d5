"""Markup that text cannot become: all text that is put into it is escaped."""

import datetime as dt
import html
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

_EMPTY: Final = frozenset(
    {"img", "br", "line", "link", "rect", "path", "input", "polyline"}
)
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
            f"<{name}{given}>"
            if name in ("img", "br", "input", "link")
            else f"<{name}{given}/>"
        )
    return Html(f"<{name}{given}>{join(children)}</{name}>")


def _attribute(key: str, value: object) -> str:
    return f" {key}" if value is True else f' {key}="{html.escape(str(value))}"'


def _written(node: Node) -> str:
    if node is None:
        return ""
    return node.text if isinstance(node, Html) else html.escape(node)


def table(
    heads: Sequence[str], rows: Iterable[Sequence[Node]], label: str, *, stack: bool = True
) -> Html:
    """Return a table.

    Parameters
    ----------
    heads : sequence of str
        One a column, or none at all.
    rows : iterable of sequence of str, Html or None
    label : str
        What it is a table of, for ears.
    stack : bool, optional
        Whether a narrow screen shows each row as a card of its own, with the heads beside
        its cells; otherwise the table scrolls sideways there.

    Returns
    -------
    Html
    """
    # Roles are said again: a style that stacks cells takes them from the elements.
    names = [tag("th", head, scope="col", role="columnheader") for head in heads]
    head = tag("thead", tag("tr", *names, role="row"), role="rowgroup") if heads else None
    body = (
        tag(
            "tr",
            *(
                tag("td", cell, role="cell", data_head=heads[i] if heads else None)
                for i, cell in enumerate(row)
            ),
            role="row",
        )
        for row in rows
    )
    whole = tag("table", head, tag("tbody", *body, role="rowgroup"), role="table")
    if not heads:
        return tag("div", whole, class_="pm-sums", role="group", aria_label=label)
    if stack:
        return tag("div", whole, class_="pm-stack", role="group", aria_label=label)
    return tag(
        "div", whole, class_="pm-scroll", tabindex="0", role="group", aria_label=label
    )


def fold(title: str, *inside: Node, key: str, count: str = "") -> Html:
    """Return a part that opens at its title; the browser remembers which ones are open."""
    number = tag("span", count, class_="pm-count") if count else None
    return tag(
        "details",
        tag("summary", title, number),
        *inside,
        class_="pm-fold",
        data_fold=key,
    )


def moment(when: dt.datetime) -> Html:
    """Return a moment; the browser says it in its own time and manner."""
    return tag("time", f"{when:%Y-%m-%d %H:%M} UTC", datetime=f"{when:%Y-%m-%dT%H:%MZ}")


def onward(tab: str, words: str) -> Html:
    """Return the button that leads to another panel."""
    button = tag("button", words, type="button", class_="pm-next", data_tab=tab)
    return tag("div", button, class_="pm-onward")


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
