"""Propose the lines of a roofline from the photo alone; a person accepts them."""

from collections.abc import Iterable
from dataclasses import replace
from itertools import zip_longest
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.edges.arcs import arcs
from calibration.edges.runs import END_SD_PX
from calibration.photo.pixels import RgbImage
from calibration.priors import CameraPrior, LensKnowledge, camera_prior
from photomeasure.job.schema import Role
from photomeasure.proposals.boards import doubt_px
from photomeasure.proposals.bundles import Bundles
from photomeasure.proposals.ends import OPEN_SD_PX, ends_of, rake_ends
from photomeasure.proposals.gables import find_gables
from photomeasure.proposals.levels import Found, find_levels, one_board
from photomeasure.proposals.model import (
    LEAST_CHANCE,
    MOST_PROPOSED,
    Proposal,
    Proposals,
)
from photomeasure.proposals.pairs import Gable
from photomeasure.proposals.reading import Reading, read_edges
from photomeasure.proposals.soffits import look_at_soffits
from photomeasure.proposals.weights import chances, of_house, weighed
from photomeasure.snapping.model import across_sd_px

_LOOKED_AT: Final = 3
_ONE_EDGE: Final = 0.0008
"""Fits of one edge from two rough starts end nearer than this, by the long side."""

_ACROSS_COUNTS: Final = 0.25
"""Share of the doubt across that counts for a length: parallel edges of one board are
equally long, and perspective changes their pixels by less than that."""

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
    ridges, no_ridge = find_levels(reading, Role.RIDGE, bundles)
    eaves, no_eaves = find_levels(reading, Role.EAVES, bundles, ridges)
    proposed = _level_proposals(reading, eaves)
    gables, no_rakes = find_gables(reading, bundles)
    doubts = () if reading.vanishing.clear[0] else (UNSURE_PLUMB,)
    return Proposals(
        eaves=proposed,
        rakes=_rake_proposals(reading, gables),
        ridges=_level_proposals(reading, ridges),
        soffits=_soffits(reading, eaves, proposed),
        none={Role.EAVES: no_eaves, Role.RAKE: no_rakes, Role.RIDGE: no_ridge},
        doubts=doubts,
    )


def of_a_house(proposals: Proposals) -> Proposals:
    """Return proposals once it is sure that the photo shows a house.

    Brickwork or a marker sheet tells. Any photo may hold lines that only look like a
    roof's: that doubt falls away, and a house that shows no gable shows its eaves.
    """
    gain = of_house(proposals.none)

    def likelier(lines: Iterable[Proposal], role: Role) -> tuple[Proposal, ...]:
        by = gain.get(role, 1.0)
        return tuple(
            replace(line, confidence=by * line.confidence, board=by * line.board)
            for line in lines
        )

    pairs = (likelier(pair, Role.EAVES) for pair in proposals.soffits)
    return replace(
        proposals,
        eaves=likelier(proposals.eaves, Role.EAVES),
        rakes=likelier(proposals.rakes, Role.RAKE),
        ridges=likelier(proposals.ridges, Role.RIDGE),
        soffits=tuple((inner, outer) for inner, outer in pairs),
    )


def _level_proposals(reading: Reading, found: list[Found]) -> tuple[Proposal, ...]:
    proposed = [
        _proposal(reading, line, line.chance, with_ends=_worth(rank, line.chance))
        for rank, line in enumerate(found[:MOST_PROPOSED])
    ]
    known = sum(_worth(rank, line.confidence) for rank, line in enumerate(proposed))
    return _with_doubt(reading, proposed, known)


def _with_doubt(
    reading: Reading, lines: list[Proposal], known: int
) -> tuple[Proposal, ...]:
    """Return lines whose spread holds the doubt about which edge of a board is meant.

    Only the first `known` lines have ends that were looked for.
    """
    ends = np.array([line.picks_px[[0, 2]] for line in lines]).reshape(-1, 2, 2)
    chance = np.array([line.confidence for line in lines]) * (np.arange(len(lines)) < known)
    told = []
    for line, own in zip(lines, ends, strict=True):
        mine = one_board(own, ends, reading)
        missing = max(line.board - float(chance[mine].sum()), 0.0)
        along, across = doubt_px(own, ends[mine], chance[mine], (missing, reading.side_px))
        wide = np.hypot(line.end_sd_px, along).max()
        deep = np.hypot(across_sd_px(line.edge), _ACROSS_COUNTS * across)
        told.append(replace(line, pick_sd_px=float(max(wide, deep))))
    return tuple(told)


def _worth(rank: int, chance: float) -> bool:
    """Tell whether a line is likely enough to look for its ends and its soffit."""
    return rank == 0 or (rank < _LOOKED_AT and chance > LEAST_CHANCE)


def _proposal(
    reading: Reading, line: Found, confidence: float, *, with_ends: bool
) -> Proposal:
    ends, sd = line.ends_px, np.where(line.open, OPEN_SD_PX, END_SD_PX)
    if with_ends:
        ends, sd = ends_of(reading, line)
    return _finished(reading, line, ends, (sd, confidence))


def _finished(
    reading: Reading,
    line: Found,
    ends: FloatArray,
    known: tuple[FloatArray, float],
) -> Proposal:
    sd, confidence = known
    middle = arcs(ends[None], np.array([0.5]), reading.camera, line.edge.k1).points_px[0]
    return Proposal(
        role=line.role,
        picks_px=np.stack([ends[0], middle[0], ends[1]]),
        end_sd_px=sd,
        pick_sd_px=float(max(across_sd_px(line.edge), sd.max())),
        confidence=confidence,
        board=max(line.board, confidence),
        wall=line.wall,
        edge=line.edge,
        cut=bool(line.open.any() or not reading.inside(ends).all()),
    )


def _rake_proposals(reading: Reading, gables: list[Gable]) -> tuple[Proposal, ...]:
    """Return the likeliest left and right rake, then the next of each, and so on.

    A line that stands in several pairs comes once, with the chances of all of them and
    the apex of the likeliest.
    """
    sure = np.array([gable.chance for gable in gables])
    near = _ONE_EDGE * reading.side_px
    sides: list[list[tuple[float, list[Gable], Found]]] = []
    for lines in ([gable.left for gable in gables], [gable.right for gable in gables]):
        own: list[tuple[float, list[Gable], Found]] = []
        for line in lines:
            if any(_same(line, other, near) for _, _, other in own):
                continue
            alike = [_same(line, other, near) for other in lines]
            pairs = [gable for gable, mine in zip(gables, alike, strict=True) if mine]
            own.append((float(sure[alike].sum()), pairs, line))
        sides.append(sorted(own, key=lambda item: -item[0])[: MOST_PROPOSED // 2])
    ranked = [
        _rake(reading, pairs, line, apex, share)
        for pair in zip_longest(*sides)
        for apex, item in zip((1, 0), pair, strict=True)
        if item is not None
        for share, pairs, line in (item,)
    ]
    return _with_doubt(reading, ranked, len(ranked))


def _same(first: Found, second: Found, near_px: float) -> bool:
    """Tell whether two lines lie on one edge, however far each was seen to go."""
    ends = second.edge.ends_px[0]
    way = ends[1] - ends[0]
    normal = np.array([-way[1], way[0]]) / max(float(np.hypot(*way)), 1e-9)
    return bool(np.abs((first.edge.ends_px[0] - ends[0]) @ normal).max() < near_px)


def _rake(
    reading: Reading, pairs: list[Gable], line: Found, apex: int, confidence: float
) -> Proposal:
    met, ends, sd = rake_ends(reading, pairs, line, apex)
    return _finished(reading, met, ends, (sd, confidence))


def _soffits(
    reading: Reading, found: list[Found], eaves: tuple[Proposal, ...]
) -> tuple[tuple[Proposal, Proposal], ...]:
    """Return wall edge and outer edge under each proposed eaves.

    Eaves of one board share their soffit: its chance is that under any of them.
    """
    seen: list[tuple[Found, float, Proposal]] = []
    for rank, (line, outer) in enumerate(zip(found, eaves, strict=False)):
        looked = look_at_soffits(reading, line) if _worth(rank, line.chance) else None
        if looked is None:
            continue
        lines, evidence = looked
        sure = chances(list(weighed(evidence, Role.SOFFIT)), Role.SOFFIT)
        best = int(sure.argmax())
        seen.append((lines[best], outer.confidence * float(sure[best]), outer))
    near = _ONE_EDGE * reading.side_px
    pairs = []
    for inner, _, outer in seen:
        share = sum(own for other, own, _ in seen if _same(inner, other, near))
        pairs.append((_proposal(reading, inner, share, with_ends=False), outer))
    return tuple(pairs)
