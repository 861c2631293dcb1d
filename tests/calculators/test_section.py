"""The section calculator, as a person uses it."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.calculators.shapes import SHAPES, rings
from atlas.errors import AtlasError, BadInput, OutOfRange

SECTION = calculator("section")
OUTLINE = "0,0 60,0 60,40 0,40; 3,3 57,3 57,37 3,37"


def ask(**given):
    return run(SECTION, given, samples=400)


@pytest.mark.parametrize("shape", [s for s in SHAPES if s != "outline"])
def test_every_shape_answers_with_ranges_findings_and_a_figure(shape):
    found = ask(shape=shape)
    assert found.results["iy"].low <= found.results["iy"].value <= found.results["iy"].high
    assert found.findings
    assert found.figure.curves[0].x.size > 5


def test_typed_outline_equals_the_named_box():
    traced = ask(shape="outline", outline=OUTLINE)
    named = ask(shape="box", width="60", height="40", gauge="3", radius="0")
    for name in ("area", "iy", "iz", "wpl_y"):
        assert traced.results[name].value == pytest.approx(named.results[name].value, rel=1e-6)


def test_an_outline_off_a_photo_grows_with_the_fourth_power_of_its_scale():
    one = ask(shape="outline", outline=OUTLINE, yield_strength="300")
    two = ask(shape="outline", outline=OUTLINE, yield_strength="300", scale="2")
    assert two.results["iy"].value == pytest.approx(16 * one.results["iy"].value)


def test_closing_a_hat_buys_torsion_two_orders_of_magnitude():
    """Common practice, no source: an open section is far softer in torsion than a closed one."""
    hat = ask(shape="hat", gauge="2", width="60", height="60")
    closed = ask(shape="closed-hat", gauge="2", width="60", height="60")
    assert closed.results["j"].value > 100 * hat.results["j"].value
    assert closed.results["iy"].value < 3 * hat.results["iy"].value


def test_thin_wall_of_strong_steel_is_called_slack():
    found = ask(width="150", height="150", gauge="1", radius="2", yield_strength="900")
    assert found.results["wall_class"].value == "wall buckles first"
    assert found.results["yield_moment"].value < found.results["plastic_moment"].value
    assert any("buckles before" in line for line in found.findings)


def test_an_upright_wall_in_bending_may_be_more_slender_than_a_pressed_one():
    """Source: EN 1993-1-1:2005, Table 5.2: 33 eps in compression, 72 eps in bending (class 1)."""
    sharp = {"gauge": "2", "radius": "2", "yield_strength": "235"}
    deep = ask(width="60", height="140", **sharp)  # 27 across, 67 upright
    flat = ask(width="140", height="60", **sharp)
    assert deep.results["wall_class"].value == "plastic hinge"
    assert flat.results["wall_class"].value == "wall buckles first"


def test_aluminium_is_a_third_as_stiff_and_heavy_as_steel():
    """Source: EN 1993-1-1, 3.2.6 and EN 1999-1-1, 3.2.5 (moduli 210 and 70 GPa)."""
    steel, light = ask(), ask(material="aluminium")
    ratio = steel.results["bending_stiffness"].value / light.results["bending_stiffness"].value
    assert ratio == pytest.approx(3.0)
    mass = steel.results["mass_per_metre"].value / light.results["mass_per_metre"].value
    assert mass == pytest.approx(7850 / 2700)


def test_gauge_in_inches_is_the_same_section():
    inch = ask(gauge="0.1in", width="60", height="80", yield_strength="300")
    mm = ask(gauge="2.54", width="60", height="80", yield_strength="300")
    assert inch.results["iy"].value == pytest.approx(mm.results["iy"].value)


def test_cells_may_be_counted_with_doubt():
    found = ask(shape="multi-cell", cells_wide="1..3", width="90", height="60", gauge="3")
    assert found.results["area"].high > found.results["area"].low


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"gauge": "30", "width": "40"}, "gauge"),
        ({"gauge": "-1"}, "gauge"),
        ({"gauge": "nan"}, "gauge"),
        ({"gauge": "1e9"}, "gauge"),
        ({"gauge": ""}, "gauge"),
        ({"gauge": "2.5 kN"}, "gauge"),
        ({"width": "inf"}, "width"),
        ({"shape": "outline"}, "outline"),
        ({"shape": "outline", "outline": "0,0 60,0 sixty,40"}, "outline"),
        ({"shape": "outline", "outline": "0,0 60,0; 60,40 0,40"}, "outline"),
        ({"shape": "blob"}, "shape"),
        ({"radius": "39"}, "outer_radius"),
        ({"breadth": "2"}, "breadth"),
    ],
)
def test_refusals_name_the_input(given, word):
    with pytest.raises(AtlasError, match=word) as caught:
        ask(**given)
    assert isinstance(caught.value, BadInput | OutOfRange)
    assert "\n" not in str(caught.value)


def test_rings_keep_their_order():
    assert [len(ring) for ring in rings(OUTLINE)] == [4, 4]
