"""Names that are safe as file names on every system and cannot lead anywhere."""

import re
import unicodedata
from typing import Final

from calibration.errors import printable

LONGEST: Final = 100
"""Letters; with four bytes a letter and an ending still below 255 + ``.part``."""

_LONGEST_BYTES: Final = 200

_SEPARATORS: Final = re.compile(r"[/\\]")
_FORBIDDEN: Final = re.compile(r'[<>:"|?*/\\]')
_DEVICES: Final = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)
"""Names that Windows gives to devices, with any ending."""

JOB_FILE_ENDING: Final = ".job.json"


def plain_name(text: str) -> str:
    r"""Return the last part of a path as a name that is harmless everywhere.

    Parameters
    ----------
    text : str
        Somebody else's file name or path, of any system.

    Returns
    -------
    str
        Not empty; the same if it is harmless already.

    Examples
    --------
    >>> plain_name("front.jpg"), plain_name("C:\\Users\\x\\front.jpg")
    ('front.jpg', 'front.jpg')
    >>> plain_name("../../.bashrc"), plain_name("nul.jpg"), plain_name("a/..")
    ('bashrc', '_nul.jpg', 'photo')
    """
    last = unicodedata.normalize("NFC", _SEPARATORS.split(text)[-1])
    name = _FORBIDDEN.sub("_", printable(last)).strip(" .")
    if _DEVICES.fullmatch(name):
        name = f"_{name}"
    if name.casefold().endswith(JOB_FILE_ENDING):
        name += ".photo"
    return _shortened(name) or "photo"


def _shortened(name: str) -> str:
    """Cut the middle out of a long name, so that its ending stays."""
    while len(name) > LONGEST or len(name.encode("utf-8", "replace")) > _LONGEST_BYTES:
        middle = len(name) // 2
        name = (name[: middle - 1] + name[middle + 1 :]).strip(" .")
    return name


def is_plain(name: str) -> bool:
    """Tell whether a name is harmless as it is.

    Parameters
    ----------
    name : str

    Returns
    -------
    bool
    """
    return plain_name(name) == name


def distinct(name: str, taken: set[str]) -> str:
    """Return a name that differs from others by more than capitals.

    Parameters
    ----------
    name : str
        Plain.
    taken : set of str
        Names in use, casefolded; the new one is added.

    Returns
    -------
    str

    Examples
    --------
    >>> distinct("Front.jpg", {"front.jpg"})
    'Front-2.jpg'
    """
    stem, dot, ending = name.rpartition(".")
    if not dot:
        stem, ending = name, ""
    candidate, number = name, 1
    while candidate.casefold() in taken:
        number += 1
        candidate = f"{stem}-{number}{dot}{ending}"
    taken.add(candidate.casefold())
    return candidate


def slug(title: str) -> str:
    """Return a title as the beginning of a file name.

    Examples
    --------
    >>> slug("Müller & Sons: 12, High Street")
    'muller-sons-12-high-street'
    """
    words = re.findall(r"\w+", search_key(title), re.ASCII)
    return "-".join(words)[:40].strip("-") or "job"


def search_key(text: str) -> str:
    """Return a text as it is searched: no capitals, accents or odd blanks.

    Examples
    --------
    >>> search_key("  Müller,  GROSSE Straße ")
    'muller, grosse strasse'
    """
    spread = unicodedata.normalize("NFKD", printable(text).casefold())
    bare = "".join(c for c in spread if not unicodedata.combining(c))
    return " ".join(bare.split())
