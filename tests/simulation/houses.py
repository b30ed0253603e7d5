"""Random houses with random mixes of references, for the statistics of lengths."""

from dataclasses import replace

import numpy as np

from tests.scenes import House, Noise, Scene, new_scene, visible_house

MIXES = (
    "door and tape",
    "courses and tape",
    "courses both ways",
    "points",
    "two rectangles",
    "tape, level and plumb",
    "everything",
)


def random_house(
    seed: int,
    noise: Noise,
    *,
    exif: bool = True,
    kind: type[Scene] = Scene,
    draw: int = 0,
    k1: float | None = None,
) -> Scene:
    """Return a complete scene: four lines, a soffit, a mix of references by the seed.

    The view depends on the seed alone; ``draw`` chooses among draws of its errors;
    ``k1`` replaces the lens that the camera's data let expect.
    """
    for attempt in range(1000):
        still = np.random.default_rng(0)
        ideal = new_scene(np.random.default_rng([seed, attempt]), still, Noise.none())
        house = visible_house(ideal)
        if house is None:
            continue
        view = np.random.default_rng([seed, attempt])
        errors = np.random.default_rng([seed, draw, 1])
        scene = new_scene(view, errors, noise, exif=exif, kind=kind)
        if k1 is not None:
            scene.camera = replace(scene.camera, k1=k1, k2=0.0)
        visible_house(scene)  # the same draws as for the ideal view, so the same place
        MIX_BUILDERS[MIXES[seed % len(MIXES)]](scene, house)
        trace_house(scene, house)
        return scene
    message = f"no view for seed {seed}"
    raise RuntimeError(message)


def door(scene: Scene, house: House, at: float = 0.3) -> None:
    corner = [house.left + at * house.width, house.ground + 150.0]
    scene.rectangle(corner, 910.0, 2040.0)


def tape(scene: Scene, house: House) -> None:
    start = [house.left + 0.1 * house.width, house.ground + 900.0]
    scene.distance(start, [min(3000.0, 0.7 * house.width), 0.0], "level")


def up_courses(scene: Scene, house: House) -> None:
    top = int((house.eaves - house.ground - 200.0) // 75.0)
    counts = np.arange(0, top + 1, 2)
    across = (house.left + 100.0, house.right - 100.0)
    scene.courses(house.ground + 150.0, counts, across)


def along_courses(scene: Scene, house: House) -> None:
    count = int((house.width - 200.0) // 225.0)
    across = (house.ground + 300.0, house.eaves - 300.0)
    counts = np.arange(0, count + 1)
    scene.courses(house.left + 100.0, counts, across, "along")


def level_and_plumb(scene: Scene, house: House) -> None:
    rise = house.eaves - house.ground - 300.0
    scene.direction("level", [house.left + 50.0, house.eaves - 100.0], house.width - 100.0)
    scene.direction("level", [house.left + 50.0, house.ground + 200.0], house.width - 100.0)
    scene.direction("plumb", [house.left + 20.0, house.ground + 100.0], rise)
    scene.direction("plumb", [house.right - 20.0, house.ground + 100.0], rise)


def grid_points(scene: Scene, house: House) -> None:
    x = np.linspace(house.left + 50.0, house.right - 50.0, 3)
    y = np.linspace(house.ground + 200.0, house.eaves - 200.0, 3)
    scene.points(np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2))


def door_and_tape(scene: Scene, house: House) -> None:
    door(scene, house)
    tape(scene, house)
    level_and_plumb(scene, house)


def courses_and_tape(scene: Scene, house: House) -> None:
    up_courses(scene, house)
    tape(scene, house)


def courses_both_ways(scene: Scene, house: House) -> None:
    up_courses(scene, house)
    along_courses(scene, house)


def two_rectangles(scene: Scene, house: House) -> None:
    door(scene, house, 0.05)
    corner = [house.left + 0.6 * house.width, house.eaves - 1500.0]
    scene.rectangle(corner, 1200.0, 1050.0, sd_mm=5.0, height_mm=None)
    level_and_plumb(scene, house)


def tape_level_plumb(scene: Scene, house: House) -> None:
    tape(scene, house)
    level_and_plumb(scene, house)


def everything(scene: Scene, house: House) -> None:
    door_and_tape(scene, house)
    courses_both_ways(scene, house)
    ends = ([house.left, house.eaves + 150.0], [house.right, house.eaves + 150.0])
    scene.straight(*ends, z_mm=250.0)


MIX_BUILDERS = {
    "door and tape": door_and_tape,
    "courses and tape": courses_and_tape,
    "courses both ways": courses_both_ways,
    "points": grid_points,
    "two rectangles": two_rectangles,
    "tape, level and plumb": tape_level_plumb,
    "everything": everything,
}


def trace_house(scene: Scene, house: House) -> None:
    """Trace an eaves at a soffit, an eaves and two rakes with stated projection."""
    overhang = float(scene.view.uniform(150.0, 400.0))
    x = (house.left + 40.0, house.right - 40.0)
    scene.soffit("soffit", x, house.eaves, overhang, ["eaves"])
    scene.line(
        "eaves",
        "eaves",
        [[x[0], house.eaves], [x[1], house.eaves]],
        soffit_mm=overhang,
        sd_mm=0.0,
    )
    porch = house.ground + 0.6 * (house.eaves - house.ground)
    scene.line(
        "porch",
        "eaves",
        [[x[0], porch], [house.left + 0.5 * house.width, porch]],
        projection=250.0,
    )
    apex = [house.left + 0.5 * house.width, house.eaves]
    scene.line("left rake", "rake", [[x[0], porch], apex], projection=100.0)
    scene.line("bent", "rake", [[x[0], porch], apex, [x[1], porch]], projection=100.0)
