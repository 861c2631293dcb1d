"""The housing-beam calculator, as a person uses it."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

HOUSING = calculator("housing-beam")


def ask(**given):
    return run(HOUSING, given, samples=300)


def value(found, name):
    return found.results[name].value


def test_a_stout_casting_on_wide_feet_replaces_the_member():
    found = ask(housing_diameter="85", housing_gauge="7", bolt_spread="200", bolt_stiffness="100")
    assert value(found, "replaced") > 0.8
    assert value(found, "mode") == "housing holds the frame"
    assert any("can stand in" in line for line in found.findings)


def test_a_rubber_mounted_or_one_bolt_housing_is_a_passenger():
    """Common practice, no source: a gear in rubber saddles braces nothing."""
    for given in ({"bolt_stiffness": "1"}, {"bolts": "1"}):
        found = ask(**given)
        assert value(found, "mode") == "housing is a passenger"
        assert value(found, "replaced") < 0.1


def test_spread_of_the_bolts_counts_squared():
    """Source: bolt group, k r squared: the joint's give falls with the square of the spread."""
    near, far = (ask(bolt_spread=d, bolt_stiffness="1") for d in ("50", "100"))
    assert value(far, "replaced") == pytest.approx(4 * value(near, "replaced"), rel=0.25)


def test_beside_the_member_it_only_adds():
    found = ask(role="beside")
    assert value(found, "racking_ratio") > 1 and value(found, "bending_ratio") > 1
    assert value(found, "mass_saved") < 0


def test_a_slipping_foot_is_called_out():
    found = ask(bolt_slip="2")
    assert any("slides in 100%" in line for line in found.findings)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"housing_gauge": "50", "housing_diameter": "60"}, "gauge"), ({"bolts": "0"}, "bolts"),
        ({"bay_width": "inf"}, "bay_width"), ({"rib_factor": "-1"}, "rib_factor"),
        ({"bolt_spread": "1e9"}, "bolt_spread"), ({"role": "under"}, "role"),
    ],
)  # fmt: skip
def test_refusals_are_named(given, words):
    with pytest.raises(BadInput, match=words):
        ask(**given)
