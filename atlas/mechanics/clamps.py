"""Clamped mounts: bosses in sheet, bolt groups, and clamping at one or two heights."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]


def boss_tilt_stiffness(
    boss: ArrayLike, free: ArrayLike, gauge: ArrayLike, modulus: ArrayLike, poisson: float = 0.3
) -> Floats:
    """Moment per angle that tilts a stiff boss in the middle of a sheet held at its rim.

    Args:
        boss: diameter of the boss, washer or sleeve [m].
        free: diameter of the sheet's held rim [m]; more than the boss.
        gauge: thickness of the sheet [m].
        modulus: elastic modulus [Pa].
        poisson: Poisson's ratio [-].

    Returns:
        Tilt stiffness [N m/rad].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: membrane stiffening, a rim that gives (it always does: take this as an upper bound).
    Source: thin-plate solution w = (A r + B r^3 + C/r + L r ln r) cos(phi); agrees with Roark's
    Formulas for Stress and Strain, Table 11.2, case 21 (clamped edge, trunnion-loaded).

    >>> round(float(boss_tilt_stiffness(20e-3, 200e-3, 3e-3, 210e9)))
    4934
    """
    ratio, flex = _sheet(boss, free, gauge, modulus, poisson)
    yielding = np.log(1 / ratio) - (1 - ratio**2) / (1 + ratio**2)
    return np.asarray(4 * np.pi * flex / yielding)


def boss_axial_stiffness(
    boss: ArrayLike, free: ArrayLike, gauge: ArrayLike, modulus: ArrayLike, poisson: float = 0.3
) -> Floats:
    """Force per travel that pulls a stiff boss out of the plane of a sheet held at its rim.

    Args:
        boss: diameter of the boss [m].
        free: diameter of the sheet's held rim [m]; more than the boss.
        gauge: thickness of the sheet [m].
        modulus: elastic modulus [Pa].
        poisson: Poisson's ratio [-].

    Returns:
        Axial stiffness [N/m].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: membrane stiffening, a rim that gives.
    Source: thin-plate solution w = A + B r^2 + C ln r + E r^2 ln r; tends to Timoshenko and
    Woinowsky-Krieger, Theory of Plates and Shells, 16 pi D / a^2 for a vanishing boss.

    >>> small = boss_axial_stiffness(1e-5, 0.2, 3e-3, 210e9)
    >>> flex = 210e9 * 3e-3**3 / 12 / (1 - 0.09)
    >>> round(float(small / (16 * np.pi * flex / 0.1**2)), 3)
    1.0
    """
    b, flex = _sheet(boss, free, gauge, modulus, poisson)
    log = np.log(b)
    edge = (2 * b**2 * log - (1 - b**2)) / (2 * (1 - b**2))
    travel = edge * (b**2 - 1) + (-2 * edge - 1) * log + b**2 * log
    radius = np.asarray(free, dtype=np.float64) / 2
    return np.asarray(8 * np.pi * flex / (radius**2 * travel))


def boss_push_stiffness(
    boss: ArrayLike, free: ArrayLike, gauge: ArrayLike, modulus: ArrayLike, poisson: float = 0.3
) -> Floats:
    """Force per travel that pushes a stiff boss within the plane of a sheet held at its rim.

    Args:
        boss: diameter of the boss [m].
        free: diameter of the sheet's held rim [m]; more than the boss.
        gauge: thickness of the sheet [m].
        modulus: elastic modulus [Pa].
        poisson: Poisson's ratio [-].

    Returns:
        In-plane stiffness [N/m].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: buckling of the sheet, a rim that gives.
    Source: plane stress by complex potentials (N. I. Muskhelishvili, Some Basic Problems of the
    Mathematical Theory of Elasticity): rigid disc in a ring whose rim is held.

    >>> round(float(boss_push_stiffness(30e-3, 100e-3, 3e-3, 210e9)) / 1e6)
    2232
    """
    ratio, _ = _sheet(boss, free, gauge, modulus, poisson)
    shear = np.asarray(modulus, dtype=np.float64) / (2 * (1 + poisson))
    kappa = (3 - poisson) / (1 + poisson)
    yielding = kappa**2 * np.log(1 / ratio) - (1 - ratio**2) / (1 + ratio**2)
    wall = np.asarray(gauge, dtype=np.float64)
    return np.asarray(2 * np.pi * shear * wall * (1 + kappa) * kappa / yielding)


def _sheet(
    boss: ArrayLike, free: ArrayLike, gauge: ArrayLike, modulus: ArrayLike, poisson: float
) -> tuple[Floats, Floats]:
    inner = within("boss", boss, 0, 1, above=True)
    outer = within("free", free, 0, 2, above=True)
    if np.any(inner > 0.95 * outer):
        raise ValueError("boss must be smaller than the free width around it")
    wall = within("gauge", gauge, 0, 0.1, above=True)
    e = within("modulus", modulus, 0, 1e12, above=True)
    return np.asarray(inner / outer), np.asarray(e * wall**3 / (12 * (1 - poisson**2)))


def opening_moment(preload: ArrayLike, boss: ArrayLike, hole: ArrayLike) -> Floats:
    """Moment at which a clamped ring face starts to open at its edge.

    Args:
        preload: clamp force [N].
        boss: outer diameter of the face [m].
        hole: inner diameter of the face [m].

    Returns:
        Moment [N m].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: settling, a face that is not flat.
    Source: core of a section (kern): edge stress F/A - M/W = 0 with W/A = (D^2 + d^2) / (8 D).

    >>> round(float(opening_moment(50e3, 30e-3, 0.0)), 1)
    187.5
    """
    outer = within("boss", boss, 0, 1, above=True)
    inner = within("hole", hole, 0, 1)
    if np.any(inner >= outer):
        raise ValueError("hole must be smaller than the boss")
    return np.asarray(within("preload", preload, 0, 1e7) * (outer**2 + inner**2) / (8 * outer))


def bolt_group_forces(
    x: ArrayLike,
    y: ArrayLike,
    push_x: ArrayLike,
    push_y: ArrayLike,
    moment: ArrayLike,
    areas: ArrayLike = 1.0,
) -> tuple[Floats, Floats]:
    """In-plane force on each bolt of a group between stiff plates.

    Args:
        x: position of each bolt, last axis [m].
        y: position of each bolt, last axis [m].
        push_x: force on the group at its centroid [N].
        push_y: force on the group at its centroid [N].
        moment: moment about the centroid, anticlockwise [N m].
        areas: area of each bolt, last axis, or any weight [m2].

    Returns:
        Force along x and along y on each bolt, last axis [N].

    Leaves out: friction, clearance in the holes, give of the plates.
    Source: elastic method of eccentrically loaded bolt groups: Shigley's Mechanical Engineering
    Design, 8th ed., 8-12, eqs. (8-56) and (8-57).

    >>> fx, fy = bolt_group_forces([0.0, 0.1], [0.0, 0.0], 0.0, 1000.0, 50.0)
    >>> abs(fy.round(6))
    array([   0., 1000.])
    """
    xs, ys, weight = np.broadcast_arrays(
        within("x", x, -10, 10), within("y", y, -10, 10), within("areas", areas, 0, 1e6, above=True)
    )
    total = weight.sum(axis=-1, keepdims=True)
    dx = xs - (weight * xs).sum(axis=-1, keepdims=True) / total
    dy = ys - (weight * ys).sum(axis=-1, keepdims=True) / total
    polar = (weight * (dx**2 + dy**2)).sum(axis=-1, keepdims=True)
    twist = np.asarray(moment, dtype=np.float64)[..., None] / np.maximum(polar, 1e-12)
    part = weight / total
    return (
        np.asarray(part * np.asarray(push_x)[..., None] - weight * dy * twist),
        np.asarray(part * np.asarray(push_y)[..., None] + weight * dx * twist),
    )


@dataclass(frozen=True)
class Mount:
    """How a mount answers a fore-aft force and a tilting moment."""

    tilt_stiffness: Floats  # [N m/rad] about its centre of stiffness
    tilt: Floats  # [rad]
    travel: Floats  # [m] at the height of the force
    first: Floats  # [N] force on the first plane
    second: Floats  # [N] force on the second plane
    through_faces: Floats  # [N m] moment that the clamped faces carry themselves


def mount_response(
    force: ArrayLike,
    arm: ArrayLike,
    moment: ArrayLike,
    first_stiffness: ArrayLike,
    second_stiffness: ArrayLike,
    depth: ArrayLike,
    face_stiffness: ArrayLike,
) -> Mount:
    """A stiff leg that is held fore and aft at two heights, and against tilting by its faces.

    Args:
        force: fore-aft force [N].
        arm: height of the force from the first plane towards the second [m]; may be negative.
        moment: further moment in the same sense [N m].
        first_stiffness: fore-aft stiffness of the first plane [N/m].
        second_stiffness: fore-aft stiffness of the second plane [N/m]; 0 where there is none.
        depth: distance between the planes [m].
        face_stiffness: tilt stiffness of all clamped faces together [N m/rad].

    Returns:
        Stiffness, tilt, travel and the forces on the planes [N m/rad, rad, m, N, N m].

    Raises:
        ValueError: nothing holds it against tilting (a mechanism), or an entry is out of range.

    Leaves out: bending of the leg and the bolts between the planes.
    Source: statics of a rigid body on springs, by hand.

    >>> m = mount_response(1e3, 0.03, 0.0, 1e8, 1e8, 0.06, 0.0)
    >>> float(m.first), float(m.second), round(float(m.tilt_stiffness))
    (500.0, 500.0, 180000)
    """
    k1 = within("first_stiffness", first_stiffness, 0, 1e13, above=True)
    k2 = within("second_stiffness", second_stiffness, 0, 1e13)
    d = within("depth", depth, 0, 2)
    face = within("face_stiffness", face_stiffness, 0, 1e12)
    push = within("force", force, -1e8, 1e8)
    turn = push * within("arm", arm, -5, 5) + within("moment", moment, -1e7, 1e7)
    pair = k1 * k2 / (k1 + k2) * d**2
    stiffness = face + pair
    if np.any(stiffness <= 0):
        raise ValueError(
            "nothing holds the mount against tilting: give it a face or a second plane"
        )
    # Equilibrium about the first plane with u its travel and t the tilt.
    centre = k2 * d / (k1 + k2)
    tilt = (turn - push * centre) / stiffness
    first_travel = (push - k2 * tilt * d) / (k1 + k2)
    second = k2 * (first_travel + tilt * d)
    travel = first_travel + tilt * np.asarray(arm)
    return Mount(
        np.asarray(stiffness), np.asarray(tilt), np.asarray(travel), np.asarray(k1 * first_travel),
        np.asarray(second), np.asarray(face * tilt),
    )  # fmt: skip
