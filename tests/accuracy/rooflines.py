"""Measure snapping and proposals on drawn houses: the table of docs/accuracy.md.

    python -m tests.accuracy.rooflines --first 200 --count 60 [--keep FOLDER]

Pictures take about ten seconds each to draw; FOLDER keeps them for another run. Houses
0 to 159 and 1000 to 1499 were looked at while rules and weights were made; the table
counts others. A rake's place is that among the rakes of its side, as `photomeasure read`
offers them: each gable has one left and one right rake.
"""

import argparse
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import numpy as np

from calibration.edges import fit_edges, light_of
from calibration.photo import load_upright
from calibration.priors import CameraPrior, LensKnowledge, camera_prior
from photomeasure.job.schema import Role
from photomeasure.proposals import Proposal, of_a_house, propose
from photomeasure.reading.model import LIKELY
from photomeasure.snapping import snap_line, usual_reach_px
from tests.accuracy.roof_scenes import between_edges, board_of, roof_scene
from tests.pictures.truth import Edge, Truth

ROLES = {
    "eaves": Role.EAVES,
    "rake": Role.RAKE,
    "ridge": Role.RIDGE,
    "soffit-wall": Role.SOFFIT,
}

RIGHT_EDGE = 0.001
"""A line this close to the truth, by the long side, lies on the right edge: the next
one is a board's thickness, three times as far, away."""

SHARP_PX = 0.2
FIRST = 3
CLASSES = (0.02, 0.1, 0.25, 0.5, 0.7, 0.85, 1.01)
LEAST_CONTRAST = 0.004
"""Light of one code value in shade: what has less does not show in the file."""


@dataclass
class Score:
    """What was measured for one role."""

    snaps: list[dict[str, float]] = field(default_factory=list)
    lines: list[dict[str, float]] = field(default_factory=list)


class Claim(NamedTuple):
    """The first proposal of a kind: how sure its board is, and whether it is right.

    Of boards it is right if it lies on one of its role, whichever edge of it; `edge` tells
    whether it is the edge that is meant, `held` whether the true length is in its spread.
    """

    role: str
    chance: float
    right: bool
    edge: bool
    held: bool


def pictures(
    first: int, count: int, keep: Path | None
) -> Iterator[tuple[np.ndarray, Truth]]:
    """Yield pictures and truths, drawn or kept."""
    for seed in range(first, first + count):
        path = keep / f"{seed}.jpg" if keep else None
        if path and path.exists():
            truth = Truth.from_json(path.with_suffix(".truth.json").read_text("utf-8"))
            yield load_upright(path), truth
            continue
        picture = roof_scene(seed).draw()
        if path:
            path.parent.mkdir(parents=True, exist_ok=True)
            picture.save(path)
        yield picture.rgb, picture.truth


def lens_of(rgb: np.ndarray, truth: Truth) -> CameraPrior:
    """Return what the file's header would tell."""
    size = (rgb.shape[1], rgb.shape[0])
    stated = truth.exif.get("focal_35mm")
    focal = stated / 43.2666 * float(np.hypot(*size)) if stated else None
    return camera_prior(size, LensKnowledge(focal_px=focal))


def across(points: np.ndarray, edge: Edge) -> np.ndarray:
    """Return distances of points from the nearest piece of a traced edge, signed."""
    a, b = edge.trace.px[:-1], edge.trace.px[1:]
    way = b - a
    size = np.maximum(np.hypot(*way.T), 1e-9)
    unit = way / size[:, None]
    delta = points[:, None] - a
    along = np.sum(delta * unit, axis=2)
    off = unit[:, 0] * delta[..., 1] - unit[:, 1] * delta[..., 0]
    outside = np.maximum(np.maximum(-along, along - size), 0.0)
    best = np.argmin(np.abs(off) + 1e3 * outside, axis=1)
    return off[np.arange(len(points)), best]


def shows(rgb: np.ndarray, edge: Edge, lens: CameraPrior) -> bool:
    """Tell whether the picture has a step at the true edge."""
    if edge.trace.share_visible < 0.8:
        return False
    fit = fit_edges(light_of(rgb), edge.ends_px[None], lens)
    near = np.abs(across(fit.ends_px[0], edge)).max() < RIGHT_EDGE * max(rgb.shape)
    return bool(near and fit.support[0] > 0.5 and abs(fit.contrast[0]) > LEAST_CONTRAST)


def snap_score(
    rgb: np.ndarray, edge: Edge, lens: CameraPrior, seed: int
) -> dict[str, float]:
    """Trace an edge roughly, snap it, and compare."""
    rng = np.random.default_rng([seed, 1])
    reach = usual_reach_px((rgb.shape[1], rgb.shape[0]))
    trace = edge.ends_px + rng.normal(0.0, reach / 4.0, (2, 2))
    start = time.process_time()
    snap = snap_line(rgb, trace, ROLES[edge.role], camera=lens)
    took = time.process_time() - start
    limit = RIGHT_EDGE * max(rgb.shape)
    off = [np.abs(across(c.picks_px, edge)).mean() for c in snap.choice]
    first = snap.candidates[0] if snap.candidates else None
    ends = edge.ends_px
    error = np.hypot(*(first.picks_px[[0, 2]] - ends).T) if first else np.full(2, np.nan)
    return {
        "found": float(bool(snap.candidates)),
        "sure": float(snap.sure),
        "right": float(bool(off) and off[0] < limit),
        "shown": float(bool(off) and min(off) < limit),
        "across_px": float(off[0]) if off else np.nan,
        "signed_px": float(across(first.picks_px, edge).mean()) if first else np.nan,
        "end_px": float(np.median(error)),
        "sd_px": first.pick_sd_px if first else np.nan,
        "ms": 1e3 * took,
    }


def line_score(
    rgb: np.ndarray, edge: Edge, offered: tuple[Proposal, ...]
) -> dict[str, float]:
    """Return at which place a true line was proposed, and how well its ends lie."""
    limit = RIGHT_EDGE * max(rgb.shape)
    ends = edge.ends_px[np.argsort(edge.ends_px[:, 0])]
    for place, line in enumerate(offered):
        picks = line.picks_px[np.argsort(line.picks_px[:, 0])]
        overlap = min(picks[-1, 0], ends[1, 0]) - max(picks[0, 0], ends[0, 0])
        if overlap < 0.5 * (ends[1, 0] - ends[0, 0]):
            continue
        if np.abs(across(picks, edge)).mean() < limit:
            return {"place": float(place), "confidence": line.confidence} | end_score(
                picks[[0, -1]], ends, line
            )
    return {"place": np.inf, "confidence": 0.0}


def end_score(picks: np.ndarray, ends: np.ndarray, line: Proposal) -> dict[str, float]:
    """Return how far ends and length are off, by their spreads."""
    off = np.hypot(*(picks - ends).T)
    sd = np.hypot(line.end_sd_px, 0.5)
    wrong = float(np.hypot(*(picks[1] - picks[0])) - np.hypot(*(ends[1] - ends[0])))
    return {
        "end_px": float(off.max()),
        "sd_px": float(sd.max()),
        "beyond": float(np.mean(off / sd > 3.0)),
        "held": float(abs(wrong) < 1.96 * float(np.hypot(*sd))),
    }


def one_side(edge: Edge, offered: tuple[Proposal, ...]) -> tuple[Proposal, ...]:
    """Return the proposals that slope the same way."""
    way = np.diff(edge.ends_px, axis=0)[0]
    slope = way[0] * way[1]

    def alike(line: Proposal) -> bool:
        own = line.picks_px[-1] - line.picks_px[0]
        return bool(own[0] * own[1] * slope > 0.0)

    return tuple(line for line in offered if alike(line))


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--first", type=int, default=200)
    parser.add_argument("--count", type=int, default=60)
    parser.add_argument("--keep", type=Path)
    options = parser.parse_args()
    scores = {role: Score() for role in ROLES}
    claims: list[Claim] = []
    times = []
    for rgb, truth in pictures(options.first, options.count, options.keep):
        lens = lens_of(rgb, truth)
        start = time.process_time()
        offered = of_a_house(propose(rgb, lens))
        times.append(time.process_time() - start)
        by_role = {
            "eaves": offered.eaves,
            "rake": offered.rakes,
            "ridge": offered.ridges,
            "soffit-wall": tuple(pair[0] for pair in offered.soffits),
        }
        _score_lines(rgb, truth, by_role, scores)
        claims += _claims(rgb, truth, by_role)
    report(scores, claims, times)


def _wanted(truth: Truth) -> list[Edge]:
    """Return the true lines that can be asked for: the wall's own soffit is level."""
    return [
        edge
        for edge in truth.edges
        if edge.role in ROLES
        and edge.trace.share_visible > 0.8
        and not (edge.role == "soffit-wall" and np.ptp(edge.trace.mm[:, 1]) > 100.0)
    ]


def _score_lines(
    rgb: np.ndarray,
    truth: Truth,
    by_role: dict[str, tuple[Proposal, ...]],
    scores: dict[str, Score],
) -> None:
    lens = lens_of(rgb, truth)
    for edge in _wanted(truth):
        plain = shows(rgb, edge, lens)
        mine = by_role[edge.role]
        mine = one_side(edge, mine) if edge.role == "rake" else mine
        line = line_score(rgb, edge, mine)
        line |= {"plain": plain, "name": truth.name}
        scores[edge.role].lines.append(line)
        if plain:
            scores[edge.role].snaps.append(snap_score(rgb, edge, lens, truth.seed))


def _claims(
    rgb: np.ndarray, truth: Truth, by_role: dict[str, tuple[Proposal, ...]]
) -> list[Claim]:
    """Return for the first proposal of each kind how sure it is, and whether right."""
    told = []
    for kind, role, lines in _kinds(by_role):
        if not lines or lines[0].cut:
            continue
        line = lines[0]
        true = [edge for edge in truth.edges if edge.role == role]
        mine = [edge for edge in true if on_board(line, edge, truth, max(rgb.shape))]
        sharp = any(line_score(rgb, edge, (line,))["place"] == 0.0 for edge in true)
        held = any(length_held(line, edge) for edge in mine)
        told.append(Claim(role, line.board, bool(mine), sharp, held))
        if line.board >= LIKELY and not mine:
            print(f"  likely but wrong: {truth.name} {kind} {line.board:.2f}")
    return told


def on_board(line: Proposal, edge: Edge, truth: Truth, side_px: int) -> bool:
    """Tell whether a line lies between the outermost edges of a true edge's board."""
    ends = edge.ends_px[np.argsort(edge.ends_px[:, 0])]
    picks = line.picks_px[np.argsort(line.picks_px[:, 0])]
    overlap = min(picks[-1, 0], ends[1, 0]) - max(picks[0, 0], ends[0, 0])
    way = ends[1] - ends[0]
    own = picks[-1] - picks[0]
    if overlap < 0.5 * way[0] or (edge.role == "rake" and np.prod(way) * np.prod(own) < 0):
        return False
    return between_edges(picks, ends, board_of(edge, truth), RIGHT_EDGE * side_px)


def length_held(line: Proposal, edge: Edge) -> bool:
    """Tell whether a line is as long as the true edge, in the photo, by its spread."""
    own, true = (
        float(np.hypot(*(ends[-1] - ends[0]))) for ends in (line.picks_px, edge.ends_px)
    )
    return bool(abs(own - true) < 1.96 * np.sqrt(2.0) * np.hypot(line.pick_sd_px, 0.5))


def _kinds(
    by_role: dict[str, tuple[Proposal, ...]],
) -> Iterator[tuple[str, str, list[Proposal]]]:
    """Yield proposals by kind: rakes by their side."""
    for role, lines in by_role.items():
        if role != "rake":
            yield role, role, list(lines)
            continue
        rising = [np.prod(line.picks_px[-1] - line.picks_px[0]) < 0.0 for line in lines]
        for kind, side in (("left rake", True), ("right rake", False)):
            mine = [li for li, up in zip(lines, rising, strict=True) if bool(up) is side]
            yield kind, role, sorted(mine, key=lambda line: -line.confidence)


def report(scores: dict[str, Score], claims: list[Claim], times: list[float]) -> None:
    """Print what was measured."""
    for role, score in scores.items():
        if not score.lines:
            continue
        plain = [line for line in score.lines if line["plain"]]
        for name, rows in (("all", score.lines), ("that show", plain)):
            _line_report(f"{role:12} {name:9}", rows)
        missed = [line["name"] for line in plain if line["place"] >= FIRST]
        print("             missed:", " ".join(str(name) for name in missed))
        snap_report(role, score.snaps)
        _claim_report([claim for claim in claims if claim.role == role])
    print(
        f"proposing: median {np.median(times):.2f} s of processor, worst {max(times):.2f} s"
    )


def _line_report(title: str, rows: list[dict[str, float]]) -> None:
    """Print where true lines were proposed, and how well their ends were known."""
    place = np.array([line["place"] for line in rows])
    found = [line for line in rows if line["place"] < FIRST]
    if not found:
        print(f"{title} n {len(rows):3}  none among the first three")
        return
    ends, sd, beyond, held = (
        np.array([line[key] for line in found])
        for key in ("end_px", "sd_px", "beyond", "held")
    )
    print(
        f"{title} n {len(rows):3}  first {np.mean(place < 1):.0%}"
        f"  first three {np.mean(place < FIRST):.0%}"
        f"  likely {np.mean([line['confidence'] >= LIKELY for line in rows]):.0%}"
        f"  worse end: error median {np.median(ends):.1f} px, 90 %"
        f" {np.percentile(ends, 90):.1f} px, stated median {np.median(sd):.1f} px;"
        f" ends beyond three sd {np.mean(beyond):.1%}, length held {np.mean(held):.0%}"
    )


def _claim_report(claims: list[Claim]) -> None:
    """Print the chances that were claimed against what came true, in classes."""
    for low, high in pairwise(CLASSES):
        mine = [claim for claim in claims if low <= claim.chance < high]
        if mine:
            said = np.mean([claim.chance for claim in mine])
            true = sum(claim.right for claim in mine)
            print(f"    claimed {said:.2f}: right {true} of {len(mine)}")
    used = [claim for claim in claims if claim.chance >= LIKELY]
    print(
        f"    used: {len(used)}, on the board {sum(c.right for c in used)}, on its edge "
        f"{sum(c.edge for c in used)}, length held {sum(c.held for c in used)}"
    )


def snap_report(role: str, snaps: list[dict[str, float]]) -> None:
    """Print how snapping did on the lines that show."""
    if not snaps:
        return
    table = {key: np.array([snap[key] for snap in snaps]) for key in snaps[0]}
    right = table["right"] > 0
    sure = table["sure"] > 0
    error = table["signed_px"][right]
    print(
        f"    snap {role:12} n {len(right)}  right {right.mean():.0%}, truth among what is"
        f" shown {table['shown'].mean():.0%}, sure {sure.mean():.0%}, sure but wrong"
        f" {np.mean(sure & ~right):.1%}; across rms"
        f" {np.sqrt(np.mean(error**2)):.2f} px, median {np.median(np.abs(error)):.2f},"
        f" {np.mean(np.abs(error) < SHARP_PX):.0%} within {SHARP_PX} px; end error median"
        f" {np.nanmedian(table['end_px'][right]):.1f} px;"
        f" {np.median(table['ms']):.0f} ms"
    )


if __name__ == "__main__":
    main()
