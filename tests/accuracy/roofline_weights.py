"""Fit the weights of evidence for rooflines: photomeasure/proposals/weights.py.

    python -m tests.accuracy.roofline_weights FOLDER [--first 1000 --count 370]

Pictures are drawn into FOLDER unless they are there. Among all lines of a photo that may
be of a role, the boards whose own arris does not show, and 'none of them', a conditional
logit says which one is; weights are held small, and then all are scaled so that houses left
out of the fit (six parts in turn) are claimed as sure as they prove.
Houses 200 to 237 and those from 6000 on are for the proof.
"""

import argparse
import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Final

import numpy as np
from scipy.optimize import minimize, minimize_scalar
from scipy.special import expit

from calibration.photo import load_upright
from photomeasure.job.schema import Role
from photomeasure.proposals import Reading, read_edges
from photomeasure.proposals.boards import BOARDS, UNSEEN
from photomeasure.proposals.bundles import Bundles
from photomeasure.proposals.evidence import Evidence
from photomeasure.proposals.gables import look_at_gables
from photomeasure.proposals.levels import Found, look_at_levels, walls
from photomeasure.proposals.soffits import look_at_soffits
from photomeasure.proposals.weights import BY_HAND, NONE, weighed
from tests.accuracy.roof_scenes import OF_BOARD, roof_scene
from tests.accuracy.rooflines import RIGHT_EDGE, across, lens_of
from tests.pictures.truth import Truth

TRUE_ROLE: Final = {
    Role.EAVES: "eaves",
    Role.RIDGE: "ridge",
    Role.RAKE: "rake",
    Role.SOFFIT: "soffit-wall",
}
FOLDS: Final = 6
HELD: Final = 0.5
"""How strongly weights are held small, by standardised evidence."""

SCALES: Final = (0.3, 1.25)
"""No drawn house is unlike the others: weights may grow by no more than this."""

SLOPES_MM: Final = 100.0
"""A true edge that rises by more slopes."""

LEAST: Final = 0.25
"""Evidence that counts for less is left out."""


@dataclass(frozen=True)
class Choice:
    """The lines of one photo, and its boards; one of them or none is right."""

    evidence: Evidence
    right: np.ndarray


def choices(seed: int, folder: Path) -> dict[Role, list[Choice]]:
    """Return what one house has to choose from."""
    path = folder / f"{seed}.jpg"
    if not path.exists():
        folder.mkdir(parents=True, exist_ok=True)
        roof_scene(seed).draw().save(path)
    truth = Truth.from_json(path.with_suffix(".truth.json").read_text("utf-8"))
    rgb = load_upright(path)
    reading = read_edges(rgb, lens_of(rgb, truth))
    if reading is None:
        return {}
    return _asked(reading, truth)


def _asked(reading: Reading, truth: Truth) -> dict[Role, list[Choice]]:
    bundles = Bundles(reading)
    found: dict[Role, list[Choice]] = {role: [] for role in TRUE_ROLE}
    for role in (Role.EAVES, Role.RIDGE):
        parts = []
        for wall in walls(reading):
            looked = look_at_levels(reading, wall, role, bundles)
            if looked is None:
                continue
            right = [is_right(line, truth, reading.side_px) for line in looked.lines]
            near = [is_on_board(line, truth, reading.side_px) for line in looked.lines]
            parts.append((looked.evidence, np.array(right), np.array(near), looked.boards))
            if role is Role.EAVES:
                found[Role.SOFFIT] += _soffits(reading, truth, looked.lines, right)
        found[role] += _together(parts)
    parts = []
    for wall in walls(reading):
        for gables, evidence in look_at_gables(reading, wall, bundles):
            sides = [(pair.left, pair.right) for pair in gables]
            right, near = (
                [all(on(side, truth, reading.side_px) for side in pair) for pair in sides]
                for on in (is_right, is_on_board)
            )
            one = np.zeros(len(gables), dtype=int)
            parts.append((evidence, np.array(right), np.array(near), one))
    found[Role.RAKE] += _together(parts)
    return found


Part = tuple[Evidence, np.ndarray, np.ndarray, np.ndarray]
"""Evidence of lines and boards, which lines are right, which on a true board, and whose."""


def _together(parts: list[Part]) -> list[Choice]:
    """Return one choice: a board counts as right where no line of the photo is."""
    if not parts:
        return []
    names = parts[0][0]
    evidence = {n: np.concatenate([p[0][n] for p in parts]) for n in names}
    none = not any(right.any() for _, right, _, _ in parts)
    truths = []
    for told, right, near, boards in parts:
        truths.append(right)
        if UNSEEN in told:
            held = np.bincount(boards, weights=near) > 0
            truths.append(held & none)
    return [Choice(evidence, np.concatenate(truths))]


def _soffits(
    reading: Reading, truth: Truth, lines: list[Found], right: list[bool]
) -> Iterator[Choice]:
    """Yield what lies below the true eaves, once."""
    true = [line for line, good in zip(lines, right, strict=True) if good]
    looked = look_at_soffits(reading, true[0]) if true else None
    if looked is not None:
        edges, evidence = looked
        good = [is_right(edge, truth, reading.side_px) for edge in edges]
        yield Choice(evidence, np.array(good))


def is_right(line: Found, truth: Truth, side_px: int) -> bool:
    """Tell whether a line lies on a true edge of its role, over half of it at least."""
    return _on(line, truth, side_px, (TRUE_ROLE[line.role],))


def is_on_board(line: Found, truth: Truth, side_px: int) -> bool:
    """Tell whether a line lies on any true edge of a board of its role."""
    own = TRUE_ROLE[line.role]
    return _on(line, truth, side_px, (own, *OF_BOARD.get(own, ())))


def _on(line: Found, truth: Truth, side_px: int, roles: tuple[str, ...]) -> bool:
    ends = line.ends_px[np.argsort(line.ends_px[:, 0])]
    picks = np.stack([ends[0], ends.mean(axis=0), ends[1]])
    level = line.role is not Role.RAKE
    for edge in truth.edges:
        # The wall's own soffit edge is level under eaves and slopes under rakes.
        slopes = np.ptp(edge.trace.mm[:, 1]) > SLOPES_MM
        if edge.role not in roles or slopes == level:
            continue
        true = edge.ends_px[np.argsort(edge.ends_px[:, 0])]
        overlap = min(ends[1, 0], true[1, 0]) - max(ends[0, 0], true[0, 0])
        if overlap < 0.5 * (true[1, 0] - true[0, 0]):
            continue
        if np.abs(across(picks, edge)).mean() < RIGHT_EDGE * side_px:
            return True
    return False


def loss(
    weights: np.ndarray, tables: list[np.ndarray], rights: list[np.ndarray], held: float
) -> tuple[float, np.ndarray]:
    """Return minus the log likelihood and its gradient; the first weight is of none."""
    total, slope = 0.0, np.zeros_like(weights)
    for table, right in zip(tables, rights, strict=True):
        shares = claimed(weights, table)
        true = np.append(right, not right.any())
        kept = shares * true
        total -= float(np.log(max(kept.sum(), 1e-300)))
        off = shares - kept / max(kept.sum(), 1e-300)
        slope[1:] += off[:-1] @ table
        slope[0] += off[-1]
    slope[1:] += 2.0 * held * weights[1:]
    return total + held * float(weights[1:] @ weights[1:]), slope


def claimed(weights: np.ndarray, table: np.ndarray) -> np.ndarray:
    """Return the chances of all lines of a photo and, last, of none."""
    odds = np.append(table @ weights[1:], weights[0])
    share = np.exp(odds - odds.max())
    return share / share.sum()


def fitted(tables: list[np.ndarray], rights: list[np.ndarray], held: float) -> np.ndarray:
    """Return the weights, that of none first."""
    start = np.zeros(tables[0].shape[1] + 1)
    return minimize(loss, start, (tables, rights, held), "L-BFGS-B", jac=True).x


def scale_of(tables: list[np.ndarray], rights: list[np.ndarray], held: float) -> float:
    """Return by how much left-out houses want the weights scaled."""
    fold = np.arange(len(tables)) % FOLDS
    unseen: list[tuple[np.ndarray, np.ndarray, np.ndarray]] = []
    for part in range(FOLDS):
        train = np.flatnonzero(fold != part)
        weights = fitted([tables[i] for i in train], [rights[i] for i in train], held)
        unseen += [(weights, tables[i], rights[i]) for i in np.flatnonzero(fold == part)]

    def missed(scale: float) -> float:
        return sum(loss(scale * w, [t], [r], 0.0)[0] for w, t, r in unseen)

    report(unseen, best := float(minimize_scalar(missed, bounds=SCALES).x))
    return best


def report(unseen: list[tuple[np.ndarray, np.ndarray, np.ndarray]], scale: float) -> None:
    """Print how left-out houses did."""
    first, three, used, good, there = 0, 0, 0, 0, 0
    for weights, table, right in unseen:
        shares = claimed(scale * weights, table)[:-1]
        order = np.argsort(-shares)
        there += bool(right.any())
        first += bool(right[order[0]])
        three += bool(right[order[:3]].any())
        used += bool(shares[order[0]] >= 0.5)
        good += bool(shares[order[0]] >= 0.5 and right[order[0]])
    say(
        f"  left out: {len(unseen)} photos, right one there in {there}, first {first}, "
        f"among three {three}, used {used} of which right {good}, scale {scale:.2f}"
    )


def main() -> None:
    """Fit and print weights."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--first", type=int, default=1000)
    parser.add_argument("--count", type=int, default=370)
    options = parser.parse_args()
    seeds = range(options.first, options.first + options.count)
    with ProcessPoolExecutor(2) as workers:
        asked = list(workers.map(partial(choices, folder=options.folder), seeds))
    for role in TRUE_ROLE:
        show(role, [choice for photo in asked for choice in photo.get(role, [])])
    show_no_eaves(asked)


def show(role: Role, asked: list[Choice]) -> None:
    """Fit and print one role's weights."""
    say(f"{role}:")
    names = [name for name in asked[0].evidence if name not in BY_HAND]
    rights = [choice.right for choice in asked]
    plain, mean, spread = standardised(asked, names, role)
    first = fitted(plain, rights, HELD)
    kept = (np.abs(first[1:]) > LEAST) | (np.array(names) == UNSEEN)
    names = [n for n, k in zip(names, kept, strict=True) if k]
    plain = [table[:, kept] for table in plain]
    scale = scale_of(plain, rights, HELD)
    weights = scale * fitted(plain, rights, HELD)
    own = weights[1:] / spread[kept]
    lost = own * mean[kept]
    say(f"    NONE {weights[0] + float(lost.sum()):.2f}")
    edge = [n != UNSEEN and n not in BOARDS.get(role, ()) for n in names]
    # A board whose arris does not show has the mean of what only edges have.
    told = own + np.where(np.array(names) == UNSEEN, float(lost[edge].sum()), 0.0)
    for place in np.argsort(-np.abs(weights[1:])):
        say(f'        "{names[place]}": {told[place]:.2f},')


def standardised(
    asked: list[Choice], names: list[str], role: Role
) -> tuple[list[np.ndarray], np.ndarray, np.ndarray]:
    """Return evidence by its mean and spread over all lines, and these."""
    tables = [np.array([c.evidence[n] for n in names]).T for c in asked]
    every = np.concatenate(tables)
    if UNSEEN not in names:
        mean, spread = every.mean(axis=0), every.std(axis=0) + 1e-9
        return [(table - mean) / spread for table in tables], mean, spread
    column = names.index(UNSEEN)
    lines = every[every[:, column] == 0.0]
    mean, spread = lines.mean(axis=0), lines.std(axis=0) + 1e-9
    mean[column], spread[column] = 0.0, 1.0
    edge = [n != UNSEEN and n not in BOARDS[role] for n in names]
    plain = [(table - mean) / spread for table in tables]
    for table in plain:
        table[np.ix_(table[:, column] == 1.0, edge)] = 0.0
    return plain, mean, spread


def show_no_eaves(asked: list[dict[Role, list[Choice]]]) -> None:
    """Fit and print NO_EAVES by the weights of weights.py: put new ones in first."""
    photos = [photo for photo in asked if photo.get(Role.EAVES)]
    gable = np.array([_share(photo.get(Role.RAKE, []), Role.RAKE) for photo in photos])
    found = np.array([_total(photo[Role.EAVES], Role.EAVES) for photo in photos])
    there = np.array([photo[Role.EAVES][0].right.any() for photo in photos])

    def missed(none: np.ndarray) -> float:
        odds = found - none[0] - none[1] * gable
        return float(np.logaddexp(0.0, np.where(there, -odds, odds)).sum())

    none = minimize(missed, np.array([NONE[Role.EAVES], 0.0])).x
    say(f"NO_EAVES ({none[0]:.1f}, {none[1]:.1f})")


def _total(asked: list[Choice], role: Role) -> float:
    """Return the log odds of all lines and boards of a photo together."""
    odds = [weighed(choice.evidence, role) for choice in asked]
    return float(np.logaddexp.reduce(np.concatenate(odds))) if odds else -np.inf


def _share(asked: list[Choice], role: Role) -> float:
    """Return the chance that a photo has a line of a role."""
    return float(expit(_total(asked, role) - NONE[role]))


def say(text: str) -> None:
    """Write now."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
