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


def test_a_measured_hole_counts_as_oversize_from_3_mm_at_m12():
    """Source: EN 1993-1-8:2005, Tables 3.4 and 3.6: 0.85 on slip, 0.8 on bearing (from memory)."""
    usual, wide = (
        run(
            JOINT,
            {"fit": "measured", "hole": hole, "end_distance": 60, "edge_distance": 60},
            samples=300,
        )
        for hole in ("14.9", "15.1")
    )
    assert usual.results["oversize"].value == "within the usual clearance"
    assert wide.results["oversize"].value == "oversize"
    ratio = {key: wide.results[key].value / usual.results[key].value for key in ("slip", "bearing")}
    assert ratio["slip"] == pytest.approx(0.85, rel=0.02)
    assert ratio["bearing"] == pytest.approx(0.8, rel=0.03)
    assert wide.results["hole_travel"].value == pytest.approx(3.1)
    assert any("oversize" in line for line in wide.findings)


@pytest.mark.parametrize(("fit", "travel"), [("fine", 1.0), ("medium", 1.5), ("coarse", 2.5)])
def test_fits_are_those_of_the_standard(fit, travel):
    """Source: ISO 273, M12: 13, 13.5 and 14.5 mm (engineeringhardware.com/?p=50)."""
    assert run(JOINT, {"fit": fit}, samples=8).results["hole_travel"].value == pytest.approx(travel)


@pytest.mark.parametrize(
    ("hole", "words"), [("11", "bolt, 12 mm"), ("12", "bolt, 12 mm"), ("17", r"face, 16\.\d+ mm")]
)
def test_a_hole_that_cannot_be_is_refused(hole, words):
    with pytest.raises(BadInput, match=words):
        run(JOINT, {"fit": "measured", "hole": hole})


@pytest.mark.parametrize("size", ["M4", "M5"])
def test_small_bolts_of_undertrays_are_there(size):
    found = run(
        JOINT, {"size": size, "torque": "4", "gauge": "1.5", "inner_gauge": "2"}, samples=50
    )
    assert 0 < found.results["slip"].value < found.results["tension"].value


def test_class_8_8_is_stronger_above_m16():
    """Source: ISO 898-1: 830 MPa and 245 mm2 at M20; EN 1993-1-8, Table 3.4: 0.9 in tension."""
    wide = {"size": "M20", "torque": "300", "end_distance": "60", "edge_distance": "60"}
    pull = value(ask(**wide, bolt_class="8.8", bolts="1"), "tension")
    assert pull == pytest.approx(0.9 * 830 * 245e-3, rel=2e-3)
