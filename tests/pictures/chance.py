"""Scenes by chance: walls, houses, weather, phones."""

from dataclasses import replace
from typing import Final

import numpy as np

from tests.pictures.bonds import Brickwork
from tests.pictures.covers import COVERS
from tests.pictures.finish import MESSENGER, Finish
from tests.pictures.house import BARE, House, Patch, usual_openings
from tests.pictures.light import Light
from tests.pictures.scene import Scene
from tests.pictures.standing import stand_before
from tests.pictures.view import Stand

LOOK_ALIKES: Final = (*COVERS, "sky", "static")
"""Kinds of pictures that show no brickwork on the wall."""

_FORMATS = {
    "uk-metric": 6,
    "uk-imperial-73": 2,
    "uk-imperial-68": 1,
    "de-nf": 2,
    "de-df": 1,
    "us-modular": 2,
    "nl-waal": 1,
    "au-standard": 2,
    "uk-block": 1,
}
_BONDS = {"stretcher": 6, "flemish": 2, "english": 1, "header": 1, "english-garden": 1}
_SIZES = {
    (1600, 1200): 5,
    (1200, 1600): 1,
    (2016, 1512): 2,
    (1024, 768): 1,
    (1920, 1080): 1,
}
_KINDS = {"eaves": 5, "gable": 3, "none": 2}
_PALETTES = {
    "red": 3,
    "red-multi": 3,
    "brown": 2,
    "yellow-stock": 2,
    "buff-flush": 1,
    "grey": 1,
    "dark-mortar": 1,
    "same-mortar": 1,
    "painted-white": 1,
    "engineering-blue": 1,
}
_BOARDS = {(236, 236, 232): 5, (44, 44, 46): 2, (92, 60, 40): 1, (226, 216, 190): 1}
_GUTTERS = {(44, 44, 46): 4, (228, 228, 224): 3, (92, 66, 48): 1, (120, 122, 124): 1}


def one_of(rng: np.random.Generator, weights: dict):
    """Draw a key by its weight."""
    share = np.array(list(weights.values()), dtype=np.float64)
    return list(weights)[int(rng.choice(len(share), p=share / share.sum()))]


def random_scene(rng: np.random.Generator, kind: str = "brick") -> Scene:
    """Draw a scene by chance.

    Parameters
    ----------
    rng : Generator
    kind : str
        "brick", one of :data:`LOOK_ALIKES`, or "look-alike" for any of them.

    Returns
    -------
    Scene
    """
    if kind == "look-alike":
        kind = str(rng.choice(LOOK_ALIKES))
    work = random_work(rng)
    block = work.format == "uk-block"
    house = random_house(rng, work)
    light = random_light(rng)
    share = float(rng.choice([1.0, 1.0, 1.0, 0.7, 0.5]))
    return Scene(
        name=f"random-{kind}",
        seed=int(rng.integers(2**31)),
        stand=stand_before(house, random_stand(rng), share),
        wall=kind,
        work=work,
        palette="block" if block else one_of(rng, _PALETTES),
        house=house,
        light=light,
        dapple=float(rng.uniform(0.3, 1.0)) if rng.random() < 0.2 else 0.0,
        finish=random_finish(rng),
    )


def random_work(rng: np.random.Generator) -> Brickwork:
    """Draw a format, a bond, and how well it was laid."""
    name = one_of(rng, _FORMATS)
    bond = one_of(rng, _BONDS)
    return Brickwork(
        format=name,
        bond="stretcher" if name == "uk-block" else bond,
        gauge_drift=float(rng.normal(0.0, 0.006)),
        along_drift=float(rng.normal(0.0, 0.005)),
        wave_mm=float(rng.uniform(0.5, 3.5)),
        jitter_mm=float(rng.uniform(0.6, 2.2)),
        joint_mm=float(rng.uniform(8.0, 12.0)),
        first_joint_mm=float(rng.uniform(0.0, 70.0)),
    )


def random_house(rng: np.random.Generator, work: Brickwork) -> House:
    """Draw a house that fits its brickwork."""
    kind = one_of(rng, _KINDS)
    if kind == "none":
        return replace(BARE, width_mm=float(rng.uniform(5000.0, 12_000.0)))
    units = round(float(rng.uniform(5500.0, 10_500.0)) / work.stretcher_mm)
    storeys = int(rng.choice([1, 2, 2, 2]))
    width = units * work.stretcher_mm - work.joint_mm
    courses = round((2450.0 if storeys == 1 else 4950.0) / work.gauge_mm)
    house = House(
        kind=kind,
        width_mm=width,
        height_mm=float(work.joint_mean_mm(np.array(courses))),
        overhang_mm=float(rng.uniform(120.0, 480.0)),
        fascia_mm=float(rng.choice([150.0, 175.0, 200.0, 225.0, 250.0])),
        boards=one_of(rng, _BOARDS),
        gutter=one_of(rng, _GUTTERS),
        gutters=bool(rng.random() < 0.9),
        pipes_mm=tuple(x for x in (320.0, width - 350.0) if rng.random() < 0.5),
        pitch_rad=float(np.radians(rng.uniform(25.0, 45.0))),
        depth_mm=float(rng.uniform(6000.0, 9000.0)),
        verge_mm=float(rng.uniform(60.0, 260.0)),
        roof=str(rng.choice(["pantile", "plain", "slate"])),
        ground=str(rng.choice(["grass", "paving"])),
        chimney=bool(rng.random() < 0.4),
        occluders=tuple(n for n, p in _HIDES.items() if rng.random() < p),
    )
    openings = usual_openings(work, house, rng)
    return replace(house, openings=openings, patches=_patches(rng, work, house))


_HIDES = {
    "hedge": 0.25,
    "car": 0.2,
    "tree": 0.12,
    "ladder": 0.08,
    "wire": 0.15,
    "bin": 0.15,
}


def _patches(rng: np.random.Generator, work: Brickwork, house: House) -> tuple[Patch, ...]:
    """Draw render bands, stone quoins, vents and boxes."""
    W, H = house.width_mm, house.height_mm
    made = []
    if rng.random() < 0.12:
        band = (-50.0, 0.0, W + 50.0, float(rng.uniform(300.0, 900.0)))
        made.append(Patch(box_mm=band, kind="render"))
    elif rng.random() < 0.12:
        low = float(work.joint_mean_mm(np.array(round(0.5 * H / work.gauge_mm))))
        made.append(Patch(box_mm=(-50.0, low, W + 50.0, H + 4000.0), kind="render"))
    if rng.random() < 0.15:
        made += _quoins(work, W, H)
    if rng.random() < 0.5:
        x, y = rng.uniform(0.05, 0.9) * W, rng.uniform(150.0, 2500.0)
        made.append(Patch(box_mm=(x, y, x + 225.0, y + 75.0), kind="vent"))
    if rng.random() < 0.3:
        x = rng.uniform(0.05, 0.9) * W
        made.append(Patch(box_mm=(x, 500.0, x + 400.0, 1050.0), kind="box"))
    return tuple(made)


def _quoins(work: Brickwork, W: float, H: float) -> list[Patch]:
    """Return stones up both corners, long and short in turn, three courses each."""
    made = []
    for number, low in enumerate(range(0, round(H / work.gauge_mm), 3)):
        y0, y1 = (float(work.joint_mean_mm(np.array(k))) + 4.0 for k in (low, low + 3))
        reach = 480.0 if number % 2 else 260.0
        made.append(Patch(box_mm=(-50.0, y0, reach, y1 - 8.0), kind="quoin"))
        made.append(Patch(box_mm=(W - reach, y0, W + 50.0, y1 - 8.0), kind="quoin"))
    return made


def random_stand(rng: np.random.Generator) -> Stand:
    """Draw how a camera is held; where it stands follows from the house."""
    return Stand(
        size_px=one_of(rng, _SIZES),
        equivalent_mm=float(rng.choice([24.0, 26.0, 26.0, 28.0, 35.0])),
        height_mm=float(rng.uniform(1400.0, 1700.0)),
        yaw_rad=float(np.radians(rng.choice([-1, 1]) * 45.0 * rng.beta(1.1, 1.8))),
        roll_rad=float(np.radians(np.clip(rng.normal(0.0, 1.3), -5.0, 5.0))),
        k1=float(rng.normal(-0.005, 0.012)),
        k2=float(rng.normal(0.0, 0.004)),
        principal_offset=(float(rng.normal(0.0, 0.004)), float(rng.normal(0.0, 0.004))),
    )


def random_light(rng: np.random.Generator) -> Light:
    """Draw sunny or overcast weather."""
    if rng.random() < 0.35:
        return Light(sun=(0.0, 0.0, 0.0), sky=(0.80, 0.83, 0.88))
    return Light(
        azimuth_rad=float(np.radians(rng.uniform(-75.0, 75.0))),
        height_rad=float(np.radians(rng.uniform(15.0, 60.0))),
    )


def random_finish(rng: np.random.Generator) -> Finish:
    """Draw a phone, or a messenger's copy of its picture."""
    if rng.random() < 0.3:
        return replace(MESSENGER, quality=int(rng.integers(60, 85)))
    shake = rng.normal(0.0, 0.5, 2) if rng.random() < 0.3 else np.zeros(2)
    return Finish(
        blur_px=float(rng.uniform(0.4, 1.0)),
        motion_px=(float(shake[0]), float(shake[1])),
        shot=float(rng.uniform(0.004, 0.03)),
        read=float(rng.uniform(0.001, 0.008)),
        exposure=float(rng.uniform(0.85, 1.2)),
        sharpen=float(rng.uniform(0.0, 0.9)),
        quality=int(rng.integers(75, 96)),
        orientation=int(rng.choice([1, 1, 1, 6, 8, 3])),
        exif=bool(rng.random() < 0.8),
    )
