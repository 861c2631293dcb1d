"""The steering axis, as a person uses it."""

import numpy as np
import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

AXIS = calculator("steering-axis")
SHARP = {
    "lower_x": "15",
    "lower_y": "740",
    "lower_z": "180",
    "upper_x": "-20",
    "upper_y": "700",
    "upper_z": "500",
}


def ask(**given):
    return run(AXIS, {**SHARP, **given}, samples=200)


def value(found, name):
    return found.results[name].value


def test_one_ball_is_plain_geometry():
    """Source: exact geometry: atan(40/320), atan(35/320)."""
    found = ask()
    assert value(found, "kingpin") == pytest.approx(7.12502, rel=1e-5)
    assert value(found, "caster") == pytest.approx(6.24191, rel=1e-5)
    assert value(found, "scrub") == pytest.approx(780 - (740 + 180 * 40 / 320))
    assert value(found, "trail") == pytest.approx(15 + 180 * 35 / 320)


def test_two_links_put_the_pivot_outboard_of_their_joints():
    """Common practice, no source: two lower links give a pivot where no ball joint would fit."""
    found = ask(lower="two-link")
    assert value(found, "outboard_gain") > 20
    assert value(found, "scrub") < value(ask(), "scrub")
    assert value(found, "scrub_change") > 10 * value(ask(), "scrub_change")
    assert any("Two links put" in line for line in found.findings)


def test_scrub_through_the_print_keeps_zero_trail_and_scrub():
    found = ask(half_track="762.5", patch_x="34.6875")
    assert value(found, "scrub") == pytest.approx(0, abs=1e-6)
    assert value(found, "trail") == pytest.approx(0, abs=1e-6)
    assert value(found, "scrub_change") < 0.5


def test_an_upright_axis_without_offset_lifts_nothing():
    found = ask(lower_x="0", upper_x="0", lower_y="700", upper_y="700")
    assert value(found, "kingpin") == pytest.approx(0)
    assert value(found, "lift") == pytest.approx(0, abs=1e-6)


def test_links_at_both_ends_answer_too():
    found = ask(lower="two-link", upper="two-link")
    assert np.isfinite(value(found, "kingpin"))
    assert value(found, "virtual_y") > 700


def test_figure_shows_the_axis_from_the_front():
    figure = ask().figure
    assert figure.equal
    assert figure.curves[0].name == "steering axis"


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"upper_z": "150"}, "upper joint"),
        (
            {
                "lower": "two-link",
                "lower2_x": "15",
                "lower2_y": "740",
                "lower2_z": "180",
                "lower2_in_x": "-20",
                "lower2_in_y": "360",
                "lower2_in_z": "190",
            },
            "alike",
        ),
        ({"lock": "80"}, "lock"),
        ({"half_track": "nan"}, "half_track"),
        ({"lower_y": "1e9"}, "lower_y"),
        ({"lower": "three-link"}, "lower"),
    ],
)
def test_refusals_name_the_input(given, word):
    with pytest.raises(BadInput, match=word):
        ask(**given)
