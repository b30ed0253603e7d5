"""What repeats with the courses: brightness, and where the picture breaks off.

Along a course everything continues upwards, from the lower to the upper edge of the
bricks: their colours and the perpends between them. Across a bed joint it breaks off,
for the next course has other bricks. That break tells a course from two courses and
from half of one, and brickwork from cladding, blinds and gratings.
"""

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np

from calibration.arrays import FloatArray, IntArray
from calibration.brickwork.raster import Float32Image, evened
from calibration.brickwork.strip import PIXELS_A_COURSE, Flattened

EVEN_COURSES: Final = 1.2
"""Contrast of the flattened wall is evened over this many courses."""

_LEVEL_COURSES: Final = 2.5
"""What changes along the wall more slowly than this is shade, not bricks."""

_REACH_PX: Final = 2
"""Rows this far above and below are compared: a third of a course apart."""

TWO: Final = 2 * PIXELS_A_COURSE
"""Everything is folded over two counts, so that every second joint can differ."""

DOUBLE_BREAK: Final = 0.45
"""Breaks that differ from joint to joint by this share of their mean are breaks at every
second joint: the true courses are twice as high."""

HALF_BREAK: Final = 0.35
"""Brightness that repeats twice a count, and less than this once, is two courses."""


@dataclass(frozen=True, slots=True, eq=False)
class Folded:
    """A wall folded over two counts.

    Attributes
    ----------
    even : (H, W) float32
        The flattened wall with its contrast evened, zero outside.
    brightness : (24,) float64
        Mean by row of two counts, in units of the contrast.
    coherence : (24,) float64
        Correlation of what lies above with what lies below, -1..1.
    """

    even: Float32Image
    brightness: FloatArray
    coherence: FloatArray

    @property
    def break_(self) -> float:
        """How deeply the coherence falls at each joint, about 0..1."""
        return _wave(self.coherence, 2)

    @property
    def break_half(self) -> float:
        """How much the breaks at every second joint differ from the others."""
        return _wave(self.coherence, 1)

    @property
    def joint_row(self) -> int:
        """Row of a joint, 0..11: where the coherence is least and brightness extreme."""
        once = _once(self.coherence)
        bright = _once(self.brightness)
        deep = (once.max() - once) / (np.ptp(once) + 1e-9)
        stand = np.abs(bright - np.median(bright))
        return int(np.argmax(deep * (stand / (stand.max() + 1e-9) + 0.3)))

    @property
    def joint_sign(self) -> float:
        """Plus one if joints are brighter than bricks, else minus one."""
        bright = _once(self.brightness)
        return 1.0 if bright[self.joint_row] > np.median(bright) else -1.0

    @property
    def joint_contrast(self) -> float:
        """How far joints stand out from bricks, in units of the contrast."""
        once = _once(self.brightness) / 2.0
        return float(abs(once[self.joint_row] - np.median(once)))

    @property
    def thinness(self) -> float:
        """How much thinner the joints are than the bricks: 0 for stripes, 1 for lines."""
        once = self.joint_sign * _once(self.brightness)
        low, high = once.min(), once.max()
        return float(1.0 - 2.0 * np.mean((once - low) / (high - low + 1e-9)))

    def count_factor(self) -> float:
        """Return the factor on the counts that makes them courses: 1, 2 or 0.5."""
        if self.break_half > DOUBLE_BREAK * self.break_:
            return 0.5
        once, twice = _wave(self.brightness, 2), _wave(self.brightness, 4)
        if once < HALF_BREAK * twice and _wave(self.coherence, 2) < 0.1:
            return 2.0
        return 1.0


def _once(values: FloatArray) -> FloatArray:
    return np.asarray(values[:PIXELS_A_COURSE] + values[PIXELS_A_COURSE:])


def _wave(values: FloatArray, cycles: int) -> float:
    """Return the amplitude of a number of cycles in two counts."""
    return float(2.0 * abs(np.fft.rfft(values)[cycles]) / len(values))


def fold(flat: Flattened) -> Folded:
    """Fold a flattened wall over two counts.

    Parameters
    ----------
    flat : Flattened

    Returns
    -------
    Folded
    """
    inside = flat.inside.astype(np.float32)
    even = evened(flat.image, EVEN_COURSES * PIXELS_A_COURSE) * inside
    level = even - _smoothed(even, _LEVEL_COURSES * PIXELS_A_COURSE)
    row: IntArray = np.arange(len(even), dtype=np.intp)
    brightness = _by_phase(row, even.sum(axis=1)) / _by_phase(row, inside.sum(axis=1))
    d = _REACH_PX
    above, below = level[: -2 * d], level[2 * d :]
    both = inside[: -2 * d] * inside[2 * d :]
    product = np.sum(above * below * both, axis=1)
    power = 0.5 * np.sum((above**2 + below**2) * both, axis=1)
    middle = row[d:-d]
    coherence = _by_phase(middle, product) / _by_phase(middle, power)
    return Folded(even, brightness, coherence)


def _smoothed(image: Float32Image, sd_px: float) -> Float32Image:
    """Return an image smoothed along its rows, on a narrowed copy: detail is not needed."""
    factor = max(1, int(sd_px / 5.0))
    height, width = image.shape
    size = (max(1, width // factor), height)
    narrow = cv2.resize(image, size, interpolation=cv2.INTER_AREA)
    sd = sd_px * size[0] / width
    kernel = cv2.getGaussianKernel(2 * round(4.0 * sd) + 1, sd, cv2.CV_32F)
    one = np.ones(1, dtype=np.float32)
    soft = cv2.sepFilter2D(narrow, -1, kernel, one, borderType=cv2.BORDER_REFLECT)
    return np.asarray(cv2.resize(soft, (width, height), interpolation=cv2.INTER_LINEAR))


def _by_phase(row: IntArray, values: FloatArray) -> FloatArray:
    total = np.bincount(row % TWO, values, minlength=TWO)
    return np.asarray(total + 1e-9, dtype=np.float64)
