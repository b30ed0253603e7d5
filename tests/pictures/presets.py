"""Scenes by name."""

from dataclasses import replace
from typing import Final

import numpy as np

from tests.pictures.bonds import Brickwork
from tests.pictures.covers import COVERS
from tests.pictures.finish import CLEAN, MESSENGER, Finish
from tests.pictures.house import BARE, House, usual_openings
from tests.pictures.light import Light
from tests.pictures.scene import Scene
from tests.pictures.standing import stand_before
from tests.pictures.view import Stand

OVERCAST: Final = Light(sun=(0.0, 0.0, 0.0), sky=(0.80, 0.83, 0.88))
LOW_SUN: Final = Light(azimuth_rad=-1.0, height_rad=0.30)
HIGH_SUN: Final = Light(azimuth_rad=0.35, height_rad=0.95)

FRONTAL: Final = Stand()
USUAL: Final = Stand(
    yaw_rad=np.radians(12.0),
    roll_rad=np.radians(1.0),
    k1=-0.01,
    k2=0.003,
    principal_offset=(0.004, -0.005),
)
OBLIQUE: Final = replace(USUAL, yaw_rad=np.radians(-45.0))
COARSE: Final = replace(USUAL, size_px=(800, 600))
FINE: Final = replace(USUAL, size_px=(4032, 3024))

_WORK = Brickwork()


def _housed(
    work: Brickwork = _WORK, stand: Stand = USUAL, house: House | None = None, **rest
) -> Scene:
    """Return a scene of a house with its usual openings."""
    house = house or House()
    house = replace(house, openings=usual_openings(work, house, np.random.default_rng(4)))
    return Scene(work=work, house=house, stand=stand_before(house, stand), **rest)


def _bare(work: Brickwork = _WORK, stand: Stand = USUAL, **rest) -> Scene:
    """Return a scene of a bare wall."""
    return Scene(work=work, stand=stand_before(BARE, stand), **rest)


_GABLE = House(kind="gable", width_mm=7000.0, pipes_mm=())
_HIDDEN = House(occluders=("hedge", "car", "ladder", "wire", "bin"))

PRESETS: Final[dict[str, Scene]] = {
    "wall-clean": _bare(stand=FRONTAL, finish=CLEAN, light=OVERCAST),
    "wall": _bare(),
    "wall-oblique": _bare(stand=OBLIQUE),
    "wall-coarse": _bare(stand=replace(COARSE, size_px=(640, 480))),
    "clean": _housed(stand=FRONTAL, finish=CLEAN, light=HIGH_SUN),
    "usual": _housed(),
    "oblique": _housed(stand=OBLIQUE),
    "coarse": _housed(stand=COARSE),
    "fine": _housed(stand=FINE),
    "overcast": _housed(light=OVERCAST),
    "shadowed": _housed(light=LOW_SUN, dapple=0.9),
    "occluded": _housed(house=_HIDDEN),
    "gable": _housed(house=_GABLE),
    "gable-oblique": _housed(house=_GABLE, stand=OBLIQUE),
    "messenger": _housed(finish=MESSENGER),
    "noisy": _housed(finish=Finish(blur_px=1.1, shot=0.05, read=0.015, exposure=0.7)),
    "shaken": _housed(finish=Finish(motion_px=(2.2, 0.8))),
    "flemish": _housed(Brickwork(bond="flemish"), palette="red-multi"),
    "english": _housed(Brickwork(bond="english"), palette="yellow-stock"),
    "header": _housed(Brickwork(bond="header"), palette="brown"),
    "garden-wall": _housed(Brickwork(bond="english-garden")),
    "imperial": _housed(Brickwork(format="uk-imperial-73"), palette="red-multi"),
    "normal-format": _housed(Brickwork(format="de-nf"), palette="brown"),
    "thin-format": _housed(Brickwork(format="de-df"), palette="engineering-blue"),
    "modular": _housed(Brickwork(format="us-modular")),
    "waal": _housed(Brickwork(format="nl-waal"), palette="brown"),
    "australian": _housed(Brickwork(format="au-standard"), palette="buff-flush"),
    "block": _housed(Brickwork(format="uk-block", wave_mm=1.5), palette="block"),
    "painted": _housed(palette="painted-white"),
    "dark-mortar": _housed(palette="dark-mortar"),
    "same-mortar": _housed(palette="same-mortar"),
    "flush": _housed(palette="buff-flush", light=OVERCAST),
    **{name: _housed(wall=name) for name in COVERS},
    "sky": _bare(wall="sky"),
    "static": _bare(wall="static"),
}
"""Walls, houses, and pictures that show no brickwork."""


def preset(name: str, seed: int = 0) -> Scene:
    """Return a preset scene with a seed.

    Parameters
    ----------
    name : str
        Key of :data:`PRESETS`.
    seed : int

    Returns
    -------
    Scene
    """
    return replace(PRESETS[name], name=name, seed=seed)
