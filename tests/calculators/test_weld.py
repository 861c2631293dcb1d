"""The weld, as a person uses it."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

WELD = calculator("weld")


def ask(**given):
    return run(WELD, given, samples=500)


def value(found, name):
    return found.results[name].value


def test_welding_costs_heat_treated_aluminium_its_temper_and_steel_little():
    """Source: EN 1999-1-1:2007, Table 3.2b: EN AW-6082 T6 keeps 185 of 310 MPa beside a seam."""
    light, steel = ask(alloy="6082-t6", seam="butt"), ask(seam="butt")
    assert value(light, "zone_over_parent") == pytest.approx(185 / 310)
    assert value(light, "gauge_needed") > 1.3 * 2.5
    assert value(steel, "zone_over_parent") > 0.94
    assert any("Welding leaves" in line for line in light.findings)


def test_friction_stir_costs_less_than_mig():
    mig = ask(alloy="6082-t6", seam="butt")
    stir = ask(alloy="6082-t6", seam="butt", process="friction-stir")
    assert value(stir, "per_length") > 1.1 * value(mig, "per_length")


def test_annealed_alloy_loses_nothing():
    """Source: EN 1999-1-1:2007, Table 3.2b: EN AW-5083 O has no softened zone."""
    assert value(ask(alloy="5083-o"), "zone_over_parent") == pytest.approx(1.0)


def test_across_carries_more_than_along():
    assert value(ask(angle="90"), "throat_per_length") == pytest.approx(
        1.2247 * value(ask(angle="0"), "throat_per_length"), rel=1e-3
    )


def test_two_seams_carry_twice_in_the_throat():
    one, two = ask(sides="1"), ask(sides="2")
    assert value(two, "throat_per_length") == pytest.approx(2 * value(one, "throat_per_length"))


def test_unlike_metals_are_fastened_or_just_arrive_later():
    """Common practice, no source: unlike metals are hard to weld, so such a bar is fastened; a
    fastened bar may also simply arrive later; evidence tells them apart."""
    found = ask(partner="other-metal")
    text = " ".join(found.findings)
    assert "brittle" in text
    assert "later" in text
    assert not any("brittle" in line for line in ask().findings)
    grades = " ".join(ask(partner="other-grade").findings)
    assert "softer side" in grades and "Later arrival" in grades
    assert "softer side" not in " ".join(ask().findings)


def test_load_asks_for_a_length():
    found = ask(load="40..60")
    assert value(found, "length_needed") * value(found, "per_length") == pytest.approx(50, rel=0.05)
    assert any("fails in" in line for line in found.findings)
    assert len(found.figure.bars) == 3


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"leg": "12", "gauge": "2"}, "leg"),
        ({"tensile_strength": "250", "yield_strength": "400"}, "tensile_strength"),
        ({"alloy": "7075"}, "alloy"),
        ({"length": "nan"}, "length"),
        ({"angle": "120"}, "angle"),
        ({"gauge": "-2"}, "gauge"),
    ],
)
def test_refusals_name_the_input(given, word):
    with pytest.raises(BadInput, match=word):
        ask(**given)
