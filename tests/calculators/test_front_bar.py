"""The front-bar calculator, as a person uses it."""

import numpy as np
import pytest

from atlas.calculators.declare import Number
from atlas.calculators.models import front_frame
from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.calculators.units import factor
from atlas.errors import BadInput
from atlas.mechanics.frames import Loads, node_loads, solve
from atlas.mechanics.front_frames import simple_structure

BAR = calculator("front-bar")


def ask(subject=None, **given):
    return run(BAR, given, samples=400, subject=subject)


def value(found, name):
    return found.results[name].value


def test_straight_hits_pull_and_inboard_hits_push():
    """Common practice, no source: pulled or pushed turns on how barrier and corner meet."""
    pulled, pushed = ask(load_angle="0"), ask(load_angle="50..60")
    assert value(pulled, "sense") == "pulled" and value(pushed, "sense") == "pushed"
    assert any("pulled in 100%" in line for line in pulled.findings)


def test_the_further_outboard_the_legs_reach_the_longer_it_is_pulled():
    """Common practice, no source: pulled or pushed turns on how far outboard the legs reach."""
    found = [
        ask(reach=str(reach), load_offset=str(430 + reach), load_angle="20")
        for reach in (20, 110, 200, 300)
    ]
    assert value(found[0], "sense") == "pushed" and value(found[-1], "sense") == "pulled"
    turns = [value(one, "turn_angle") for one in found]
    assert turns == sorted(turns) and turns[-1] > turns[0] + 30
    # Not only because the load stands further out.
    there = [value(ask(reach=str(r), load_offset="500"), "turn_angle") for r in (100, 250, 400)]
    assert there == sorted(there) and there[-1] > there[0] + 10


def test_sign_map_has_both_regions_for_one_bar():
    """Common practice, no source."""
    sign_map = ask().figure.sign_map
    assert (sign_map.z > 0).any() and (sign_map.z < 0).any()
    assert sign_map.z.shape == (len(sign_map.y), len(sign_map.x))


def test_the_map_agrees_with_the_run():
    fixed = {one.name: one.default.split("..")[0] for one in BAR.inputs}
    fixed |= {"load_angle": "20", "load": "25", "load_offset": "520"}
    found = ask(**fixed)
    sign_map = found.figure.sign_map
    row = np.array([np.interp(520, sign_map.x, line) for line in sign_map.z])
    assert np.interp(20, sign_map.y, row) == pytest.approx(value(found, "axial"), abs=0.3)


def test_without_a_cross_member_the_bar_keeps_the_rails_parallel():
    """Common practice, no source: rails ideally keep their spacing and relative position."""
    with_, without = ask(), ask(cross_ratio="0")
    assert value(without, "rail_gain") > 1.5 > value(with_, "rail_gain")
    assert any("cross member already" in line for line in with_.findings)


def test_bolts_of_class_8_8_carry_what_the_standard_says():
    """Source: EN 1993-1-8:2005, Table 3.4: 0.6 x 800 MPa x 58 mm2 = 27.8 kN for an M10 thread."""
    found = ask(joint="bolted", bolts="2", bolt_size="M10", bolt_class="8.8")
    assert value(found, "joint_capacity") == pytest.approx(2 * 27.84, rel=0.005)


def test_weld_throat_and_girth_set_the_welded_joint():
    """Source: EN 1993-1-8:2005, 4.5.3.3: a x length x f_u / sqrt 3."""
    found = ask(
        joint="welded", weld_throat="3", weld_strength="430", bar_width="50", bar_height="50"
    )
    assert value(found, "joint_capacity") == pytest.approx(3 * 200 * 430 / 3**0.5 / 1e3, rel=1e-6)
    assert value(found, "mode") in ("welds give way", "bar yields", "bar buckles")


def test_a_flat_strap_buckles_when_pushed():
    found = ask(bar_shape="flat", bar_width="40", bar_gauge="4", load_angle="60", joint="welded")
    assert value(found, "mode") == "bar buckles"


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"load_offset": "900"}, "past the bar's outer end"), ({"reach": "-500"}, "reach"),
        ({"bar_gauge": "0"}, "bar_gauge"), ({"bar_gauge": "29"}, "gauge"),
        ({"load": "nan"}, "load"), ({"rail_spacing": "inf"}, "rail_spacing"),
        ({"bolt_class": "3.1"}, "bolt_class"), ({"reach": "-400", "rail_spacing": "800"}, "reach"),
    ],
)  # fmt: skip
def test_refusals_are_named(given, words):
    with pytest.raises(BadInput, match=words):
        ask(**given)


@pytest.mark.parametrize("angle", ["0", "45"])
def test_the_template_as_a_structure_agrees_with_the_bar_inside_it(angle):
    """The same bar through the whole front frame: sign and size follow from its own solution."""
    structure = _template_structure()
    found = ask(subject=structure, model="vehicle", load_angle=angle, load="20", load_offset="560")
    corner = structure.watch["corner"][0]
    turned = np.radians(float(angle))
    force = {corner: [-np.cos(turned), -np.sin(turned), 0.0]}
    frame = structure.frame
    alone = solve(frame, Loads(node_loads(frame, force)))
    bar = structure.parts.index("front-bar")
    assert value(found, "axial") == pytest.approx(20 * alone.axial[0, bar], rel=1e-6)
    assert found.figure.curves[0].y.size > 10


def _template_structure():
    given = {one.name: one.default for one in calculator("front-frame").inputs}
    made = {}
    values = run(calculator("front-frame"), {"load": "20"}, samples=8).sampled.inputs
    for one in calculator("front-frame").inputs:
        if isinstance(one, Number):
            made[one.name] = np.array([np.median(values[one.name])]) * factor(one.unit)
        else:
            made[one.name] = given[one.name]
    return front_frame._structure(made)


def test_model_vehicle_without_a_vehicle_is_refused():
    with pytest.raises(BadInput, match="needs a vehicle"):
        ask(model="vehicle")
    with pytest.raises(BadInput, match="no part that is a front bar"):
        ask(subject=simple_structure(), model="vehicle")


def test_a_bolt_of_class_8_8_is_stronger_above_m16():
    """Source: ISO 898-1: 157 mm2 and 800 MPa at M16, 245 mm2 and 830 MPa at M20."""
    joint = {"joint": "bolted", "bolts": "1", "bolt_class": "8.8"}
    thin, thick = (value(ask(**joint, bolt_size=size), "joint_use") for size in ("M16", "M20"))
    assert thin / thick == pytest.approx(245 * 830 / (157 * 800), rel=3e-3)
