"""Printed sheets against truth: ``python -m tests.accuracy.sheets [photos a row]``.

Prints the tables of docs/accuracy.md: corners, size, stated spread; what is hidden, bent,
small or blurred; pictures without sheets; lengths by the way of a user's job; time.
"""

import os
import sys
import time
from collections import Counter
from pathlib import Path
from typing import Final

import cv2
import numpy as np

from calibration.sheet import find_sheets
from photomeasure.results import RefusedElevation
from photomeasure.sheets.printed import PrintSize
from tests.accuracy.score import summarise
from tests.accuracy.sheet_groups import (
    LOOKS,
    Trial,
    found_of,
    house,
    look_alike,
    pattern,
    taken,
)
from tests.accuracy.sheet_jobs import (
    PHONE,
    Walls,
    by_ruler,
    drawn_wall,
    job_of,
    measured,
    readings_of,
)

CELLS_PX: Final = (12.0, 16.0, 24.0, 40.0)
"""Of a square that faced the camera; seen aside its shorter side is less."""

FOLDS_DEG: Final = (0, 2, 5, 10, 20)

DOC: Final = (
    Path(os.environ.get("OPENCV_DOC", "/usr/share/doc/opencv-doc")) / "examples/data"
)

HEAD: Final = (
    "| sheets | photos | found | refused | missed | wrong number | corner rms px "
    "| stated px | size bias % | size rms % | size rms / stated | called bent |\n"
    "|---|---|---|---|---|---|---|---|---|---|---|---|"
)


def row(title: str, trials: list[Trial]) -> str:
    """Return a row of the first table."""
    count = Counter(trial.result for trial in trials)
    found = found_of(trials)
    figures = "- | - | - | - | -"
    if found:
        rms = np.sqrt(np.mean(np.concatenate([t.errors_px for t in found]) ** 2))
        stated = np.sqrt(np.mean([trial.sd_px**2 for trial in found]))
        size = 100.0 * np.array([trial.size_error for trial in found])
        error = size.std() / np.sqrt(len(size))
        z = np.array([t.size_error / t.size_sd for t in found])
        figures = (
            f"{rms:.3f} | {stated:.3f} | {size.mean():+.3f} ± {error:.3f} "
            f"| {np.sqrt(np.mean(size**2)):.3f} | {np.sqrt(np.mean(z**2)):.2f}"
        )
    bent = sum(trial.bent for trial in found)
    return (
        f"| {title} | {len(trials)} | {count['found']} | {count['refused']} "
        f"| {count['missed']} | {count['wrong']} | {figures} | {bent} |"
    )


def corners(count: int) -> None:
    """Print the table of sheets photographed alone, and on drawn houses."""
    say(HEAD)
    for number, (name, look) in enumerate(LOOKS.items()):
        for cell_px in CELLS_PX:
            rng = np.random.default_rng([number, int(cell_px)])
            trials = [taken(name, cell_px, look, rng) for _ in range(count)]
            say(row(f"{name}, {cell_px:.0f} px", trials))
    for fold in FOLDS_DEG:
        rng = np.random.default_rng([99, fold])
        fold_rad = float(np.radians(fold))
        trials = [taken("", 28.0, PHONE, rng, fold_rad=fold_rad) for _ in range(count)]
        say(row(f"folded by {fold}°, 28 px", trials))
    houses = [trial for seed in range(count) for trial in house(seed)]
    say(row("drawn houses", houses))
    hidden = sum(trial.hidden > 0 for trial in found_of(houses))
    say(f"\nOn drawn houses {hidden} found sheets were told to be partly hidden.\n")


def nothing(count: int) -> None:
    """Print how often something is taken for a sheet."""
    patterns = [pattern(seed) for seed in range(10 * count)]
    houses = [look_alike(seed) for seed in range(count)]
    photos = [cv2.imread(str(path), cv2.IMREAD_GRAYSCALE) for path in sorted(DOC.glob("*"))]
    real = [len(find_sheets(photo)) for photo in photos if photo is not None]
    for what, seen in (
        ("noise, modules, chessboards", patterns),
        ("drawn houses and look-alikes without sheets", houses),
        ("pictures of opencv-doc", real),
    ):
        say(f"{what}: {sum(seen)} false of {len(seen)} pictures")


def lengths(count: int) -> None:
    """Print the table of lengths measured with sheets."""
    say(
        "\n| job | photos | refused | lengths | in 95 % interval | rms error % "
        "| rms error/u | half-width % |\n|---|---|---|---|---|---|---|---|"
    )
    for sheets in (2, 1):
        for ruler in (True, False):
            readings, refused = [], 0
            for seed in range(count):
                rng = np.random.default_rng([77, sheets, seed])
                wall = drawn_wall(Walls(sheets=sheets), rng)
                size = by_ruler(wall, rng) if ruler else PrintSize()
                elevation = measured(job_of(wall, size, rng))
                if isinstance(elevation, RefusedElevation):
                    refused += 1
                else:
                    readings += readings_of(elevation)
            score = summarise(readings)
            title = f"{sheets} sheet{'s' * (sheets > 1)}, "
            title += "check lines measured" if ruler else "nobody measured the print"
            say(
                f"| {title} | {count} | {refused} | {score.count} | {score.coverage:.1%} "
                f"| {score.rms_percent:.2f} | {score.rms_of_u:.2f} "
                f"| {score.half_width_percent:.2f} |"
            )


def seconds() -> None:
    """Print how long a photo of 12 megapixels takes."""
    wall = drawn_wall(Walls(size_px=(4000, 3000)), np.random.default_rng(0))
    noise = np.random.default_rng(0).integers(0, 256, (3000, 4000), dtype=np.uint8)
    for what, picture in (("two sheets", wall.grey), ("noise", noise)):
        start = time.perf_counter()
        found = find_sheets(picture)
        took = time.perf_counter() - start
        say(f"12 MP, {what}: {took:.2f} s, {len(found)} seen")


def main() -> None:
    """Measure and print."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    seconds()
    corners(count)
    nothing(count)
    lengths(count)


def say(text: str) -> None:
    """Write a line now: the report takes minutes."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
