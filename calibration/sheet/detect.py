"""All sheets of a photo: search small, measure at full size, judge flatness."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from scipy.special import chdtrc

from calibration.arrays import BoolArray, FloatArray, GreyImage, IntArray
from calibration.sheet.candidates import find_candidates
from calibration.sheet.found import (
    LEAST_CELL_BLURS,
    LEAST_CELL_PX,
    FoundSheet,
    RefusedSheet,
    middle_px,
)
from calibration.sheet.lattice import find_grids
from calibration.sheet.layout import Layout, Sheet
from calibration.sheet.naming import Named, name_grid
from calibration.sheet.plane import apply, fit_plane
from calibration.sheet.pyramid import Level, pyramid
from calibration.sheet.saddle import USUAL_BLUR_PX, Saddles, fit_saddles

LEAST_CORNERS: Final = 6
"""Four fix a plane seen in perspective; two more check it."""

_WORST_MISFIT: Final = 0.30
"""Rms misfit of a corner per half contrast: beyond it something covers the corner."""

_WORSE_THAN_OTHERS: Final = 2.5
_ALWAYS_FAIR: Final = 0.05
"""A corner may misfit so many times as badly as the middle one, and so much in any
case: a shadow's edge across a corner shifts it and shows in this alone."""

_LEAST_SHARE: Final = 0.45
"""Contrast of a corner per that of the others: beyond it is glare or a cover."""

_FARTHEST: Final = 0.15
"""A fitted corner may not lie further from its expected place, in cells."""

_ASTRAY: Final = 0.45
_LOOSE_MISFIT: Final = 0.45
_MOST_ASTRAY: Final = 2
"""So many corners may lie off the plane of the others, by up to so many cells and with
so much misfit, their window having been laid on that plane. More are the other half of a
creased sheet: the half that was fitted leans, and its size is wrong."""

_NOISE_FLOOR_PX: Final = 0.02
"""No corner of a photo is better: lens, sharpening and compression act on neighbours
alike, which a single corner's misfit does not show (docs/accuracy.md)."""

_NOISE_GAIN: Final = 1.3
"""Scatter of corners per what their own misfit says: compression makes neighbouring
pixels err together. Measured (docs/accuracy.md)."""

_NOISY_CHANCE: Final = 0.01
"""Chance below which corners scatter as they do, not as their own misfit says."""

_BENT_CHANCE: Final = 1e-4
"""Chance of calling a flat sheet bent."""

_OUTLIER: Final = 4.0
_EXPLAINED: Final = 0.5
_CORNERS_PER_OUTLIER: Final = 5
"""A corner is left out if it lies so many standard deviations off and if without it
less than this share of the misfit remains; at most one corner in so many."""

_LEAST_BEND_MM: Final = 0.3
"""Paper on brickwork is not flatter; a smaller bend is not worth a word. Common
practice, no source."""

MOST_BEND_MM: Final = 1.0
"""A sheet that lies further off a plane is refused: the size of a sheet folded by 20
degrees is wrong by more than would be stated (docs/accuracy.md)."""

_CREASED: Final = "it is creased or hangs loose: tape it flat on all sides"

_HALF_ACROSS: Final = np.array([0.5, 0.0])
_HALF_UP: Final = np.array([0.0, 0.5])

Result = FoundSheet | RefusedSheet


@dataclass(frozen=True, slots=True, eq=False)
class _Measured:
    """Corners of a sheet at one level, fitted; how many more lie off their plane."""

    H: FloatArray
    places: IntArray
    fit: Saddles
    astray: int


def find_sheets(grey: GreyImage) -> tuple[Result, ...]:
    """Find all printed sheets in a photo.

    Parameters
    ----------
    grey : (H, W) uint8
        The upright photo at full size.

    Returns
    -------
    tuple of FoundSheet or RefusedSheet
        From left to right, each sheet of the paper once. Two prints of one number in
        one photo are two sheets.
    """
    levels = pyramid(np.ascontiguousarray(grey))
    found: list[Result] = []
    for position, level in enumerate(levels):
        for grid in find_grids(level.image, find_candidates(level.image)):
            named = name_grid(level.image, grid)
            if named is None:
                continue
            measured = _measured(levels[position::-1], named)
            result = _judged(named, measured, level)
            found = _added(found, result)
    return tuple(sorted(found, key=lambda sheet: tuple(middle_px(sheet))))


def _added(found: list[Result], new: Result) -> list[Result]:
    """Keep one of two findings of the same paper: the one with more corners."""
    same = [old for old in found if _overlap(old, new)]
    if any(_worth(old) >= _worth(new) for old in same):
        return found
    return [*(old for old in found if old not in same), new]


def _overlap(a: Result, b: Result) -> bool:
    apart = float(np.hypot(*(middle_px(a) - middle_px(b))))
    return apart < 0.25 * float(np.hypot(*np.ptp(a.outline_px, axis=0)))


def _worth(found: Result) -> int:
    return len(found.corners_px) if isinstance(found, FoundSheet) else 0


def _measured(levels: tuple[Level, ...], named: Named) -> _Measured | None:
    """Follow the corners from the level they were found in up to full size.

    The grid's own corners are good to half a pixel; each level hands the next a start
    within a fraction of a pixel of its own, so that no fit begins at a wrong corner.
    """
    layout = named.sheet.layout
    everywhere = layout.grid.astype(np.intp)
    H = levels[0].matrix @ named.H_level_from_grid
    blur_px = USUAL_BLUR_PX
    rounds = [(levels[0], named.seen), *((level, everywhere) for level in levels)]
    for level, places in rounds:
        measured = _fitted(level, H, places, USUAL_BLUR_PX)
        if measured is None:
            return None
        H, blur_px = measured.H, float(np.median(measured.fit.blur_px))
    return _fitted(levels[-1], H, everywhere, max(blur_px, USUAL_BLUR_PX))


def _fitted(
    level: Level, H: FloatArray, places: IntArray, blur_px: float
) -> _Measured | None:
    """Fit the corners that a homography (photo from grid) predicts in a level."""

    def expected(grid: FloatArray | IntArray) -> FloatArray:
        return level.from_photo(apply(H, grid))

    start = expected(places)
    across = expected(places + _HALF_ACROSS) - expected(places - _HALF_ACROSS)
    up = expected(places + _HALF_UP) - expected(places - _HALF_UP)
    height, width = level.image.shape
    inside = np.all((start > 1.0) & (start < [width - 2.0, height - 2.0]), axis=1)
    if inside.sum() < LEAST_CORNERS:
        return None
    places = places[inside]
    start, across, up = start[inside], across[inside], up[inside]
    fit = fit_saddles(level.image, start, across, up, blur_px)
    cell_px = np.minimum(np.hypot(*across.T), np.hypot(*up.T))
    moved = np.hypot(*(fit.xy_px - start).T)
    near = moved < np.maximum(_FARTHEST * cell_px, 2.0)
    loose = _credible(fit, places, _LOOSE_MISFIT) & (moved < _ASTRAY * cell_px)
    fair = max(_WORSE_THAN_OTHERS * float(np.median(fit.misfit)), _ALWAYS_FAIR)
    good = near & _credible(fit, places, min(_WORST_MISFIT, fair))
    measured = _settled(level, places, fit, good)
    far = int(np.sum(loose & ~near))
    return measured and replace(measured, astray=measured.astray + far)


def _credible(fit: Saddles, places: IntArray, misfit: float) -> BoolArray:
    """Return which corners fitted so well, (N,), with the right colours and contrast."""
    # The fit's product is positive right of and below a corner as printed: light there
    # means dark right of and above it, as at (0, 0).
    sign = np.where(places.sum(axis=1) % 2 == 0, 1.0, -1.0)
    swing = fit.swing * sign
    usual = float(np.median(np.abs(swing)))
    good: BoolArray = (
        np.isfinite(fit.sd_px) & (swing > _LEAST_SHARE * usual) & (fit.misfit < misfit)
    )
    return good


def _settled(
    level: Level, places: IntArray, fit: Saddles, good: BoolArray
) -> _Measured | None:
    """Fit the plane and leave out corners that lie far from it; count those."""
    sharp = good
    factor = float(level.factor)
    xy = level.to_photo(fit.xy_px)
    for _ in range(len(good)):
        if good.sum() < LEAST_CORNERS or _in_line(places[good]):
            return None
        H = fit_plane(places[good], xy[good])
        if H is None:
            return None
        rest = np.hypot(*(apply(H, places.astype(np.float64)) - xy).T)
        steps = np.diff(apply(H, np.array([[0.0, 0.0], [1.0, 1.0]])), axis=0)
        limit = max(_FARTHEST * float(np.hypot(*steps[0])) / np.sqrt(2.0), factor)
        worst = int(np.argmax(np.where(good, rest, 0.0)))
        if rest[worst] < limit:
            in_photo = replace(
                fit, xy_px=xy, sd_px=factor * fit.sd_px, blur_px=factor * fit.blur_px
            )
            astray = int(np.sum(sharp & ~good))
            return _Measured(H, places[good], in_photo.only(good), astray)
        good = good & (np.arange(len(good)) != worst)
    return None


def _in_line(places: IntArray) -> bool:
    """Return whether places (N, 2) leave a plane seen in perspective open."""
    for axis in (0, 1):
        filled = np.sort(np.bincount(places[:, axis]))[::-1]
        if len(filled) < 2 or filled[1] < 2:
            return True
    return False


def _judged(named: Named, measured: _Measured | None, level: Level) -> Result:
    """Return the sheet with its noise and flatness, or why it cannot be used."""
    sheet, layout = named.sheet, named.sheet.layout
    if measured is None:
        outline = _outline(layout, level.matrix @ named.H_level_from_grid)
        reason = "too few of its corners are sharp: wipe the lens, hold still, more light"
        return RefusedSheet(sheet, _refusal(sheet, reason), outline)
    outline = _outline(layout, measured.H)
    cell_px = _shortest_cell(layout, measured.H)
    reason = _too_small(cell_px, float(np.median(measured.fit.blur_px)))
    if reason:
        return RefusedSheet(sheet, _refusal(sheet, reason), outline)
    creased = measured.astray > _MOST_ASTRAY
    measured = _without_outliers(measured)
    grid = measured.places.astype(np.float64)
    freedom = 2 * len(grid) - 8
    square = float(np.sum(_rest(measured) ** 2))
    noise, scatter = _noise(measured), float(np.sqrt(square / freedom))
    bend_px = float(np.sqrt(max(scatter**2 - noise**2, 0.0)))
    bend_mm = bend_px * layout.cell_mm / cell_px
    if creased or bend_mm > MOST_BEND_MM:
        return RefusedSheet(sheet, _refusal(sheet, _CREASED), outline)
    chance = float(chdtrc(freedom, square / noise**2))
    return FoundSheet(
        sheet=sheet,
        corners_px=measured.fit.xy_px,
        drawn_mm=layout.to_mm(grid),
        sd_px=max(noise, scatter) if chance < _NOISY_CHANCE else noise,
        scattered=chance < _NOISY_CHANCE,
        cell_px=cell_px,
        bend_px=bend_px,
        bend_mm=bend_mm,
        bent=chance < _BENT_CHANCE and bend_mm > _LEAST_BEND_MM,
        outline_px=outline,
    )


def _too_small(cell_px: float, blur_px: float) -> str:
    """Return why a sheet is too small to be measured; empty if it is not."""
    if cell_px < LEAST_CELL_PX:
        return (
            f"its squares are only {cell_px:.0f} px in the photo and need "
            f"{LEAST_CELL_PX:.0f}: stand nearer or send the photo at full size"
        )
    if cell_px < LEAST_CELL_BLURS * blur_px:
        return "it is too blurred for its size: hold still, focus on the wall, go nearer"
    return ""


def _rest(measured: _Measured) -> FloatArray:
    """Return how far the corners lie from the plane, (N, 2), pixels of the photo."""
    rest: FloatArray = apply(measured.H, measured.places) - measured.fit.xy_px
    return rest


def _noise(measured: _Measured) -> float:
    """Return the standard uncertainty of a corner from the misfit of each alone."""
    own = _NOISE_GAIN * float(np.sqrt(np.mean(measured.fit.sd_px**2)))
    return float(np.hypot(own, _NOISE_FLOOR_PX))


def _without_outliers(measured: _Measured) -> _Measured:
    """Leave out corners that alone make the sheet look bent: a leaf, a shadow's edge.

    A bent sheet is bent everywhere, so no single corner explains most of its misfit.
    """
    for _ in range(len(measured.places) // _CORNERS_PER_OUTLIER):
        square = np.sum(_rest(measured) ** 2, axis=1)
        keep = np.arange(len(square)) != int(np.argmax(square))
        if square.max() < (_OUTLIER * _noise(measured)) ** 2:
            break
        if keep.sum() < LEAST_CORNERS or _in_line(measured.places[keep]):
            break
        H = fit_plane(measured.places[keep], measured.fit.xy_px[keep])
        if H is None:
            break
        without = replace(
            measured, H=H, places=measured.places[keep], fit=measured.fit.only(keep)
        )
        if np.sum(_rest(without) ** 2) > _EXPLAINED * square.sum():
            break
        measured = without
    return measured


def _refusal(sheet: Sheet, reason: str) -> str:
    return f"{sheet.name} was seen but not used: {reason}."


def _outline(layout: Layout, H: FloatArray) -> FloatArray:
    right, top = layout.columns - 1 + layout.rim, layout.rows - 1 + layout.rim
    low = -layout.rim
    return apply(H, np.array([[low, low], [right, low], [right, top], [low, top]]))


def _shortest_cell(layout: Layout, H: FloatArray) -> float:
    """Return the shortest side of a whole cell in the photo, pixels."""
    corners = apply(H, layout.grid).reshape(layout.rows, layout.columns, 2)
    sides = [np.hypot(*np.moveaxis(np.diff(corners, axis=axis), 2, 0)) for axis in (0, 1)]
    return float(min(side.min() for side in sides))
