"""Pictures with and without brickwork, drawn once into a folder and read from there.

    python -m tests.accuracy.brick_samples FOLDER FAMILY FIRST COUNT

Families: "roof" (houses of tests.accuracy.roof_scenes, three in five of brick), "near"
(brick walls of tests.pictures from all distances), "cover" (each look-alike of
tests.pictures in turn), "painted" and "impostor" (tests.brick, by formula).
"""

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import cv2
import numpy as np

from calibration.camera import Camera
from calibration.photo import load_upright, read_header
from calibration.photo.pixels import RgbImage
from calibration.priors import CameraPrior
from photomeasure.job.build import camera_of
from photomeasure.job.schema import ElevationSpec
from tests.accuracy.joints import JointTruth, joints_drawn
from tests.accuracy.roof_scenes import roof_scene
from tests.brick.chance import painted_impostor, painted_wall
from tests.brick.impostors import IMPOSTORS
from tests.pictures import LOOK_ALIKES, random_scene
from tests.pictures.scene import Scene
from tests.pictures.truth import Truth


@dataclass(frozen=True, slots=True, eq=False)
class Sample:
    """A picture with its truth.

    Attributes
    ----------
    name, family, kind : str
        `kind` is "brick" or what is seen instead.
    path : Path
    joints : JointTruth or None
        None where no brick is.
    bricks : tuple of float
        Courses and stretchers that are seen whole.
    brick_format, bond : str
    course_px : tuple of float
    """

    name: str
    family: str
    kind: str
    path: Path
    joints: JointTruth | None = None
    bricks: tuple[float, float] = (0.0, 0.0)
    brick_format: str = ""
    bond: str = ""
    course_px: tuple[float, float] = (0.0, 0.0)

    def look(self) -> tuple[RgbImage, CameraPrior]:
        """Return pixels and camera as `photomeasure read` knows them."""
        header = read_header(self.path)
        base = ElevationSpec(name="x", photo=self.path.name)
        camera, _ = camera_of(base, header, header.upright_size_px)
        return load_upright(self.path), camera


def _roof(number: int, path: Path) -> None:
    roof_scene(number).draw().save(path)


def _near(number: int, path: Path) -> None:
    _small(random_scene(np.random.default_rng([47, number]), kind="brick")).draw().save(
        path
    )


def _cover(number: int, path: Path) -> None:
    kind = LOOK_ALIKES[number % len(LOOK_ALIKES)]
    _small(random_scene(np.random.default_rng([53, number]), kind=kind)).draw().save(path)


def _small(scene: Scene) -> Scene:
    """Return a scene with a smaller picture: drawing takes most of the time."""
    return replace(scene, stand=replace(scene.stand, size_px=_SMALL_PX))


_SMALL_PX: Final = (1024, 768)


def _painted(number: int, path: Path) -> None:
    scene = painted_wall(number)
    _write(path, scene.pixels)
    wall, camera = scene.wall, scene.camera
    fact = {
        "kind": "brick",
        "gauge_mm": wall.gauge_mm,
        "stretcher_mm": wall.stretcher_mm,
        "bond": wall.bond,
        "focal_px": camera.focal_px,
        "centre_px": camera.centre_px.tolist(),
        "k1": camera.k1,
        "R_wall_from_camera": camera.R_wall_from_camera.tolist(),
        "standoff_mm": camera.standoff_mm,
    }
    path.with_suffix(".json").write_text(json.dumps(fact))


def _impostor(number: int, path: Path) -> None:
    names = list(IMPOSTORS)
    name = names[number % len(names)]
    _write(path, painted_impostor(name, number))
    path.with_suffix(".json").write_text(json.dumps({"kind": name}))


def _write(path: Path, pixels: np.ndarray) -> None:
    cv2.imwrite(str(path), pixels[:, :, ::-1], [cv2.IMWRITE_JPEG_QUALITY, 97])


FAMILIES: Final[dict[str, Callable[[int, Path], None]]] = {
    "roof": _roof,
    "near": _near,
    "cover": _cover,
    "painted": _painted,
    "impostor": _impostor,
}


def sample(folder: Path, family: str, number: int) -> Sample:
    """Return a picture of a family, drawn now if it is not in the folder yet."""
    path = folder / f"{family}-{number}.jpg"
    if not path.exists():
        folder.mkdir(parents=True, exist_ok=True)
        FAMILIES[family](number, path)
    if family in ("painted", "impostor"):
        return _by_formula(path, family)
    truth = Truth.from_json(path.with_suffix(".truth.json").read_text("utf-8"))
    brick = truth.brick
    if brick is None:
        return Sample(path.stem, family, truth.wall, path)
    return Sample(
        path.stem,
        family,
        "brick",
        path,
        joints_drawn(truth),
        (brick.visible_courses, brick.visible_stretchers),
        brick.format,
        brick.bond,
        brick.course_px,
    )


def _by_formula(path: Path, family: str) -> Sample:
    fact = json.loads(path.with_suffix(".json").read_text())
    if fact["kind"] != "brick":
        return Sample(path.stem, family, fact["kind"], path)
    camera = Camera(
        focal_px=fact["focal_px"],
        centre_px=np.array(fact["centre_px"]),
        k1=fact["k1"],
        R_wall_from_camera=np.array(fact["R_wall_from_camera"]),
        standoff_mm=fact["standoff_mm"],
    )
    gauge = fact["gauge_mm"]
    count = np.arange(-_MOST_COURSES, _MOST_COURSES + 1.0)
    traces = tuple(np.array([[-_FAR, k * gauge], [_FAR, k * gauge]]) for k in count)
    ratio = fact["stretcher_mm"] / gauge
    joints = JointTruth(count, traces, gauge, ratio, camera, np.zeros(2))
    return Sample(path.stem, family, "brick", path, joints, bond=fact["bond"])


_MOST_COURSES, _FAR = 400, 1e6


def main() -> None:
    """Draw."""
    folder, family, first, count = sys.argv[1:5]
    cv2.setNumThreads(1)
    for number in range(int(first), int(first) + int(count)):
        sample(Path(folder), family, number)


if __name__ == "__main__":
    main()
