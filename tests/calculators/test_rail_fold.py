import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput
from atlas.mechanics.folding import buckling_force, fold_half_length, hinge_force, thin_box
from tests.validation import Check

RAIL = calculator("rail-fold")


def by_section_library(depth: float, width: float, gauge: float) -> dict[str, float]:
    """Exact figures of a box by sectionproperties, in millimetres."""
    from sectionproperties.analysis import Section
    from sectionproperties.pre.library import rectangular_hollow_section

    geometry = rectangular_hollow_section(d=depth, b=width, t=gauge, r_out=0, n_r=0)
    section = Section(geometry.create_mesh([20]))
    section.calculate_geometric_properties()
    section.calculate_plastic_properties()
    return {"area": section.get_area(), "ixx": section.get_ic()[0], "sxx": section.get_s()[0]}


def ours(depth: float, width: float, gauge: float):
    return thin_box((depth - gauge) / 1e3, (width - gauge) / 1e3, gauge / 1e3)


BOX = by_section_library(120, 70, 2)
LIBRARY = "sectionproperties, rectangular hollow section 120 x 70 x 2 without radii"
CHECKS = [
    Check("rail.area", "rail-fold", LIBRARY, BOX["area"], 1e-6,
          lambda: float(ours(120, 70, 2).area) * 1e6, "mm2"),
    Check("rail.inertia", "rail-fold", LIBRARY, BOX["ixx"], 2e-3,
          lambda: float(ours(120, 70, 2).inertia) * 1e12, "mm4"),
    Check("rail.plastic-modulus", "rail-fold", LIBRARY, BOX["sxx"], 2e-3,
          lambda: float(ours(120, 70, 2).plastic_modulus) * 1e9, "mm3"),
    Check("rail.fold-length", "rail-fold",
          "Wierzbicki and Abramowicz, J. Appl. Mech. 50 (1983): 0.983 c^(2/3) h^(1/3), from memory",
          22.9945, 1e-4, lambda: float(fold_half_length(0.08, 0.002)) * 1e3, "mm"),
    # Abramowicz and Jones 1986, symmetric and mixed mode at c = 60, h = 2, flow stress 250 MPa.
    Check("rail.mean-force", "rail-fold",
          "Abramowicz and Jones, Int. J. Impact Engng 4 (1986), mixed mode, from memory", 40.1345,
          1e-3, lambda: run(RAIL, {"depth": 62, "width": 62, "gauge": 2, "yield_strength": 250,
                                   "ultimate": 250, "speed": 0, "root_depth": 100})
          .results["mean_force"].value, "kN"),
    Check("rail.plastic-hinge", "rail-fold",
          "EN 1993-1-1, 6.2.1 (7): half and half uses up the section, by hand", 0.5, 1e-12,
          lambda: float(hinge_force(1.0, 1.0, 1.0))),
]  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.floats(0.05, 0.2), st.floats(0.05, 0.2), st.floats(0.001, 0.004), st.floats(0, 0.3))
def test_an_offset_never_helps_and_a_straight_axis_squashes(depth, width, gauge, offset):
    box = thin_box(depth, width, gauge)
    squash, moment = box.area * 350e6, box.plastic_modulus * 350e6
    assert hinge_force(squash, moment, offset) <= squash * (1 + 1e-12)
    assert hinge_force(squash, moment, 0.0) == pytest.approx(squash)


def test_a_short_strut_squashes_and_a_long_one_follows_euler():
    box = thin_box(0.06, 0.06, 0.002)
    assert buckling_force(210e9, 350e6, box, 0.05, 1.0) == pytest.approx(box.area * 350e6)
    euler = np.pi**2 * 210e9 * box.inertia / 10.0**2
    assert buckling_force(210e9, 350e6, box, 10.0, 1.0) == pytest.approx(euler, rel=0.1)


def test_a_deep_kick_with_a_thin_root_hinges_there():
    weak = run(RAIL, {"kick": "180..220", "root_gauge": "1.5..1.7"})
    assert weak.results["mode"].value == "hinges at the kick"
    assert "stiffen the root" in weak.findings[0]


def test_initiators_and_a_strong_root_let_it_fold():
    good = run(RAIL, {"kick": "0..5", "root_gauge": 3.5, "initiator": "0.35..0.4", "length": 350})
    assert good.results["mode"].value == "folds from the tip"
    assert good.results["margin"].low > 1


def test_initiators_lower_the_peak_and_not_the_mean_force():
    none, some = (run(RAIL, {"initiator": x, "gauge": 1.8}, 500).results for x in (0, 0.3))
    assert some["peak_force"].value == pytest.approx(0.7 * none["peak_force"].value, rel=0.02)
    assert some["mean_force"].value == pytest.approx(none["mean_force"].value, rel=0.02)


def test_a_slender_rail_with_a_free_tip_bends_as_a_whole():
    slender = run(RAIL, {"tip": "free", "length": 1400, "kick": 0, "root_gauge": 4})
    assert slender.results["mode"].value == "bends as a whole"


@pytest.mark.parametrize(
    ("given", "names"),
    [
        ({"gauge": 11, "width": 30}, "gauge"),
        ({"yield_strength": 600, "ultimate": 500}, "ultimate"),
        ({"depth": 400, "width": 400, "gauge": 1}, "side over gauge"),
        ({"width": 20, "gauge": 11}, "must exceed their gauge by 10 mm at least"),
        ({"metal": "wood"}, "metal"),
    ],
)
def test_refusals_name_the_input(given, names):
    with pytest.raises(BadInput, match=names):
        run(RAIL, given)
