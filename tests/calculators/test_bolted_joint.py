"""The bolted joint, as a person uses it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

JOINT = calculator("bolted-joint")


def ask(**given):
    return run(JOINT, given, samples=500)


def value(found, name):
    return found.results[name].value


def test_preload_is_the_tables_at_the_tables_torque():
    """Source: VDI 2230 Part 1, Table A1 (from memory): M12 10.9, mu 0.12: 123 N m, 63.2 kN."""
    found = ask(torque="123", thread_friction="0.12", embedding="0")
    assert value(found, "preload") == pytest.approx(63.2, rel=0.015)
    assert value(found, "torque_at_yield") == pytest.approx(123, rel=0.015)


def test_double_shear_doubles_slip_and_never_weakens():
    """Common practice, no source: rear mounts are clamped in double shear to keep their place."""
    fixed = {"torque": "110", "thread_friction": "0.12", "slip_factor": "0.2", "embedding": "10"}
    single, double = ask(shear="single", **fixed), ask(shear="double", **fixed)
    assert value(double, "slip") == pytest.approx(2 * value(single, "slip"))
    assert value(double, "failure") >= value(single, "failure")


@given(st.integers(1, 3))
def test_bolts_share_alike(count):
    """Common practice, no source: double-shear plates with one to three bolts are usual."""
    fixed = {
        "torque": "110",
        "thread_friction": "0.12",
        "slip_factor": "0.2",
        "ply_strength": "450",
    }
    one, many = ask(bolts="1", **fixed), ask(bolts=str(count), **fixed)
    for name in ("slip", "failure", "shear", "bearing"):
        assert value(many, name) == pytest.approx(count * value(one, name), rel=1e-6)


def test_a_spacer_makes_the_bolt_bend():
    tight, stood_off = ask(gap="0", inner_gauge="8"), ask(gap="25", inner_gauge="8", load="20")
    assert value(stood_off, "failure") < 0.7 * value(tight, "failure")
    assert value(stood_off, "mode") == "bolt bends"
    assert value(stood_off, "bending_stress") > 500


def test_a_long_sleeve_keeps_its_preload():
    short, long = ask(grip="6", embedding="40"), ask(grip="100", embedding="40")
    assert value(long, "preload") > 1.15 * value(short, "preload")


def test_short_grip_under_thick_paint_loses_everything():
    found = ask(grip="4", embedding="200", torque="40")
    assert any("settling eats" in line for line in found.findings)
    assert value(found, "preload") == 0


def test_over_tightening_is_told():
    found = ask(torque="150..200")
    assert any("past yield" in line for line in found.findings)


def test_load_is_counted_against_slip_and_failure():
    found = ask(load="5..15")
    assert any("it slips in" in line for line in found.findings)
    assert found.figure.bars[0].limit == pytest.approx(10, abs=0.2)
    assert found.figure.bars[0].name == "slips"


def test_bolt_class_8_8_is_cut_before_it_bears_in_thick_plies():
    found = ask(
        bolt_class="8.8", gauge="15", inner_gauge="15", end_distance="50", edge_distance="40"
    )
    assert value(found, "mode") in ("bolt is cut", "bolt bends")


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"size": "M13"}, "size"),
        ({"torque": "0"}, "torque"),
        ({"torque": "100 kg"}, "torque"),
        ({"slip_factor": "nan"}, "slip_factor"),
        ({"end_distance": "10"}, "end_distance"),
        ({"gauge": "-2"}, "gauge"),
        ({"bolts": "0"}, "bolts"),
        ({"grip": "1e9"}, "grip"),
    ],
)
def test_refusals_name_the_input(given, word):
    with pytest.raises(BadInput, match=word):
        ask(**given)
