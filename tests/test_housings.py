"""Housings as cross members against frame libraries, handbook limits and invariants."""

from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from Pynite import FEModel3D
from validation import Check

from atlas.mechanics.housings import corner_spring, foot_joint, jointed_bending, sway

STIFF = 1e10


@lru_cache
def trial(seed):
    rng = np.random.default_rng(seed)
    return (*rng.uniform((0.3, 0.5), (0.7, 1.1)), *rng.uniform(2e4, 2e5, 3))


def by_pynite(seed, second):
    """Racking stiffness of clamped legs joined by one or two rigid-ended cross parts."""
    h, w, leg, member, housing = trial(seed)
    model = FEModel3D()
    model.add_material("m", 1.0, 1.0, 0.3, 0.0)
    for name, ei in (("leg", leg), ("member", member), ("housing", housing)):
        model.add_section(name, STIFF, ei, ei, ei)
    for name, x, y in (("A", 0, 0), ("B", 0, h), ("C", w, h), ("D", w, 0)):
        model.add_node(name, x, y, 0)
        held = name in "AD"
        model.def_support(name, held, held, True, True, True, held)
    model.add_member("l", "A", "B", "m", "leg")
    model.add_member("r", "D", "C", "m", "leg")
    model.add_member("c", "B", "C", "m", "member")
    if second:
        model.add_member("h", "B", "C", "m", "housing")
    model.add_node_load("B", "FX", 0.5)
    model.add_node_load("C", "FX", 0.5)
    model.analyze_linear(check_stability=False)
    return 2 / (model.nodes["B"].DX["Combo 1"] + model.nodes["C"].DX["Combo 1"])


def by_short_members(joint):
    """The same with soft joints: members a thousandth of the span long, of EI = k times length."""
    h, w, leg, member, _ = trial(3)
    short = w / 1000
    model = FEModel3D()
    model.add_material("m", 1.0, 1.0, 0.3, 0.0)
    for name, ei in (("leg", leg), ("member", member), ("joint", joint * short)):
        model.add_section(name, STIFF, ei, ei, ei)
    places = {"A": (0, 0), "B": (0, h), "P": (short, h), "Q": (w - short, h), "C": (w, h)}
    places["D"] = (w, 0)
    for name, (x, y) in places.items():
        model.add_node(name, x, y, 0)
        held = name in "AD"
        model.def_support(name, held, held, True, True, True, held)
    kinds = {"AB": "leg", "DC": "leg", "BP": "joint", "PQ": "member", "QC": "joint"}
    for ends, kind in kinds.items():
        model.add_member(ends, ends[0], ends[1], "m", kind)
    model.add_node_load("B", "FX", 0.5)
    model.add_node_load("C", "FX", 0.5)
    model.analyze_linear(check_stability=False)
    return 2 / (model.nodes["B"].DX["Combo 1"] + model.nodes["C"].DX["Combo 1"])


def ours(seed, second, joint=np.inf):
    h, w, leg, member, housing = trial(seed)
    corner = corner_spring(member, w, joint)
    if second:
        corner = corner + corner_spring(housing, w, np.inf)
    return float(sway(leg, h, corner, 1.0).stiffness)


CHECKS = [
    *(
        Check(f"housing-beam.pynite.{seed}.{parts}", "housing-beam",
              "PyNiteFEA 3.2 (library), legs with one or two cross parts", by_pynite(seed, second),
              1e-3, lambda seed=seed, second=second: ours(seed, second), "N/m")
        for seed in (1, 2) for parts, second in (("one", False), ("two", True))
    ),
    *(
        Check(f"housing-beam.joint.{joint:g}", "housing-beam",
              "PyNiteFEA 3.2 (library), soft joints as very short members",
              by_short_members(joint), 5e-3, lambda joint=joint: ours(3, False, joint), "N/m")
        for joint in (2e4, 3e5)
    ),
    Check("housing-beam.clamped", "housing-beam", "Roark, guided clamped columns: 24 EI/h3 for two "
          "(from memory)", 24 * 5e4 / 0.5**3, 1e-9,
          lambda: sway(5e4, 0.5, np.inf, 1.0).stiffness, "N/m"),
    Check("housing-beam.hinged-feet", "housing-beam", "Roark, one end hinged: 6 EI/h3 for two "
          "(from memory)", 6 * 5e4 / 0.5**3, 1e-6,
          lambda: sway(5e4, 0.5, np.inf, 0.0).stiffness, "N/m"),
    Check("housing-beam.composite", "housing-beam",
          "full composite of two equal bars, parallel axis theorem: 2 EI + EA e2/2",
          2 * 1e4 + 1e8 * 0.01 / 2, 1e-9,
          lambda: jointed_bending((1e8, 1e4), (1e8, 1e4), 0.1, 1.0, 0.1, 1e18), "N m2"),
]  # fmt: skip


@given(st.floats(1e3, 1e6), st.floats(1e3, 1e6), st.floats(0, 1))
def test_more_corner_is_stiffer_and_never_past_the_clamped_legs(leg, cross, foot):
    soft, hard = (sway(leg, 0.4, corner_spring(cross, 0.8, j), foot).stiffness for j in (1e3, 1e6))
    assert soft < hard < sway(leg, 0.4, np.inf, foot).stiffness


@given(st.floats(1e3, 1e6), st.floats(0.05, 1), st.floats(0, 1e7))
def test_corner_moments_and_feet_balance_the_side_force(leg, foot, corner):
    """Statics: per unit side force, each leg turns h/2 into its two end moments."""
    found = sway(leg, 0.4, corner, foot)
    assert 0 <= found.corner_moment <= 0.2 * (1 + 1e-9)
    if foot > 0.999:
        return
    hinge = sway(leg, 0.4, corner + 1e6, 0.0)
    assert hinge.corner_moment == pytest.approx(0.2, rel=1e-4)


@given(st.floats(1e3, 1e12))
def test_jointed_bending_lies_between_sum_and_composite(slip):
    found = jointed_bending((1e8, 1e4), (5e7, 2e4), 0.06, 0.8, 0.2, slip)
    full = jointed_bending((1e8, 1e4), (5e7, 2e4), 0.06, 0.8, 0.2, 1e18)
    assert 3e4 <= found <= full * (1 + 1e-12)


def test_bolt_rows_follow_the_sum_of_squares():
    for count in (2, 3, 4, 6):
        places = np.linspace(-0.05, 0.05, count)
        assert foot_joint(count, 1e8, 0.1) == pytest.approx(1e8 * np.sum(places**2))
    assert foot_joint(1, 1e8, 0.1) == 0


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: corner_spring(-1, 1, 1), "bending"), (lambda: corner_spring(1, 1, -1), "joint"),
        (lambda: sway(1e4, 0, 1, 1), "length"), (lambda: sway(1e4, 1, 0, 0), "mechanism"),
        (lambda: sway(1e4, 1, 1, np.nan), "fixity"), (lambda: foot_joint(0, 1, 1), "bolts"),
        (lambda: jointed_bending((1, 1), (1, 1), 0.1, 1, 0, 1), "pitch"),
    ],
)  # fmt: skip
def test_refusals_name_the_argument(ask, words):
    with pytest.raises(ValueError, match=words):
        ask()
