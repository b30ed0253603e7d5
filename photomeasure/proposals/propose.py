"""Propose the lines of a roofline from the photo alone; a person accepts them."""

from itertools import zip_longest
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.edges import corner
from calibration.edges.arcs import arcs
from calibration.edges.runs import END_SD_PX, follow
from calibration.photo.pixels import RgbImage
from calibration.priors import CameraPrior, LensKnowledge, camera_prior
from photomeasure.job.schema import Role
from photomeasure.proposals.bundles import Bundles
from photomeasure.proposals.gables import Gable, find_gables
from photomeasure.proposals.levels import Found, find_levels
from photomeasure.proposals.model import MOST_PROPOSED, Proposal, Proposals
from photomeasure.proposals.reading import Reading, read_edges
from photomeasure.proposals.soffits import look_at_soffits
from photomeasure.proposals.weights import chances, weighed
from photomeasure.snapping.ends import snapped_ends
from photomeasure.snapping.model import EDGE_MODEL_SD_PX, SnappedEnd, across_sd_px
from photomeasure.snapping.snap import usual_reach_px

_WITH_ENDS: Final = 4
_WITH_SOFFIT: Final = 3
_ONE_EDGE: Final = 0.0008
"""Fits of one edge from two rough starts end nearer than this, by the long side."""

_PARALLEL_GAP: Final = 0.012
_PAST: Final = 0.01
"""Gutters and tiles pass the end of a board by less than this share of the long side."""

_OPEN_SD_PX: Final = 50.0
"""Of an end that lies outside the photo: it says where the photo ends, no more."""

NO_DIRECTIONS: Final = "no level and plumb edges were found; trace the roofline by hand"
UNSURE_PLUMB: Final = "plumb is seen poorly; check that level lines look level"


def propose(photo: RgbImage, camera: CameraPrior | None = None) -> Proposals:
    """Return eaves, rakes, ridges and soffits that a photo seems to show.

    Parameters
    ----------
    photo : (H, W, 3) uint8
        Upright, RGB.
    camera : CameraPrior, optional
        What is known of the lens; the range of phones without.

    Returns
    -------
    Proposals
        Perhaps empty; then `doubts` say why.
    """
    height, width = photo.shape[:2]
    lens = camera or camera_prior((width, height), LensKnowledge())
    reading = read_edges(photo, lens)
    if reading is None:
        return Proposals(doubts=(NO_DIRECTIONS,))
    return propose_from(reading)


def propose_from(reading: Reading) -> Proposals:
    """Return proposals from a photo that was read before."""
    bundles = Bundles(reading)
    eaves = find_levels(reading, Role.EAVES, bundles)
    proposed = _level_proposals(reading, eaves)
    ridges = find_levels(reading, Role.RIDGE, bundles)
    doubts = () if reading.vanishing.clear[0] else (UNSURE_PLUMB,)
    return Proposals(
        eaves=proposed,
        rakes=_rake_proposals(reading, find_gables(reading, bundles)),
        ridges=_level_proposals(reading, ridges),
        soffits=_soffits(reading, eaves, proposed),
        doubts=doubts,
    )


def _level_proposals(reading: Reading, found: list[Found]) -> tuple[Proposal, ...]:
    return tuple(
        _proposal(reading, line, line.chance, with_ends=rank < _WITH_ENDS)
        for rank, line in enumerate(found[:MOST_PROPOSED])
    )


def _proposal(
    reading: Reading, line: Found, confidence: float, *, with_ends: bool
) -> Proposal:
    edge = line.edge
    ends, sd = line.ends_px, np.full(2, END_SD_PX)
    across = across_sd_px(edge)
    if with_ends:
        reach = usual_reach_px(reading.light.size_px)
        snapped = snapped_ends(reading.light, edge, ends, reading.adjusted_camera, reach)
        ends, sd = _agreeing(ends, snapped, reach)
        ends, sd = _past_parallels(reading, line, ends, sd)
    sd = np.where(line.open, _OPEN_SD_PX, sd)
    return _finished(reading, line, ends, (sd, across, confidence))


def _agreeing(
    run_px: FloatArray, snapped: tuple[SnappedEnd, SnappedEnd], reach: float
) -> tuple[FloatArray, FloatArray]:
    """Take corners where they agree with where the run ends."""
    ends, sd = run_px.copy(), np.full(2, END_SD_PX)
    for place, end in enumerate(snapped):
        if np.hypot(*(end.point_px - run_px[place])) < 0.5 * reach:
            ends[place], sd[place] = end.point_px, end.along_sd_px
    return ends, sd


def _past_parallels(
    reading: Reading, line: Found, ends: FloatArray, sd: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Doubt an end that the edges of the same board run past.

    A white board before a bright sky loses its lower edge at the quoin; its upper edge
    goes on to the board's end.
    """
    rows = [row for row in (line.row - 1, line.row - 2) if row >= 0]
    way = ends[1] - ends[0]
    unit = way / max(float(np.hypot(*way)), 1e-9)
    ends, sd = ends.copy(), sd.copy()
    for place, sign in ((0, -1.0), (1, 1.0)):
        past = 0.0
        for row in rows:
            run = follow(
                reading.light,
                line.bundle.edges[row : row + 1],
                reading.camera,
                beyond_px=0.15 * reading.side_px,
                gap_px=_PARALLEL_GAP * reading.side_px,
            )
            past = max(past, sign * float((run.ends_px[place] - ends[place]) @ unit))
        if past > _PAST * reading.side_px:
            sd[place] = float(np.hypot(sd[place], past / 2.0))
            ends[place] = ends[place] + sign * unit * past / 2.0
    return ends, sd


def _finished(
    reading: Reading,
    line: Found,
    ends: FloatArray,
    known: tuple[FloatArray, float, float],
) -> Proposal:
    sd, across, confidence = known
    middle = arcs(ends[None], np.array([0.5]), reading.camera, line.edge.k1).points_px[0]
    return Proposal(
        role=line.role,
        picks_px=np.stack([ends[0], middle[0], ends[1]]),
        end_sd_px=sd,
        pick_sd_px=float(max(across, sd.max())),
        confidence=confidence,
        wall=line.wall,
        edge=line.edge,
    )


def _rake_proposals(reading: Reading, gables: list[Gable]) -> tuple[Proposal, ...]:
    """Return the likeliest left and right rake, then the next of each, and so on.

    A line that stands in several pairs comes once, with the chances of all of them and
    the apex of the likeliest.
    """
    sure = chances([gable.odds for gable in gables], Role.RAKE)
    near = _ONE_EDGE * reading.side_px
    sides: list[list[tuple[float, Gable, Found]]] = []
    for lines in ([gable.left for gable in gables], [gable.right for gable in gables]):
        own: list[tuple[float, Gable, Found]] = []
        for place, line in enumerate(lines):
            if any(_same(line, other, near) for _, _, other in own):
                continue
            alike = [_same(line, other, near) for other in lines]
            share = float(sure[alike].sum())
            own.append((share, gables[place], line))
        sides.append(sorted(own, key=lambda item: -item[0])[: MOST_PROPOSED // 2])
    ranked = [
        _rake(reading, gable, line, apex, share)
        for pair in zip_longest(*sides)
        for apex, item in zip((1, 0), pair, strict=True)
        if item is not None
        for share, gable, line in (item,)
    ]
    return tuple(ranked)


def _same(first: Found, second: Found, near_px: float) -> bool:
    """Tell whether two lines lie on one edge."""
    apart = np.abs(first.edge.ends_px - second.edge.ends_px)
    return bool(apart.max() < near_px)


def _rake(
    reading: Reading, gable: Gable, line: Found, apex: int, confidence: float
) -> Proposal:
    found = _proposal(reading, line, confidence, with_ends=True)
    ends, sd = found.picks_px[[0, 2]].copy(), found.end_sd_px.copy()
    meeting = corner(gable.left.edge, gable.right.edge, reading.camera)
    if meeting is not None:
        ends[apex] = meeting.point_px
        spread = float(np.sqrt(np.linalg.eigvalsh(meeting.covariance)[-1]))
        sd[apex] = np.hypot(spread, 2.0 * EDGE_MODEL_SD_PX)
    across = across_sd_px(found.edge)
    return _finished(reading, line, ends, (sd, across, confidence))


def _soffits(
    reading: Reading, found: list[Found], eaves: tuple[Proposal, ...]
) -> tuple[tuple[Proposal, Proposal], ...]:
    """Return wall edge and outer edge under each proposed eaves."""
    pairs = []
    for line, outer in zip(found[:_WITH_SOFFIT], eaves, strict=False):
        looked = look_at_soffits(reading, line)
        if looked is None:
            continue
        lines, evidence = looked
        sure = chances(list(weighed(evidence, Role.SOFFIT)), Role.SOFFIT)
        best = int(sure.argmax())
        trust = outer.confidence * float(sure[best])
        pairs.append((_proposal(reading, lines[best], trust, with_ends=False), outer))
    return tuple(pairs)
