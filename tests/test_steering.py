"""Steering axes against exact geometry and a general solver."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference import band, rows, source
from scipy.linalg import null_space
from validation import Check

from atlas.mechanics.steering import (
    at_height,
    caster,
    five_link_axis,
    joint_axis,
    kingpin_inclination,
    link_axis,
    turned,
)


def _row(name):
    return next(r for r in rows("suspension") if r["id"] == name)


def _front(row):
    i = row["inputs"]
    low, high = ([0.0, *i[name]] for name in ("lower_ball", "upper_ball"))
    axis = joint_axis(np.array(low) / 1e3, np.array(high) / 1e3)
    return np.degrees(kingpin_inclination(axis)), i["contact_patch"][0] - at_height(axis, 0.0)[
        1
    ] * 1e3


def _vector():
    i = _row("steer.kpi_caster_vector")["inputs"]
    return joint_axis(np.array(i["lower"]) / 1e3, np.array(i["upper"]) / 1e3)


def _virtual(k):
    """Level links, ball high above: the axis meets their plane where their lines cross."""
    i = _row("steer.virtual_pivot.2")["inputs"]
    a, b, c, d = (
        np.array([*i[n], 0.0]) / 1e3
        for n in ("link1_outer", "link1_inner", "link2_outer", "link2_inner")
    )
    return at_height(link_axis([0.0, 0.7, 0.5], a, b, c, d), 0.0)[k] * 1e3


def _checks():
    for name in ("susp.scrub_radius.2", "susp.scrub_radius.3"):
        row = _row(name)
        want, (rel, _) = row["expected"], band(row)
        yield (
            f"{name}.kingpin",
            row,
            want["kingpin_inclination_deg"],
            rel,
            lambda r=row: _front(r)[0],
        )
        yield f"{name}.scrub", row, want["scrub_radius_mm"], rel, lambda r=row: _front(r)[1]
    row = _row("steer.kpi_caster_vector")
    want, (rel, _) = row["expected"], band(row)
    yield (
        "steer.vector.kingpin",
        row,
        want["kpi_deg"],
        2e-6,
        lambda: np.degrees(kingpin_inclination(_vector())),
    )
    yield (
        "steer.vector.caster",
        row,
        want["caster_deg"],
        2e-6,
        lambda: np.degrees(caster(_vector())),
    )
    row = _row("steer.virtual_pivot.2")
    want, (rel, _) = row["expected"], band(row)
    yield "steer.virtual.x", row, want["virtual_x_mm"], rel, lambda: _virtual(0)
    yield "steer.virtual.y", row, want["virtual_y_mm"], rel, lambda: _virtual(1)


def _screw(seed):
    """The axis of an upright on two links and a ball joint, from the constraints' null space."""
    rng = np.random.default_rng(seed)
    ball = np.array([-0.02, 0.7, 0.5]) + rng.uniform(-0.03, 0.03, 3)
    links = np.array([[[0.01, 0.7, 0.18], [-0.02, 0.36, 0.19]],
                      [[-0.06, 0.69, 0.19], [-0.33, 0.4, 0.2]]])  # fmt: skip
    (a, b), (c, d) = links + rng.uniform(-0.03, 0.03, links.shape)
    points = np.array([ball, ball, ball, a, c])
    lines = np.array([*np.eye(3), b - a, d - c])
    twist = null_space(np.hstack([np.cross(points, lines), lines]))[:, 0]
    spin, speed = twist[:3] * np.sign(twist[2]), twist[3:] * np.sign(twist[2])
    foot = np.cross(spin, speed) / (spin @ spin)  # nearest the origin, on the axis
    ground = foot - spin * foot[2] / spin[2]
    axis = link_axis(ball, a, b, c, d)
    return {
        "kingpin": (np.degrees(np.arctan2(-spin[1], spin[2])),
                    lambda: np.degrees(kingpin_inclination(axis))),
        "ground_x": (ground[0] * 1e3, lambda: at_height(axis, 0.0)[0] * 1e3),
        "ground_y": (ground[1] * 1e3, lambda: at_height(axis, 0.0)[1] * 1e3),
    }  # fmt: skip


CHECKS = [
    *(
        Check(name, "steering-axis", source(row), expected, max(rel, 1e-6), compute)
        for name, row, expected, rel, compute in _checks()
    ),
    *(
        Check(f"steer.null_space.{seed}.{what}", "steering-axis",
              "scipy.linalg.null_space (library) of five constraints, random places", expected,
              1e-6, compute)
        for seed in (1, 2)
        for what, (expected, compute) in _screw(seed).items()
    ),
]  # fmt: skip

near = st.floats(-0.05, 0.05)


def _links(dx, dy, dz):
    return (
        np.array([-0.02, 0.70, 0.50]),
        np.array([0.01 + dx, 0.70, 0.18]),
        np.array([-0.02, 0.36, 0.19 + dz]),
        np.array([-0.06, 0.69 + dy, 0.19]),
        np.array([-0.33, 0.40, 0.20]),
    )


@given(near, near, near)
def test_no_link_is_stretched_by_a_small_turn(dx, dy, dz):
    ball, a, b, c, d = _links(dx, dy, dz)
    axis = link_axis(ball, a, b, c, d)
    for outer, inner in ((a, b), (c, d)):
        moved = turned(outer, axis, 1e-5)
        change = np.linalg.norm(moved - inner) - np.linalg.norm(outer - inner)
        assert abs(change) < 1e-9
    assert turned(ball, axis, 0.3) == pytest.approx(ball)


@given(near, near, near)
def test_two_ways_of_finding_the_axis_agree(dx, dy, dz):
    """A ball joint is three constraints at one point: the general screw must find the same axis."""
    ball, a, b, c, d = _links(dx, dy, dz)
    one = link_axis(ball, a, b, c, d)
    lines = [(b - a) / np.linalg.norm(b - a), (d - c) / np.linalg.norm(d - c)]
    two = five_link_axis(np.array([ball, ball, ball, a, c]), np.array([*np.eye(3), *lines]))
    assert two.direction == pytest.approx(one.direction, abs=1e-9)
    assert two.pitch == pytest.approx(0.0, abs=1e-9)
    assert at_height(two, 0.0) == pytest.approx(at_height(one, 0.0), abs=1e-9)


@given(st.integers(0, 10_000))
def test_screw_agrees_with_a_null_space(seed):
    """Source: scipy.linalg.null_space of the constraint matrix."""
    rng = np.random.default_rng(seed)
    p, n = rng.normal(size=(5, 3)), rng.normal(size=(5, 3))
    twist = null_space(np.hstack([np.cross(p, n), n]))[:, 0]
    if abs(twist[2]) < 0.35 * np.linalg.norm(twist[:3]) or np.linalg.norm(twist[:3]) < 1e-3:
        return
    axis = five_link_axis(p, n)
    assert axis.direction == pytest.approx(
        twist[:3] / np.linalg.norm(twist[:3]) * np.sign(twist[2]), abs=1e-6
    )
    assert axis.pitch == pytest.approx(twist[:3] @ twist[3:] / (twist[:3] @ twist[:3]), abs=1e-6)


@given(st.floats(-3, 3), st.floats(-3, 3))
def test_turns_add_up_and_keep_distances(one, other):
    axis = joint_axis([0.01, 0.74, 0.18], [-0.02, 0.70, 0.5])
    point = np.array([0.0, 0.78, 0.0])
    both = turned(turned(point, axis, one), axis, other)
    assert both == pytest.approx(turned(point, axis, one + other), abs=1e-9)
    assert np.linalg.norm(both - axis.point) == pytest.approx(np.linalg.norm(point - axis.point))


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: joint_axis([0, 0, 1], [0, 0, 0]), "upper joint"),
        (lambda: joint_axis([0, 0, float("nan")], [0, 0, 1]), "upper joint"),
        (lambda: link_axis([0, 0, 1], [0, 0, 0], [0, -1, 0], [0, 0, 0], [0, -1, 0]), "alike"),
        (lambda: five_link_axis(np.zeros((5, 3)), np.ones((5, 3))), "undetermined"),
    ],
)
def test_refuses_what_leaves_no_axis(call, word):
    with pytest.raises(ValueError, match=word):
        call()
