"""Bolted joints: slip, shear, bearing, bending over a gap."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]


def slip_load(
    preload: ArrayLike, friction: ArrayLike, planes: ArrayLike = 1
) -> NDArray[np.float64]:
    """Shear force at which a clamped joint starts to slide.

    Args:
        preload: clamp force left in the bolt after settling [N], 0 to 1e6.
        friction: slip factor of the faying surfaces [-], 0 to 1.
        planes: friction planes [-], 1 in single shear, 2 in double shear.

    Returns:
        Slip load of one bolt [N]; the arguments broadcast, this is their common shape.

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: partial factors, slotted holes, preload lost to tension on the joint.
    Source: EN 1993-1-8:2005, 3.9.1, eq. (3.6), with k_s and gamma_M3 set to 1.

    >>> float(slip_load(20e3, 0.2, planes=2))
    8000.0
    >>> slip_load([20e3, 30e3], 0.2)
    array([4000., 6000.])
    """
    force = within("preload", preload, 0, 1e6)
    factor = within("friction", friction, 0, 1)
    return within("planes", planes, 1, 2) * factor * force


def shear_capacity(
    area: ArrayLike, strength: ArrayLike, planes: ArrayLike = 1, factor: ArrayLike = 0.6
) -> Floats:
    """Shear force at which the bolt is cut.

    Args:
        area: stress area where the thread lies in the plane, else the shank's [m2].
        strength: tensile strength of the bolt [Pa].
        planes: shear planes [-], 1 or 2.
        factor: 0.6; 0.5 for class 10.9 with the thread in the plane [-].

    Returns:
        Shear capacity of one bolt [N].

    Leaves out: partial factors, long joints, packings.
    Source: EN 1993-1-8:2005, Table 3.4, with gamma_M2 set to 1.

    >>> round(float(shear_capacity(84.3e-6, 800e6)) / 1e3, 1)
    40.5
    """
    cut = within("area", area, 0, 0.01, above=True) * within("strength", strength, 0, 5e9)
    return np.asarray(within("planes", planes, 1, 2) * within("factor", factor, 0.4, 0.8) * cut)


def tension_capacity(area: ArrayLike, strength: ArrayLike) -> Floats:
    """Pull at which the bolt breaks.

    Args:
        area: stress area [m2].
        strength: tensile strength of the bolt [Pa].

    Returns:
        Tension capacity of one bolt [N].

    Leaves out: partial factors, prying, pull-through.
    Source: EN 1993-1-8:2005, Table 3.4 (k2 = 0.9), with gamma_M2 set to 1.

    >>> round(float(tension_capacity(84.3e-6, 800e6)) / 1e3, 1)
    60.7
    """
    return np.asarray(
        0.9 * within("area", area, 0, 0.01, above=True) * within("strength", strength, 0, 5e9)
    )


def bearing_capacity(
    diameter: ArrayLike,
    hole: ArrayLike,
    gauge: ArrayLike,
    strength: ArrayLike,
    bolt_strength: ArrayLike,
    end_distance: ArrayLike,
    edge_distance: ArrayLike,
    spacing: ArrayLike | None = None,
    row_spacing: ArrayLike | None = None,
) -> Floats:
    """Force at which a bolt drags its hole out of shape.

    Args:
        diameter: nominal diameter of the bolt [m].
        hole: hole diameter [m].
        gauge: thickness of the ply [m].
        strength: tensile strength of the ply [Pa].
        bolt_strength: tensile strength of the bolt [Pa].
        end_distance: hole centre to the edge that the force points at [m].
        edge_distance: hole centre to the edge beside it [m].
        spacing: to the next bolt along the force [m]; where given, an inner bolt.
        row_spacing: to the next bolt across the force [m].

    Returns:
        Bearing capacity of one bolt [N].

    Raises:
        ValueError: a distance under the standard's least ones, 1.2 hole diameters to an edge.

    Leaves out: partial factors, slotted and countersunk holes.
    Source: EN 1993-1-8:2005, Table 3.4 (k1 and alpha_b), Table 3.3, with gamma_M2 set to 1.

    >>> round(float(bearing_capacity(20e-3, 22e-3, 12e-3, 430e6, 800e6, 40e-3, 30e-3)) / 1.25e3)
    106
    """
    d0 = within("hole", hole, 1e-3, 0.1)
    along = within("end_distance", end_distance, 0, 1)
    across = within("edge_distance", edge_distance, 0, 1)
    for name, reach in (("end_distance", along), ("edge_distance", across)):
        if np.any(reach < 1.2 * d0 * (1 - 1e-9)):
            raise ValueError(f"{name} must be at least 1.2 hole diameters for this formula")
    fu = within("strength", strength, 10e6, 3e9)
    ends = along / (3 * d0) if spacing is None else np.asarray(spacing) / (3 * d0) - 0.25
    alpha = np.minimum(np.minimum(ends, np.asarray(bolt_strength) / fu), 1.0)
    k1 = np.minimum(2.8 * across / d0 - 1.7, 2.5)
    if row_spacing is not None:
        k1 = np.minimum(k1, 1.4 * np.asarray(row_spacing) / d0 - 1.7)
    size = within("diameter", diameter, 1e-3, 0.1) * within("gauge", gauge, 0, 0.2, above=True)
    return np.asarray(k1 * alpha * fu * size)


def oversize_factors(diameter: ArrayLike, hole: ArrayLike) -> tuple[Floats, Floats]:
    """What a hole larger than the usual clearance takes off.

    Args:
        diameter: nominal diameter of the bolt [m].
        hole: hole diameter [m].

    Returns:
        Factors on slip load and on bearing capacity [-].

    Raises:
        ValueError: the hole is narrower than the bolt; the message names it.

    Leaves out: slots. Under M12 a quarter of the diameter is the limit (common practice, no
    source): EN 1090-2 would let those bolts have the 3 mm of M12, most of a small thread.
    Source: EN 1993-1-8:2005, Table 3.6 (k_s = 0.85); Table 3.4, note 1 (0.8 in bearing; from
    memory); clearances of EN 1090-2, Table 11, as copied at scribd.com/document/754155168: 3 mm to
    M14, 4 mm to M22, 6 mm at M24, 8 mm above.

    >>> slip, bears = oversize_factors(12e-3, [13.5e-3, 15e-3])
    >>> slip, bears
    (array([1.  , 0.85]), array([1. , 0.8]))
    """
    d = within("diameter", diameter, 1e-3, 0.1)
    d0 = within("hole", hole, 1e-3, 0.2)
    play = d0 - d
    if np.any(play < 0):
        raise ValueError("hole must be at least as wide as the bolt")
    steps = [d < 11.9e-3, d < 15e-3, d < 23e-3, d < 25e-3]
    limit = np.select(steps, [d / 4, 3e-3 + 0 * d, 4e-3 + 0 * d, 6e-3 + 0 * d], 8e-3)
    wide = play >= limit * (1 - 1e-9)
    return np.where(wide, 0.85, 1.0), np.where(wide, 0.8, 1.0)


def bolt_lever(outer: ArrayLike, inner: ArrayLike, gap: ArrayLike, planes: int) -> Floats:
    """Bolt bending moment over the shear force, once the joint has slipped.

    Args:
        outer: thickness of the outer ply, each of two in double shear [m].
        inner: thickness of the inner ply [m].
        gap: clear distance between neighbouring plies, spacers included [m].
        planes: shear planes [-], 1 or 2.

    Returns:
        Lever [m].

    Leaves out: clamping by head and nut in double shear; in single shear they are taken to hold the
    bolt's ends upright, which a thin plate does not fully do.
    Source: EN 1993-1-8:2005, 3.13.2, Figure 3.11 for double shear, F/8 (b + 4c + 2a); by hand for
    single shear, S-shaped bolt, F/2 (a/2 + c + b/2).

    >>> float(bolt_lever(4e-3, 8e-3, 0.0, 2)) * 1e3, float(bolt_lever(4e-3, 8e-3, 0.0, 1)) * 1e3
    (2.0, 3.0)
    """
    a = within("outer", outer, 0, 0.2, above=True)
    b = within("inner", inner, 0, 0.5, above=True)
    c = within("gap", gap, 0, 0.5)
    if planes == 2:
        return np.asarray((b + 4 * c + 2 * a) / 8)
    return np.asarray((a / 2 + c + b / 2) / 2)


def bending_capacity(
    lever: ArrayLike, diameter: ArrayLike, proof: ArrayLike, shear: ArrayLike
) -> Floats:
    """Force at which a bolt yields by shear and bending together.

    Args:
        lever: bending moment over force [m].
        diameter: diameter of the bolt where it bends [m].
        proof: 0.2 % proof strength of the bolt [Pa].
        shear: shear capacity without bending [N].

    Returns:
        Force on the bolt [N].

    Leaves out: partial factors, the bolt's tension.
    Source: EN 1993-1-8:2005, Table 3.10, pins: M_Rd = 1.5 W f_y and (M/M_Rd)^2 + (F/F_Rd)^2 = 1.

    >>> round(float(bending_capacity(0.0, 12e-3, 940e6, 50e3)))
    50000
    """
    arm = within("lever", lever, 0, 1)
    d = within("diameter", diameter, 1e-3, 0.1)
    moment = 1.5 * np.pi * d**3 / 32 * within("proof", proof, 0, 5e9, above=True)
    cut = within("shear", shear, 0, 1e8, above=True)
    return np.asarray(1 / np.sqrt((arm / moment) ** 2 + 1 / cut**2))
