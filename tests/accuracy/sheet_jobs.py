"""Photos of walls with printed sheets, and the jobs that a user makes of them."""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

import numpy as np

from calibration.priors import WALL_RELIEF_SD_MM
from calibration.sheet import COARSE, FoundSheet, Layout, RefusedSheet, Sheet, find_sheets
from photomeasure.job.load import job_from_document
from photomeasure.measure import measure_job
from photomeasure.results import MeasuredElevation, RefusedElevation
from photomeasure.sheets.printed import LINE_A_MM, LINE_B_MM, UNMEASURED_SD, PrintSize
from photomeasure.sheets.references import sheet_references
from tests.accuracy.score import Reading
from tests.calibration.sheet.photographs import Look, Paper, View, photograph, view_at

FOCAL_SD: Final = 0.02
"""Relative, of the focal length in a photo's header."""

K1_SD: Final = 0.01
"""Of the drawn lens; the job states nothing and assumes a phone's."""

FOLD_SD_RAD: Final = float(np.radians(1.0))
"""Of the right half of a sheet that was taped up well."""

PICK_SD_PX: Final = 0.7
READING_SD_MM: Final = 0.3
"""Of a ruler, before it is read in whole millimetres."""

HANGS_MM: Final = 300.0
"""How far the measured eaves hang in front of the wall."""


PHONE: Final = Look(blur_px=0.8, noise=4.0, jpeg=88, sharpening=1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Walls:
    """What photos are drawn.

    Attributes
    ----------
    size_px : tuple of int
    cell_px : float
        Of a cell that faced the camera.
    look : Look
    layout : Layout
    sheets : int
        One in the middle or two near the ends.
    shrink_sd : float
        Spread of the print's true scale.
    fold_rad : float
        Of every sheet, to either side, beside what is usual.
    """

    size_px: tuple[int, int] = (1500, 700)
    cell_px: float = 27.0
    look: Look = PHONE
    layout: Layout = COARSE
    sheets: int = 2
    shrink_sd: float = UNMEASURED_SD
    fold_rad: float = 0.0


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Wall:
    """One photo and its truth."""

    view: View
    grey: np.ndarray
    papers: tuple[Paper, ...]
    focal_px: float

    def found(self) -> tuple[tuple[FoundSheet, ...], tuple[RefusedSheet, ...]]:
        """Return what the detector makes of it."""
        seen = find_sheets(self.grey)
        found = tuple(sheet for sheet in seen if isinstance(sheet, FoundSheet))
        return found, tuple(sheet for sheet in seen if isinstance(sheet, RefusedSheet))


def drawn_wall(walls: Walls, rng: np.random.Generator, mean_shrink: float = 1.0) -> Wall:
    """Draw a wall with sheets of one printer, seen somewhat from the side and below."""
    shrink = mean_shrink + walls.shrink_sd * rng.standard_normal()
    apart = 1.0 + 0.003 * rng.standard_normal()
    width, height = walls.size_px
    view = view_at(
        walls.cell_px,
        cell_mm=walls.layout.cell_mm,
        size_px=walls.size_px,
        yaw_rad=rng.uniform(-0.4, 0.4),
        tilt_rad=rng.uniform(0.0, 0.15),
        roll_rad=0.02 * rng.standard_normal(),
        focal_px=0.75 * max(walls.size_px),
    )
    camera = replace(view.camera, k1=K1_SD * rng.standard_normal())
    view = replace(view, camera=camera)
    places = (0.5,) if walls.sheets == 1 else (0.15, 0.85)
    centres = camera.back_project(
        np.array([[x * width, 0.62 * height] for x in places]), np.zeros(len(places))
    ).xy_mm
    papers = tuple(
        Paper(
            Sheet(walls.layout, number),
            centre_mm=(float(x), float(y), WALL_RELIEF_SD_MM * rng.standard_normal()),
            turn_rad=0.05 * rng.standard_normal(),
            fold_rad=FOLD_SD_RAD * rng.standard_normal()
            + walls.fold_rad * rng.choice([-1.0, 1.0]),
            shrink=(shrink * apart, shrink),
        )
        for number, (x, y) in enumerate(centres, 1)
    )
    grey = photograph(view, papers, walls.look, rng)
    header = view.camera.focal_px * (1.0 + FOCAL_SD * rng.standard_normal())
    return Wall(view=view, grey=grey, papers=papers, focal_px=header)


def by_ruler(wall: Wall, rng: np.random.Generator) -> PrintSize:
    """Return what somebody reads off the check lines, in whole millimetres."""
    read = [
        float(np.round(drawn * shrink + READING_SD_MM * rng.standard_normal()))
        for drawn, shrink in zip((LINE_A_MM, LINE_B_MM), wall.papers[0].shrink, strict=True)
    ]
    return PrintSize(line_a_mm=read[0], line_b_mm=read[1])


def job_of(wall: Wall, size: PrintSize, rng: np.random.Generator) -> dict[str, Any]:
    """Return a job: the sheets as references, three lines traced by hand.

    The name of a line is its true length in millimetres and what it is.
    """
    found, _ = wall.found()
    references = [
        entry.model_dump(mode="json", exclude_defaults=True)
        for entry in sheet_references(found, size)
    ]
    width, height = wall.view.size_px
    lines = []
    for what, role, hangs, ends in (
        ("wall", "wall", 0.0, ((0.1, 0.85), (0.9, 0.85))),
        ("height", "wall", 0.0, ((0.5, 0.1), (0.5, 0.9))),
        ("eaves", "eaves", HANGS_MM, ((0.08, 0.15), (0.92, 0.15))),
    ):
        picks = np.array(ends) * [width, height]
        true = wall.view.camera.back_project(picks, np.full(2, hangs)).xy_mm
        length = float(np.hypot(*(true[1] - true[0])))
        lines.append(
            {
                "name": f"{length:.3f} mm {what}",
                "role": role,
                "picks": (picks + PICK_SD_PX * rng.standard_normal((2, 2))).tolist(),
                "pick_sd_px": PICK_SD_PX,
                "projection_mm": hangs,
                "projection_sd_mm": 1e-3,
            }
        )
    camera = {
        "size_px": [width, height],
        "focal_px": wall.focal_px,
        "focal_sd_px": FOCAL_SD * wall.focal_px,
    }
    elevation = {"name": "wall", "camera": camera, "references": references, "lines": lines}
    return {"photomeasure_job": 1, "elevations": [elevation]}


def measured(document: dict[str, Any]) -> MeasuredElevation | RefusedElevation:
    """Measure a job of one elevation."""
    return measure_job(job_from_document(document, Path())).elevations[0]


def readings_of(elevation: MeasuredElevation, name: str = "") -> list[Reading]:
    """Return the lines beside their truth."""
    return [
        Reading(
            photo=name,
            true_mm=float(line.name.split()[0]),
            error_mm=line.length_mm - float(line.name.split()[0]),
            u_mm=line.u_mm,
        )
        for line in elevation.measured
    ]
