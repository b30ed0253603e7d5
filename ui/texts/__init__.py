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
    text = (files("ui.texts") / f"{language}.toml").read_text("utf-8")
    groups: dict[str, Any] = tomllib.loads(text)
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
