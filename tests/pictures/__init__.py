"""Drawn house elevations with exact truth, for developing and proving detectors.

A second way of making scenes beside the path-traced ones in ``sample_images``: rays on
textured planes, in NumPy and OpenCV. Development and tests only.
"""

from tests.pictures.chance import LOOK_ALIKES, random_scene
from tests.pictures.presets import PRESETS, preset
from tests.pictures.scene import Picture, Scene
from tests.pictures.sheets import Sheet
from tests.pictures.truth import Truth

__all__ = [
    "LOOK_ALIKES",
    "PRESETS",
    "Picture",
    "Scene",
    "Sheet",
    "Truth",
    "preset",
    "random_scene",
]
