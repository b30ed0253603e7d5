"""Houses as they are: errors of other shapes than the model's, and larger.

The wall leans 8 mm in a storey and bulges, the gauge wanders, the lens has terms
that the model lacks, and one pick in twelve is clumsy. The job says nothing of it.
"""

from dataclasses import dataclass, field

import numpy as np

from tests.scenes import Scene

LEAN = 8.0 / 2500.0
"""Out of plumb, mm per mm: what NHBC Standards 2011, 1.2-S1(e) still allows."""

BULGE_MM = 5.0
WANDER = 0.006
CLUMSY_SHARE, CLUMSY_FACTOR = 1.0 / 12.0, 3.0
LENS_R6 = 0.0025
LENS_DECENTRED_PX = 1.5


@dataclass(slots=True)
class RealLife(Scene):
    """A scene whose errors the model only approximates."""

    shape: np.ndarray = field(default_factory=lambda: np.zeros(0))

    def _shape(self) -> np.ndarray:
        """Draw once: lean, two bulge phases, wander phases, lens terms."""
        if not len(self.shape):
            self.shape = self.errors.uniform(-1.0, 1.0, 9)
        return self.shape

    def surface(self, xy):
        """Return the wall's height above its plane, (N,)."""
        s = self._shape()
        waves = np.sin(xy[:, 0] / 1700.0 + 3 * s[1]) * np.sin(xy[:, 1] / 1300.0 + 3 * s[2])
        return LEAN * s[0] * xy[:, 1] + BULGE_MM * waves

    def relief(self, xy_mm):
        return self.surface(np.asarray(xy_mm))

    def pick(self, points_mm):
        s = self._shape()
        points = np.asarray(points_mm, dtype=np.float64)
        exact = self.camera.project(points)
        half = np.hypot(*self.size_px) / 2.0
        ray = (exact - self.camera.centre_px) / half
        radius = np.hypot(ray[:, 0], ray[:, 1])
        beyond = LENS_R6 * s[3] * half * radius[:, None] ** 6 * ray
        decentred = LENS_DECENTRED_PX * radius[:, None] ** 2 * s[4:6]
        clumsy = np.where(
            self.errors.random(len(points)) < CLUMSY_SHARE, CLUMSY_FACTOR, 1.0
        )
        scatter = self.errors.standard_normal((len(points), 2)) * clumsy[:, None]
        return (exact + beyond + decentred + self.pick_sd_px * scatter).tolist()

    def ladder(self, counts, direction, pitch, sd):
        s = self._shape()
        offset = 1 if direction == "up" else 2
        if direction not in self.pitch_errors:
            self.pitch_errors[direction] = sd * s[5 + offset] * np.sqrt(3.0)
        mean = pitch + self.pitch_errors[direction]
        steps = np.arange(counts.min(), counts.max() + 1)
        wander = WANDER * np.sin(2 * np.pi * steps / 45.0 + 3 * s[8])
        noise = 1.5 * self.errors.standard_normal(len(steps))
        joints = np.cumsum(mean * (1.0 + wander)) - mean + noise
        return np.interp(counts, steps, joints)
