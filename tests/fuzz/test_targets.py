"""The readers that are fuzzed take good files and refuse cut ones, whole and in order."""

import pytest

from tests.fuzz.targets import TARGETS, refused_or_taken, target


@pytest.mark.parametrize("name", TARGETS)
def test_good_files_are_taken(name, tmp_path):
    """Otherwise every search would stop at the door."""
    attacked = target(name, tmp_path)

    assert all(refused_or_taken(attacked.take, seed) for seed in attacked.seeds)


@pytest.mark.parametrize("name", TARGETS)
def test_cut_and_changed_files_meet_one_sentence(name, tmp_path):
    """At a few places of every seed; the long search is ``python -m tests.fuzz``."""
    attacked = target(name, tmp_path)

    for seed in attacked.seeds:
        for share in (0.0, 0.1, 0.5, 0.9):
            at = int(share * len(seed))
            refused_or_taken(attacked.take, seed[:at])
            refused_or_taken(attacked.take, seed[:at] + b"\x00\xff" + seed[at + 2 :])
