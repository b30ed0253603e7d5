"""How sure a reading of brickwork may be: figures gathered, worths fitted, claims checked.

    python -m tests.accuracy.brick_confidence gather FOLDER FILE FAMILY FIRST COUNT
    python -m tests.accuracy.brick_confidence fit FILE...
    python -m tests.accuracy.brick_confidence check FOLDER FAMILY FIRST COUNT [FAMILY ...]

Pictures and families are those of tests.accuracy.brick_samples; `gather` appends a line of
JSON for each wall that the search looks at, refused ones too; `fit` prints the worths for
``calibration/brickwork/odds.py``; `check` reads pictures as a user's photo is read and
prints what was claimed beside what was right. Check with numbers that were never gathered.
"""

import itertools
import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import cv2
import numpy as np
from scipy.optimize import minimize

from calibration.brickwork.bonds import SHORT_UNIT
from calibration.brickwork.confidence import SURE, gather, judge
from calibration.brickwork.odds import FIGURES, GATES, Figure
from calibration.brickwork.raster import grey, pyramid
from calibration.brickwork.read import ranked, read_brickwork, rounds, view_of
from calibration.brickwork.result import Brickwork
from calibration.brickwork.survey import (
    brickwork_of,
    survey_joints,
    without_disproved,
)
from calibration.errors import NoBrickwork
from tests.accuracy.brick_samples import Sample, sample

RIGHT: Final = 0.97
"""Share of the joints that carry their true number."""

RATIO_OFF, RATIO_OFF_GUESSED = 0.03, 0.15
"""How far stretcher against gauge may be off, with the focal length known or guessed."""

RIDGE: Final = 0.1
"""Weight of a worth's square: worths that the pictures cannot tell stay small."""

BINS: Final = (0.0, 0.05, 0.5, 0.8, 0.9, 0.95, 1.01)


def right(drawn: Sample, found: Brickwork, *, focal_known: bool) -> bool:
    """Tell whether courses are counted rightly and the stretcher is as long as it is."""
    if drawn.joints is None:
        return False
    kept = np.abs(found.beds.residual) < 3.0 * found.beds.sd
    counted, _ = drawn.joints.counted(found.beds.px[kept])
    off = counted - found.beds.number[kept]
    share = float(np.mean(np.abs(off - np.median(off)) < 0.3))
    bound = RATIO_OFF if focal_known else RATIO_OFF_GUESSED
    return share > RIGHT and abs(found.best.ratio / drawn.joints.ratio - 1.0) < bound


def figures(drawn: Sample) -> Iterator[dict[str, Any]]:
    """Yield the figures of each wall that the search looks at."""
    pixels, camera = drawn.look()
    for levels, search in rounds(pyramid(grey(pixels), 64)):
        for seen in ranked(view_of(camera), levels, search, None)[0][:2]:
            candidate = without_disproved(seen)
            survey = survey_joints(candidate, levels)
            if survey is None:
                continue
            evidence = gather(candidate, survey)
            readings = judge(candidate, evidence, camera, None)
            good = bool(readings) and right(
                drawn,
                brickwork_of(candidate, survey, readings, evidence),
                focal_known=camera.focal_known,
            )
            yield {"name": drawn.path.stem, "kind": drawn.kind, "e": evidence, "ok": good}


def fit(rows: list[dict[str, Any]]) -> tuple[float, dict[str, float]]:
    """Fit start and worths to figures, worths never negative.

    Walls that a gate refuses say nothing about the figures and are left out; so are short
    units in half bond and long sawn stone, which are laid as regularly as bricks: what they
    are the figures do not tell.
    """
    kept = [row for row in rows if _passes(row["e"]) and row["kind"] != _LIKE_BRICK]
    X = np.array([[f.share(row["e"][n]) for n, f in FIGURES.items()] for row in kept])
    y = np.array([row["ok"] for row in kept])

    def loss(state: np.ndarray) -> tuple[float, np.ndarray]:
        odds = state[0] + X @ state[1:]
        p = 1.0 / (1.0 + np.exp(-odds))
        off = p - y
        value = np.sum(np.logaddexp(0.0, np.where(y, -odds, odds)))
        slope = np.r_[off.sum(), X.T @ off + 2.0 * RIDGE * state[1:]]
        return float(value + RIDGE * np.sum(state[1:] ** 2)), slope

    bounds = [(None, 0.0)] + [(0.0, None)] * X.shape[1]
    start = np.r_[-3.0, np.ones(X.shape[1])]
    best = minimize(loss, start, jac=True, bounds=bounds, method="L-BFGS-B")
    say(f"{len(kept)} walls of {len(rows)} pass the gates, {y.sum()} of them right")
    return float(best.x[0]), dict(zip(FIGURES, best.x[1:].tolist(), strict=True))


_LIKE_BRICK: Final = "long_ashlar"


def _passes(evidence: dict[str, float]) -> bool:
    gates = all(gate.chance(evidence[name]) > 0.5 for name, gate in GATES.items())
    return gates and evidence["unit"] >= SHORT_UNIT


@dataclass(frozen=True, slots=True)
class Claim:
    """What was claimed of a picture, and whether it was right."""

    family: str
    brick: bool
    confidence: float
    right: bool


def claim(drawn: Sample) -> Claim:
    """Read a picture as a user's photo is read."""
    pixels, camera = drawn.look()
    brick = drawn.joints is not None
    try:
        found = read_brickwork(pixels, camera)
    except NoBrickwork:
        return Claim(drawn.family, brick, 0.0, False)
    good = right(drawn, found, focal_known=camera.focal_known)
    if found.best.confidence > 0.5 and not good:
        say(
            f"{drawn.path.stem} {drawn.kind}: {found.best.confidence:.3f} "
            f"{found.best.bond} {found.best.ratio:.2f}, {found.course_px:.1f} px"
        )
    return Claim(drawn.family, brick, found.best.confidence, good)


def reliability(claims: list[Claim]) -> str:
    """Return claimed against right by bin, and the share that is sure."""
    lines = ["| claimed | walls | mean claim | right |", "|---|---|---|---|"]
    for low, high in itertools.pairwise(BINS):
        mine = [c for c in claims if low <= c.confidence < high and c.confidence > 0.0]
        if mine:
            mean = np.mean([c.confidence for c in mine])
            lines.append(
                f"| {low:.2f} to {min(high, 1.0):.2f} | {len(mine)} | {mean:.1%} "
                f"| {sum(c.right for c in mine)} |"
            )
    families = dict.fromkeys(c.family for c in claims)
    lines += [_of(name, [c for c in claims if c.family == name]) for name in families]
    sure = [c for c in claims if c.confidence >= SURE]
    wrong = sum(not c.right for c in sure)
    bound = f"below {3.0 / len(claims):.1%} of all pictures at 95 %" if not wrong else ""
    lines.append(f"sure {len(sure)}, wrong {wrong} {bound}")
    return "\n".join(lines)


def _of(family: str, claims: list[Claim]) -> str:
    brick = [c for c in claims if c.brick]
    others = [c.confidence for c in claims if not c.brick]
    return (
        f"{family}: {len(claims)}; of brick {len(brick)}, right "
        f"{sum(c.right for c in brick)}, sure {sum(c.confidence >= SURE for c in brick)}; "
        f"others {len(others)}, the surest {max(others, default=0.0):.2f}"
    )


def say(text: str) -> None:
    """Write a line now: all of this takes minutes."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def _samples(folder: str, words: list[str]) -> Iterator[Sample]:
    for family, first, count in zip(words[::3], words[1::3], words[2::3], strict=True):
        for number in range(int(first), int(first) + int(count)):
            yield sample(Path(folder), family, number)


def main() -> None:
    """Gather, fit or check."""
    cv2.setNumThreads(1)
    what, *words = sys.argv[1:]
    if what == "gather":
        with Path(words[1]).open("a", encoding="utf-8") as out:
            for drawn in _samples(words[0], words[2:]):
                out.writelines(json.dumps(row) + "\n" for row in figures(drawn))
    elif what == "fit":
        lines = [line for name in words for line in Path(name).read_text().splitlines()]
        start, worths = fit([json.loads(line) for line in lines])
        say(f"START: Final = {start:.2f}")
        for name, figure in FIGURES.items():
            say(f'"{name}": {Figure(figure.low, figure.high, round(worths[name], 2))},')
    else:
        say(reliability([claim(drawn) for drawn in _samples(words[0], words[1:])]))


if __name__ == "__main__":
    main()
