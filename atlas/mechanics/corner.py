"""Static equilibrium of a front corner: forces at ball joints, tie rod and arm pivots.

Coordinates: x forward, y outward, z up from the ground; last axis of every point and force.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]


def upright_forces(
    lower: ArrayLike,
    upper: ArrayLike,
    tie_rod: ArrayLike,
    carries: str,
    at: ArrayLike,
    forces: ArrayLike,
) -> tuple[Floats, Floats, Floats]:
    """What two joints and the tie rod put on the upright.

    Args:
        lower: lower ball joint [m].
        upper: upper ball joint, or the strut's top mount [m].
        tie_rod: tie rod's joint on the upright; it pushes sideways only [m].
        carries: which end takes the upright load: lower (spring on the lower arm) or upper (strut)
            [-].
        at: where each outside force acts, shape (..., k, 3) [m].
        forces: outside forces on the upright, shape (..., k, 3) [N].

    Returns:
        Forces of the lower joint, the upper joint and the tie rod on the upright [N].

    Raises:
        ValueError: joints that cannot hold the upright (a mechanism), or an entry out of range.

    Leaves out: inertia of the wheel, arms out of level, bush moments.
    Source: six equations of equilibrium of a rigid body, by hand.

    >>> low, top, rod = [0, 0.74, 0.2], [0, 0.7, 0.5], [-0.1, 0.7, 0.2]
    >>> l, u, t = upright_forces(low, top, rod, "lower", [[0, 0.74, 0]], [[0, 0, 4000.0]])
    >>> l.round(6) + 0.0
    array([    0.,     0., -4000.])
    """
    if carries not in ("lower", "upper"):
        raise ValueError(f"carries must be lower or upper, got {carries!r}")
    points = [within("joint", p, -5, 5) for p in (lower, upper, tie_rod)]
    low, top, rod = np.broadcast_arrays(*points)
    where = within("at", at, -5, 5)
    push = within("forces", forces, -1e7, 1e7)
    x, y, z = np.eye(3)
    columns = [
        (low, x),
        (low, y),
        (top, x),
        (top, y),
        (low if carries == "lower" else top, z),
        (rod, y),
    ]
    matrix = np.stack(
        [
            np.concatenate([np.broadcast_to(n, p.shape), np.cross(p, n)], axis=-1)
            for p, n in columns
        ],
        axis=-1,
    )
    total = np.concatenate([push, np.cross(where, push)], axis=-1).sum(axis=-2)
    matrix, total = _alike(matrix, total)
    scale = np.linalg.cond(matrix.reshape(-1, 6, 6)[:1])
    if not bool(np.all(np.isfinite(scale))) or float(scale[0]) > 1e8:
        raise ValueError(
            "these joints cannot hold the upright: tie_rod must stand off the steering axis"
        )
    found = np.linalg.solve(matrix, -total[..., None])[..., 0]
    zero = np.zeros_like(found[..., 0])
    spring = found[..., 4]
    lower_z, upper_z = (spring, zero) if carries == "lower" else (zero, spring)
    return (
        np.stack([found[..., 0], found[..., 1], lower_z], axis=-1),
        np.stack([found[..., 2], found[..., 3], upper_z], axis=-1),
        np.stack([zero, found[..., 5], zero], axis=-1),
    )


def _alike(matrix: Floats, total: Floats) -> tuple[Floats, Floats]:
    shape = np.broadcast_shapes(matrix.shape[:-2], total.shape[:-1])
    return np.broadcast_to(matrix, (*shape, 6, 6)), np.broadcast_to(total, (*shape, 6))


def pivot_forces(
    ball: ArrayLike, front: ArrayLike, rear: ArrayLike, force: ArrayLike, axial: str = "rear"
) -> tuple[Floats, Floats]:
    """What a ball joint's force in plan puts on an arm's two pivots.

    Args:
        ball: outer joint in plan: x, y [m].
        front: front pivot in plan [m].
        rear: rear pivot in plan [m].
        force: force of the upright on the arm in plan [N].
        axial: which pivot takes the fore-aft force: front, rear or both [-].

    Returns:
        Forces of the arm on the front and on the rear pivot in plan [N].

    Raises:
        ValueError: the pivots lie on one spot fore and aft, or an entry is out of range.

    Leaves out: bush moments, forces up and down.
    Source: equilibrium in plan, by hand.

    >>> front, rear = pivot_forces([0, 0.4], [0.0, 0.0], [-0.3, 0.0], [0.0, 3000.0])
    >>> front + 0.0, rear + 0.0
    (array([   0., 3000.]), array([0., 0.]))
    """
    b, f, r = (within(n, p, -5, 5) for n, p in (("ball", ball), ("front", front), ("rear", rear)))
    push = within("force", force, -1e7, 1e7)
    share = {"front": 1.0, "rear": 0.0, "both": 0.5}
    if axial not in share:
        raise ValueError(f"axial must be one of {', '.join(share)}, got {axial!r}")
    span = f[..., 0] - r[..., 0]
    if np.any(np.abs(span) < 1e-3):
        raise ValueError("front and rear pivots must stand at least 1 mm apart fore and aft")
    fx = share[axial] * push[..., 0]
    # Moments about the rear pivot: what the pivots give back must balance the ball's force.
    moment = (b[..., 0] - r[..., 0]) * push[..., 1] - (b[..., 1] - r[..., 1]) * push[..., 0]
    fy = (moment + (f[..., 1] - r[..., 1]) * fx) / span
    one = np.stack(np.broadcast_arrays(fx, fy), axis=-1)
    return np.asarray(one), np.asarray(push - one)


def leg_forces(
    ball: ArrayLike, front: ArrayLike, rear: ArrayLike, force: ArrayLike
) -> tuple[Floats, Floats]:
    """Pull in the two legs of a triangulated arm, or in two separate links.

    Args:
        ball: outer joint in plan: x, y [m].
        front: front pivot in plan [m].
        rear: rear pivot in plan [m].
        force: force of the upright on the arm in plan [N].

    Returns:
        Pull in the front and in the rear leg, push negative [N].

    Raises:
        ValueError: the legs lie in one line.

    Leaves out: bending at stiff corners.
    Source: method of joints, by hand.

    >>> front, rear = leg_forces([0, 1], [1, 0], [-1, 0], [0.0, 1000.0])
    >>> round(float(front), 1), round(float(rear), 1)
    (707.1, 707.1)
    """
    b, push = np.asarray(ball, dtype=np.float64), np.asarray(force, dtype=np.float64)
    legs = []
    for end in (front, rear):
        leg = b - np.asarray(end, dtype=np.float64)
        legs.append(leg / np.linalg.norm(leg, axis=-1, keepdims=True))
    (ax, ay), (bx, by) = (np.moveaxis(leg, -1, 0) for leg in legs)
    det = ax * by - ay * bx
    if np.any(np.abs(det) < 1e-3):
        raise ValueError("front and rear legs must not lie in one line")
    fx, fy = push[..., 0], push[..., 1]
    return np.asarray((fx * by - fy * bx) / det), np.asarray((ax * fy - ay * fx) / det)


def section_area(
    moment: ArrayLike, axial: ArrayLike, depth: ArrayLike, allowed: ArrayLike, fullness: ArrayLike
) -> Floats:
    """Metal that a profile needs for bending and pull together.

    Args:
        moment: bending moment [N m].
        axial: pull or push [N].
        depth: depth of the profile in the plane of bending [m].
        allowed: stress allowed [Pa].
        fullness: section modulus over area times depth: 1/6 solid, near 1/3 thin box, 0.45 I [-].

    Returns:
        Area of metal [m2].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: buckling of thin walls, joints, fatigue.
    Source: stress = M / (c A h) + N / A, solved for A.

    >>> round(float(section_area(1000.0, 0.0, 0.06, 300e6, 1 / 6)) * 1e6, 1)
    333.3
    """
    h = within("depth", depth, 1e-3, 1)
    shape = within("fullness", fullness, 0.05, 0.5)
    stress = within("allowed", allowed, 1e6, 3e9)
    return np.asarray((np.abs(moment) / (shape * h) + np.abs(axial)) / stress)
