"""Pictures with and without printed sheets, and what was found in each.

Two renderers: rays through every pixel onto one wall (tests.calibration.sheet), and whole
houses with weather, gardens and a phone's processing (tests.pictures).
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.sheet import COARSE, FINE, Layout, RefusedSheet, find_sheets
from calibration.sheet import Sheet as Number
from tests.accuracy.sheet_jobs import PHONE
from tests.calibration.sheet.photographs import CLEAN, Look, Paper, photograph, view_at
from tests.pictures.chance import LOOK_ALIKES, random_scene
from tests.pictures.sheets import Sheet

LOOKS: Final = {
    "no noise": CLEAN,
    "phone": PHONE,
    "messenger": Look(blur_px=1.0, noise=4.0, jpeg=60, sharpening=0.8),
    "half in shadow": Look(jpeg=90, shadow=(0.6, 0.3)),
    "deep shade": Look(jpeg=88, noise=5.0, exposure=0.25),
    "shaken": Look(blur_px=1.6, jpeg=88),
}

MAGNIFIED: Final = 2.5
"""Sheets on drawn houses: a picture of 1600 pixels then shows them as one of 4000 does."""

PAGE_MM: Final = np.array([210.0, 297.0])
_DOTS_PER_MM: Final = 10


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Trial:
    """One sheet that is in a picture whole.

    Attributes
    ----------
    group : str
    result : {'found', 'refused', 'missed', 'wrong'}
    errors_px : (N, 2) float64
        Of the found corners.
    sd_px : float
        As stated.
    size_error, size_sd : float
        Relative error of the size of all corners together, and its stated spread.
    bent : bool
        Whether it was called bent.
    hidden : int
        Corners not found.
    """

    group: str
    result: str
    errors_px: FloatArray
    sd_px: float = 0.0
    size_error: float = 0.0
    size_sd: float = 0.0
    bent: bool = False
    hidden: int = 0


def _trial(group: str, number: Number, seen, truth) -> Trial:
    """Hold what was seen of one sheet against the truth, a function of drawn_mm."""
    own = [one for one in seen if one.sheet == number]
    nothing = np.zeros((0, 2))
    if not own:
        return Trial(group=group, result="wrong" if seen else "missed", errors_px=nothing)
    found = own[0]
    if isinstance(found, RefusedSheet):
        return Trial(group=group, result="refused", errors_px=nothing)
    true = truth(found.drawn_mm)
    errors = found.corners_px - true
    centred = true - true.mean(axis=0)
    return Trial(
        group=group,
        result="found",
        errors_px=errors,
        sd_px=found.sd_px,
        size_error=float(np.sum(errors * centred) / np.sum(centred**2)),
        size_sd=float(found.sd_px / np.sqrt(np.sum(centred**2))),
        bent=found.bent,
        hidden=found.hidden,
    )


def taken(
    group: str,
    cell_px: float,
    look: Look,
    rng: np.random.Generator,
    *,
    fold_rad: float = 0.0,
) -> Trial:
    """Photograph one sheet, any number, any way up, from up to 40 degrees aside."""
    layout: Layout = COARSE if rng.random() < 0.5 else FINE
    number = Number(layout, int(rng.integers(1, len(layout.codes) + 1)))
    side = max(300, int(7.5 * cell_px))
    view = view_at(
        cell_px,
        cell_mm=layout.cell_mm,
        size_px=(side, side),
        shift_px=tuple(rng.uniform(-5.0, 5.0, 2)),
        yaw_rad=rng.uniform(-0.7, 0.7),
        tilt_rad=rng.uniform(0.0, 0.3),
    )
    paper = Paper(
        number,
        centre_mm=(*view.aim_mm, 0.0),
        turn_rad=rng.uniform(-np.pi, np.pi),
        fold_rad=fold_rad,
    )
    seen = find_sheets(photograph(view, [paper], look, rng))
    return _trial(
        group, number, seen, lambda drawn: view.camera.project(paper.on_wall(drawn))
    )


@cache
def page(number: Number) -> np.ndarray:
    """Return a sheet's page as a scan, top row first."""
    width, height = (PAGE_MM * _DOTS_PER_MM).astype(int)
    image = np.full((height, width), 255, np.uint8)
    for rect in number.layout.rectangles(number.number):
        x0, y0 = (np.array([rect.x_mm, rect.y_mm]) + PAGE_MM / 2.0) * _DOTS_PER_MM
        x1, y1 = x0 + rect.width_mm * _DOTS_PER_MM, y0 + rect.height_mm * _DOTS_PER_MM
        rows = slice(round(height - y1), round(height - y0))
        image[rows, round(x0) : round(x1)] = 0 if rect.dark else 255
    return image


def house(seed: int) -> Iterator[Trial]:
    """Draw a house by chance with two sheets, and yield those that are in the picture."""
    rng = np.random.default_rng([seed, 1])
    scene = random_scene(np.random.default_rng(seed))
    taped = {}
    for number, share in ((1, 0.15), (2, 0.85)):
        named = Number(COARSE, number)
        width, height = PAGE_MM * MAGNIFIED
        taped[named] = Sheet(
            name=named.name,
            image=page(named),
            width_mm=width,
            height_mm=height,
            centre_mm=(share * scene.house.width_mm, 1500.0),
            turn_rad=0.1 * rng.standard_normal(),
        )
    picture = replace(scene, sheets=tuple(taped.values())).draw()
    seen = find_sheets(np.round(picture.grey).astype(np.uint8))
    view = picture.truth.view
    for number, sheet in taped.items():
        px = view.project(sheet.corners_mm)
        if np.all((px > 2.0) & (px < np.array(view.size_px) - 3.0)):
            own = [one for one in seen if one.sheet == number]
            yield _trial(
                "drawn houses",
                number,
                own,
                lambda drawn, sheet=sheet: view.project(
                    sheet.on_wall(MAGNIFIED * (drawn + PAGE_MM / 2.0))
                ),
            )


def look_alike(seed: int) -> int:
    """Return how many sheets are seen in a house without any, brick and all others."""
    kinds = ("brick", *LOOK_ALIKES)
    scene = random_scene(np.random.default_rng(seed), kinds[seed % len(kinds)])
    picture = scene.draw()
    return len(find_sheets(np.round(picture.grey).astype(np.uint8)))


def pattern(seed: int) -> int:
    """Return how many sheets are seen in noise, code-like modules or a chessboard."""
    rng = np.random.default_rng(seed)
    cell = int(rng.integers(3, 40))
    count = 1200 // cell
    if seed % 3 == 0:
        modules = rng.integers(0, 256, (count, count))
    elif seed % 3 == 1:
        modules = 255 * rng.integers(0, 2, (count, count))
    else:
        modules = np.full((count, count), 120)
        columns, rows = rng.integers(3, 12, 2)
        board = 255 * (np.indices((rows, columns)).sum(axis=0) % 2)
        top, left = rng.integers(1, count - 12, 2) if count > 13 else (1, 1)
        modules[top : top + rows, left : left + columns] = board[
            : count - top, : count - left
        ]
    picture = np.kron(modules, np.ones((cell, cell))) + rng.normal(
        0.0, 3.0, (count * cell, count * cell)
    )
    return len(find_sheets(np.clip(picture, 0, 255).astype(np.uint8)))


def found_of(trials: list[Trial]) -> list[Trial]:
    """Return the trials in which the sheet was found and used."""
    return [trial for trial in trials if trial.result == "found"]
