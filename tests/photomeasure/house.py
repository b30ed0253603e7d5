"""An invented house, projected by a known camera: a valid job to spoil and to measure."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from calibration.camera import Camera, rotation_looking

Job = dict[str, Any]

SIZE_PX = (1600, 1200)
EAVES_MM = 6000.0
"""True length of the front eaves."""

_CAMERA = Camera(
    focal_px=1180.0,
    centre_px=np.array([799.5, 599.5]),
    R_wall_from_camera=rotation_looking(np.radians(9.0), np.radians(6.0), 0.01),
    standoff_mm=8200.0,
)


Point = tuple[float, float] | tuple[float, float, float]


def pixels(*points_mm: Point, camera: Camera = _CAMERA) -> list[list[float]]:
    """Return picks, to a hundredth of a pixel, of points x, y and optionally z."""
    points = np.array([(*point, 0.0)[:3] for point in points_mm])
    return [[round(v, 2) for v in pick] for pick in camera.project(points).tolist()]


def references() -> list[Job]:
    """Return one reference of each kind, all true."""
    beds = [(1800.0, -1400.0 + 75.0 * n) for n in (0, 8, 16, 24, 32)]
    return [
        {
            "kind": "rectangle",
            "corners": pixels((-600, -1500), (310, -1500), (310, 540), (-600, 540)),
            "width_mm": 910,
            "height_mm": 2040,
        },
        {
            "kind": "distance",
            "ends": pixels((-2200, -1450), (800, -1450)),
            "length_mm": 3000,
            "direction": "level",
        },
        {
            "kind": "courses",
            "direction": "up",
            "picks": pixels(*beds),
            "counts": [0, 8, 16, 24, 32],
            "format": "uk-metric",
        },
        {
            "kind": "points",
            "picks": pixels((700, 800), (1900, 800), (1900, 1850), (700, 1850)),
            "wall_mm": [[0, 0], [1200, 0], [1200, 1050], [0, 1050]],
        },
        {"kind": "level", "ends": pixels((-2500, 1900), (2500, 1900))},
        {"kind": "plumb", "ends": pixels((2600, -1400), (2600, 2300))},
        {"kind": "straight", "picks": pixels((-2600, -1400), (-2600, 300), (-2600, 2300))},
    ]


def front() -> Job:
    """Return the elevation without a photo."""
    return {
        "name": "front",
        "camera": {"size_px": list(SIZE_PX), "focal_px": 1180.0, "focal_sd_px": 12.0},
        "references": references(),
        "lines": [
            {
                "name": "front eaves",
                "role": "eaves",
                "picks": pixels((-3000, 2500, 300), (3000, 2500, 300)),
            },
            {
                "name": "left rake",
                "role": "rake",
                "picks": pixels((-2000, 2300, 60), (0, 3100, 60)),
                "projection_mm": 60,
                "projection_sd_mm": 10,
            },
        ],
        "soffits": [
            {
                "name": "front soffit",
                "wall_edge": pixels((-2900, 2480), (2900, 2480)),
                "outer_edge": pixels((-2900, 2480, 300), (2900, 2480, 300)),
                "lines": ["front eaves"],
                "ground": pixels((0, -1550))[0],
            }
        ],
    }


_ALONG_THE_WALL = replace(
    _CAMERA,
    R_wall_from_camera=rotation_looking(np.radians(60.0), 0.0, 0.0),
    standoff_mm=3000.0,
)


def along_the_wall() -> Job:
    """Return an elevation seen so obliquely that the wall's horizon is in the photo."""
    plan = [(3000, -1000), (6500, -1000), (6500, 1500), (3000, 1500)]
    eaves, rake = (
        pixels((3000, y, 0), (7000, y, 0), camera=_ALONG_THE_WALL) for y in (1700, 0)
    )
    return {
        **front(),
        "references": [
            {
                "kind": "points",
                "picks": pixels(*plan, camera=_ALONG_THE_WALL),
                "wall_mm": [list(point) for point in plan],
            }
        ],
        "lines": [
            {"name": "front eaves", "role": "eaves", "picks": eaves, "projection_mm": 0},
            {"name": "left rake", "role": "rake", "picks": rake, "projection_mm": 0},
        ],
        "soffits": [],
    }


def job(*elevations: Job) -> Job:
    """Return a job of the elevations, by default of the front alone."""
    return {
        "photomeasure_job": 1,
        "title": "an invented house",
        "elevations": list(elevations or (front(),)),
    }


def write_job(folder: Path, document: object) -> Path:
    """Write a job file; text and bytes are written as they are."""
    path = folder / "house.job.json"
    if isinstance(document, bytes):
        path.write_bytes(document)
    else:
        text = document if isinstance(document, str) else json.dumps(document)
        path.write_text(text, encoding="utf-8", errors="surrogatepass")
    return path


def write_photo(folder: Path, name: str = "front.jpg", **options: Any) -> Path:
    """Write a grey photo of the right size."""
    path = folder / name
    Image.new("RGB", SIZE_PX, (120, 120, 120)).save(path, **options)
    return path
