"""What a photo is good for, in plain words, before time is spent on it."""

from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np

from calibration.photo import (
    PhotoHeader,
    focal_prior,
    load_upright,
    read_header,
    unknown_framing,
)
from photomeasure.job.roles import RUNS_AWAY
from photomeasure.job.schema import ElevationSpec, Role

MESSENGER_PX: Final = 2100
"""Longest side of what messengers send: 1280, 1600 and 2048 pixels are usual. From
memory."""

SMALL_PX: Final = 1000
"""Below it a brick course of a whole house is a few pixels high. Common practice, no
source."""

_LOOKED_AT_PX: Final = 1600
"""The picture is shrunk to this before its sharpness is judged."""

BLURRED: Final = 0.45
"""Blur metric above which a photo is called blurred; tests/photomeasure/test_photo_look.py
holds it against drawn pictures blurred by known amounts."""

_EDGE_SHARE: Final = 0.004
"""Share of the picture's side within which an end lies at its border: 16 of 4000 px."""

ROOFLINE: Final = frozenset(
    {Role.EAVES, Role.FASCIA, Role.RAKE, Role.VERGE, Role.RIDGE, Role.GUTTER}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoLook:
    """What is known of a photo.

    Attributes
    ----------
    facts, warnings : tuple of str
        Sentences.
    """

    facts: tuple[str, ...]
    warnings: tuple[str, ...]


def look_at(path: Path) -> PhotoLook:
    """Say what is known of a photo's size, lens and sharpness.

    Parameters
    ----------
    path : Path

    Returns
    -------
    PhotoLook

    Raises
    ------
    UnreadablePhoto
    """
    header = read_header(path)
    width, height = header.upright_size_px
    facts = [f"{width} × {height} pixels ({width * height / 1e6:.0f} megapixels)."]
    prior = focal_prior(header)
    doubts = list(header.advice)
    if prior is not None:
        spread = prior.sd_px / prior.focal_px
        facts.append(f"The lens is known to about {spread:.0%} from the photo's own data.")
        doubts += prior.advice
    else:
        facts.append("The photo does not say which lens took it.")
        doubts += unknown_framing(header.upright_size_px).advice
    return PhotoLook(
        facts=tuple(facts),
        warnings=(*_about_size(header, known=prior is not None), *doubts, *_sharp(path)),
    )


def _about_size(header: PhotoHeader, *, known: bool) -> tuple[str, ...]:
    longest = max(header.upright_size_px)
    if longest < SMALL_PX:
        return (
            "This picture is very small: lengths from it will be rough. Ask for the "
            "original.",
        )
    if longest <= MESSENGER_PX and not known:
        return (
            "This looks as if a messenger made it smaller: ask for the original, sent as a "
            "file or by e-mail. It has more detail and says which lens took it.",
        )
    if not known:
        return (
            "Without the lens's data more references are needed: a second size, and a "
            "plumb or level edge.",
        )
    return ()


def _sharp(path: Path) -> tuple[str, ...]:
    if blur(load_upright(path, _LOOKED_AT_PX)) <= BLURRED:
        return ()
    return (
        "The photo looks blurred: picks will be less exact. Hold still, tap the wall to "
        "focus and take it again if you can.",
    )


def blur(pixels: np.ndarray) -> float:
    """Return how blurred a picture is where it has any detail.

    Parameters
    ----------
    pixels : (H, W, 3) uint8

    Returns
    -------
    float
        0 sharp to 1 featureless, of the sharpest quarter of its parts: sky and render
        have no edges that could be sharp.

    References
    ----------
    Crete, Dolmiere, Ladret and Nicolas (2007), The blur effect, SPIE 6492.
    """
    from skimage.measure import blur_effect

    grey = pixels.mean(axis=2)
    parts = [
        part
        for strip in np.array_split(grey, _PARTS, axis=0)
        for part in np.array_split(strip, _PARTS, axis=1)
        if min(part.shape) > _LEAST_PX
    ]
    with_detail = [part for part in parts if part.std() > _FLAT]
    if not with_detail:
        return 1.0
    found = [blur_effect(part) for part in with_detail]  # type: ignore[no-untyped-call]
    return float(np.quantile(found, 0.25))


_PARTS: Final = 4
_LEAST_PX: Final = 16
"""The metric averages over 11 pixels."""

_FLAT: Final = 4.0
"""Grey levels: a part that varies less shows sky or noise only."""


def about_lines(spec: ElevationSpec, size_px: tuple[int, int]) -> tuple[str, ...]:
    """Say which traced lines end where the picture does.

    Parameters
    ----------
    spec : ElevationSpec
    size_px : tuple of int
        Of the upright photo.

    Returns
    -------
    tuple of str
    """
    limit = _EDGE_SHARE * max(size_px)
    far = np.array(size_px) - 1.0
    said = []
    for line in spec.lines:
        if line.role not in ROOFLINE or line.role in RUNS_AWAY:
            continue
        ends = np.array([line.picks[0], line.picks[-1]])
        if (ends < limit).any() or (ends > far - limit).any():
            said.append(
                f"{line.name} ends at the edge of the picture: it may be cut off there, "
                "and then its length is too short."
            )
    return tuple(said)
