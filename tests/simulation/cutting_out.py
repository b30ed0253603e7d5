"""Photos that somebody cut before sending: the middle of the lens is no longer theirs."""

from typing import Final

import numpy as np

from calibration import priors
from tests.scenes import Scene

_PICKS: Final = ("picks", "corners", "ends", "wall_edge", "outer_edge")

_KEPT_PX: Final = 20.0
"""What a person leaves about the house at least."""


def cut_out(scene: Scene, rng: np.random.Generator, *, exif: bool = False) -> Scene:
    """Return the scene as a window, anywhere, that holds all its picks.

    Parameters
    ----------
    scene : Scene
        Complete; its document is changed in place.
    rng : Generator
        Draws how much is cut off at each side.
    exif : bool
        Whether the 35 mm equivalent, which is that of the whole photo, was kept.

    Returns
    -------
    Scene
    """
    entries = [
        entry
        for kind in ("references", "lines", "soffits")
        for entry in scene.document[kind]
    ]
    picked = [(entry, name) for entry in entries for name in _PICKS if name in entry]
    every = np.concatenate([np.asarray(entry[name], float) for entry, name in picked])
    size = np.array(scene.size_px, float)
    low = np.floor(rng.uniform(0.0, 1.0, 2) * np.maximum(every.min(axis=0) - _KEPT_PX, 0.0))
    room = np.maximum(size - 1.0 - every.max(axis=0) - _KEPT_PX, 0.0)
    high = np.ceil(size - rng.uniform(0.0, 1.0, 2) * room)
    for entry, name in picked:
        entry[name] = (np.asarray(entry[name], float) - low).tolist()
    scene.size_px = (int(high[0] - low[0]), int(high[1] - low[1]))
    focal = scene.document["camera"].get("focal_px")
    scene.document["camera"] = {"size_px": list(scene.size_px)}
    if exif:
        whole = focal * priors.DIAGONAL_35MM / float(np.hypot(*size))
        scene.document["camera"]["focal_35mm"] = round(whole)
    return scene
