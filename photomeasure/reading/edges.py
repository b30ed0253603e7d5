"""Level, plumb and straight edges of a photo as references of a job."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.priors import CameraPrior
from calibration.references import Level, Plumb, Straight
from calibration.vanishing import (
    PLUMB,
    Vanishing,
    direction_references,
    straight_references,
)
from photomeasure.job.schema import LevelSpec, PlumbSpec, StraightSpec
from photomeasure.proposals import Reading
from photomeasure.reading.model import DIGITS, FoundReference

SOURCE: Final = "edges"

CLEAR: Final = 0.97
"""That a direction called clear is right: 39 of 39 were on drawn houses, and one more
may always be wrong (docs/accuracy.md)."""

SAME_WALL_RAD: Final = float(np.radians(6.0))
"""Level edges this close to the bricks' courses run along their wall. Twice what a
guessed focal length turns a wall by. Common practice, no source."""

OTHER_WALL: Final = (
    "The level edges of the photo run along another wall than the brickwork: they were "
    "left out."
)


@dataclass(frozen=True, slots=True, eq=False)
class EdgeFinds:
    """What edges told.

    Attributes
    ----------
    references : tuple of FoundReference
    wall : int or None
        Which of the level directions is that of the brickwork; None if no one knows.
    notes : tuple of str
    """

    references: tuple[FoundReference, ...] = ()
    wall: int | None = None
    notes: tuple[str, ...] = ()


def edge_references(
    seen: Reading, camera: CameraPrior, along: FloatArray | None
) -> EdgeFinds:
    """Return level, plumb and, if nothing is known of the lens, straight edges.

    Parameters
    ----------
    seen : Reading
        The photo's edges.
    camera : CameraPrior
    along : (3,) float64 or None
        Level direction of the brickwork's wall, camera frame.

    Returns
    -------
    EdgeFinds
    """
    vanishing, wall = seen.vanishing, None
    notes: tuple[str, ...] = ()
    if along is not None:
        wall = _wall_of(vanishing, along)
        if wall is None:
            notes = (OTHER_WALL,)
        vanishing = _with_main(vanishing, wall)
    references: list[Level | Plumb | Straight] = [
        *direction_references(vanishing, seen.edges, camera)
    ]
    if not camera.focal_known:
        references += straight_references(seen.light, seen.edges, camera)
    return EdgeFinds(tuple(_found(reference) for reference in references), wall, notes)


def _wall_of(vanishing: Vanishing, along: FloatArray) -> int | None:
    """Return which level direction is nearest to the bricks', if any is near."""
    level = vanishing.directions[PLUMB + 1 :]
    if not len(level):
        return None
    off = np.arccos(np.clip(np.abs(level @ along), 0.0, 1.0))
    nearest = int(off.argmin())
    return nearest + PLUMB + 1 if off[nearest] < SAME_WALL_RAD else None


def _with_main(vanishing: Vanishing, wall: int | None) -> Vanishing:
    """Return the directions with a wall as the main one, or without any level one."""
    clear = vanishing.clear.copy()
    if wall is None:
        clear[PLUMB + 1 :] = False
        return replace(vanishing, clear=clear)
    order = np.arange(len(clear))
    order[[PLUMB + 1, wall]] = order[[wall, PLUMB + 1]]
    label = vanishing.label.copy()
    label[vanishing.label == wall] = PLUMB + 1
    label[vanishing.label == PLUMB + 1] = wall
    return replace(
        vanishing,
        directions=vanishing.directions[order],
        label=label,
        weight=vanishing.weight[order],
        scatter_px=vanishing.scatter_px[order],
        clear=clear[order],
    )


_SPECS: Final[dict[type, type[LevelSpec | PlumbSpec | StraightSpec]]] = {
    Level: LevelSpec,
    Plumb: PlumbSpec,
    Straight: StraightSpec,
}
_SAID: Final = {
    Level: "an edge that runs level",
    Plumb: "an edge that runs plumb",
    Straight: "a long straight edge, for the lens",
}


def _found(reference: Level | Plumb | Straight) -> FoundReference:
    picks = np.round(reference.picks_px, DIGITS).tolist()
    straight = isinstance(reference, Straight)
    words: dict[str, object] = {
        "kind": reference.kind,
        "name": reference.name,
        "picks" if straight else "ends": picks,
        "pick_sd_px": round(reference.pick_sd_px, DIGITS),
    }
    if isinstance(reference, Straight):
        words["sd_mm"] = reference.sd_mm
    return FoundReference(
        spec=_SPECS[type(reference)].model_validate(words),
        source=SOURCE,
        confidence=CLEAR,
        said=_SAID[type(reference)],
        drawn_px=(np.asarray(reference.picks_px),),
        used=True,
    )
