"""Straight segments of a whole photo: found small, merged, fitted in full pixels."""

from typing import Final

import numpy as np

from calibration.arrays import FloatArray, IntArray
from calibration.edges.fit import EdgeFits, fit_edges
from calibration.edges.light import Light
from calibration.photo.pixels import RgbImage
from calibration.priors import CameraPrior

SEARCH_SIDE_PX: Final = 1600
"""Long side of the picture in which segments are looked for: a gutter of 100 mm on a
house that fills the picture still has 12 pixels."""

LEAST_LENGTH: Final = 0.012
"""Shortest segment by the long side of the picture."""

_MOST: Final = 2500
_FIT_PLACES: Final = 80

_MERGE_ANGLE_RAD: Final = float(np.radians(1.0))
_MERGE_ACROSS_PX: Final = 1.3
"""In search pixels: as far as the two ends of a found segment stray."""

_MERGE_GAP: Final = 1.0
"""Longest gap between two parts of one edge, by the longer of them."""

_WORST_SCATTER: Final = 1.5
"""Places scatter less than this many pixels about a straight edge."""


def photo_segments(
    photo: RgbImage, light: Light, camera: CameraPrior, least_support: float = 0.4
) -> EdgeFits:
    """Return the straight edges of a photo, longest first.

    Parameters
    ----------
    photo : (H, W, 3) uint8
        Upright, RGB.
    light : Light
        Its light, whole.
    camera : CameraPrior
        What is known of the lens.
    least_support : float
        Share of an edge that has to show.

    Returns
    -------
    EdgeFits
        The way of each edge keeps its darker side to the left.
    """
    rough = found_segments(photo)
    fits = fit_edges(light, rough, camera, places=_FIT_PLACES)
    clear = (fits.support >= least_support) & (fits.scatter_px < _WORST_SCATTER)
    fits = _darker_left(fits[clear])
    return fits[np.argsort(-fits.length_px)]


def _darker_left(fits: EdgeFits) -> EdgeFits:
    """Turn round the edges whose right side is darker."""
    turn = fits.contrast < 0.0
    ends = np.where(turn[:, None, None], fits.ends_px[:, ::-1], fits.ends_px)
    # To the right becomes to the left, and the ends change places.
    flip = np.array([[0.0, -1.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])
    covariance = np.where(
        turn[:, None, None], flip @ fits.covariance @ flip.T, fits.covariance
    )
    return EdgeFits(
        ends,
        fits.k1,
        covariance,
        np.abs(fits.contrast),
        fits.blur_px,
        fits.support,
        fits.scatter_px,
    )


def found_segments(photo: RgbImage) -> FloatArray:
    """Return rough segments (S, 2, 2) of a photo, collinear ones merged, full pixels."""
    import cv2

    height, width = photo.shape[:2]
    shrink = max(1.0, max(height, width) / SEARCH_SIDE_PX)
    grey = cv2.cvtColor(np.ascontiguousarray(photo), cv2.COLOR_RGB2GRAY)
    if shrink > 1.0:
        size = (round(width / shrink), round(height / shrink))
        grey = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
    # Its stub does not know that it returns None for a picture without lines.
    lines: object = cv2.createLineSegmentDetector().detect(grey)[0]
    if lines is None:
        return np.zeros((0, 2, 2))
    segments = np.asarray(lines, dtype=np.float64).reshape(-1, 2, 2)
    segments = merged(_longest(segments, 0.5 * LEAST_LENGTH * max(grey.shape)))
    segments = _longest(segments, LEAST_LENGTH * max(grey.shape))
    # The detector works in a picture shrunk to 0.8 without minding pixel centres;
    # the fit would find the eighth of a pixel again, but a good start costs nothing.
    segments = segments + 0.125
    scale = np.array([width / grey.shape[1], height / grey.shape[0]])
    full: FloatArray = (segments + 0.5) * scale - 0.5
    return full


def _longest(segments: FloatArray, least: float) -> FloatArray:
    length = np.hypot(*(segments[:, 1] - segments[:, 0]).T)
    order = np.argsort(-length)[:_MOST]
    longest: FloatArray = segments[order[length[order] >= least]]
    return longest


def merged(segments: FloatArray) -> FloatArray:
    """Join parts of one straight edge, (S, 2, 2) to fewer, search pixels."""
    for _ in range(3):
        group = _groups(segments)
        count = int(group.max(initial=-1)) + 1
        if count == len(segments):
            break
        segments = _joined(segments, group, count)
    return segments


def _groups(segments: FloatArray) -> IntArray:
    """Return a label for each segment; those of one straight edge share it."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    way = segments[:, 1] - segments[:, 0]
    length = np.maximum(np.hypot(*way.T), 1e-9)
    unit = way / length[:, None]
    # The way of a found segment tells which side is darker, so a bar's two edges
    # never join.
    cosine = unit @ unit.T
    near = cosine > np.cos(_MERGE_ANGLE_RAD)
    a, b = np.nonzero(np.triu(near, 1))
    longer = np.where(length[a] >= length[b], a, b)
    shorter = np.where(length[a] >= length[b], b, a)
    origin = segments[longer, 0]
    along = np.stack(
        [np.sum((segments[shorter, e] - origin) * unit[longer], axis=1) for e in (0, 1)]
    )
    normal = np.stack([-unit[longer, 1], unit[longer, 0]], axis=1)
    across = np.stack(
        [np.sum((segments[shorter, e] - origin) * normal, axis=1) for e in (0, 1)]
    )
    gap = np.maximum(along.min(axis=0) - length[longer], -along.max(axis=0))
    # A prolonged segment strays with the way.
    allowed = _MERGE_ACROSS_PX * (1.0 + np.maximum(gap, 0.0) / length[longer])
    joins = (np.abs(across).max(axis=0) < allowed) & (gap < _MERGE_GAP * length[longer])
    count = len(segments)
    graph = coo_matrix((np.ones(joins.sum()), (a[joins], b[joins])), shape=(count, count))
    _, labels = connected_components(graph, directed=False)
    grouped: IntArray = labels.astype(np.intp)
    return grouped


def _joined(segments: FloatArray, group: IntArray, count: int) -> FloatArray:
    """Return one segment a group: its weighted middle and direction, its extent."""
    way = segments[:, 1] - segments[:, 0]
    length = np.hypot(*way.T)
    total = np.bincount(group, length, count)
    middle = np.stack(
        [
            np.bincount(group, length * segments[:, :, axis].mean(axis=1), count) / total
            for axis in (0, 1)
        ],
        axis=1,
    )
    # Ends weigh by length: a chain of short parts takes the direction of the chain.
    ends = segments - middle[group][:, None]
    moments = np.zeros((count, 2, 2))
    np.add.at(moments, group, np.einsum("s,sei,sej->sij", length, ends, ends))
    _, axes = np.linalg.eigh(moments)
    unit = axes[:, :, 1]
    whole_way = np.stack([np.bincount(group, way[:, axis], count) for axis in (0, 1)], 1)
    unit = unit * np.where(np.sum(unit * whole_way, axis=1) < 0.0, -1.0, 1.0)[:, None]
    along = np.einsum("sei,si->se", ends, unit[group])
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(low, group, along.min(axis=1))
    np.maximum.at(high, group, along.max(axis=1))
    reach = np.stack([low, high], axis=1)
    joined: FloatArray = middle[:, None] + reach[..., None] * unit[:, None]
    return joined
