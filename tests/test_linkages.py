"""Wheel linkages against textbook constructions and a general solver."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference import band, rows, source
from scipy.optimize import fsolve
from validation import Check

from atlas.mechanics.linkages import double_wishbone, strut


def _points(i, *names):
    return [tuple(np.asarray(v / 1e3) for v in i[name]) for name in names]


def _front_view(row):
    i = row["inputs"]
    names = ("lower_inner", "lower_outer", "upper_inner", "upper_outer", "contact_patch")
    return double_wishbone(*_points(i, *names), np.array(0.0))


def _bumped(row):
    """The pose whose lower ball joint has risen by the row's bump, turn by bisection."""
    i = row["inputs"]
    names = ("lower_inner", "lower_outer", "upper_inner", "upper_outer")
    li, lo, ui, uo = _points(i, *names)
    low, high = -0.5, 0.5
    for _ in range(80):
        middle = (low + high) / 2
        pose = double_wishbone(li, lo, ui, uo, (lo[0] + 0.04, lo[1] * 0), np.array(middle))
        low, high = (middle, high) if pose.lower[1] - lo[1] < i["bump_mm"] / 1e3 else (low, middle)
    return pose, lo


def _rows():
    for row in rows("suspension", "susp.front_view_ic"):
        want, (rel, _) = row["expected"], band(row)
        yield (
            "roll_centre",
            row,
            want["roll_centre_height_mm"],
            rel,
            lambda r=row: _front_view(r).roll_centre * 1e3,
        )
        yield "swing_arm", row, want["fvsa_mm"], rel, lambda r=row: _front_view(r).swing_arm * 1e3
    for row in rows("suspension", "susp.fourbar_camber"):
        want, (rel, _) = row["expected"], band(row)
        yield (
            "camber",
            row,
            -want["camber_change_deg"],
            rel,
            lambda r=row: np.degrees(_bumped(r)[0].camber),
        )
        yield (
            "ball_y",
            row,
            want["lower_ball_lateral_mm"],
            rel,
            lambda r=row: (_bumped(r)[0].lower[0] - _bumped(r)[1][0]) * 1e3,
        )
        yield (
            "upper_y",
            row,
            want["upper_outer_y_mm"],
            rel,
            lambda r=row: _bumped(r)[0].upper[0] * 1e3,
        )
        yield (
            "upper_z",
            row,
            want["upper_outer_z_mm"],
            rel,
            lambda r=row: _bumped(r)[0].upper[1] * 1e3,
        )


def _solved(seed):
    """Camber and upper joint of a random double wishbone, turned: the closure by fsolve."""
    rng = np.random.default_rng(seed)
    li, lo, ui, uo = (np.array(p) + rng.uniform(-0.03, 0.03, 2) for p in POINTS)
    angle = float(rng.uniform(0.1, 0.25) * rng.choice([-1, 1]))
    arm = lo - li
    turn_by = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    lower = li + turn_by @ arm

    def gaps(p):
        return [
            np.hypot(*(p - lower)) - np.hypot(*(uo - lo)),
            np.hypot(*(p - ui)) - np.hypot(*(uo - ui)),
        ]

    upper = fsolve(gaps, uo + lower - lo, xtol=1e-12)
    # Leaning in at the top is negative camber; y points outward.
    before, after = uo - lo, upper - lower
    lean = np.arctan2(after[0], after[1]) - np.arctan2(before[0], before[1])
    pose = double_wishbone(*map(tuple, (li, lo, ui, uo)), PATCH, np.array(angle))
    return {
        "camber": (np.degrees(lean), lambda: np.degrees(pose.camber)),
        "upper_y": (upper[0] * 1e3, lambda: pose.upper[0] * 1e3),
        "upper_z": (upper[1] * 1e3, lambda: pose.upper[1] * 1e3),
    }


POINTS = [(0.35, 0.19), (0.72, 0.18), (0.42, 0.43), (0.69, 0.48)]
PATCH = (0.76, 0.0)

CHECKS = [
    *(
        Check(f"{row['id']}.{what}", "arm-travel", source(row), expected, max(rel, 1e-5), compute)
        for what, row, expected, rel, compute in _rows()
    ),
    *(
        Check(f"linkage.fsolve.{seed}.{what}", "arm-travel",
              "scipy.optimize.fsolve (library) on the closure of a random four-bar", expected, 1e-6,
              compute)
        for seed in (1, 2)
        for what, (expected, compute) in _solved(seed).items()
    ),
]  # fmt: skip

turn = st.floats(-0.35, 0.35)


@given(turn)
def test_no_link_changes_its_length(angle):
    li, lo, ui, uo = POINTS
    pose = double_wishbone(li, lo, ui, uo, PATCH, np.array(angle))
    arms = (
        (pose.lower, li, lo, li),
        (pose.upper, ui, uo, ui),
        (pose.lower, pose.upper, lo, uo),
    )
    for a, b, c, d in arms:
        now = np.hypot(a[0] - b[0], a[1] - b[1])
        assert now == pytest.approx(np.hypot(c[0] - d[0], c[1] - d[1]), rel=1e-12)


@given(turn)
def test_agrees_with_a_general_equation_solver(angle):
    """Source: scipy.optimize.fsolve on the closure of the four-bar."""
    li, lo, ui, uo = (np.array(p) for p in POINTS)
    pose = double_wishbone(tuple(li), tuple(lo), tuple(ui), tuple(uo), PATCH, np.array(angle))
    lower = np.array([float(v) for v in pose.lower])

    def gaps(p):
        return [
            np.hypot(*(p - lower)) - np.hypot(*(uo - lo)),
            np.hypot(*(p - ui)) - np.hypot(*(uo - ui)),
        ]

    found = fsolve(gaps, uo + lower - lo, xtol=1e-9)
    assert [float(v) for v in pose.upper] == pytest.approx(found, abs=1e-7)


@given(turn)
def test_swing_arm_is_the_slope_of_the_tyre_prints_path(angle):
    """Source: the instant centre lies on the normal of the print's path (kinematics)."""
    li, lo, ui, uo = POINTS
    step = 1e-5
    before, pose, after = (
        double_wishbone(li, lo, ui, uo, PATCH, np.array(angle + k * step)) for k in (-1, 0, 1)
    )
    sideways = (after.patch_y - before.patch_y) / (after.patch_z - before.patch_z)
    assert sideways * pose.patch_y == pytest.approx(pose.roll_centre, rel=1e-4, abs=1e-6)


@given(turn)
def test_parallel_equal_arms_keep_their_camber(angle):
    pose = double_wishbone((0.3, 0.2), (0.7, 0.2), (0.3, 0.45), (0.7, 0.45), PATCH, np.array(angle))
    assert pose.camber == pytest.approx(0.0, abs=1e-12)


@given(turn)
def test_strut_leg_always_points_at_its_top_mount(angle):
    top = (0.58, 0.85)
    pose = strut((0.35, 0.19), (0.72, 0.18), top, PATCH, np.array(angle))
    design = np.arctan2(0.58 - 0.72, 0.85 - 0.18)
    now = np.arctan2(top[0] - pose.lower[0], top[1] - pose.lower[1])
    assert pose.camber == pytest.approx(now - design)


def test_out_of_reach_is_said():
    pose = double_wishbone((0.3, 0.2), (0.7, 0.2), (0.6, 0.45), (0.7, 0.45), PATCH, np.array(0.6))
    assert not pose.solved
    assert np.isnan(pose.camber)
