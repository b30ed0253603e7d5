"""Scenes by name, and by chance."""

from dataclasses import replace
from typing import Final

import numpy as np

from tests.pictures.bonds import Brickwork
from tests.pictures.finish import CLEAN, MESSENGER, Finish
from tests.pictures.light import Light
from tests.pictures.scene import Scene
from tests.pictures.view import Stand

_OBLIQUE = Stand(
    yaw_rad=np.radians(40.0), tilt_rad=np.radians(6.0), aim_x_mm=4200.0, distance_mm=7500.0
)
_USUAL = Stand(
    yaw_rad=np.radians(12.0),
    tilt_rad=np.radians(6.0),
    roll_rad=np.radians(1.0),
    k1=-0.01,
    k2=0.003,
    principal_offset=(0.004, -0.005),
)

PRESETS: Final[dict[str, Scene]] = {
    "clean": Scene(stand=Stand(tilt_rad=np.radians(4.0)), finish=CLEAN),
    "usual": Scene(stand=_USUAL),
    "oblique": Scene(stand=_OBLIQUE),
    "coarse": Scene(stand=replace(_USUAL, size_px=(800, 600), distance_mm=8500.0)),
    "flemish": Scene(stand=_USUAL, work=Brickwork(bond="flemish"), palette="red-multi"),
    "english": Scene(stand=_USUAL, work=Brickwork(bond="english"), palette="yellow-stock"),
    "painted": Scene(stand=_USUAL, palette="painted-white"),
    "block": Scene(stand=_USUAL, work=Brickwork(format="uk-block"), palette="block"),
    "messenger": Scene(stand=_USUAL, finish=MESSENGER),
}


def preset(name: str, seed: int = 0) -> Scene:
    """Return a preset scene with a seed."""
    return replace(PRESETS[name], name=name, seed=seed)


_FORMATS = (
    ("uk-metric", 6),
    ("uk-imperial-73", 2),
    ("uk-imperial-68", 1),
    ("de-nf", 2),
    ("de-df", 1),
    ("us-modular", 2),
    ("nl-waal", 1),
    ("au-standard", 2),
    ("uk-block", 1),
)
_BONDS = (
    ("stretcher", 6),
    ("flemish", 2),
    ("english", 1),
    ("header", 1),
    ("english-garden", 1),
)
_SIZES = (((1600, 1200), 4), ((1200, 1600), 1), ((2016, 1512), 2), ((1024, 768), 1))


def _one(rng: np.random.Generator, choices):
    weights = np.array([w for _, w in choices], dtype=np.float64)
    return choices[rng.choice(len(choices), p=weights / weights.sum())][0]


def random_scene(rng: np.random.Generator, kind: str = "brick") -> Scene:
    """Draw a scene by chance.

    Parameters
    ----------
    rng : Generator
    kind : str
        "brick", or the name of another cover of the wall.

    Returns
    -------
    Scene
    """
    work = Brickwork(
        format=_one(rng, _FORMATS),
        bond=_one(rng, _BONDS),
        gauge_drift=float(rng.normal(0.0, 0.006)),
        along_drift=float(rng.normal(0.0, 0.005)),
        wave_mm=float(rng.uniform(0.5, 3.5)),
        jitter_mm=float(rng.uniform(0.6, 2.2)),
        joint_mm=float(rng.uniform(8.0, 12.0)),
        first_joint_mm=float(rng.uniform(0.0, 70.0)),
    )
    if work.format == "uk-block":
        work = replace(work, bond="stretcher")
    palettes = ["block"] if work.format == "uk-block" else _BRICK_PALETTES
    return Scene(
        name=f"random-{kind}",
        seed=int(rng.integers(2**31)),
        stand=random_stand(rng),
        wall=kind,
        work=work,
        palette=str(rng.choice(palettes)),
        light=random_light(rng),
        finish=random_finish(rng),
    )


_BRICK_PALETTES = [
    "red",
    "red",
    "red-multi",
    "red-multi",
    "brown",
    "yellow-stock",
    "buff-flush",
    "grey",
    "dark-mortar",
    "same-mortar",
    "painted-white",
    "engineering-blue",
]


def random_stand(rng: np.random.Generator) -> Stand:
    """Draw a standpoint from which much of an eight-metre wall is seen."""
    yaw = float(np.radians(rng.choice([-1, 1]) * 45.0 * rng.beta(1.2, 1.8)))
    return Stand(
        size_px=_one(rng, _SIZES),
        equivalent_mm=float(rng.choice([24.0, 26.0, 26.0, 28.0])),
        distance_mm=float(rng.uniform(6000.0, 11_000.0)),
        height_mm=float(rng.uniform(1400.0, 1700.0)),
        aim_x_mm=float(rng.uniform(3500.0, 4500.0)),
        yaw_rad=yaw,
        tilt_rad=float(np.radians(rng.uniform(0.0, 14.0))),
        roll_rad=float(np.radians(np.clip(rng.normal(0.0, 1.3), -5.0, 5.0))),
        k1=float(rng.normal(-0.005, 0.012)),
        k2=float(rng.normal(0.0, 0.004)),
        principal_offset=(float(rng.normal(0.0, 0.004)), float(rng.normal(0.0, 0.004))),
    )


def random_light(rng: np.random.Generator) -> Light:
    """Draw sunny or overcast weather."""
    if rng.random() < 0.35:
        return Light(sun=(0.0, 0.0, 0.0), sky=(0.92, 0.95, 1.0))
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
        exposure=float(rng.uniform(0.8, 1.15)),
        sharpen=float(rng.uniform(0.0, 0.9)),
        quality=int(rng.integers(75, 96)),
        exif=bool(rng.random() < 0.8),
    )
