"""Photos for the tests of reading: rendered ones, and painted ones with truth."""

from pathlib import Path

import numpy as np
from PIL import Image

import sample_images

FOLDER = Path(sample_images.__file__).parent
MESSENGER = FOLDER / "front-messenger.jpg"
TRUE_EAVES_MM = 7686.0
"""Truth of the picture, ``front-messenger.truth.json``."""


def saved(folder: Path, pixels: np.ndarray, name: str = "photo.png") -> Path:
    """Write pixels, grey or RGB, as a photo without camera data."""
    path = folder / name
    Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8)).convert("RGB").save(path)
    return path
