"""What the program sees in a photo, for the drawing module: edges, and the roofline."""

from functools import lru_cache
from typing import Any, Final

import numpy as np

from calibration.brick_formats import brick_format
from calibration.errors import BadReference, UnknownName
from calibration.photo import load_upright
from calibration.photo.pixels import RgbImage
from photomeasure.job.schema import ElevationSpec, Role
from photomeasure.open_questions import open_format
from photomeasure.papers.wording import chance
from photomeasure.reading import FoundLine, FoundReference, Question, read_photo
from photomeasure.reading.bricks import format_way
from photomeasure.reading.model import Ask, PhotoReading, Way
from photomeasure.snapping import Snap, SnapCandidate, snap_line
from photomeasure.store import photos
from ui.server.answers import written
from ui.server.failures import BadRequest
from ui.server.lengths import country_of
from ui.server.office import Office, Opened, specs_of
from ui.texts import said

Json = dict[str, Any]

_KEPT: Final = 3
"""Decoded photos in memory: 36 MB each at 12 megapixels, 600 MB at the largest."""

_PLACES: Final = 2
"""Digits of a pixel: finer than any edge is known."""


class Eyes:
    """Photos, decoded once for several looks.

    Parameters
    ----------
    office : Office
    """

    def __init__(self, office: Office) -> None:
        self._office = office
        self._decoded = lru_cache(_KEPT)(self._decode)

    def snap(self, opened: Opened, body: Json) -> Json:
        """Return the edges that a rough line may mean, likeliest first.

        Parameters
        ----------
        opened : Opened
        body : dict
            ``seq``, ``elevation`` by its name, ``ends`` and ``role``.

        Returns
        -------
        dict

        Raises
        ------
        InputError
        """
        photo = self._decoded(*self._named(opened, body.get("elevation")))
        found = snap_line(photo, _ends(body, photo), _role(body))
        return {"seq": body.get("seq"), **_snapped(found)}

    def read(self, opened: Opened, body: Json) -> Json:
        """Return the references and the roofline that a photo seems to show.

        Parameters
        ----------
        opened : Opened
        body : dict
            ``elevation`` by its name.

        Returns
        -------
        dict
            Everything is offered to a person; nothing is saved.

        Raises
        ------
        InputError
        """
        sha256, name = self._named(opened, body.get("elevation"))
        found = read_photo(photos.verified_path(self._office.store, sha256, name))
        return {
            "references": [_referred(one) for one in found.references],
            "proposals": [_proposed(line) for line in found.lines],
            "soffits": [
                {"soffit": written(one.spec), "confidence": round(one.confidence, 3)}
                for one in found.soffits
            ],
            "questions": [
                _asked(one, _ways(one, found, country_of(opened)))
                for one in found.questions
                if one.ask is not Ask.FIT
            ],
            "notes": [*found.missing, *found.notes],
        }

    def _named(self, opened: Opened, name: object) -> tuple[str, str]:
        """Return hash and name of the photo of an elevation."""
        specs = dict(specs_of(opened.document))
        spec = specs.get(name) if isinstance(name, str) else None
        if not isinstance(spec, ElevationSpec):
            raise UnknownName("elevation", str(name)[:100], specs)
        if spec.photo is None:
            raise BadReference(spec.name, "has no photo", "add one first")
        return opened.photos[spec.photo], spec.photo

    def _decode(self, sha256: str, name: str) -> RgbImage:
        return load_upright(photos.verified_path(self._office.store, sha256, name))


def _ends(body: Json, photo: RgbImage) -> np.ndarray[Any, np.dtype[np.float64]]:
    try:
        ends = np.array(body.get("ends"), dtype=np.float64)
    except (TypeError, ValueError):
        ends = np.zeros(0)
    size = np.array(photo.shape[1::-1], dtype=np.float64)
    if ends.shape != (2, 2) or not np.isfinite(ends).all():
        raise BadRequest("holds no line with two ends")
    if (ends < -0.5).any() or (ends > size - 0.5).any():
        raise BadReference("line", "ends outside the photo", "draw it inside")
    return ends


def _ways(question: Question, found: PhotoReading, country: str) -> tuple[Way, ...]:
    """Return the likeliest answers; bricks of the job's country come before others."""
    bricks = open_format(found.elevation, country)
    if question.ask is not Ask.FORMAT or bricks is None:
        return question.ways
    return tuple(
        format_way(found.references, brick_format(name))
        for name in bricks.formats[: len(question.ways)]
    )


def _asked(question: Question, ways: tuple[Way, ...]) -> Json:
    """Return a question with its answers; the page measures by each."""
    return {
        "ask": str(question.ask),
        "said": question.said,
        "ways": [
            {
                "said": way.said,
                "references": [written(one) for one in way.references],
                "line": way.line,
            }
            for way in ways
        ],
    }


def _role(body: Json) -> Role:
    role = str(body.get("role", Role.OTHER))
    if role not in set(Role):
        raise UnknownName("role", role[:100], [str(known) for known in Role])
    return Role(role)


def _snapped(found: Snap) -> Json:
    return {
        "candidates": [_candidate(one, place) for place, one in enumerate(found.choice)],
        "clear": found.sure,
    }


def _candidate(one: SnapCandidate, place: int) -> Json:
    far = round(abs(one.shift_px))
    side = "left" if one.shift_px < 0 else "right"
    key = "likeliest" if place == 0 else "other"
    return {
        "ends": [_rounded(end.point_px) for end in one.ends],
        "across_sd_px": round(max(end.across_sd_px for end in one.ends), 3),
        "pick_sd_px": round(one.pick_sd_px, 3),
        "probability": round(one.confidence, 3),
        "said": said("seeing", key, share=chance(one.confidence), far=far, side=side),
    }


def _referred(one: FoundReference) -> Json:
    return {
        "reference": written(one.spec),
        "confidence": round(one.confidence, 3),
        "used": one.used,
        "said": one.said,
        "drawn": {"lines": [[_rounded(end) for end in line] for line in one.drawn_px]},
    }


def _proposed(line: FoundLine) -> Json:
    """Return a line; one that is used stands for its board, whichever edge of it."""
    ends = np.array(line.spec.picks, dtype=np.float64)[[0, -1]]
    return {
        "name": line.spec.name,
        "role": str(line.spec.role),
        "picks": [_rounded(end) for end in ends],
        "pick_sd_px": line.spec.pick_sd_px,
        "confidence": round(line.board if line.used else line.confidence, 3),
        "used": line.used,
        "said": line.said,
    }


def _rounded(point: np.ndarray[Any, np.dtype[np.float64]]) -> list[float]:
    return [round(float(value), _PLACES) for value in point]
