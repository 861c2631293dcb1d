"""Corner statics against hand statics and a frame library."""

from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from validation import Check

from atlas.mechanics.corner import leg_forces, pivot_forces, section_area, upright_forces

HAND = "statics by hand: moments about the upper joint, brake force at the ground"
TRUSS = "method of joints by hand: 3-4-5 triangle under 12 kN"


def _braking(k):
    """Joints 0.3 m apart above each other, 0.2 m up; 4 kN rearward at the ground."""
    low, top, rod = [0, 0.7, 0.2], [0, 0.7, 0.5], [-0.1, 0.7, 0.2]
    joints = upright_forces(low, top, rod, "lower", [[0, 0.7, 0]], [[-4000.0, 0, 0]])
    return joints[k][0]


def _cornering(k):
    """The same with 4 kN inward at the ground."""
    low, top, rod = [0, 0.7, 0.2], [0, 0.7, 0.5], [-0.1, 0.7, 0.2]
    joints = upright_forces(low, top, rod, "lower", [[0, 0.7, 0]], [[0, -4000.0, 0]])
    return joints[k][1]


LIBRARY = "PyNiteFEA (library): upright of stiff members on its joints in space, random places"


@lru_cache(maxsize=4)
def _upright(seed):
    """A random upright: what we say of its joints, and what the frame library says."""
    from Pynite import FEModel3D

    rng = np.random.default_rng(seed)
    joints = {
        "low": np.array([0.0, 0.72, 0.2]) + rng.uniform(-0.04, 0.04, 3),
        "top": np.array([-0.03, 0.68, 0.5]) + rng.uniform(-0.04, 0.04, 3),
        "rod": np.array([-0.12, 0.7, 0.24]) + rng.uniform(-0.02, 0.02, 3),
    }
    patch, push = np.array([0.01, 0.78, 0.0]), rng.uniform(-8e3, 8e3, 3)
    carries = ("low", "top")[seed % 2]
    ours = upright_forces(
        *joints.values(), {"low": "lower", "top": "upper"}[carries], patch[None], push[None]
    )
    model = FEModel3D()
    model.add_material("m", 210e9, 80e9, 0.3, 0.0)
    model.add_section("s", 1e-3, 1e-6, 1e-6, 1e-6)
    for name, place in {**joints, "patch": patch}.items():
        model.add_node(name, *map(float, place))
    for name in joints:
        model.add_member(name, "patch", name, "m", "s")
        upright = name != "rod"
        model.def_support(name, upright, True, name == carries, False, False, False)
    for axis, force in zip("XYZ", push, strict=True):
        model.add_node_load("patch", f"F{axis}", float(force))
    model.analyze_linear(check_statics=False)
    theirs = [
        [getattr(model.nodes[name], f"RxnF{axis}")["Combo 1"] for axis in "XYZ"] for name in joints
    ]
    return np.array(ours), np.array(theirs)


def _against_library(seed):
    return [
        Check(
            f"corner.library.{seed}.{joint}.{axis}", "arm-loads", LIBRARY,
            float(_upright(seed)[1][j, k]), 1e-6,
            lambda j=j, k=k: _upright(seed)[0][j, k], "N", 1e-3,
        )
        for j, joint in enumerate(("lower", "upper", "rod"))
        for k, axis in enumerate("xyz")
        if not (joint == "rod" and axis != "y")
    ]  # fmt: skip


CHECKS = [
    *_against_library(1),
    *_against_library(2),
    # About the upper joint: L 0.3 = 4000 x 0.5; the rest at the top with the other sign.
    Check(
        "corner.brake.lower", "arm-loads", HAND, 4000 * 0.5 / 0.3, 1e-9, lambda: _braking(0), "N"
    ),
    Check(
        "corner.brake.upper", "arm-loads", HAND, -4000 * 0.2 / 0.3, 1e-9, lambda: _braking(1), "N"
    ),
    Check(
        "corner.side.lower", "arm-loads", HAND, 4000 * 0.5 / 0.3, 1e-9, lambda: _cornering(0), "N"
    ),
    Check(
        "corner.side.upper", "arm-loads", HAND, -4000 * 0.2 / 0.3, 1e-9, lambda: _cornering(1), "N"
    ),
    Check(
        "corner.legs.front",
        "arm-loads",
        TRUSS,
        7500.0,
        1e-9,
        lambda: leg_forces([0.0, 0.4], [0.3, 0.0], [-0.3, 0.0], [0.0, 12000.0])[0],
        "N",
    ),
    Check(
        "corner.section",
        "arm-loads",
        "bending by hand: W = 20 x 60^2 / 6 = 12000 mm3 carries 3.6 kN m at 300 MPa",
        1200.0,
        1e-9,
        lambda: section_area(3600.0, 0.0, 0.06, 300e6, 1 / 6) * 1e6,
        "mm2",
    ),
]

number = st.floats(-5e3, 5e3)


@given(number, number, number, st.floats(0.25, 0.6), st.sampled_from(["lower", "upper"]))
def test_upright_is_in_equilibrium(fx, fy, fz, top_z, carries):
    low, top = np.array([0.01, 0.74, 0.18]), np.array([-0.02, 0.7, 0.18 + top_z])
    rod, at = np.array([-0.11, 0.72, 0.22]), np.array([0.0, 0.78, 0.0])
    push = np.array([fx, fy, fz])
    joints = upright_forces(low, top, rod, carries, at[None], push[None])
    assert sum(joints) + push == pytest.approx(0, abs=1e-6)
    turn = np.cross(at, push) + sum(
        np.cross(p, f) for p, f in zip((low, top, rod), joints, strict=True)
    )
    assert turn == pytest.approx(0, abs=1e-6)


@given(number, number, st.sampled_from(["front", "rear", "both"]))
def test_pivots_balance_the_ball(fx, fy, axial):
    ball, front, rear = np.array([0.0, 0.74]), np.array([0.02, 0.36]), np.array([-0.28, 0.35])
    push = np.array([fx, fy])
    one, two = pivot_forces(ball, front, rear, push, axial)
    assert one + two == pytest.approx(push)

    def turn(p, f):
        return p[0] * f[1] - p[1] * f[0]

    assert turn(front, one) + turn(rear, two) == pytest.approx(turn(ball, push), abs=1e-6)


@given(number, number)
def test_legs_balance_the_ball(fx, fy):
    ball, front, rear = np.array([0.0, 0.74]), np.array([0.1, 0.36]), np.array([-0.28, 0.35])
    pulls = leg_forces(ball, front, rear, np.array([fx, fy]))
    given_back = sum(
        pull * (ball - end) / np.linalg.norm(ball - end)
        for pull, end in zip(pulls, (front, rear), strict=True)
    )
    assert given_back == pytest.approx([fx, fy], abs=1e-6)


def test_a_pinned_arm_agrees_with_a_frame_library():
    """Source: PyNiteFEA, two pinned bars in a plane."""
    from Pynite import FEModel3D

    model = FEModel3D()
    model.add_material("m", 210e9, 80e9, 0.3, 0.0)
    model.add_section("s", 1e-3, 1e-6, 1e-6, 1e-6)
    for name, (x, y) in {"ball": (0.0, 0.74), "f": (0.1, 0.36), "r": (-0.28, 0.35)}.items():
        model.add_node(name, x, y, 0.0)
    for name in ("f", "r"):
        model.add_member(name, name, "ball", "m", "s")
        model.def_releases(
            name, False, False, False, False, True, True, False, False, False, False, True, True
        )
        model.def_support(name, True, True, True, True, True, True)
    model.def_support("ball", False, False, True, True, True, True)
    model.add_node_load("ball", "FX", -4000.0)
    model.add_node_load("ball", "FY", 2500.0)
    model.analyze_linear(check_statics=False)
    pulls = leg_forces([0.0, 0.74], [0.1, 0.36], [-0.28, 0.35], [-4000.0, 2500.0])
    for name, pull in zip(("f", "r"), pulls, strict=True):
        assert -model.members[name].axial(0.1) == pytest.approx(pull, rel=1e-6)


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (
            lambda: upright_forces(
                [0, 0, 0], [0, 0, 1], [0, 0, 0.5], "lower", [[0, 0, 0]], [[1, 0, 0]]
            ),
            "tie_rod",
        ),
        (
            lambda: upright_forces(
                [0, 0, 0], [0, 0, 1], [1, 0, 0], "spring", [[0, 0, 0]], [[1, 0, 0]]
            ),
            "carries",
        ),
        (
            lambda: upright_forces(
                [0, 0, float("nan")], [0, 0, 1], [1, 0, 0], "lower", [[0, 0, 0]], [[1, 0, 0]]
            ),
            "joint",
        ),
        (lambda: pivot_forces([0, 1], [0, 0], [0, 0], [1, 1]), "pivots"),
        (lambda: pivot_forces([0, 1], [1, 0], [0, 0], [1, 1], "top"), "axial"),
        (lambda: leg_forces([0, 0], [1, 0], [-1, 0], [1, 1]), "line"),
        (lambda: section_area(1.0, 0.0, -1.0, 3e8, 0.3), "depth"),
    ],
)
def test_refuses_by_name(call, word):
    with pytest.raises(ValueError, match=word):
        call()
