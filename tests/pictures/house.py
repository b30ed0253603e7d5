"""The house as data: its wall, openings, roofline and what stands around it.

Sizes are ordinary British practice, from memory, and belong to no real building.
"""

from dataclasses import dataclass

import numpy as np

from tests.pictures.bonds import Brickwork
from tests.pictures.palettes import Rgb
from tests.pictures.shapes import Rectangle

WHITE: Rgb = (236, 236, 232)


@dataclass(frozen=True, kw_only=True)
class Opening:
    """A window or door.

    Attributes
    ----------
    box_mm : Rectangle
        x0, y0, x1, y1 on the wall face.
    lights : int
        Panes side by side; 0 for a door.
    head : str
        What spans it: "soldier", "lintel" or "none".
    inside : str
        What hangs behind the glass: "dark", "nets" or "blinds".
    """

    box_mm: Rectangle
    lights: int = 2
    head: str = "soldier"
    inside: str = "dark"


@dataclass(frozen=True, kw_only=True)
class Patch:
    """A part of the wall face that is not plain brickwork.

    Attributes
    ----------
    box_mm : Rectangle
    kind : str
        "soldier", "lintel", "render", "quoin" or "vent".
    """

    box_mm: Rectangle
    kind: str


@dataclass(frozen=True, kw_only=True)
class House:
    """One elevation.

    Attributes
    ----------
    kind : str
        "eaves", "gable", or "none" for a bare wall.
    width_mm, height_mm : float
        Of the wall; its height is that of the soffit.
    openings : tuple of Opening
    patches : tuple of Patch
    overhang_mm : float
        Outer face of the fascia off the wall.
    fascia_mm : float
        Depth of fascia and of barge boards.
    boards, gutter : Rgb
        Colours.
    gutters : bool
    pipes_mm : tuple of float
        x of the downpipes.
    pitch_rad : float
    depth_mm : float
        Of the house, front to back.
    verge_mm : float
        Outer face of the barge boards off the gable wall; also how far eaves run past
        the quoins.
    roof : str
        "pantile", "plain" or "slate".
    ground : str
        "grass" or "paving".
    chimney : bool
    occluders : tuple of str
        Of "hedge", "car", "tree", "ladder", "wire", "bin".
    backdrop : bool
        Whether trees stand behind.
    """

    kind: str = "eaves"
    width_mm: float = 7900.0
    height_mm: float = 5000.0
    openings: tuple[Opening, ...] = ()
    patches: tuple[Patch, ...] = ()
    overhang_mm: float = 300.0
    fascia_mm: float = 200.0
    boards: Rgb = WHITE
    gutter: Rgb = (60, 60, 62)
    gutters: bool = True
    pipes_mm: tuple[float, ...] = (350.0,)
    pitch_rad: float = 0.65
    depth_mm: float = 7000.0
    verge_mm: float = 130.0
    roof: str = "pantile"
    ground: str = "grass"
    chimney: bool = True
    occluders: tuple[str, ...] = ()
    backdrop: bool = True


BARE = House(kind="none", pipes_mm=(), chimney=False, width_mm=8000.0)


def fitted(work: Brickwork, column: float, low: int, columns: float, courses: int):
    """Return the box of an opening that is cut along joints of the wall.

    ``column`` and ``columns`` count stretchers, ``low`` and ``courses`` courses.
    """
    pitch, joint = work.stretcher_mm, work.joint_mm
    y0, y1 = (float(work.joint_mean_mm(np.array(k))) for k in (low, low + courses))
    x0 = work.start_mm + column * pitch - joint
    return (x0, y0, x0 + columns * pitch + joint, y1 - joint / 2.0)


def head_patch(work: Brickwork, opening: Opening) -> Patch | None:
    """Return what spans an opening, or None."""
    if opening.head == "none":
        return None
    x0, _, x1, top = opening.box_mm
    courses = max(1, round(work.stretcher_mm / work.gauge_mm))
    ends = 0.5 * work.stretcher_mm if opening.head == "lintel" else 0.0
    high = top + courses * work.gauge_mm
    return Patch(box_mm=(x0 - ends, top, x1 + ends, high), kind=opening.head)


def usual_openings(
    work: Brickwork, house: House, rng: np.random.Generator
) -> tuple[Opening, ...]:
    """Return a plausible set of windows and a door for an elevation, two storeys."""
    pitch, gauge = work.stretcher_mm, work.gauge_mm
    bays = max(2, int(house.width_mm / 2600.0))
    door = int(rng.integers(bays)) if house.kind != "gable" else -1
    head = str(rng.choice(["soldier", "soldier", "lintel", "none"]))
    made = []
    storeys = (
        [(900.0, 1150.0), (3400.0, 1100.0)] if house.height_mm > 4500 else [(950.0, 1100.0)]
    )
    for floor, (sill, tall) in enumerate(storeys):
        for bay in range(bays):
            if rng.random() < (0.5 if house.kind == "gable" else 0.12):
                continue
            middle = (bay + 0.5) * house.width_mm / bays / pitch
            is_door = floor == 0 and bay == door
            width = 4.0 if is_door else float(rng.choice([4.0, 5.0, 6.0, 8.0]))
            width = max(2.0, round(width * 225.0 / pitch))
            low = 0 if is_door else round(sill / gauge)
            courses = round((2050.0 if is_door else tall) / gauge)
            column = round(2.0 * (middle - width / 2.0)) / 2.0
            made.append(
                Opening(
                    box_mm=fitted(work, column, low, width, courses),
                    lights=0 if is_door else max(1, round(width * pitch / 620.0)),
                    head=head,
                    inside=str(rng.choice(["dark", "nets", "blinds", "dark"])),
                )
            )
    return tuple(made)
