"""A plan does not depend on how fast the computer is, unless it says so."""

import time
from types import SimpleNamespace

import numpy as np
import pytest

from photomeasure.takeoff.assemble import take_off
from photomeasure.takeoff.cutting import (
    Limits,
    Material,
    Piece,
    Problem,
    Run,
    Saw,
    Stock,
    Supports,
    clock,
    solve,
)
from photomeasure.takeoff.proof import unproven
from photomeasure.takeoff.table import takeoff_table
from tests.photomeasure.takeoff.houses import GABLED, gabled, spec

BOARD = Material("fascia 18", 200, "white")
STOCKS = (Stock(material=BOARD, length_mm=5000), Stock(material=BOARD, length_mm=4000))
SLOW = 20.0
"""A computer so many times slower, or as busy."""


def house(seed, pieces=14):
    """Draw pieces and two eaves: some tenths of a second of search."""
    draw = np.random.default_rng(seed)
    lengths = draw.integers(300, 3900, pieces)
    eaves = tuple(
        Run(
            id=f"eaves {i}",
            length_mm=int(draw.integers(6000, 12_000)),
            material=BOARD,
            supports=Supports(600),
            min_piece_mm=600,
        )
        for i in range(2)
    )
    return Problem(
        stocks=STOCKS,
        pieces=tuple(Piece(f"p{i}", int(n), BOARD) for i, n in enumerate(lengths)),
        runs=eaves,
        saw=Saw(kerf_mm=3, trim_mm=5),
    )


def slowed(monkeypatch, factor):
    """Let the clock of the search run faster than the search does."""
    now = time.monotonic
    start = now()
    hurried = SimpleNamespace(monotonic=lambda: start + factor * (now() - start))
    monkeypatch.setattr(clock, "time", hurried)


@pytest.mark.parametrize("seed", range(3))
def test_a_slow_computer_makes_the_same_plan(seed, monkeypatch):
    """With time to spare, twenty times slower: the same boards, joints and bounds."""
    fast = solve(house(seed), Limits(time_s=300.0))
    slowed(monkeypatch, SLOW)
    slow = solve(house(seed), Limits(time_s=300.0))

    assert not fast.cut_short
    assert not slow.cut_short
    assert slow == fast


def test_a_plan_that_the_clock_ended_says_so(monkeypatch):
    """The time is over at once: pieces are still all cut, and nothing is called final."""
    slowed(monkeypatch, 1e9)
    plan = solve(house(1, pieces=60))

    assert plan.cut_short
    (material,) = plan.materials
    assert not material.proven
    assert "faster computer" in "; ".join(unproven(material))


def test_a_take_off_that_the_clock_ended_says_so(monkeypatch):
    """In the table that the tradesman reads."""
    slowed(monkeypatch, 1e9)
    found = take_off(gabled(), spec(**GABLED), draws=0).takeoff

    assert found.plan.cut_short
    assert "faster computer" in " ".join(takeoff_table(found).split())


def test_a_clock_remembers_for_the_whole():
    """What a part was told, the whole knows."""
    whole = clock.Clock(1000.0)
    part = whole.part(0.5).part(0.0)

    assert not whole.cut_short
    assert part.is_over()
    assert whole.cut_short
    assert not whole.is_over()
