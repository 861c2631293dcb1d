"""The torque-reaction calculator, as a person uses it."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

TORQUE = calculator("torque-reaction")


def ask(**given):
    return run(TORQUE, given, samples=300)


def value(found, name):
    return found.results[name].value


def test_a_pendulum_strut_carries_all_of_the_torque():
    """Source: statics, force = torque over the lever between strut and mounts."""
    found = ask(torque="300", ratio="10", mount_height="80", strut_drop="200")
    assert value(found, "strut_force") == pytest.approx(3.0 / 0.28, rel=1e-6)
    assert value(found, "strut_share") == pytest.approx(1.0)
    assert any("nothing stops the unit from swinging" in line for line in found.findings)


def test_without_a_strut_the_mounts_form_a_couple():
    """Source: statics, 3000 N m over 0.425 m between the mount rows."""
    found = ask(layout="three-point", torque="300", ratio="10", front_reach="175",
                rear_reach="250", mount_height="0", side_ratio="0.01")  # fmt: skip
    assert value(found, "rear_force") == pytest.approx(3.0 / 0.425, rel=1e-3)
    assert any("No strut" in line for line in found.findings)


def test_a_stiffer_strut_turns_less_and_rings_higher():
    soft, stiff = (ask(layout="three-and-strut", strut_stiffness=k) for k in ("0.3", "3"))
    assert value(stiff, "roll") < value(soft, "roll")
    assert value(stiff, "roll_frequency") > value(soft, "roll_frequency")


def test_torque_along_the_vehicle_is_taken_by_left_and_right():
    found = ask(layout="three-point", axis="along", ratio="3")
    assert value(found, "left_force") > 3 * value(found, "rear_force")


def test_a_pendulum_also_hangs_along_the_vehicle():
    """Source: statics, torque over the lever between strut and mounts."""
    found = ask(axis="along", torque="300", ratio="3", mount_height="80", strut_drop="200")
    assert value(found, "strut_force") == pytest.approx(0.9 / 0.28, rel=1e-6)


def test_figure_follows_the_leading_input():
    assert ask().figure.x.title == "strut stiffness"
    assert ask(layout="four-point").figure.x.title == "mount stiffness"


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"mass": "-1"}, "mass"), ({"torque": "nan"}, "torque"), ({"ratio": "1e9"}, "ratio"),
        ({"layout": "five"}, "layout"), ({"mount_height": "-200", "strut_drop": "200"}, "free to"),
    ],
)  # fmt: skip
def test_refusals_are_named(given, words):
    with pytest.raises(BadInput, match=words):
        ask(**given)
