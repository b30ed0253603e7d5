"""Small quad meshes as arrays, so that the scene is built without the renderer."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    from sample_images.scenes.house import FloatArray

BOX_QUADS = np.array(
    [
        [0, 3, 2, 1],
        [4, 5, 6, 7],
        [0, 1, 5, 4],
        [1, 2, 6, 5],
        [2, 3, 7, 6],
        [3, 0, 4, 7],
    ]
)


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """Quads of one material.

    Attributes
    ----------
    material : str
        Name in the material table.
    vertices : (N, 3) float64
        Millimetres.
    quads : (M, 4) int64
        Vertex numbers.
    tone : (N, 3) float64
        Random numbers in [0, 1] that the material turns into colour.
    """

    material: str
    vertices: FloatArray
    quads: NDArray[np.int64]
    tone: FloatArray


def part(material: str, vertices: object, quads: object, tone: object = None) -> Part:
    """Make a part; ``tone`` defaults to the middle of its range."""
    points = np.asarray(vertices, dtype=np.float64).reshape(-1, 3)
    shade = np.full(3, 0.5) if tone is None else np.asarray(tone, dtype=np.float64)
    shade = np.broadcast_to(shade, points.shape).copy()
    faces = np.asarray(quads, dtype=np.int64).reshape(-1, 4)
    return Part(material, points, faces, shade)


def merge(parts: Iterable[Part]) -> list[Part]:
    """Join parts of the same material."""
    groups: dict[str, list[Part]] = defaultdict(list)
    for p in parts:
        groups[p.material].append(p)
    return [_join(name, group) for name, group in groups.items()]


def _join(name: str, group: list[Part]) -> Part:
    """Join a list of parts into one."""
    starts = np.cumsum([0] + [len(p.vertices) for p in group])[:-1]
    quads = [p.quads + start for p, start in zip(group, starts, strict=True)]
    vertices = np.concatenate([p.vertices for p in group])
    tone = np.concatenate([p.tone for p in group])
    return Part(name, vertices, np.concatenate(quads), tone)


def moved(parts: Iterable[Part], rotation: FloatArray, shift: FloatArray) -> list[Part]:
    """Return the parts with ``rotation @ p + shift`` applied to each vertex."""
    return [replace(p, vertices=p.vertices @ np.asarray(rotation).T + shift) for p in parts]


def hexahedron(material: str, bottom: object, top: object, tone: object = None) -> Part:
    """Make a block from four lower and four upper corners."""
    return part(material, np.concatenate([bottom, top]), BOX_QUADS, tone)


def box(
    material: str, lo: Sequence[float], hi: Sequence[float], tone: object = None
) -> Part:
    """Make a box with its sides along the axes."""
    (x0, y0, z0), (x1, y1, z1) = lo, hi
    back = np.array([[x0, y0, z0], [x1, y0, z0], [x1, y1, z0], [x0, y1, z0]])
    front = back + np.array([0.0, 0.0, z1 - z0])
    return hexahedron(material, back, front, tone)


def brick_box(
    material: str, lo: FloatArray, hi: FloatArray, rng: np.random.Generator
) -> Part:
    """Make a brick: worn arrises on its face and its own random tone."""
    wear = 2.5
    x = np.array([lo[0], hi[0], hi[0], lo[0]])
    y = np.array([lo[1], lo[1], hi[1], hi[1]])
    outline = np.column_stack([x, y]) + rng.normal(0.0, 0.5, (4, 2))
    inner = outline + wear * np.array([[1, 1], [-1, 1], [-1, -1], [1, -1]])
    inner = inner + rng.normal(0.0, 0.7, (4, 2))
    rings = [
        np.column_stack([x, y, np.full(4, lo[2])]),
        np.column_stack([outline, np.full(4, hi[2] - wear)]),
        np.column_stack([inner, hi[2] + rng.normal(0.0, 0.4, 4)]),
    ]
    sides = [
        [r * 4 + i, r * 4 + (i + 1) % 4, r * 4 + 4 + (i + 1) % 4, r * 4 + 4 + i]
        for r in range(2)
        for i in range(4)
    ]
    return part(material, np.concatenate(rings), [*sides, [8, 9, 10, 11]], rng.random(3))


def prism(material: str, loop: object, push: object, tone: object = None) -> Part:
    """Make an open-ended prism from a closed loop of (N, 3) points and a push."""
    a = np.asarray(loop, dtype=np.float64)
    n = len(a)
    i = np.arange(n)
    j = (i + 1) % n
    quads = np.column_stack([i, j, j + n, i + n])
    return part(material, np.concatenate([a, a + np.asarray(push)]), quads, tone)


def tube(material: str, path: object, radius_mm: float, segments: int = 28) -> Part:
    """Make a round tube along a path of (N, 3) points in one vertical plane x = const.

    Rings are mitred, so that bends keep their width.
    """
    points = np.asarray(path, dtype=np.float64)
    step = np.diff(points, axis=0)
    step = step / np.linalg.norm(step, axis=1, keepdims=True)
    tangent = np.concatenate([step[:1], step[:-1] + step[1:], step[-1:]])
    tangent = tangent / np.linalg.norm(tangent, axis=1, keepdims=True)
    side = np.array([1.0, 0.0, 0.0])
    angle = np.linspace(0.0, 2.0 * np.pi, segments, endpoint=False)
    rings = []
    for i, (p, t) in enumerate(zip(points, tangent, strict=True)):
        stretch = 1.0 / float(t @ step[min(i, len(step) - 1)])
        normal = np.cross(t, side) * stretch
        ring = np.outer(np.cos(angle), side) + np.outer(np.sin(angle), normal)
        rings.append(p + radius_mm * ring)
    k = np.arange(segments)
    k1 = (k + 1) % segments
    quads = [
        np.column_stack([k, k1, k1 + segments, k + segments]) + r * segments
        for r in range(len(points) - 1)
    ]
    return part(material, np.concatenate(rings), np.concatenate(quads))
