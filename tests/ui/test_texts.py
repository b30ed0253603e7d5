"""Every word of the page comes from one catalogue, so that a language can be added."""

import ast
import json
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from string import Formatter

import pytest

import ui.texts
from photomeasure.papers.produce import Which
from ui.panels import fields
from ui.panels.fields import Kind
from ui.panels.page import TABS
from ui.texts import ENGLISH, catalogue

UI = Path(ui.texts.__file__).parents[1]

WORDS = re.compile(r"[A-Za-z][a-z]+[,;:]? [a-z]{2,}|^[A-Z][a-z]+ ?[a-z]*[.!?]$")
"""Two words of prose, or one that ends a sentence."""

CODE = re.compile(r"[{}<>=$|]|[a-z]\(|--|\)|'self'|\b(?:pm|dr|max)-|no-cache|system-ui")
"""Markup, scripts, styles and headers hold words too."""

NO_PROSE = {
    "whole mm",  # a kind of field
    "taped length",  # a note in the store's history, not shown
    "photomeasure folds",  # a name in the browser's storage
    "input, select",  # a selector
}

OTHERS = {
    "start.py",  # speaks to the terminal, before there is a page
    "settings.py",  # likewise
    "passwords.py",  # likewise
    "office.py",  # refuses in parts and in English, as the library does
    "routes.py",  # likewise, of requests that the page never sends
    "pictures.py",  # likewise
    "seeing.py",  # likewise
    "lanes.py",  # likewise
    "lengths.py",  # likewise
}
"""Files whose sentences are not the page's own."""

MARK = "‹›"


def sources(ending: str) -> list[Path]:
    """Return the files of the page that may hold words."""
    return [
        path
        for path in sorted(UI.rglob(f"*{ending}"))
        if "node_modules" not in path.parts and path.name not in OTHERS
    ]


def is_prose(text: str) -> bool:
    """Return whether people would read a text."""
    return bool(WORDS.search(text)) and not CODE.search(text) and text not in NO_PROSE


def sentences(path: Path) -> Iterator[str]:
    """Yield prose in a Python file that is no documentation."""
    tree = ast.parse(path.read_text("utf-8"))
    documentation = {
        id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)
    }
    for node in ast.walk(tree):
        bare = isinstance(node, ast.Constant) and id(node) not in documentation
        if bare and isinstance(node.value, str) and is_prose(node.value):
            yield f"{node.lineno}: {node.value}"


def scripted(path: Path) -> Iterator[str]:
    """Yield prose in a script's strings."""
    code = re.sub(r"/\*.*?\*/", "", path.read_text("utf-8"), flags=re.DOTALL)
    for line in code.splitlines():
        bare = re.sub(r"(?<!:)//.*", "", line)
        yield from filter(is_prose, re.findall(r'"([^"\\]*)"', bare))


def test_the_finder_finds():
    """It knows prose from code."""
    assert is_prose("Add a photo first")
    assert is_prose("Reload.")
    assert not is_prose("pm-plan pm-scroll")
    assert not is_prose("default-src 'self' data:")


@pytest.mark.parametrize("path", sources(".py"), ids=lambda p: p.relative_to(UI).as_posix())
def test_no_sentence_stands_in_the_code(path):
    """What a person reads on the page is named by a key."""
    assert list(sentences(path)) == []


@pytest.mark.parametrize(
    "path", sources(".mjs"), ids=lambda p: p.relative_to(UI).as_posix()
)
def test_no_sentence_stands_in_a_script(path):
    """In the browser likewise."""
    assert list(scripted(path)) == []


def used() -> set[tuple[str, str]]:
    """Return group and key of every text that the code of the page names."""
    code = "".join(path.read_text("utf-8") for path in UI.rglob("*.py"))
    pairs = set(re.findall(r'(?:said|text|_quoted)\(\s*"(\w+)",\s*"(\w+)"', code))
    for group, key, why in re.findall(r'refused\("(\w+)", (?:"(\w+)"|key), "(\w+)"', code):
        pairs |= {(group, key), ("refusals", why), ("refusals", f"{why}_do")}
    scripts = {"photos": "photos", "lines": "lines", "books": "books"}
    for name, group in scripts.items():
        script = (UI / "panels/web" / f"{name}.mjs").read_text("utf-8")
        pairs |= {
            (group, key)
            for key in re.findall(rf"\b(?:words|texts\.{group})\.(\w+)", script)
        }
    alone = ("no_number", "no_number_do", "no_days", "no_days_do")
    return pairs | by_name() | {("refusals", key) for key in alone}


def by_name() -> set[tuple[str, str]]:
    """Return the texts that are looked up by what they are a text of."""
    from ui.panels import boards_view, check, papers, wall
    from ui.panels.plainly import _REFUSALS

    views = "".join(
        Path(m.__file__).read_text("utf-8") for m in (boards_view, check, papers, wall)
    )
    listed = {
        (group, key)
        for group in ("boards", "check", "papers", "wall")
        for key in re.findall(r'"(\w+)"', views)
        if key in catalogue()[group]
    }
    choices = {
        ("choices", field.choice_key(word))
        for field in (*fields.ALL, *fields.LINE)
        for word in field.choices
    }
    return (
        listed
        | choices
        | {("fields", field.key) for field in fields.ALL}
        | {("line_facts", field.key) for field in fields.LINE}
        | {("tabs", tab) for tab in TABS}
        | {("papers", str(paper).replace("-", "_")) for paper in Which}
        | {("plainly", key) for _, key in _REFUSALS}
        | {("seeing", word) for word in ("likeliest", "other")}
        | {
            ("boards", word)
            for word in ("enough", "not_enough", "not_judged", "in_hand", "new")
        }
        | {("server", "no_job")}
    )


def test_no_key_is_missing_and_none_is_left_over():
    """What the code names is in the catalogue, and the catalogue holds nothing else."""
    own = tomllib.loads((UI / "texts" / f"{ENGLISH}.toml").read_text("utf-8"))
    there = {(group, key) for group, texts in own.items() for key in texts}
    named = {(group, key) for group, key in used() if group in own and key}

    assert named - there == set()
    assert there - named == set()


def test_choices_say_each_word_of_the_file_differently():
    """Two choices of one field never look alike."""
    texts = catalogue()["choices"]
    for field in (*fields.ALL, *fields.LINE):
        if field.kind is Kind.CHOICE:
            said_so = [texts[field.choice_key(word)] for word in field.choices]
            assert len(set(said_so)) == len(said_so), field.key


def marked(text: str) -> str:
    """Return a text as a language that is none has it: longer, marked, its blanks whole."""
    parts = Formatter().parse(text)
    longer = "".join(
        literal.translate(str.maketrans("aeiouAEIOU", "àéîõüÀÉÎÕÜ"))
        + ("" if name is None else f"{{{name}}}")
        for literal, name, _, _ in parts
    )
    return f"‹{longer}›"


@pytest.fixture
def foreign(tmp_path):
    """Return a folder with both catalogues in a language of no people, made here."""
    for folder, name in (("texts", "en.toml"), ("drawing", "texts.en.toml")):
        english = tomllib.loads((UI / folder / name).read_text("utf-8"))
        (tmp_path / folder).mkdir()
        lines = [
            f"[{group}]\n"
            + "".join(f'"{key}" = {_quoted(marked(text))}\n' for key, text in texts.items())
            for group, texts in english.items()
        ]
        (tmp_path / folder / name).write_text("\n".join(lines), "utf-8")
    return tmp_path


def test_a_language_is_two_files_and_nothing_else(foreign, monkeypatch):
    """They are read whole, and each text with its blanks."""
    english = catalogue()
    places = {"ui.texts": foreign / "texts", "ui": foreign}
    monkeypatch.setattr(ui.texts, "files", places.get)
    other = catalogue.__wrapped__(ENGLISH)

    assert {g: set(t) for g, t in other.items()} == {g: set(t) for g, t in english.items()}
    for group, texts in english.items():
        for key, text in texts.items():
            assert blanks(other[group][key]) == blanks(text), (group, key)
            assert other[group][key][:1] + other[group][key][-1:] == MARK


LOOK = """
import json, sys
from pathlib import Path
import ui.texts
folder = Path(sys.argv[1])
ui.texts.files = {"ui.texts": folder / "texts", "ui": folder}.get
from photomeasure.store import find_place, open_store
from ui.panels.desk import Desk
from ui.panels.page import build
from ui.server.office import Office
from ui.server.settings import Settings
with open_store(find_place(folder / "home", {})) as store:
    config = build(Desk(Office(store, Settings()))).get_config_file()
print(json.dumps([one["props"] for one in config["components"]], default=str))
"""


def test_every_label_of_the_page_follows_the_language(foreign):
    """In that language no box, button, tab, hint or choice keeps an English word."""
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-c", LOOK, str(foreign)],
        capture_output=True,
        text=True,
        check=True,
        cwd=UI.parent,
    )
    shown = [
        text
        for props in json.loads(done.stdout.splitlines()[-1])
        if props.get("elem_id") != "pm-job"  # hidden
        for text in _shown(props)
    ]
    english = [
        text
        for text in shown
        if re.search(r"[A-Za-z]{2}", text) and not text.startswith(MARK[0])
    ]

    assert len(shown) - len(english) > 80
    assert set(english) <= {"PDF", "XLSX", "CSV", "JSON", "3 mm", "Tab", "Accordion"}


def _shown(props: dict) -> Iterator[str]:
    """Yield what people read of one part of the page."""
    for key in ("label", "info", "placeholder", "value"):
        text = props.get(key)
        if isinstance(text, str):
            bare = re.sub(r"<[^>]*>", "", text).strip()
            is_choice = any(text == word for _, word in props.get("choices") or ())
            if bare and not is_choice:
                yield bare
    yield from (text for text, _ in props.get("choices") or ())


def blanks(text: str) -> set[str]:
    """Return the names of a text's blanks."""
    return {name for _, name, _, _ in Formatter().parse(text) if name}


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
