"""The isolator calculator, as a person uses it."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

SOFT = calculator("isolator")


def ask(**given):
    return run(SOFT, given, samples=300)


def value(found, name):
    return found.results[name].value


def test_a_cradle_on_rubber_is_quieter_and_moves():
    """Common practice, no source: a cradle on rubber is quieter, but no longer braces the body."""
    one, two = ask(frequency="200"), ask(frequency="200", stages="two")
    assert value(two, "transmissibility") < value(one, "transmissibility") / 3
    assert value(two, "side_movement") > value(one, "side_movement")
    assert any("and pays" in line for line in two.findings)


def test_below_the_second_resonance_the_second_stage_may_do_harm():
    found = ask(frequency="60", stages="two")
    assert value(found, "second_stage_gain") < 1
    assert any("makes things worse" in line for line in found.findings)


def test_a_slow_source_is_not_isolated_and_the_finding_says_what_would_do():
    found = ask(frequency="12", stiffness="1")
    assert value(found, "mode") == "amplifies" or value(found, "mode") == "neither"
    assert any("too stiff" in line for line in found.findings)


def test_sag_is_weight_over_stiffness():
    """Source: statics, 90 kg x 9.80665 m/s2 over 3 x 300 N/mm."""
    found = ask(mass="90", stiffness="0.3", mounts="3")
    assert value(found, "sag") == pytest.approx(90 * 9.80665 / 900, rel=1e-9)


def test_the_plot_has_both_stages():
    figure = ask(stages="two").figure
    assert [curve.name for curve in figure.curves][:2] == ["as asked", "one stage only"]
    assert figure.x.log and figure.y.log


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"mass": "0"}, "mass"), ({"loss": "-0.1"}, "loss"), ({"frequency": "inf"}, "frequency"),
        ({"stiffness": "1e9"}, "stiffness"), ({"stages": "three"}, "stages"),
    ],
)  # fmt: skip
def test_refusals_are_named(given, words):
    with pytest.raises(BadInput, match=words):
        ask(**given)
