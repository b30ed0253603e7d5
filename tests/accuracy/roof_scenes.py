"""Houses by chance for the proof of roofline reading: boards, roofs, light, standpoints."""

from dataclasses import replace

import numpy as np

from tests.pictures.chance import random_scene
from tests.pictures.house import House, usual_openings
from tests.pictures.scene import Scene
from tests.pictures.truth import Edge, Truth

WHITE, BLACK, BROWN, GREY, GREEN, OAK = (
    (236, 236, 232),
    (32, 32, 34),
    (82, 52, 36),
    (70, 76, 82),
    (46, 74, 58),
    (150, 100, 58),
)
BOARDS = (WHITE, WHITE, WHITE, WHITE, (222, 214, 190), BLACK, BROWN, GREY, GREEN, OAK)
GUTTERS = (BLACK, BLACK, WHITE, GREY, BROWN)
COVERS = ("brick", "brick", "brick", "render", "weatherboard")


def roof_scene(seed: int, *, covers: tuple[str, ...] = COVERS) -> Scene:
    """Return a house by chance, the same for the same seed."""
    rng = np.random.default_rng([20_26, seed])
    kind = "gable" if rng.random() < 0.45 else "eaves"
    scene = random_scene(rng, kind=str(rng.choice(covers)))
    house = House(
        kind=kind,
        width_mm=float(rng.uniform(5200.0, 9500.0)),
        height_mm=float(rng.choice([2600.0, 5000.0, 5200.0])),
        overhang_mm=float(rng.uniform(80.0, 480.0)),
        fascia_mm=float(rng.uniform(150.0, 260.0)),
        boards=BOARDS[rng.integers(len(BOARDS))],
        gutter=GUTTERS[rng.integers(len(GUTTERS))],
        gutters=bool(rng.random() < 0.9),
        pipes_mm=(350.0,) if rng.random() < 0.7 else (),
        pitch_rad=float(np.radians(rng.uniform(20.0, 50.0))),
        depth_mm=float(rng.uniform(5500.0, 8500.0)),
        verge_mm=float(rng.uniform(40.0, 300.0)),
        roof=str(rng.choice(["pantile", "plain", "slate"])),
        chimney=bool(rng.random() < 0.5),
        occluders=_occluders(rng),
        backdrop=bool(rng.random() < 0.6),
    )
    house = replace(house, openings=usual_openings(scene.work, house, rng))
    far = max(house.width_mm, 1.5 * house.height_mm) / 8000.0
    stand = replace(
        scene.stand,
        aim_x_mm=house.width_mm * float(rng.uniform(0.42, 0.58)),
        distance_mm=float(rng.uniform(9000.0, 13_000.0)) * max(far, 0.75),
        tilt_rad=float(np.radians(rng.uniform(6.0, 16.0)))
        * (1.0 if house.height_mm > 4000 else 0.5),
        yaw_rad=scene.stand.yaw_rad * 0.8,
    )
    return replace(scene, name=f"roof-{seed}", house=house, stand=stand)


def _occluders(rng: np.random.Generator) -> tuple[str, ...]:
    every = ("hedge", "car", "tree", "ladder", "wire", "bin")
    return tuple(name for name in every if rng.random() < 0.12)


OF_BOARD = {
    "eaves": ("fascia-top", "gutter-lip", "gutter-bottom", "tile-edge", "soffit-wall"),
    "rake": ("barge-top", "verge", "soffit-wall"),
}
"""True edges that lie on one board with that of a role."""


def board_of(own: Edge, truth: Truth) -> np.ndarray:
    """Return all edges of an edge's board (K, 2, 2), its own first.

    A rake's are those that slope its way; what is no board has only itself.
    """
    slope = np.prod(np.diff(own.ends_px, axis=0))
    alike = [
        edge.ends_px
        for edge in truth.edges
        if edge.role in OF_BOARD.get(own.role, ())
        and (own.role == "eaves" or np.prod(np.diff(edge.ends_px, axis=0)) * slope > 0.0)
    ]
    return np.stack([own.ends_px, *alike])


def between_edges(
    picks: np.ndarray, true_px: np.ndarray, board_px: np.ndarray, slack_px: float
) -> bool:
    """Tell whether picks (N, 2) lie between the outermost edges of a true line's board."""
    way = true_px[1] - true_px[0]
    normal = np.array([-way[1], way[0]]) / np.hypot(*way)
    edges = [float(((side - true_px[0]) @ normal).mean()) for side in board_px]
    off = float(((picks - true_px[0]) @ normal).mean())
    return min(edges) - slack_px < off < max(edges) + slack_px
