"""Arms and travel, as a person uses it."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

ARM = calculator("arm-travel")
SHARP = {"lower_pivot_z": "200", "lower_ball_y": "720", "lower_ball_z": "190"}


def ask(**given):
    return run(ARM, {**SHARP, **given}, samples=300)


def value(found, name):
    return found.results[name].value


@pytest.mark.parametrize("kind", ["double-wishbone", "strut"])
def test_the_further_inboard_the_pivots_the_longer_the_arm_and_the_more_travel(kind):
    """Common practice, no source."""
    asked = {"kind": kind, "lower_pivot_z": "190"}
    if kind == "double-wishbone":
        pivots = [("500", "560"), ("400", "460"), ("300", "360"), ("200", "260")]
        found = [ask(lower_pivot_y=a, upper_pivot_y=b, **asked) for a, b in pivots]
    else:
        found = [ask(lower_pivot_y=str(y), **asked) for y in (450, 350, 250)]
    arms = [value(one, "arm_length") for one in found]
    travels = [value(one, "travel") for one in found]
    assert arms == sorted(arms)
    assert travels == sorted(travels)


def test_the_shorter_arm_for_comparison_is_the_arm_with_its_pivot_moved():
    longer = ask(lower_pivot_y="330", upper_pivot_y="430", shift="60")
    moved = ask(lower_pivot_y="390", upper_pivot_y="490", shift="0")
    assert value(longer, "travel_shorter") == pytest.approx(value(moved, "travel"), rel=1e-6)


def test_travel_within_the_limit_just_meets_it():
    wide = ask(lower_pivot_y="340", track_limit="200", angle_limit="45")
    up = value(wide, "travel_up")
    again = ask(lower_pivot_y="340", bump=str(up))
    assert abs(value(again, "camber_bump")) == pytest.approx(2.5, abs=0.01)
    assert value(wide, "first_limit") == "camber"


def test_camber_gain_is_the_slope_at_rest():
    found = ask(lower_pivot_y="340", bump="5", droop="5")
    slope = (value(found, "camber_bump") - value(found, "camber_droop")) / 10 * 25
    assert value(found, "camber_gain") == pytest.approx(slope, rel=0.01)


def test_findings_and_figure_compare_long_with_short():
    found = ask()
    assert any("further outboard would cost" in line for line in found.findings)
    assert [curve.name for curve in found.figure.curves][:2] == [
        "as read",
        "pivots further outboard",
    ]


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"lower_pivot_y": "700"}, "lower_pivot_y"),
        ({"upper_pivot_y": "680"}, "upper_pivot_y"),
        ({"half_track": "600"}, "half_track"),
        ({"upper_ball_z": "200"}, "upper_ball_z"),
        ({"upper_pivot_y": "630", "bump": "250"}, "bump"),
        ({"bump": "nan"}, "bump"),
        ({"bump": "-5"}, "bump"),
        ({"camber_limit": "0"}, "camber_limit"),
        ({"lower_ball_y": "1e9"}, "lower_ball_y"),
    ],
)
def test_refusals_name_the_input(given, word):
    with pytest.raises(BadInput, match=word):
        ask(**given)
