"""The axis about which a wheel steers: through two joints, or the instantaneous one of links.

Coordinates: x forward, y outward, z up from the ground; last axis of every point.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Screw:
    """An axis in space with the travel along it for each turn."""

    direction: Floats  # [-] unit vector, upward
    point: Floats  # [m] a point of it
    pitch: Floats  # [m/rad]


def joint_axis(lower: ArrayLike, upper: ArrayLike) -> Screw:
    """Axis through a lower and an upper ball joint.

    Args:
        lower: lower joint [m].
        upper: upper joint or strut top [m].

    Returns:
        The axis [-, m, m/rad].

    Raises:
        ValueError: the upper joint is not above the lower one.

    Leaves out: bush give.
    Source: geometry.

    >>> joint_axis([0, 0, 0], [0, 0, 2]).direction
    array([0., 0., 1.])
    """
    low, high = np.broadcast_arrays(
        np.asarray(lower, dtype=np.float64), np.asarray(upper, dtype=np.float64)
    )
    line = high - low
    if not bool(np.all(line[..., 2] > 1e-6)):
        raise ValueError("upper joint must lie above the lower one")
    unit = line / np.linalg.norm(line, axis=-1, keepdims=True)
    return Screw(unit, low, np.zeros(unit.shape[:-1]))


def link_axis(
    ball: ArrayLike, outer: ArrayLike, inner: ArrayLike, outer2: ArrayLike, inner2: ArrayLike
) -> Screw:
    """Instantaneous axis of an upright held by one ball joint and two links.

    Args:
        ball: ball joint, on the body for this motion [m].
        outer: first link's joint on the upright [m].
        inner: first link's joint on the body [m].
        outer2: second link's joint on the upright [m].
        inner2: second link's joint on the body [m].

    Returns:
        The axis, through the ball [-, m, m/rad].

    Raises:
        ValueError: the links leave the axis undetermined or level (a mechanism).

    Leaves out: bush give, the tie rod (it only sets how far the wheel turns).
    Source: rigid-body kinematics: each link lets its outer joint move only square to itself, so the
    axis is square to (outer - ball) x link, for both links.

    >>> s = link_axis([0, 0, 1], [0.05, 0, 0], [0.2, -1, 0], [-0.05, 0, 0], [-0.2, -1, 0])
    >>> (s.direction / s.direction[2]).round(3) + 0.0
    array([ 0.   , -0.333,  1.   ])
    """
    centre, p, q, r, s = (
        np.asarray(v, dtype=np.float64) for v in (ball, outer, inner, outer2, inner2)
    )
    one = np.cross(p - centre, q - p)
    two = np.cross(r - centre, s - r)
    line = np.cross(one, two)
    size = np.linalg.norm(line, axis=-1, keepdims=True)
    scale = np.linalg.norm(one, axis=-1, keepdims=True) * np.linalg.norm(
        two, axis=-1, keepdims=True
    )
    if not bool(np.all(size > 1e-9 * scale)):
        raise ValueError(
            "the two links leave the steering axis undetermined: they must not be alike"
        )
    line = line / size
    if not bool(np.all(np.abs(line[..., 2]) > 0.2)):
        raise ValueError("the links give no steering axis that stands upright")
    line = line * np.sign(line[..., 2:])
    centre = np.broadcast_to(centre, line.shape)
    return Screw(line, centre, np.zeros(line.shape[:-1]))


def five_link_axis(outers: ArrayLike, lines: ArrayLike) -> Screw:
    """Instantaneous screw of an upright that five constraints hold.

    Args:
        outers: joints on the upright, shape (..., 5, 3) [m].
        lines: direction in which each joint cannot move, shape (..., 5, 3) [-].

    Returns:
        The screw [-, m, m/rad].

    Raises:
        ValueError: the constraints leave more than one motion, or none that turns upright.

    Leaves out: bush give.
    Source: screw theory, R. S. Ball; K. H. Hunt, Kinematic Geometry of Mechanisms: n . (v + w x p)
    = 0 for each constraint, solved with the upright turning at unit rate about the vertical.

    >>> pts = np.array([[0, 0, 0], [0, 0, 0], [0, 0, 0], [0, 0, 1], [0, 0, 1]], dtype=float)
    >>> dirs = np.array([[1, 0, 0], [0, 1, 0], [0, 0, 1], [1, 0, 0], [0, 1, 0]], dtype=float)
    >>> five_link_axis(pts, dirs).direction + 0.0
    array([0., 0., 1.])
    """
    p, n = np.broadcast_arrays(
        np.asarray(outers, dtype=np.float64), np.asarray(lines, dtype=np.float64)
    )
    moment = np.cross(p, n)  # n . (w x p) = w . (p x n)
    rows = np.concatenate([moment[..., :2], n], axis=-1)
    try:
        found = np.linalg.solve(rows, -moment[..., 2:])[..., 0]
    except np.linalg.LinAlgError:
        raise ValueError("the links leave the steering axis undetermined (a mechanism)") from None
    turn = np.concatenate([found[..., :2], np.ones_like(found[..., :1])], axis=-1)
    travel = found[..., 2:]
    if not bool(np.all(np.isfinite(found))) or bool(np.any(np.abs(turn[..., :2]) > 5)):
        raise ValueError("the links give no steering axis that stands upright")
    square = np.sum(turn**2, axis=-1, keepdims=True)
    point = np.cross(turn, travel) / square
    pitch = np.sum(turn * travel, axis=-1) / square[..., 0]
    return Screw(turn / np.sqrt(square), point, pitch)


def kingpin_inclination(axis: Screw) -> Floats:
    """Lean of the axis seen from the front, top inward positive.

    Args:
        axis: the steering axis [-].

    Returns:
        Angle [rad].

    Leaves out: roll and camber of the body.
    Source: ISO 8855, steering-axis inclination.

    >>> round(float(np.degrees(kingpin_inclination(joint_axis([0, 740, 180], [0, 700, 500])))), 3)
    7.125
    """
    return np.asarray(np.arctan2(-axis.direction[..., 1], axis.direction[..., 2]))


def caster(axis: Screw) -> Floats:
    """Lean of the axis seen from the side, top rearward positive.

    Args:
        axis: the steering axis [-].

    Returns:
        Angle [rad].

    Leaves out: pitch of the body.
    Source: ISO 8855, castor angle.

    >>> round(float(np.degrees(caster(joint_axis([15, 0, 180], [-20, 0, 500])))), 3)
    6.242
    """
    return np.asarray(np.arctan2(-axis.direction[..., 0], axis.direction[..., 2]))


def at_height(axis: Screw, height: ArrayLike) -> Floats:
    """Where the axis passes through a height.

    Args:
        axis: the steering axis [-, m].
        height: over the ground [m].

    Returns:
        The point [m].

    Leaves out: nothing.
    Source: geometry.

    >>> at_height(joint_axis([0.1, 0.7, 0.2], [0.1, 0.6, 0.4]), 0.0)
    array([0.1, 0.8, 0. ])
    """
    rise = np.asarray(height, dtype=np.float64) - axis.point[..., 2]
    return np.asarray(axis.point + axis.direction * (rise / axis.direction[..., 2])[..., None])


def turned(points: ArrayLike, axis: Screw, angle: ArrayLike) -> Floats:
    """Points after a turn about a screw.

    Args:
        points: shape (..., 3) [m].
        axis: the screw [-, m, m/rad].
        angle: turn about it, anticlockwise from above positive [rad].

    Returns:
        The points [m].

    Leaves out: nothing.
    Source: Rodrigues' rotation formula.

    >>> turned([1.0, 0, 0], joint_axis([0, 0, 0], [0, 0, 1]), np.pi / 2).round(6) + 0.0
    array([0., 1., 0.])
    """
    k, turn = axis.direction, np.asarray(angle, dtype=np.float64)[..., None]
    arm = np.asarray(points, dtype=np.float64) - axis.point
    along = np.sum(k * arm, axis=-1, keepdims=True)
    swung = arm * np.cos(turn) + np.cross(k, arm) * np.sin(turn) + k * along * (1 - np.cos(turn))
    return np.asarray(axis.point + swung + k * axis.pitch[..., None] * turn)
