"""Mass from what can be seen, as a person uses it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from validation import Check

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput
from atlas.mechanics.materials import DENSITY

MASS = calculator("mass-estimate")


def ask(**given):
    return run(MASS, given, samples=500)


def value(found, name):
    return found.results[name].value


def _profile(perimeter, gauge):
    """Mass a metre of a thin profile of some girth on its middle line, without holes."""
    found = ask(length="1000", perimeter=str(perimeter), gauge=str(gauge), holes="0", extras="0")
    return value(found, "per_metre")


TABLES = "EN 10219-2:2006 / EN 10210-2:2006, mass per metre"
# Girth of the middle line of a hollow section with outer corner radius 2 t: 2 (b + h) - 5.72 t.
CHECKS = [
    Check(
        "mass.shs.60x3",
        "mass-estimate",
        TABLES,
        5.19,
        0.01,
        lambda: _profile(240 - 4 * 3 - (8 - 2 * 3.14159) * 1.5 * 3, 3),
        "kg/m",
    ),
    Check(
        "mass.shs.40x2",
        "mass-estimate",
        TABLES,
        2.31,
        0.01,
        lambda: _profile(160 - 4 * 2 - (8 - 2 * 3.14159) * 1.5 * 2, 2),
        "kg/m",
    ),
    Check(
        "mass.chs.60.3x3.2",
        "mass-estimate",
        TABLES,
        4.51,
        0.005,
        lambda: _profile(3.14159265 * (60.3 - 3.2), 3.2),
        "kg/m",
    ),
    Check(
        "mass.chs.88.9x4",
        "mass-estimate",
        TABLES,
        8.38,
        0.005,
        lambda: _profile(3.14159265 * (88.9 - 4), 4),
        "kg/m",
    ),
    Check(
        "mass.sheet.1m2",
        "mass-estimate",
        "EN 1993-1-1, 3.2.6: 7850 kg/m3; 1 m2 of 1 mm steel weighs 7.85 kg",
        7.85,
        1e-9,
        lambda: value(
            ask(form="plate", length="1000", width="1000", gauge="1", holes="0", extras="0"), "mass"
        ),
        "kg",
    ),
]


def test_range_of_the_mass_comes_mostly_from_the_gauge():
    found = ask()
    assert found.drivers[0].input == "gauge"
    assert "gauge" in found.measure_next
    assert found.results["mass"].low < found.results["mass"].value < found.results["mass"].high


@given(st.floats(0.5, 6), st.floats(0, 0.5))
def test_mass_is_proportional_to_gauge_and_to_what_is_left_of_the_holes(gauge, holes):
    sharp = {"length": "900", "perimeter": "260", "extras": "0"}
    one = ask(gauge=gauge, holes="0", **sharp)
    left = ask(gauge=gauge, holes=holes, **sharp)
    assert value(left, "mass") == pytest.approx(value(one, "mass") * (1 - holes), rel=1e-6)
    assert value(left, "blank") == pytest.approx(value(one, "blank"))


@pytest.mark.parametrize("material", DENSITY)
def test_material_counts_by_density(material):
    sharp = {"length": "900", "perimeter": "260", "gauge": "2.5", "holes": "0", "extras": "0"}
    ratio = value(ask(material=material, **sharp), "mass") / value(ask(**sharp), "mass")
    assert ratio == pytest.approx(DENSITY[material] / 7850)


def test_a_scale_that_is_off_moves_all_lengths_together():
    tied = {"length": "900+-90@photo", "perimeter": "260+-26@photo", "gauge": "2.5"}
    free = {"length": "900+-90", "perimeter": "260+-26", "gauge": "2.5"}
    wide, narrow = ask(**tied).results["mass"], ask(**free).results["mass"]
    assert wide.high - wide.low > 1.2 * (narrow.high - narrow.low)
    assert ask(**tied).drivers[0].input == "@photo"


def test_it_says_which_metals_a_scale_tells_apart():
    sure = ask()
    assert any("tells it from aluminium" in line for line in sure.findings)
    vague = ask(material="aluminium", gauge="1.5..4", perimeter="260+-60", length="900+-150")
    assert any("does not tell it from" in line and "magnesium" in line for line in vague.findings)
    assert any("spans a factor" in line for line in vague.findings)


def test_a_heavy_part_asks_for_help_in_lifting():
    found = ask(length="2000", perimeter="600", gauge="4")
    assert any("hoist" in line for line in found.findings)
    assert not any("hoist" in line for line in ask().findings)


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"gauge": "-2"}, "gauge"),
        ({"gauge": "60", "perimeter": "60"}, "gauge"),
        ({"length": "nan"}, "length"),
        ({"length": "1e9"}, "length"),
        ({"holes": "1"}, "holes"),
        ({"material": "wood"}, "material"),
        ({"gauge": "2.5 kN"}, "gauge"),
        ({"gauge": ""}, "gauge"),
    ],
)
def test_refusals_name_the_input(given, word):
    with pytest.raises(BadInput, match=word):
        ask(**given)
