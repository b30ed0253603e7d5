"""Published expansion of boards, each with its source."""

import pytest

from photomeasure.takeoff.movement import growth_mm, warming_to_close_k
from photomeasure.takeoff.rules import load_rules

UK = load_rules("uk")

PER_F_TO_PER_K = 1.8

GROWTH = [
    # length mm, 1e-6/K, K, mm, source
    pytest.param(1500.0, 80.0, 60.0, 7.2, id="a foamed-sheet maker's fixing page"),
    pytest.param(3000.0, 80.0, 60.0, 14.4, id="the same page, twice as long"),
    pytest.param(5000.0, 60.0, 30.0, 9.0, id="worked out"),
    pytest.param(5000.0, 60.0, 50.0, 15.0, id="worked out, hotter"),
    pytest.param(5000.0, 80.0, 50.0, 20.0, id="worked out, foamed"),
    pytest.param(5000.0, 60.0, 20.0, 6.0, id="a board photographed 20 K off: 0.12 %"),
]


@pytest.mark.parametrize(("length", "coefficient", "warming", "grown"), GROWTH)
def test_growth(length, coefficient, warming, grown):
    """Length, coefficient and warming multiply."""
    assert growth_mm(length, coefficient * 1e-6, warming) == pytest.approx(grown)


def test_ten_millimetres_close_after_33_k():
    """Two 5 m boards at 60e-6/K, half of each: 10 / (5000 x 60e-6) (worked out)."""
    assert round(warming_to_close_k(10.0, 5000.0, 60e-6)) == 33


@pytest.mark.parametrize(
    ("per_f", "key"),
    [
        pytest.param(3.38e-5, "movement.solid_pvcu", id="NEMA text: 60.8"),
        pytest.param(3.2619e-5, "movement.cellular_pvcu", id="cellular plank: 58.7"),
    ],
)
def test_american_coefficients_lie_in_the_range_used(per_f, key):
    """Per degree Fahrenheit times 1.8 is per kelvin."""
    least, most = UK.numbers(key)

    assert least <= round(per_f * PER_F_TO_PER_K * 1e6, 1) <= most


RANGES = [
    pytest.param("movement.cellular_pvcu", (58.7, 80.0), id="plank and sheet makers"),
    pytest.param("movement.solid_pvcu", (60.0, 70.0), id="from memory"),
    pytest.param("movement.grp", (20.0, 35.0), id="GRP, northernarchitecture.us"),
    pytest.param("movement.abs", (83.0, 95.0), id="ABS, northernarchitecture.us"),
    pytest.param("movement.hdpe", (110.0, 130.0), id="HDPE, northernarchitecture.us"),
    pytest.param("movement.aluminium", (22.2, 23.0), id="engineering tables"),
    pytest.param("movement.timber", (3.0, 6.0), id="along the grain, from memory"),
]


@pytest.mark.parametrize(("key", "expected"), RANGES)
@pytest.mark.parametrize("country", ["uk", "usa"])
def test_ranges_are_the_published_ones(country, key, expected):
    """Matter does not change with the country."""
    assert load_rules(country).numbers(key) == expected


@pytest.mark.parametrize("tone", ["light", "dark"])
def test_surface_temperatures_are_flagged_as_uncertain_memory(tone):
    """They were read nowhere."""
    assert UK.source(f"movement.surface.{tone}").startswith("from memory, not certain")
