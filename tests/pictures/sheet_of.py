"""Makes one picture of many: ``python -m tests.pictures.sheet_of OUT.png [N] [KIND]``.

Without more it shows all presets; with N it shows N scenes by chance, of KIND ("brick"
if not given).
"""

import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
from PIL import Image

from tests.pictures.chance import random_scene
from tests.pictures.presets import PRESETS, preset
from tests.pictures.scene import Scene

_CELL_PX = (400, 300)
_ACROSS = 6
_LARGEST_PX = 1600


def cell(scene: Scene) -> np.ndarray:
    """Return a scene drawn, shrunk and named, (300, 400, 3) uint8."""
    width, height = scene.stand.size_px
    if max(width, height) > _LARGEST_PX:
        factor = _LARGEST_PX / max(width, height)
        small = (round(width * factor), round(height * factor))
        scene = replace(scene, stand=replace(scene.stand, size_px=small))
    picture = scene.draw().rgb
    scale = min(_CELL_PX[0] / picture.shape[1], _CELL_PX[1] / picture.shape[0])
    small = cv2.resize(picture, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    board = np.full((_CELL_PX[1], _CELL_PX[0], 3), 24, dtype=np.uint8)
    board[: small.shape[0], : small.shape[1]] = small
    named = (board, scene.name, (6, 16), cv2.FONT_HERSHEY_SIMPLEX, 0.5)
    cv2.putText(*named, (0, 0, 0), 3, cv2.LINE_AA)
    cv2.putText(*named, (255, 255, 255), 1, cv2.LINE_AA)
    return board


def contact_sheet(scenes: Sequence[Scene]) -> np.ndarray:
    """Return all scenes on one board."""
    cells = [cell(scene) for scene in scenes]
    while len(cells) % _ACROSS:
        cells.append(np.full_like(cells[0], 24))
    rows = [np.hstack(cells[i : i + _ACROSS]) for i in range(0, len(cells), _ACROSS)]
    return np.vstack(rows)


def main(arguments: Sequence[str]) -> None:
    """Write the contact sheet that the command line asks for."""
    if len(arguments) > 1:
        kind = arguments[2] if len(arguments) > 2 else "brick"
        scenes = [
            replace(random_scene(np.random.default_rng([seed, 77]), kind), name=str(seed))
            for seed in range(int(arguments[1]))
        ]
    else:
        scenes = [preset(name, seed=1) for name in PRESETS]
    Image.fromarray(contact_sheet(scenes)).save(Path(arguments[0]))


if __name__ == "__main__":
    main(sys.argv[1:])
