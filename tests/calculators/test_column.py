"""The strut calculator, as a person uses it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

COLUMN = calculator("column")


def ask(**given):
    return run(COLUMN, given, samples=500)


def value(found, name):
    return found.results[name].value


def test_a_worked_example_comes_out_of_the_form():
    """Source: Designers' Guide to EN 1993-1-1 (CHS 244.5x10, S355, 4 m, curve a): 2296 kN."""
    found = ask(
        width="244.5", gauge="10", length="4000", length_factor="1", yield_strength="355", curve="a"
    )
    assert value(found, "compression") == pytest.approx(2296, rel=1e-3)


def test_a_strap_is_a_tie_and_a_tube_of_equal_mass_is_a_strut():
    """Common practice, no source: flat straps are used in pulled pairs, tubes where pushed."""
    strap = ask(shape="flat", width="60", gauge="3", length="500", curve="a")
    tube = ask(shape="round-tube", width="30.6", gauge="2", length="500", curve="a")
    assert value(strap, "mass") == pytest.approx(value(tube, "mass"), rel=0.02)
    assert value(strap, "push_over_pull") < 0.1 < 0.7 < value(tube, "push_over_pull")
    assert value(strap, "mode") == "buckles elastically"
    assert any("goes slack" in line for line in strap.findings)


def test_a_short_stout_strut_yields():
    found = ask(shape="rod", width="30", length="60", length_factor="0.7")
    assert value(found, "mode") == "yields"
    assert any("yield" in line for line in found.findings)


def test_a_crank_costs_more_than_half_the_load():
    straight = ask(width="25", gauge="2", length="450", length_factor="1", yield_strength="300")
    cranked = ask(
        width="25", gauge="2", length="450", length_factor="1", yield_strength="300", offset="15"
    )
    assert value(cranked, "compression") < 0.5 * value(straight, "compression")
    assert any("off the line" in line for line in cranked.findings)


def test_end_welds_cut_heat_treated_aluminium_to_its_zone_strength():
    """Source: EN 1999-1-1:2007, Table 3.2b, EN AW-6082 T6: 250 MPa parent, 125 MPa zone."""
    common = {
        "material": "aluminium",
        "curve": "A",
        "shape": "box",
        "width": "40",
        "height": "40",
        "gauge": "3",
        "length": "300",
        "length_factor": "0.7",
        "yield_strength": "250",
        "softened_strength": "125",
    }
    fastened, welded = ask(**common), ask(welds="ends", **common)
    assert value(welded, "tension") / value(fastened, "tension") == pytest.approx(0.5)
    assert value(welded, "mode") == "yields beside its welds"
    assert any("beside" in line for line in welded.findings)


def test_euler_governs_in_the_limit_of_a_long_strut():
    found = ask(length="4000", length_factor="1", curve="johnson", yield_strength="300")
    assert value(found, "compression") == pytest.approx(value(found, "euler"), rel=0.02)


@given(st.floats(200, 2000))
def test_capacity_never_exceeds_squash_or_euler(length):
    found = ask(length=length, length_factor="1", width="30", gauge="2", yield_strength="300")
    limit = min(value(found, "squash"), value(found, "euler"))
    assert value(found, "compression") <= limit * (1 + 1e-9)


def test_load_gives_a_share_of_failures():
    found = ask(load="25..45")
    assert any("fails in" in line for line in found.findings)
    assert found.figure.points


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"shape": "round-tube", "width": "200", "gauge": "1"}, "width over gauge"),
        ({"shape": "flat", "width": "30", "gauge": "0.5", "length": "4000"}, "radius of gyration"),
        ({"width": "20", "gauge": "12"}, "gauge"),
        ({"length": "0"}, "length"),
        ({"length": "1e9"}, "length"),
        ({"yield_strength": "nan"}, "yield_strength"),
        ({"curve": "z"}, "curve"),
        ({"offset": "-1"}, "offset"),
    ],
)
def test_refusals_name_the_input(given, word):
    with pytest.raises(BadInput, match=word):
        ask(**given)
