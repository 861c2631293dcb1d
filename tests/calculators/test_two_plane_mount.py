"""The mount clamped at two heights, as a person uses it."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

MOUNT = calculator("two-plane-mount")


def ask(**given):
    return run(MOUNT, given, samples=500)


def value(found, name):
    return found.results[name].value


def test_two_walls_of_a_box_are_markedly_stiffer_than_one_plate():
    """Common practice, no source: a bolt through a box held by two walls beats one plate."""
    box = ask(depth="80", second_bolts="1")
    plate = ask(depth="0", second_bolts="0")
    assert box.results["tilt_stiffness"].low > 2 * plate.results["tilt_stiffness"].high
    assert value(box, "travel") < 0.5 * value(plate, "travel")


def test_bolt_faces_in_different_planes_give_depth():
    """Common practice, no source: faces at different heights give a joint depth fore and aft."""
    shallow, deep = ask(depth="15"), ask(depth="90")
    assert value(deep, "gain") > 3 * value(shallow, "gain")
    assert any("too close" in line for line in shallow.findings)
    assert any("two heights" in line for line in deep.findings)


def test_bolts_in_a_row_stiffen_a_single_plane():
    one = ask(second_bolts="0", depth="0")
    row = ask(second_bolts="0", depth="0", bolts="3", spread="80")
    assert value(row, "tilt_stiffness") > 3 * value(one, "tilt_stiffness")
    assert value(row, "bolt_pull") > 0


def test_side_offset_loads_the_outer_bolt_more():
    even = ask(second_bolts="0", depth="0", bolts="3", spread="80")
    beside = ask(second_bolts="0", depth="0", bolts="3", spread="80", side_offset="60")
    assert value(beside, "bolt_shear") > 1.5 * value(even, "bolt_shear")


def test_zero_depth_is_the_sum_of_the_faces_only():
    found = ask(depth="0.001", second_bolts="1", gauge="3", second_gauge="3")
    assert value(found, "gain") == pytest.approx(2, rel=1e-3)


def test_small_preload_slips_and_is_told():
    found = ask(preload="5")
    assert value(found, "state") == "a plane slips"
    assert any("slips under" in line for line in found.findings)


def test_figure_compares_with_one_plane():
    assert [curve.name for curve in ask().figure.curves] == ["two planes", "one plane"]


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"depth": "0"}, "depth"),
        ({"boss": "80", "free_width": "70"}, "boss"),
        ({"gauge": "nan"}, "gauge"),
        ({"bolts": "0"}, "bolts"),
        ({"force": "1e9"}, "force"),
        ({"preload": "-5"}, "preload"),
    ],
)
def test_refusals_name_the_input(given, word):
    with pytest.raises(BadInput, match=word):
        ask(**given)
