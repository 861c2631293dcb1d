"""The plan frame of rails, wings and bar against general libraries, statics and symmetry."""

from functools import lru_cache

import numpy as np
import pytest
from anastruct import SystemElements
from hypothesis import given, settings
from hypothesis import strategies as st
from Pynite import FEModel3D
from validation import Check

from atlas.mechanics.front_bars import front_plan, hit, hit_without_bar, sign_turns_at

METAL = {"rail": (2e8, 4e5), "wing": (1e8, 8e4), "cross": (1e8, 8e4), "bar": (8e7, 5e4)}
PLACES = {"D": 0, "E": 0, "R": 1, "S": 1, "T": 2, "U": 2}


@lru_cache
def trial(seed):
    rng = np.random.default_rng(seed)
    metal = {name: (rng.uniform(5e7, 3e8), rng.uniform(2e4, 4e5)) for name in METAL}
    spacing, rail, reach, forward = rng.uniform((0.7, 0.4, -0.1, 0.1), (1.1, 0.9, 0.3, 0.5))
    return spacing, rail, reach, forward, metal


def by_pynite(seed, inboard, pinned, angle):
    """Bar force at the far tip, by PyNiteFEA; the load stands on the bar or on the tip."""
    spacing, rail, reach, forward, metal = trial(seed)
    model = FEModel3D()
    model.add_material("m", 1.0, 1.0, 0.3, 0.0)
    half = spacing / 2 + reach
    for name, x, y in (
        ("D", 0, spacing / 2),
        ("R", rail, spacing / 2),
        ("T", rail + forward, half),
    ):
        for node, side in ((name, 1), (chr(ord(name) + 1), -1)):
            model.add_node(node, x, side * y, 0)
            held = name == "D"
            model.def_support(node, held, held, True, True, True, held)
    for kind, (ea, ei) in metal.items():
        model.add_section(kind, ea, ei, ei, 1.0)
    for name, a, b, kind in (
        ("r1", "D", "R", "rail"), ("r2", "E", "S", "rail"), ("w1", "R", "T", "wing"),
        ("w2", "S", "U", "wing"), ("c", "R", "S", "cross"), ("bar", "T", "U", "bar"),
    ):  # fmt: skip
        model.add_member(name, a, b, "m", kind)
    if pinned:
        model.def_releases("bar", Ryi=True, Rzi=True, Ryj=True, Rzj=True)
    for axis, force in (("FX", -np.cos(angle)), ("FY", -np.sin(angle))):
        if inboard:
            model.add_member_pt_load("bar", axis, force, inboard)
        else:
            model.add_node_load("T", axis, force)
    model.analyze_linear(check_stability=False)
    return float(np.asarray(model.members["bar"].f("Combo 1")).ravel()[6])


def ours(seed, inboard, pinned, angle):
    *sizes, metal = trial(seed)
    plan = front_plan(*sizes, metal, 0.0 if pinned else 1.0)
    found = hit(plan, float(plan.half_span[0]) - inboard).axial[:, 0]
    return float(found @ [np.cos(angle), np.sin(angle)])


def by_anastruct(angle):
    """Bar force with the load on the tip, by anastruct (rigid ends)."""
    model = SystemElements()
    places = {"D": (0, 0.45), "E": (0, -0.45), "R": (0.7, 0.45), "S": (0.7, -0.45),
              "T": (0.95, 0.6), "U": (0.95, -0.6)}  # fmt: skip
    members = [("D", "R", "rail"), ("E", "S", "rail"), ("R", "T", "wing"), ("S", "U", "wing"),
               ("R", "S", "cross"), ("T", "U", "bar")]  # fmt: skip
    for a, b, kind in members:
        ea, ei = METAL[kind]
        model.add_element([list(places[a]), list(places[b])], EA=ea, EI=ei)
    for name in "DE":
        model.add_support_fixed(model.find_node_id(list(places[name])))
    node = model.find_node_id(list(places["T"]))
    model.point_load(node, Fx=-np.cos(angle), Fy=-np.sin(angle))
    model.solve()
    result = model.get_element_results(6)
    return float(np.mean([result["Nmin"], result["Nmax"]]))


def tip_force(angle):
    plan = front_plan(0.9, 0.7, 0.15, 0.25, METAL, 1.0)
    return float(hit(plan, 0.6).axial[:, 0] @ [np.cos(angle), np.sin(angle)])


def by_hand():
    """Pinned bar between two cantilever wings on rails that neither bend nor give."""
    reach, forward, half = 0.15, 0.25, 0.6
    length, ei, ea, bar = np.hypot(reach, forward), 8e4, 1e8, 8e7
    sideways = forward / length, reach / length  # components of y across and along the wing
    give = sideways[0] ** 2 * length**3 / 3 / ei + sideways[1] ** 2 * length / ea
    cross = sideways[0] * sideways[1] * (length**3 / 3 / ei - length / ea)
    return cross / (2 * give + 2 * half / bar)


def clamped_wings():
    stiff = METAL | {"rail": (1e13, 1e13), "cross": (1e13, 1e13)}
    return float(hit(front_plan(0.9, 0.7, 0.15, 0.25, stiff, 0.0), 0.6).axial[0, 0])


LIBRARY = "PyNiteFEA 3.2 (library), same plane frame, random sizes"
CASES = [
    (seed, inboard, pinned, angle)
    for seed, inboard, pinned, angle in (
        (1, 0.0, False, 0.0), (2, 0.0, True, 0.0), (3, 0.2, False, 0.3), (4, 0.3, True, 0.5),
        (5, 0.0, False, 1.0), (6, 0.1, True, -0.4), (7, 0.25, False, -0.2), (8, 0.0, True, 0.8),
    )
]  # fmt: skip
CHECKS = [
    *(
        Check(f"front-bar.pynite.{case[0]}", "front-bar", LIBRARY, by_pynite(*case), 1e-6,
              lambda case=case: ours(*case), "N/N")
        for case in CASES
    ),
    *(
        Check(f"front-bar.anastruct.{angle}", "front-bar",
              "anastruct 1.7 (library), same plane frame, rigid ends", by_anastruct(angle), 1e-5,
              lambda angle=angle: tip_force(angle), "N/N")
        for angle in (0.0, 0.6)
    ),
    Check("front-bar.two-wings", "front-bar", "by hand: two cantilever wings joined by a pinned "
          "bar, force method", by_hand(), 1e-4, clamped_wings, "N/N"),
]  # fmt: skip


@settings(max_examples=30, deadline=None)
@given(st.floats(0.02, 0.4), st.floats(0.05, 0.6), st.floats(0, 1))
def test_both_signs_occur_on_one_and_the_same_bar(reach, forward, fixity):
    """Common practice, no source: it turns on how far out the legs reach and on the angle."""
    plan = front_plan(0.9, 0.7, reach, forward, METAL, fixity)
    straight, inward = hit(plan, plan.half_span).axial[:, 0]
    assert straight > 0 > inward
    assert 0 < sign_turns_at(straight, inward) < np.pi / 2


def test_the_farther_out_the_legs_reach_the_longer_it_is_pulled():
    """Common practice, no source."""
    angles = []
    for reach in (0.05, 0.15, 0.3):
        plan = front_plan(0.9, 0.7, reach, 0.25, METAL, 0.5)
        angles.append(float(sign_turns_at(*hit(plan, plan.half_span).axial[:, 0])))
    assert angles == sorted(angles)


@settings(max_examples=20, deadline=None)
@given(st.floats(0.0, 0.7), st.floats(0, 1))
def test_statics_of_the_bar(place, fixity):
    plan = front_plan(0.9, 0.7, 0.15, 0.25, METAL, fixity)
    found = hit(plan, place)
    # The inboard force on the span enters between the two tips; rearward it does not.
    jump = found.near_axial - found.axial
    expected = 1.0 if place < 0.6 else 0.0
    assert jump[0, 0] == pytest.approx(0, abs=1e-9)
    assert jump[1, 0] == pytest.approx(expected, abs=1e-9)


def test_a_load_on_the_centreline_moves_both_sides_alike():
    plan = front_plan(0.9, 0.7, 0.15, 0.25, METAL, 0.6)
    found = hit(plan, 0.0)
    assert found.shift[0, 0] == pytest.approx(0, abs=1e-15)
    assert found.near[0, 0] == pytest.approx(-found.far[0, 0])


@pytest.mark.parametrize("seed", range(6))
def test_a_bar_of_no_stiffness_is_no_bar(seed):
    *sizes, metal = trial(seed)
    soft = front_plan(*sizes, metal | {"bar": (1.0, 1e-3)}, 1.0)
    place = float(soft.half_span[0]) + 0.05
    none, found = hit_without_bar(soft, place), hit(soft, place)
    for key in ("spread", "shift", "tip_spread", "tip_shift"):
        assert getattr(found, key) == pytest.approx(none[key], rel=1e-4, abs=1e-12)


def test_a_stiff_bar_holds_the_spacing():
    none = hit_without_bar(front_plan(0.9, 0.7, 0.15, 0.25, METAL, 1.0), 0.65)
    stiff = front_plan(0.9, 0.7, 0.15, 0.25, METAL | {"bar": (1e12, 5e4)}, 0.0)
    assert abs(hit(stiff, 0.6).tip_spread[0, 0]) < 1e-3 * abs(none["tip_spread"][0, 0])


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"spacing": np.nan}, "spacing"), ({"rail": -1}, "rail"), ({"reach": -0.45}, "reach"),
        ({"reach": 0.0, "forward": 0.0}, "no length"), ({"fixity": 2}, "fixity"),
        ({"sections": METAL | {"bar": (0.0, 1.0)}}, "EA of the bar"),
        ({"sections": METAL | {"wing": (1.0, np.inf)}}, "EI of the wing"),
    ],
)  # fmt: skip
def test_refusals_name_the_argument(change, name):
    good = {"spacing": 0.9, "rail": 0.7, "reach": 0.1, "forward": 0.2, "sections": METAL}
    with pytest.raises(ValueError, match=name):
        front_plan(**{**good, "fixity": 0.5, **change})
