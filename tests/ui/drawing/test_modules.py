"""The module's own checks: types, pure parts, sizes, and the catalogue's words."""

import os
import re
import shutil
import subprocess
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
DRAWING = ROOT / "ui" / "drawing"
LONGEST_FILE = 300

FAMILIES = {
    "role": "other",
    "kind": "level",
    "reference": "level",
    "saving": "saved",
    "tool": "done",
    "name": "line",
    "nudge": "left",
    "distance": "level",
    "question": "format",
    "sd": "sd_mm",
    "place": "face",
    "rectangle": "upright",
}
"""Keys made up in the modules from a beginning: a member that must be there."""


def needed(program: str, why: str) -> str:
    """Return a program's path; without it the test is skipped unless it is needed."""
    path = shutil.which(program, path=f"{DRAWING}/node_modules/.bin:{os.environ['PATH']}")
    if path is None:
        if os.environ.get("PHOTOMEASURE_NEED_BROWSER") == "1":
            pytest.fail(f"PHOTOMEASURE_NEED_BROWSER is 1 but {why}")
        pytest.skip(why)
    return path


def ran(*command: str) -> subprocess.CompletedProcess[str]:
    """Run a command in the module's folder."""
    return subprocess.run(  # noqa: S603
        command, cwd=DRAWING, capture_output=True, text=True, check=False
    )


def test_pure_parts_pass_their_own_tests():
    node = needed("node", "there is no node")

    done = ran(node, "--test", str(ROOT / "tests" / "ui" / "drawing"))

    assert done.returncode == 0, done.stdout
    assert "# fail 0" in done.stdout


def test_types_are_right():
    done = ran(needed("tsc", "TypeScript is not installed in ui/drawing"), "-p", ".")

    assert done.returncode == 0, done.stdout


def test_files_stay_small():
    sizes = {
        path.name: len(path.read_text().splitlines()) for path in DRAWING.glob("*.mjs")
    }

    assert {name: size for name, size in sizes.items() if size >= LONGEST_FILE} == {}


def test_every_word_is_in_the_catalogue_and_every_text_is_used():
    texts = tomllib.loads((DRAWING / "texts.en.toml").read_text("utf-8"))["drawing"]
    code = "".join(path.read_text("utf-8") for path in DRAWING.glob("*.mjs"))
    quoted = set(
        re.findall(r'"([a-z_]+(?:\.[a-z_0-9]+)+|opening|clash|unsaved|no_photo)"', code)
    )
    said = set(re.findall(r'say\(\s*"([^"]+)"', code))

    assert said - set(texts) == set()
    assert all(f"{family}.{member}" in texts for family, member in FAMILIES.items())
    unused = {
        key
        for key in texts
        if key not in quoted
        and key.split(".")[0] not in FAMILIES
        and f"{key[:-6]}" not in quoted
    }
    assert unused == set()


def test_text_never_becomes_markup():
    code = "".join(path.read_text("utf-8") for path in DRAWING.glob("*.mjs"))

    for door in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval("):
        assert door not in code


PAIRS = [
    *((ink, ground, 4.5) for ink in ("ink", "soft") for ground in ("paper", "card")),
    *((ink, "wash", 4.5) for ink in ("ink", "accent")),
    *((ink, ground, 4.5) for ink in ("accent", "deep") for ground in ("paper", "card")),
    *(("doubt", ground, 4.5) for ground in ("paper", "card", "doubt-wash")),
    *(("good", ground, 4.5) for ground in ("paper", "card", "good-wash")),
    *(("ink", ground, 4.5) for ground in ("good-wash", "doubt-wash", "board", "rest")),
    *(("on-accent", ground, 4.5) for ground in ("accent", "deep")),
    *(("line", ground, 3.0) for ground in ("paper", "card")),
    *(("focus", ground, 3.0) for ground in ("paper", "card", "wash")),
]
"""Colours that meet, and the least contrast: WCAG 2.2, 1.4.3 and 1.4.11."""


def luminance(colour: str) -> float:
    """Return the relative luminance of a colour (WCAG 2.2, definitions)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def test_colours_stand_out_in_light_and_dark():
    style = (DRAWING / "palette.css").read_text("utf-8")
    light, dark = (
        dict(re.findall(r"--pm-([a-z-]+): (#[0-9a-f]{6})", block))
        for block in re.findall(r":root \{([^}]*)\}", style)
    )

    assert light.keys() == dark.keys()
    for colours in (light, dark):
        for one, other, least in PAIRS:
            low, high = sorted((luminance(colours[one]), luminance(colours[other])))
            assert (high + 0.05) / (low + 0.05) >= least, (one, other, colours[one])


def test_colours_stand_in_the_palette_alone():
    """Styles of panels and log-in name colours; only what lies on a photo has its own."""
    ui = DRAWING.parent
    for path in (ui / "panels" / "web" / "page.css", ui / "server" / "login.css"):
        rules = re.sub(r"\.pm-wall[^}]*}", "", path.read_text("utf-8"))
        assert re.findall(r"#[0-9a-fA-F]{3,8}\b(?=[ ;])", rules) == [], path.name
