"""Where a proposed line ends: a corner, the end of its run, or where its parallels end.

Each place that may be the end is weighed by how many parallel edges of the same board
stop plumb above or below it. What is left of doubt goes into the spread: an end where the
parallels stop elsewhere is not known to a pixel, however sharp its corner is.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.edges import corner
from photomeasure.proposals.levels import Found
from photomeasure.proposals.model import LEAST_CHANCE
from photomeasure.proposals.pairs import Gable
from photomeasure.proposals.reading import Reading
from photomeasure.snapping.ends import snapped_ends
from photomeasure.snapping.model import EDGE_MODEL_SD_PX, EndKind, SnappedEnd
from photomeasure.snapping.snap import usual_reach_px

_ALIKE: Final = 0.0025
"""How far apart parallels of one board end, by the long side: gutter and tiles pass it by
20 to 45 mm. As `tests/pictures` draws them; common practice, no source."""

_FAR: Final = 0.09
"""Parallels that end farther off tell of something else."""

_ABOVE, _BELOW = 4, 1
"""Neighbours that count: further down come the soffit's edges, which end at the quoin."""

_CORNER: Final = 2.5
_TRUST: Final = 1.5
"""Log odds of a corner, the run's own end and each parallel counting up to one, and how
far their sum is trusted: chosen on drawn houses 1000 to 1160."""

_LEVEL: Final = 0.024
"""How far off, by the long side, the foot of a rake may lie that is level with the other's:
directions are known to a degree or two. Parallels that end there count however far off."""

_LOOKED: Final = 400
"""Places along a rake at which its height on the wall is looked up."""

_FLOOR: Final = 0.0006
_RUN_SD: Final = 0.0019
"""Spread of a corner and of the end of a run, by the long side."""

OPEN_SD_PX: Final = 50.0
"""Of an end that lies outside the photo: it says where the photo ends, no more."""


@dataclass(frozen=True, slots=True, eq=False)
class _Place:
    """A place along the line that may be its end, pixels."""

    along: float
    sd: float
    odds: float


def ends_of(
    reading: Reading, line: Found, foot: tuple[int, FloatArray] | None = None
) -> tuple[FloatArray, FloatArray]:
    """Return the ends (2, 2) of a line and how well each is known along it (2,).

    Parameters
    ----------
    reading : Reading
    line : Found
        With the runs of its parallels.
    foot : tuple of int and (2,) float64, optional
        Which end is the foot of a rake, and the foot of the gable's other rake.

    Returns
    -------
    ends_px : (2, 2) float64
        Image frame.
    sd_px : (2,) float64
        Along the line, with the doubt about which place is the end.
    """
    reach = usual_reach_px(reading.light.size_px)
    snapped = snapped_ends(
        reading.light, line.edge, line.ends_px, reading.adjusted_camera, reach
    )
    way = line.ends_px[1] - line.ends_px[0]
    unit = way / max(float(np.hypot(*way)), 1e-9)
    ends, sd = line.ends_px.copy(), np.empty(2)
    level: list[float | None] = [None, None]
    if foot is not None:
        level[foot[0]] = _level_with(reading, line, foot[0], unit, foot[1])
    for place in (0, 1):
        along, sd[place] = _end(reading, line, place, unit, snapped[place], level[place])
        ends[place] = line.ends_px[place] + along * unit
    return ends, np.where(line.open, OPEN_SD_PX, sd)


def rake_ends(
    reading: Reading, pairs: Sequence[Gable], line: Found, apex: int
) -> tuple[Found, FloatArray, FloatArray]:
    """Return where a rake ends: at the apex of its likeliest pair, and at its foot.

    Parameters
    ----------
    reading : Reading
    pairs : sequence of Gable
        That it may stand in, the likeliest first.
    line : Found
    apex : int
        Which of its ends is the upper one.

    Returns
    -------
    line : Found
        Not open at an apex.
    ends_px : (2, 2) float64
    sd_px : (2,) float64
        Of the apex with the doubt about which edge the other rake is.
    """
    likeliest = pairs[0]
    # The feet of a gable are level: where one is hidden the other tells.
    other = likeliest.right if apex == 1 else likeliest.left
    ends, sd = ends_of(reading, line, (1 - apex, other.ends_px[apex]))
    meeting = corner(likeliest.left.edge, likeliest.right.edge, reading.camera)
    if meeting is None:
        return line, ends, sd
    closed = line.open.copy()
    closed[apex] = False
    ends[apex] = meeting.point_px
    own = float(np.linalg.eigvalsh(meeting.covariance)[-1])
    others = _apex_power(reading, pairs, meeting.point_px)
    sd[apex] = np.sqrt(own + (2.0 * EDGE_MODEL_SD_PX) ** 2 + others)
    return replace(line, open=closed), ends, sd


def _apex_power(reading: Reading, pairs: Sequence[Gable], apex_px: FloatArray) -> float:
    """Return how far a rake's other pairs have their apex off, mean square, pixels."""
    total = sum(gable.chance for gable in pairs)
    power = 0.0
    for gable in pairs[1:]:
        if gable.chance < LEAST_CHANCE * total:
            continue
        meeting = corner(gable.left.edge, gable.right.edge, reading.camera)
        if meeting is not None:
            power += gable.chance * float(np.sum((meeting.point_px - apex_px) ** 2))
    return power / max(total, 1e-12)


def _level_with(
    reading: Reading, line: Found, place: int, unit: FloatArray, point_px: FloatArray
) -> float | None:
    """Return where a line is as high on its wall as a point, from the run's own end."""
    along = np.linspace(-1.0, 1.0, _LOOKED) * float(np.hypot(*np.ptp(line.ends_px, axis=0)))
    points = line.ends_px[place] + along[:, None] * unit
    height = reading.on_wall(points, line.wall)[:, 1]
    over = height - reading.on_wall(point_px[None], line.wall)[0, 1]
    crossed = np.flatnonzero(over[:-1] * over[1:] <= 0.0)
    return float(along[crossed[0]]) if len(crossed) else None


def _end(
    reading: Reading,
    line: Found,
    place: int,
    unit: FloatArray,
    snapped: SnappedEnd,
    level: float | None,
) -> tuple[float, float]:
    """Return where one end lies, from the run's own end, and its spread."""
    origin, side = line.ends_px[place], reading.side_px
    others = _parallels(reading, line, place, unit)
    run_sd = _RUN_SD * side
    places = [_Place(0.0, run_sd, 0.0)]
    if snapped.kind is EndKind.CORNER:
        along = float((snapped.point_px - origin) @ unit)
        places.append(_Place(along, snapped.along_sd_px, _CORNER))
    near = np.abs(others) < _FAR * side
    if level is not None:
        near |= np.abs(others - level) < _LEVEL * side
    places += [_Place(float(p), run_sd, 0.0) for p in others[near]]
    at = np.array([spot.along for spot in places])
    apart = (at[:, None] - np.append(others, 0.0)) / (_ALIKE * side)
    odds = np.array([spot.odds for spot in places]) + np.exp(-0.5 * apart**2).sum(axis=1)
    best = int(odds.argmax())
    share = np.exp(_TRUST * (odds - odds[best]))
    doubt = float(share @ (at - at[best]) ** 2 / share.sum())
    own = places[best].sd ** 2 + (_FLOOR * side) ** 2
    return float(at[best]), float(np.sqrt(own + doubt))


def _parallels(reading: Reading, line: Found, place: int, unit: FloatArray) -> FloatArray:
    """Return where the next parallels end, brought plumb onto the line, (N,) along it."""
    rows = [
        row
        for row in range(len(line.runs))
        if row != line.row and -_ABOVE <= row - line.row <= _BELOW
    ]
    origin = line.ends_px[place]
    normal = np.array([-unit[1], unit[0]])
    up = reading.upwards(origin[None])[0]
    rising = float(up @ normal)
    if abs(rising) < 0.1:
        return np.zeros(0)
    off = np.array([line.runs[row][place] for row in rows]).reshape(-1, 2) - origin
    plumb: FloatArray = off - ((off @ normal) / rising)[:, None] * up
    return plumb @ unit
