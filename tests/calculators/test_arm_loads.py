"""Loads on an arm, as a person uses it."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

ARM = calculator("arm-loads")
SHARP = {
    "wheel_load": "4.5",
    "pothole_vertical": "3",
    "pothole_rearward": "1.5",
    "brake_g": "1",
    "corner_g": "1",
    "lower_y": "740",
    "upper_y": "700",
    "upper_z": "500",
    "pivot_y": "360",
    "rear_x": "-280",
    "depth": "60",
}


def ask(**given):
    return run(ARM, {**SHARP, **given}, samples=200)


def value(found, name):
    return found.results[name].value


def test_both_pivots_together_bring_the_corner_force_to_the_body():
    """Source: statics by hand: with joints in one upright line, moments about the upper joint."""
    found = ask(lower_y="740", upper_y="740", half_track="740.001", tie_rod_z="180")
    side = 4.5 * 1.6 * 1.0
    assert value(found, "pivot_side") == pytest.approx(side * 500 / 320, rel=0.01)


def test_a_higher_upper_joint_lightens_both_arms():
    """Common practice, no source: a tall upright lowers the arm forces under braking."""
    short, tall = ask(upper_z="440"), ask(upper_z="700")
    assert value(tall, "upper_braking") < 0.6 * value(short, "upper_braking")
    assert value(tall, "lower_braking") < value(short, "lower_braking")
    assert any("high upper joint" in line for line in tall.findings)


def test_triangulated_arm_is_lighter_than_a_bent_one():
    bent, straight = ask(arm="l-arm"), ask(arm="a-arm", front_x="120")
    assert value(straight, "mass_stamped_box") < value(bent, "mass_stamped_box")
    assert value(bent, "bending") > value(straight, "bending")


def test_strut_carries_the_wheel_at_its_top():
    found = ask(kind="strut", upper_z="850", upper_y="600")
    assert value(found, "spring") == pytest.approx(3 * 4.5, rel=0.02)
    assert any("tower" in line for line in found.findings)


def test_spring_further_inboard_is_loaded_more():
    assert value(ask(spring_ratio="0.4"), "spring") > value(ask(spring_ratio="0.8"), "spring")


def test_forces_scale_with_the_wheel_load():
    one, two = ask(), ask(wheel_load="9")
    for name in ("lower_ball", "upper_ball", "front_pivot", "rear_pivot", "tie_rod"):
        assert value(two, name) == pytest.approx(2 * value(one, name), rel=1e-9)


def test_figure_shows_each_place_in_each_case():
    assert len(ask().figure.bars) == 12


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"upper_z": "190"}, "upper_z"),
        ({"pivot_y": "720"}, "pivot_y"),
        ({"half_track": "600"}, "half_track"),
        ({"tie_rod_x": "0", "tie_rod_z": "180", "upper_y": "720", "lower_y": "740"}, "tie_rod"),
        ({"front_x": "-280"}, "pivots"),
        ({"wheel_load": "nan"}, "wheel_load"),
        ({"wheel_load": "1e9"}, "wheel_load"),
        ({"spring_ratio": "0"}, "spring_ratio"),
    ],
)
def test_refusals_name_the_input(given, word):
    with pytest.raises(BadInput, match=word):
        ask(**given)
