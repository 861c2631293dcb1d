"""Compliance steer, against a frame library's springs and the trade's rules of sign."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput
from atlas.mechanics.compliance import arm_compliance, lateral_steer
from tests.validation import Check

TOE = calculator("toe-compliance")


def by_frame_library(k1, k2, x1, x2, rack, tie, trail) -> float:
    """The same plan as stiff beams on springs in PyNiteFEA: knuckle rotation a newton."""
    from Pynite import FEModel3D

    model = FEModel3D()
    model.add_material("stiff", 1e9, 4e10, 0.3, 1)
    model.add_section("bar", 1e4, 1, 1, 1)  # no give along the strut
    # Plan: X along the car, Y toward its middle. Arm and knuckle are beams a metre apart, joined by
    # a strut with a hinge at either end, which hands on side force only.
    arm = {"rear": x2, "ball": 0.0, "front": x1}
    knuckle = {"patch": -trail, "axis": 0.0, "tie": tie}
    for y, beam in ((0, arm), (-1, knuckle)):
        for name, x in beam.items():
            model.add_node(name, x, y, 0)
            model.def_support(name, name in {"ball", "axis"}, False, True, True, True, False)
        for i, j in pairwise(sorted(beam, key=beam.__getitem__)):
            model.add_member(f"{i}-{j}", i, j, "stiff", "bar")
    model.add_member("strut", "axis", "ball", "stiff", "bar")
    model.def_releases("strut", Ryi=True, Rzi=True, Ryj=True, Rzj=True)
    model.def_support_spring("front", "DY", k1)
    model.def_support_spring("rear", "DY", k2)
    model.def_support_spring("tie", "DY", rack)
    model.add_node_load("patch", "FY", 1.0)
    model.analyze_linear()
    return float(model.nodes["tie"].RZ["Combo 1"])


MODELS = [
    (1.2e7, 2e6, 0.04, -0.3, 8e6, 0.12, 0.03),
    (1.2e7, 2e6, 0.05, -0.25, 8e6, -0.13, 0.03),
    (5e6, 4e6, 0.10, -0.20, 3e6, -0.11, 0.05),
    (2e7, 1e6, 0.04, -0.35, 2e7, 0.15, 0.04),
]
CHECKS = [
    Check(f"toe.frame-{i}", "toe-compliance", "PyNiteFEA: stiff beams on springs in plan",
          by_frame_library(*m), 1e-3, lambda m=m: float(lateral_steer(*m).toe), "rad/N")
    for i, m in enumerate(MODELS)
]  # fmt: skip

stiffness = st.floats(1e5, 5e7)


@settings(max_examples=100, deadline=None)
@given(stiffness, stiffness, stiffness, st.floats(0.05, 0.3), st.floats(0, 0.1))
def test_forces_balance(k1, k2, rack, tie, trail):
    for side in (tie, -tie):
        steer = lateral_steer(k1, k2, 0.02, -0.3, rack, side, trail)
        assert steer.front_bush + steer.rear_bush + steer.tie_rod == pytest.approx(1)
        moment = steer.tie_rod * side + (steer.front_bush * 0.02 - steer.rear_bush * 0.3)
        assert moment == pytest.approx(-trail, abs=1e-12)
        assert steer.front_bush * 0.02 == pytest.approx(steer.rear_bush * 0.3, abs=1e-12)


@settings(max_examples=100, deadline=None)
@given(stiffness, stiffness, stiffness, st.floats(0.05, 0.3), st.floats(0.0, 0.04))
def test_a_rack_ahead_always_steers_out(k1, k2, rack, tie, trail):
    # Common practice, no source: lateral give with the rack ahead of the axle steers the wheel out.
    assert lateral_steer(k1, k2, 0.0, -0.3, rack, tie, trail).toe < 0


def test_a_stiff_rack_behind_steers_in_and_a_soft_one_out():
    # Common practice, no source: a rack behind needs care that the arm does not give more than it.
    arm = (1e7, 2e6, 0.02, -0.3)
    assert lateral_steer(*arm, 1e9, -0.12, 0.03).toe > 0
    assert lateral_steer(*arm, 5e5, -0.12, 0.03).toe < 0


def test_limits():
    assert lateral_steer(1e11, 1e11, 0.0, -0.3, 1e11, 0.12, 0.03).toe == pytest.approx(0, abs=1e-9)
    # A bush in line with the ball joint carries all, so the other does not matter.
    assert arm_compliance(1e7, 1e5, 0, -0.3) == pytest.approx(1e-7)
    # Without trail the tie rod sees nothing.
    assert lateral_steer(1e7, 1e6, 0.02, -0.3, 1e6, 0.12, 0.0).tie_rod == 0


def test_neutral_rack_really_is_neutral():
    base = {"rack": "behind", "tie_arm": 120, "tie_rod": 1000, "front_bush": 10, "rear_bush": 2,
            "front_bush_at": 20, "rear_bush_at": 300, "trail": 40, "side_force": 4}  # fmt: skip
    neutral = run(TOE, {**base, "rack_mount": 10}).results["neutral_rack"].value
    mount = neutral * 1000 / (1000 - neutral)
    assert run(TOE, {**base, "rack_mount": mount}).results["toe"].value == pytest.approx(
        0, abs=1e-9
    )


def test_findings_decide():
    out = run(TOE, {}).findings
    assert any("out of the turn" in line for line in out)
    into = run(TOE, {"rack": "behind", "rack_mount": "40..60"}).findings
    assert any("into the turn" in line for line in into)
    open_ = run(TOE, {"rack": "behind", "rack_mount": "1..60", "trail": "30..60"}).findings
    assert any("of samples only" in line for line in open_)


@pytest.mark.parametrize(
    ("given", "name"),
    [
        ({"tie_arm": 5}, "tie_arm"),
        ({"front_bush_at": -200, "rear_bush_at": 100}, "behind front_bush_at"),
    ],
)
def test_refusals_name_the_input(given, name):
    with pytest.raises(BadInput, match=name):
        run(TOE, given)


def test_a_batch_is_one_call():
    many = lateral_steer(np.full(1000, 1e7), 1e6, 0.0, -0.3, 1e7, 0.12, 0.02)
    assert many.toe.shape == (1000,)
