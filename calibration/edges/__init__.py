"""Straight edges of a photo: found, fitted to a fraction of a pixel, met in corners."""

from calibration.edges.corners import Corner, corner
from calibration.edges.fit import EdgeFits, fit_edges
from calibration.edges.light import Light, light_of
from calibration.edges.search import edges_beside
from calibration.edges.segments import photo_segments

__all__ = [
    "Corner",
    "EdgeFits",
    "Light",
    "corner",
    "edges_beside",
    "fit_edges",
    "light_of",
    "photo_segments",
]
