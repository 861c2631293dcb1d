"""The front-frame calculator, as a person uses it, and with a structure built elsewhere."""

from dataclasses import replace

import numpy as np
import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput
from atlas.mechanics.front_frames import simple_structure

FRAME = calculator("front-frame")


def ask(subject=None, **given):
    return run(FRAME, given, samples=150, subject=subject)


def value(found, name):
    return found.results[name].value


def test_the_front_bar_ties_the_front_in_a_corner_hit():
    """Common practice, no source: ideally the rails keep their spacing and relative position."""
    found = ask(case="corner")
    assert value(found, "gain") > 1.5
    assert value(found, "parallelism_gain") > 5
    assert any("truer by a factor" in line for line in found.findings)


def test_the_same_bar_buys_little_in_cornering_where_the_x_brace_does():
    found = ask(case="cornering")
    assert value(found, "gain") < 1.15 < 3 < value(found, "gain_x_brace")
    assert any("next to nothing" in line for line in found.findings)


def test_gain_of_the_chosen_pattern_equals_its_own_output():
    found = ask(case="cornering", pattern="x-brace")
    assert value(found, "gain") == pytest.approx(value(found, "gain_x_brace"), rel=0.05)


def test_it_takes_a_structure_built_elsewhere():
    found = ask(subject=simple_structure(), load="2", part="stay")
    assert value(found, "stiffness") * 1e6 == pytest.approx(2 * 3 * 500, rel=1e-9)
    assert value(found, "gain") == pytest.approx(2)
    assert value(found, "mass_spent") == pytest.approx(2)


def test_a_cross_member_of_the_dash_is_not_that_of_the_cradle():
    dash = replace(simple_structure(), parts=("dash-cross-member", "rail-tie-bar"))
    gone = {
        name: ask(subject=dash, load="2", pattern=name) for name in ("cross-member", "front-bar")
    }
    assert "There is no cross-member" in gone["cross-member"].findings[0]
    assert value(gone["front-bar"], "gain") == pytest.approx(2)
    assert value(ask(subject=dash, load="2", pattern="dash-member"), "mass_spent") == 1


def test_bars_show_each_group_against_its_limit():
    figure = ask().figure
    assert [bar.limit for bar in figure.bars] == [1.0] * 6
    assert np.isfinite([bar.high for bar in figure.bars]).all()


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"tower_at": "1900"}, "tower_at"), ({"sill_spacing": "900"}, "sill_spacing"),
        ({"cradle_length": "1500"}, "cradle_length"),
        ({"rail_gauge": "-1"}, "rail_gauge"), ({"brace_gauge": "18"}, "gauge"),
        ({"load": "nan"}, "load"), ({"case": "roof"}, "case"), ({"pattern": "wing"}, "pattern"),
    ],
)  # fmt: skip
def test_refusals_are_named(given, words):
    with pytest.raises(BadInput, match=words):
        ask(**given)


def test_the_torque_box_answers_in_racking_and_in_a_one_sided_push():
    """Common practice, no source: both lean on the rails' roots."""
    for case, least in (("racking", 1.05), ("one-sided", 1.1)):
        found = ask(case=case, pattern="torque-box")
        assert value(found, "gain") > least
        assert value(found, "gain") == pytest.approx(value(found, "gain_torque_box"), rel=0.05)
    assert value(ask(case="one-sided"), "gain_dash_member") > 1.01


def test_a_rubber_rear_mount_softens_the_cradle_only():
    solid, rubber = (ask(case="cornering", mount_stiffness=k) for k in ("150", "3"))
    assert value(rubber, "stiffness") < 0.7 * value(solid, "stiffness")
    assert value(rubber, "mass") == pytest.approx(value(solid, "mass"))


def test_a_pattern_that_is_not_there_is_said_and_nothing_is_taken_away():
    found = ask(subject=simple_structure(), load="2")
    assert value(found, "gain") == 1
    assert value(found, "mass_spent") == 0
    assert "There is no front-bar" in found.findings[0]
    with pytest.raises(BadInput, match="part: must be one of stay"):
        ask(subject=simple_structure(), part="bar")
