"""Simulated house elevations: a job document and the truth behind it.

Every quantity that the model calls uncertain is drawn from the spread the model
states (pass ``Noise.none()`` for a job without any), so a correct program covers the
truth as often as its intervals claim. Nothing here is read by the program itself.
"""

from dataclasses import dataclass, field, replace

import numpy as np

from calibration import priors
from calibration.camera import Camera, rotation_looking
from calibration.priors import LensKnowledge, camera_prior
from calibration.references import courses as course_model

GAUGE_MM, GAUGE_SD_MM = 75.0, 0.6
STRETCHER_MM, STRETCHER_SD_MM = 225.0, 1.8
FOCAL_REL_SD = 0.03


@dataclass(frozen=True, slots=True)
class Noise:
    """Scale of every kind of error; one is what the model states."""

    picks: float = 1.0
    model: float = 1.0

    @staticmethod
    def none() -> "Noise":
        """Return a world without errors."""
        return Noise(0.0, 0.0)


@dataclass(slots=True)
class Scene:
    """A camera before a wall, and the job that a person would write.

    Attributes
    ----------
    view : Generator
        Draws where things are.
    errors : Generator
        Draws every error, always the same number of draws whatever the noise.
    camera : Camera
        The true one.
    size_px : tuple of int
        Upright photo.
    origin : (2,) float64
        True wall coordinates of the job's point (0, 0).
    document : dict
        The elevation of the job file.
    truth : dict
        Line name to true length; "overhang of NAME" for soffits.
    """

    view: np.random.Generator
    errors: np.random.Generator
    camera: Camera
    size_px: tuple[int, int]
    noise: Noise
    pick_sd_px: float = 1.0
    document: dict = field(default_factory=dict)
    truth: dict[str, float] = field(default_factory=dict)
    pitch_errors: dict[str, float] = field(default_factory=dict)

    def error(self, sd: float, size: int | tuple[int, ...] | None = None):
        """Draw a model error."""
        return self.noise.model * sd * self.errors.standard_normal(size)

    def pick(self, points_mm) -> list[list[float]]:
        """Return noisy picks of wall-frame points (N, 3)."""
        points = np.asarray(points_mm, dtype=np.float64)
        scatter = self.errors.standard_normal((len(points), 2))
        exact = self.camera.project(points)
        return (exact + self.noise.picks * self.pick_sd_px * scatter).tolist()

    def relief(self, xy_mm):
        """Return how far the wall is out of plane where a reference or line lies, (N,)."""
        return np.full(len(xy_mm), self.error(priors.WALL_RELIEF_SD_MM))

    def on_reference(self, xy_mm) -> list[list[float]]:
        """Pick wall points of one reference."""
        xy = np.asarray(xy_mm, dtype=np.float64)
        return self.pick(np.c_[xy, self.relief(xy)])

    def add(self, reference: dict) -> None:
        """Append a reference to the job."""
        self.document["references"].append(reference)

    # -- references -----------------------------------------------------------

    def points(self, xy_mm, sd_mm: float = 2.0, rotated: bool = False) -> None:
        xy = np.asarray(xy_mm, dtype=np.float64)
        stated = xy + self.error(sd_mm, xy.shape)
        if rotated:
            angle = self.view.uniform(-0.5, 0.5)
            c, s = np.cos(angle), np.sin(angle)
            stated = stated @ np.array([[c, s], [-s, c]])
        self.add(
            {
                "kind": "points",
                "picks": self.on_reference(xy),
                "wall_mm": stated.tolist(),
                "sd_mm": sd_mm,
                "rotated": rotated,
            }
        )

    def rectangle(self, corner, width: float, height: float, sd_mm: float = 3.0, **unknown):
        true = np.array([width, height]) + self.error(sd_mm, 2)
        corners = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * true + corner
        stated = {"width_mm": width, "height_mm": height, **unknown}
        self.add(
            {
                "kind": "rectangle",
                "corners": self.on_reference(corners),
                "sd_mm": sd_mm,
                **{k: v for k, v in stated.items() if v is not None},
            }
        )

    def distance(self, start, along, direction: str, sd_mm: float = 3.0) -> None:
        start, along = np.asarray(start, float), np.asarray(along, float)
        length = float(np.hypot(*along))
        slope = {"level": priors.LEVEL_SD_PER_MM, "plumb": priors.PLUMB_SD_PER_MM}
        across = self.error(1.0)
        if direction in slope:
            sd = max(priors.DIRECTION_FLOOR_MM, slope[direction] * length)
            shift = np.array([0.0, 1.0]) if direction == "level" else np.array([1.0, 0.0])
            along = along + shift * sd * across
        stated = float(np.hypot(*along)) + self.error(sd_mm)
        self.add(
            {
                "kind": "distance",
                "ends": self.on_reference([start, start + along]),
                "length_mm": stated,
                "sd_mm": sd_mm,
                "direction": direction,
            }
        )

    def direction(self, kind: str, start, length: float) -> None:
        slope = priors.LEVEL_SD_PER_MM if kind == "level" else priors.PLUMB_SD_PER_MM
        off = self.error(max(priors.DIRECTION_FLOOR_MM, slope * abs(length)))
        step = np.array([length, off]) if kind == "level" else np.array([off, length])
        start = np.asarray(start, float)
        ends = np.array([[*start, 0.0], [*(start + step), 0.0]])
        self.add({"kind": kind, "ends": self.pick(ends)})

    def straight(self, start, end, z_mm: float, count: int = 5) -> None:
        t = np.linspace(0.0, 1.0, count)[:, None]
        start, end = np.asarray(start, float), np.asarray(end, float)
        normal = np.array([start[1] - end[1], end[0] - start[0]])
        normal /= np.hypot(*normal)
        waves = self.error(1.0, count)[:, None] * normal
        xy = start + t * (end - start) + waves
        self.add({"kind": "straight", "picks": self.pick(np.c_[xy, np.full(count, z_mm)])})

    def courses(self, low, counts, across, direction: str = "up", **stated) -> None:
        """Ladder from ``low`` with picks spread over ``across`` (from, to)."""
        counts = np.asarray(counts, float)
        up = direction == "up"
        pitch, sd = (GAUGE_MM, GAUGE_SD_MM) if up else (STRETCHER_MM, STRETCHER_SD_MM)
        along = low + self.ladder(counts, direction, pitch, sd)
        free = self.view.uniform(*across, len(counts))
        xy = np.stack([free, along] if up else [along, free], axis=1)
        self.add(
            {
                "kind": "courses",
                "direction": direction,
                "picks": self.on_reference(xy),
                "counts": counts.tolist(),
                "gauge_mm": pitch,
                "gauge_sd_mm": sd,
                **stated,
            }
        )

    def ladder(self, counts, direction: str, pitch: float, sd: float):
        """Return where the joints of a wall really lie, from count zero."""
        scatter = (
            course_model.BED_SD_MM if direction == "up" else course_model.PERPEND_SD_MM
        )
        if direction not in self.pitch_errors:
            self.pitch_errors[direction] = self.error(sd)
        span = np.ptp(counts)
        drift_sd = course_model.DRIFT_SD * min(1.0, span / course_model.DRIFT_COURSES)
        middle = (counts.max() + counts.min()) / 2.0
        shape = (counts - middle) ** 2 / (2.0 * max(span / 2.0, 1.0))
        ladder = counts + self.error(drift_sd) * shape
        joints = (pitch + self.pitch_errors[direction]) * ladder
        return joints + self.error(scatter, len(counts))

    # -- what is measured -----------------------------------------------------

    def line(
        self,
        name: str,
        role: str,
        xy_mm,
        projection=None,
        sd_mm: float = 20.0,
        soffit_mm: float | None = None,
    ) -> None:
        """Trace a line; ``soffit_mm`` is the true overhang of the soffit it hangs at."""
        xy = np.asarray(xy_mm, dtype=np.float64)
        relief = self.relief(xy)
        hang = self.error(sd_mm)
        z = (soffit_mm if soffit_mm is not None else projection + hang) + relief
        entry = {"name": name, "role": role, "picks": self.pick(np.c_[xy, z])}
        if soffit_mm is None:
            entry |= {"projection_mm": projection, "projection_sd_mm": sd_mm}
        self.document["lines"].append(entry)
        self.truth[name] = float(np.hypot(*np.diff(xy, axis=0).T).sum())

    def soffit(self, name: str, x, height: float, overhang: float, lines) -> None:
        fall = self.error(priors.SOFFIT_FALL_SD_MM)
        waves = self.error(1.0, 4)
        wall = [[x[0], height + waves[0], 0.0], [x[1], height + waves[1], 0.0]]
        outer = [
            [x[0], height + fall + waves[2], overhang],
            [x[1], height + fall + waves[3], overhang],
        ]
        self.document["soffits"].append(
            {
                "name": name,
                "wall_edge": self.pick(wall),
                "outer_edge": self.pick(outer),
                "lines": lines,
            }
        )
        self.truth[f"overhang of {name}"] = overhang

    def job(self) -> dict:
        """Return the whole job document."""
        return {"photomeasure_job": 1, "elevations": [self.document]}


SIZES = ((4032, 3024), (3024, 4032), (4000, 2250), (1600, 1200))


def new_scene(
    view: np.random.Generator,
    errors: np.random.Generator,
    noise: Noise,
    *,
    exif: bool = True,
    kind: type[Scene] = Scene,
) -> Scene:
    """Return a camera before an empty wall, level with y = 0."""
    size = SIZES[view.integers(len(SIZES))]
    diagonal = np.hypot(*size)
    focal = view.choice([24.0, 26.0, 28.0, 35.0]) / priors.DIAGONAL_35MM * diagonal
    knowledge = LensKnowledge(focal_px=focal, focal_sd_px=FOCAL_REL_SD * focal)
    prior = camera_prior(size, knowledge if exif else LensKnowledge())
    draw = noise.model * errors.standard_normal(5)
    yaw, tilt, roll = view.uniform([-0.6, 0.0, -0.05], [0.6, 0.3, 0.05])
    camera = Camera(
        focal_px=focal * np.exp(FOCAL_REL_SD * draw[0]),
        centre_px=prior.centre_px + draw[1:3] * prior.centre_sd_px,
        k1=draw[3] * prior.k1_sd * 0.999,
        k2=draw[4] * prior.k2_sd * 0.999,
        R_wall_from_camera=rotation_looking(yaw, tilt, roll),
        standoff_mm=view.uniform(5000.0, 14000.0),
    )
    document = {
        "name": "front",
        "camera": {"size_px": list(size)},
        "references": [],
        "lines": [],
        "soffits": [],
    }
    if exif:
        document["camera"] |= {"focal_px": focal, "focal_sd_px": FOCAL_REL_SD * focal}
    return kind(view, errors, camera, size, noise, document=document)


@dataclass(frozen=True, slots=True)
class House:
    """Visible part of a wall, wall frame of the camera (camera at height zero)."""

    left: float
    right: float
    ground: float
    eaves: float

    @property
    def width(self) -> float:
        return self.right - self.left


def visible_house(scene: Scene) -> House | None:
    """Return a house that fits the picture, or None if this view shows too little."""
    w, h = scene.size_px
    rim = np.array([[0.10 * w, 0.5 * h], [0.90 * w, 0.5 * h]])
    xy = scene.camera.back_project(rim, np.zeros(2)).xy_mm
    ground = -scene.view.uniform(1300.0, 1800.0)
    rise = scene.view.uniform(2300.0, 5300.0)
    house = House(float(xy[0, 0]), float(xy[1, 0]), ground, ground + rise)
    house = replace(house, right=min(house.right, house.left + 12_000.0))
    corners = [
        [x, y, 350.0]
        for x in (house.left, house.right)
        for y in (house.ground, house.eaves + 300.0)
    ]
    px = scene.camera.project(np.array(corners))
    # Errors of lens and focal length move picks by up to a tenth of the picture.
    rim = 0.09 * np.array([w, h])
    inside = np.all((px > rim) & (px < np.array([w, h]) - rim))
    wide_enough = np.isfinite(xy).all() and house.width > 3500.0
    return house if inside and wide_enough else None
