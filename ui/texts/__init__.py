"""Every word of the page, in one catalogue a language."""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Final

ENGLISH: Final = "en"


@cache
def catalogue(language: str = ENGLISH) -> Mapping[str, Mapping[str, str]]:
    """Return all texts of a language by group and key.

    Parameters
    ----------
    language : str, optional
        Name of a file of this package.

    Returns
    -------
    mapping of str to mapping of str to str
    """
    own = files("ui.texts") / f"{language}.toml"
    # The drawing module can be worked on without the page, so its words lie beside it.
    drawing = files("ui") / "drawing" / f"texts.{language}.toml"
    groups: dict[str, Any] = tomllib.loads(own.read_text("utf-8"))
    if drawing.is_file():
        groups |= tomllib.loads(drawing.read_text("utf-8"))
    return MappingProxyType({key: MappingProxyType(group) for key, group in groups.items()})


def said(group: str, key: str, **words: object) -> str:
    """Return one text with its blanks filled.

    Parameters
    ----------
    group, key : str
    **words : object
        What stands in its braces.

    Returns
    -------
    str
    """
    return catalogue()[group][key].format(**words)
