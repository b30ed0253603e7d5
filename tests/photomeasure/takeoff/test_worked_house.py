"""The house done by hand in docs/worked-house.md, to the last nail."""

import re
from collections import Counter
from decimal import Decimal
from pathlib import Path

import pytest

from photomeasure.takeoff.assemble import Taken, take_off
from photomeasure.takeoff.model import End
from tests.photomeasure.takeoff.houses import (
    depth,
    eaves,
    elevation,
    ends,
    measured,
    rakes,
    soffit,
    spec,
)

DOC = Path(__file__).parents[3] / "docs" / "worked-house.md"

LATER = ("ventilation", "rainwater")
"""Sections that the worked house does not hold: they have pages of their own."""


@pytest.fixture(scope="module")
def taken() -> Taken:
    """Take off the house of the document; photographs give what nobody taped."""
    front = (eaves("front eaves", 7230.0, soffit="front soffit"), depth(195.0))
    rear = (
        eaves("rear eaves", 7180.0, photo="rear", soffit="rear soffit"),
        depth(195.0, photo="rear"),
    )
    job = measured(
        elevation("front", front, (soffit("front soffit", 268.0),)),
        elevation("rear", rear, (soffit("rear soffit", 268.0),)),
        elevation("gable", rakes(6000.0, 2250.0, photo="gable")),
    )
    taped = {
        "front eaves": 7200,
        "rear eaves": 7200,
        "left rake": 3750,
        "right rake": 3750,
    }
    lines = ends(front_eaves=("box end", "abutment"), rear_eaves=("abutment", "box end"))
    facts = {entry["name"]: dict(entry) for entry in lines}
    for name, length in taped.items():
        facts.setdefault(name, {"name": name})["taped_mm"] = length
    return take_off(
        job,
        spec(
            soffit_look="timber",
            verge="mortar",
            lines=list(facts.values()),
            roof={
                "barge_depth_mm": 200,
                "rafter_centres_mm": 600,
                "eaves_height_mm": 5000,
            },
        ),
    )


def totals_of_the_document() -> dict[str, Decimal]:
    """Read the table under the last heading."""
    table = DOC.read_text(encoding="utf-8").split("## Totals")[1]
    rows = re.findall(r"^\| ([a-z0-9/-]+) \| ([\d.]+) \|$", table, re.MULTILINE)
    return {code: Decimal(amount) for code, amount in rows}


def test_the_program_counts_what_the_hand_counted(taken):
    """Every item of the document in its amount, and no other."""
    found: Counter[str] = Counter()
    for quantity in taken.takeoff.quantities:
        if quantity.item.section not in LATER:
            found[quantity.item.code] += quantity.amount
    by_hand = totals_of_the_document()

    assert len(by_hand) > 20
    assert dict(found) == by_hand


def test_the_pieces_are_those_of_the_document(taken):
    """Barge boards 3,740 along both edges, fascias and soffits in thirds."""
    pieces = taken.takeoff.pieces
    barges = [piece for piece in pieces if piece.start is End.PLUMB]
    rest = [piece for piece in pieces if piece.start is not End.PLUMB]

    assert [(p.long_point_mm, p.short_point_mm) for p in barges] == [(3740, 3740)] * 2
    assert sorted(p.long_point_mm for p in rest) == [2390] * 4 + [4790] * 4


def test_the_box_ends_are_those_of_the_document(taken):
    """268 wide, 200 at the fascia, 401 at the wall, one of each hand."""
    (front, rear) = taken.takeoff.shapes

    assert front.corners_mm == ((0, 0), (268, 0), (268, 200), (0, 401))
    assert rear.corners_mm == ((0, 0), (268, 0), (268, 401), (0, 200))


def test_nothing_is_in_doubt(taken):
    """Taped lengths leave no chance of running short, and nothing stops the job."""
    assert taken.takeoff.stops == ()
    assert taken.takeoff.deciding is None
    planned = {s.boards for s in taken.takeoff.shortages if s.chance == 0.0}
    assert {5, 3} <= planned


def test_joints_of_soffit_and_fascia_keep_apart(taken):
    """300 mm at least, on rafters."""
    plan = taken.planned.plan
    for side in ("front: front eaves", "rear: rear eaves"):
        fascia, soffits = (plan.joints_of(f"{side} {k}") for k in ("fascia", "soffit"))

        assert all(abs(a - b) >= 300 for a in fascia for b in soffits)
        assert all(joint % 600 == 0 for joint in (*fascia, *soffits))
