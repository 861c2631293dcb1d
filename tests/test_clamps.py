"""Clamped mounts against handbook tables and worked bolt groups."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from validation import Check

from atlas.mechanics.clamps import (
    bolt_group_forces,
    boss_axial_stiffness,
    boss_push_stiffness,
    boss_tilt_stiffness,
    mount_response,
    opening_moment,
)

ROARK = "Roark's Formulas, Table 11.2, case 21, clamped edge, alpha of M/(E t^3) (from memory)"
SHIGLEY = "Shigley's Mechanical Engineering Design, 8th ed., example 8-7: 4 bolts, 16 kN, 6800 N m"
SEGUI = "W. T. Segui, Steel Design, 6th ed., problem 8.2-1, elastic analysis (published solution)"
SHEET = "AA-SM-004 bolt group sheet (after M. Niu, Airframe Stress Analysis and Sizing, ch. 9)"


def _trunnion(ratio):
    return 210e9 * 3e-3**3 / float(boss_tilt_stiffness(0.1 * ratio, 0.1, 3e-3, 210e9))


def _shigley():
    x = np.array([0.075, 0.075, -0.075, -0.075])
    y = np.array([0.06, -0.06, -0.06, 0.06])
    return np.hypot(*bolt_group_forces(x, y, 0.0, -16e3, -6800.0)) / 1e3


def _segui():
    y = np.array([-4.5, -1.5, 1.5, 4.5])
    return np.hypot(*bolt_group_forces(0 * y, y, 9.0, -12.0, -198.0)).max()


def _sheet():
    d = np.array([0.375, 0.25, 0.25, 0.375, 0.25, 0.375])
    x = np.array([1.0, -1.0, -1.0, 1.0, 0.0, 10.0])
    y = np.array([1.0, 1.0, -1.0, 5.0, 5.0, 2.0])
    return np.hypot(*bolt_group_forces(x, y, 0.0, -10000.0, 10641.0, d**2))


CHECKS = [
    *(
        Check(
            f"boss.tilt.{ratio}",
            "two-plane-mount",
            ROARK,
            alpha,
            0.02,
            lambda r=ratio: _trunnion(r),
        )
        for ratio, alpha in (
            (0.10, 1.149),
            (0.15, 0.813),
            (0.20, 0.595),
            (0.30, 0.320),
            (0.40, 0.167),
            (0.50, 0.081),
        )
    ),
    Check("group.shigley.a", "two-plane-mount", SHIGLEY, 21.0, 0.003, lambda: _shigley()[0], "kN"),
    Check("group.shigley.c", "two-plane-mount", SHIGLEY, 14.8, 0.004, lambda: _shigley()[2], "kN"),
    Check("group.segui", "two-plane-mount", SEGUI, 22.253, 1e-4, lambda: _segui(), "kip"),
    *(
        Check(
            f"group.sheet.{k + 1}",
            "two-plane-mount",
            SHEET,
            expected,
            0.01,
            lambda k=k: _sheet()[k],
            "N",
        )
        for k, expected in enumerate((2493, 1210, 1220, 2507, 1165, 1451))
    ),
]


def test_tilting_boss_agrees_with_a_numerical_plate():
    """Source: scipy.integrate.solve_bvp on the plate equation in its first harmonic."""
    from scipy.integrate import solve_bvp

    b, a, flex = 0.015, 0.05, 1.0

    def slope(r, w):
        # Biharmonic in cos(phi): with L w = w'' + w'/r - w/r^2, (L L) w = 0; w, w', Lw, (Lw)'.
        w0, w1, m0, m1 = w
        return np.array([w1, m0 - w1 / r + w0 / r**2, m1, -m1 / r + m0 / r**2])

    def ends(at_b, at_a):
        return np.array([at_b[0] - b, at_b[1] - 1.0, at_a[0], at_a[1]])

    r = np.linspace(b, a, 400)
    found = solve_bvp(slope, ends, r, np.zeros((4, r.size)), tol=1e-8, max_nodes=20000)
    assert found.success
    # L w = ... + 2 L / r, whose 1/r part carries the moment 4 pi D L (L the coefficient of r ln r).
    lw, lw1 = found.sol(b)[2:]
    coefficient = (lw - b * lw1) / 2 * b / 2
    gauge = (12 * (1 - 0.09) * flex / 210e9) ** (1 / 3)
    assert boss_tilt_stiffness(2 * b, 2 * a, gauge, 210e9) == pytest.approx(
        4 * np.pi * flex * abs(coefficient), rel=1e-3
    )


@given(
    st.floats(-1e5, 1e5),
    st.floats(-0.1, 0.1),
    st.floats(1e6, 1e9),
    st.floats(1e6, 1e9),
    st.floats(0.02, 0.2),
    st.floats(1e3, 1e6),
)
def test_mount_is_in_equilibrium(force, arm, first, second, depth, face):
    m = mount_response(force, arm, 0.0, first, second, depth, face)
    assert m.first + m.second == pytest.approx(force, abs=1e-6 * max(abs(force), 1))
    turn = m.through_faces + m.second * depth
    assert turn == pytest.approx(force * arm, abs=1e-6 * max(abs(force), 1))


@given(st.floats(0.02, 0.2), st.floats(1.1, 3))
def test_depth_counts_with_its_square(depth, more):
    one = mount_response(1e3, 0.0, 0.0, 1e8, 5e7, depth, 0.0).tilt_stiffness
    two = mount_response(1e3, 0.0, 0.0, 1e8, 5e7, depth * more, 0.0).tilt_stiffness
    assert two == pytest.approx(one * more**2)


def test_no_second_plane_is_one_plane():
    assert mount_response(1e3, 0.03, 0, 1e8, 0.0, 0.06, 2e4).tilt_stiffness == pytest.approx(2e4)


@given(st.lists(st.tuples(st.floats(-1, 1), st.floats(-1, 1)), min_size=2, max_size=6, unique=True))
def test_group_balances_force_and_moment(points):
    x, y = np.array(points).T
    fx, fy = bolt_group_forces(x, y, 3.0, -2.0, 5.0)
    assert fx.sum() == pytest.approx(3.0)
    assert fy.sum() == pytest.approx(-2.0)
    dx, dy = x - x.mean(), y - y.mean()
    if (dx**2 + dy**2).sum() > 1e-6:
        assert (dx * fy - dy * fx).sum() == pytest.approx(5.0)


@given(st.floats(0.05, 0.8), st.floats(1e-3, 5e-3))
def test_stiffer_with_gauge_and_with_a_bigger_boss(ratio, gauge):
    for law, power in (
        (boss_tilt_stiffness, 3),
        (boss_axial_stiffness, 3),
        (boss_push_stiffness, 1),
    ):
        one, thick = law(0.1 * ratio, 0.1, gauge, 70e9), law(0.1 * ratio, 0.1, 2 * gauge, 70e9)
        assert thick == pytest.approx(2**power * one)
        assert law(0.1 * ratio * 1.1, 0.1, gauge, 70e9) > one


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: boss_tilt_stiffness(0.1, 0.1, 1e-3, 7e10), "boss"),
        (lambda: boss_push_stiffness(0.01, 0.1, -1e-3, 7e10), "gauge"),
        (lambda: boss_axial_stiffness(0.01, float("nan"), 1e-3, 7e10), "free"),
        (lambda: opening_moment(1e4, 0.02, 0.03), "hole"),
        (lambda: mount_response(1e3, 0.1, 0, 1e8, 0.0, 0.1, 0.0), "nothing holds"),
        (lambda: mount_response(1e3, 0.1, 0, -1e8, 0.0, 0.1, 1.0), "first_stiffness"),
        (lambda: bolt_group_forces([0, float("inf")], [0, 1], 0, 0, 1), "x must"),
    ],
)
def test_refuses_by_name(call, word):
    with pytest.raises(ValueError, match=word):
        call()
