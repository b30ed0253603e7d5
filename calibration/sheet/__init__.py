"""Printed sheets of squares: what is on them, and finding them in a photo."""

from calibration.sheet.detect import find_sheets
from calibration.sheet.found import GOOD_CELL_PX, LEAST_CELL_PX, FoundSheet, RefusedSheet
from calibration.sheet.layout import COARSE, FINE, LAYOUTS, Layout, LayoutName, Sheet

__all__ = [
    "COARSE",
    "FINE",
    "GOOD_CELL_PX",
    "LAYOUTS",
    "LEAST_CELL_PX",
    "FoundSheet",
    "Layout",
    "LayoutName",
    "RefusedSheet",
    "Sheet",
    "find_sheets",
]
