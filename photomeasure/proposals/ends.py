"""Where a proposed line ends: a corner, the end of its run, or where its parallels end.

Each place that may be the end is weighed by how many parallel edges of the same board
stop plumb above or below it. What is left of doubt goes into the spread: an end where the
parallels stop elsewhere is not known to a pixel, however sharp its corner is.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from photomeasure.proposals.levels import Found
from photomeasure.proposals.reading import Reading
from photomeasure.snapping.ends import snapped_ends
from photomeasure.snapping.model import EndKind, SnappedEnd
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


def ends_of(reading: Reading, line: Found) -> tuple[FloatArray, FloatArray]:
    """Return the ends (2, 2) of a line and how well each is known along it (2,).

    Parameters
    ----------
    reading : Reading
    line : Found
        With the runs of its parallels.

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
    for place in (0, 1):
        along, sd[place] = _end(reading, line, place, unit, snapped[place])
        ends[place] = line.ends_px[place] + along * unit
    return ends, np.where(line.open, OPEN_SD_PX, sd)


def _end(
    reading: Reading, line: Found, place: int, unit: FloatArray, snapped: SnappedEnd
) -> tuple[float, float]:
    """Return where one end lies, from the run's own end, and its spread."""
    origin, side = line.ends_px[place], reading.side_px
    others = _parallels(reading, line, place, unit)
    run_sd = _RUN_SD * side
    places = [_Place(0.0, run_sd, 0.0)]
    if snapped.kind is EndKind.CORNER:
        along = float((snapped.point_px - origin) @ unit)
        places.append(_Place(along, snapped.along_sd_px, _CORNER))
    places += [_Place(float(p), run_sd, 0.0) for p in others if abs(p) < _FAR * side]
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
