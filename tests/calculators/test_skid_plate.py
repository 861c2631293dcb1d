"""The plate under the car, as a person uses it."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

PLATE = calculator("skid-plate")


def ask(**given):
    return run(PLATE, given, samples=500)


def value(found, name):
    return found.results[name].value


def test_a_polymer_sheet_is_a_cover_and_thick_aluminium_a_skid_plate():
    """Common practice, no source: thin polymer under-trays are covers, 3 to 4 mm metal guards."""
    tray = ask(
        material="polypropylene", yield_strength="25..35", tensile_strength="35..40", gauge="2"
    )
    guard = ask(
        material="aluminium", gauge="4", yield_strength="200..240", tensile_strength="260..300"
    )
    assert value(tray, "clearance_left") < 0 < value(guard, "clearance_left")
    assert any("Only a cover" in line for line in tray.findings)
    assert any("keeps" in line or "springs back" in line for line in guard.findings)


def test_small_force_springs_back():
    found = ask(force="0.05", stone="80", gauge="4")
    assert value(found, "state") == "springs back"
    assert value(found, "utilisation") < 1


def test_more_gauge_means_less_bulge_and_more_energy():
    thin, thick = ask(gauge="2"), ask(gauge="4")
    assert value(thick, "deflection") < value(thin, "deflection")
    assert value(thick, "energy_to_contact") > value(thin, "energy_to_contact")


def test_a_sharp_hard_strike_goes_through():
    found = ask(stone="8", force="60", gauge="1.5")
    assert value(found, "state") == "is pierced or tears"
    assert any("goes through" in line for line in found.findings)


def test_a_brittle_plate_swallows_less():
    tough, brittle = ask(elongation="0.3", clearance="60"), ask(elongation="0.02", clearance="60")
    assert value(brittle, "energy_to_contact") < 0.5 * value(tough, "energy_to_contact")


def test_figure_shows_the_part_above():
    assert [curve.name for curve in ask().figure.curves] == ["bulge", "part above"]


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"long_side": "300", "short_side": "400"}, "long_side"),
        ({"stone": "300", "short_side": "200"}, "stone"),
        ({"tensile_strength": "100"}, "tensile_strength"),
        ({"gauge": "-1"}, "gauge"),
        ({"gauge": "20", "short_side": "60", "long_side": "100", "stone": "20"}, "gauge"),
        ({"force": "nan"}, "force"),
        ({"clearance": "1e9"}, "clearance"),
    ],
)
def test_refusals_name_the_input(given, word):
    with pytest.raises(BadInput, match=word):
        ask(**given)
