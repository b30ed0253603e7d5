"""Generated jobs whose optimum is known, because boards were cut up to make them."""

from itertools import pairwise

import numpy as np
import pytest

from photomeasure.takeoff.cutting import Limits, Material, Piece, Problem, Saw, Stock, solve

BOARD = Material("fascia 18", 200, "white")
SAW = Saw(kerf_mm=3, trim_mm=5)
STOCK_MM = 5000
BOARDS = 12
AMPLE, BRIEF = Limits(time_s=120.0), Limits(time_s=2.0)


def cut_up(draw, boards, pieces_a_board):
    """Cut boards into pieces that fill them to the last millimetre."""
    room = SAW.capacity_mm(STOCK_MM)  # each piece weighs its length and a kerf
    lengths = []
    for _ in range(boards):
        inner = np.sort(draw.choice(np.arange(1, room // 50), pieces_a_board - 1, False))
        marks = [0, *(50 * inner).tolist(), room]
        lengths += [b - a - SAW.kerf_mm for a, b in pairwise(marks)]
    return draw.permutation(lengths)


def planned(seed, pieces_a_board, limits):
    """Plan twelve boards that were cut up."""
    lengths = cut_up(np.random.default_rng(seed), BOARDS, pieces_a_board)
    pieces = tuple(Piece(f"p{i}", int(n), BOARD) for i, n in enumerate(lengths))
    stock = Stock(material=BOARD, length_mm=STOCK_MM)
    (plan,) = solve(Problem(stocks=(stock,), pieces=pieces, saw=SAW), limits).materials
    return plan


@pytest.mark.parametrize("pieces_a_board", [2, 3])
@pytest.mark.parametrize("seed", range(4))
def test_cut_up_boards_are_put_together_again(seed, pieces_a_board):
    """Twelve boards without waste: twelve are needed, and no fewer can do."""
    plan = planned(seed, pieces_a_board, AMPLE)

    assert len(plan.boards) == BOARDS
    assert plan.cost.proven
    # The far trim is all that is left, and is no offcut worth keeping.
    assert plan.offcut.value == 0


@pytest.mark.parametrize("seed", range(4))
def test_what_is_not_found_is_not_called_proven(seed):
    """Four pieces a board without waste are hard: the true twelve lie within the bounds."""
    plan = planned(seed, 4, BRIEF)
    most, least = len(plan.boards), int(plan.cost.bound) // STOCK_MM

    assert least <= BOARDS <= most <= BOARDS + 1
    assert plan.cost.proven == (most == BOARDS)
