"""A thin-walled rail under a force along it: fold from the tip, hinge at the kick, or bend."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .columns import euler_load, reduction
from .ranges import within

Floats = NDArray[np.float64]


class Box(NamedTuple):
    """Section figures of a thin rectangular box."""

    area: Floats
    inertia: Floats
    plastic_modulus: Floats


def thin_box(depth: ArrayLike, width: ArrayLike, gauge: ArrayLike) -> Box:
    """Area, second moment and plastic modulus for bending over the depth, by middle lines.

    Args:
        depth: of the middle line, in the plane of bending [m], 0.01 to 1.
        width: of the middle line, across it [m], 0.01 to 1.
        gauge: wall thickness [m], below a quarter of the smaller side.

    Returns:
        area [m2], second moment of area [m4], plastic modulus [m3].

    Raises:
        ValueError: outside a range; the message names the argument.

    Leaves out: corner radii, flanges, the walls' own thickness squared.
    Source: thin-walled section properties, T. Megson, Aircraft Structures, chapter 16
    (from memory).

    >>> round(float(thin_box(0.1, 0.1, 0.002).plastic_modulus) * 1e6, 6)
    30.0
    """
    d = within("depth", depth, 0.01, 1)
    b = within("width", width, 0.01, 1)
    t = within("gauge", gauge, 0, 0.1, above=True)
    if np.any(t > np.minimum(b, d) / 4):
        raise ValueError("gauge must be below a quarter of the smaller side")
    return Box(
        np.asarray(2 * t * (b + d)),
        np.asarray(t * (b * d**2 / 2 + d**3 / 6)),
        np.asarray(t * (b * d + d**2 / 2)),
    )


def hinge_force(squash: ArrayLike, moment: ArrayLike, offset: ArrayLike) -> Floats:
    """Force along an offset axis at which the section forms a plastic hinge.

    Args:
        squash: force that yields the whole section [N], above 0.
        moment: plastic moment of the section [N m], above 0.
        offset: of the axis from the section's centroid [m], 0 to 2.

    Returns:
        Force [N].

    Raises:
        ValueError: outside a range; the message names the argument.

    Leaves out: support of the kick by the dash or floor; second-order growth of the offset.
    Source: linear interaction N / N_pl + M / M_pl = 1, EN 1993-1-1:2005, 6.2.1 (7), conservative.

    >>> float(hinge_force(400e3, 20e3, 0.05))
    200000.0
    """
    n = within("squash", squash, 0, 1e9, above=True)
    m = within("moment", moment, 0, 1e8, above=True)
    e = within("offset", offset, 0, 2)
    return np.asarray(1 / (1 / n + e / m))


def buckling_force(
    modulus: ArrayLike, strength: ArrayLike, section: Box, length: ArrayLike, factor: ArrayLike
) -> Floats:
    """Force at which the straight run bends as a whole, yield and a usual bow counted.

    Args:
        modulus: elastic modulus [Pa].
        strength: yield strength [Pa], 1e6 to 3e9.
        section: of the rail, for bending about its weaker axis.
        length: of the straight run [m].
        factor: effective length over length [-].

    Returns:
        Force [N].

    Raises:
        ValueError: outside a range; the message names the argument.

    Leaves out: local buckling of the walls before; see ``walls.effective_share``.
    Source: EN 1993-1-1:2005, 6.3.1.2, curve b.

    >>> section = thin_box(0.1, 0.1, 0.002)
    >>> round(float(buckling_force(210e9, 350e6, section, 0.5, 0.7)) / 1e3)
    280
    """
    squash = section.area * within("strength", strength, 1e6, 3e9)
    slender = np.sqrt(squash / euler_load(modulus, section.inertia, length, factor))
    return np.asarray(squash * reduction(slender, "b"))


def fold_half_length(side: ArrayLike, gauge: ArrayLike) -> Floats:
    """Half length of a fold of a square tube.

    Args:
        side: of the middle line [m], 0.01 to 1.
        gauge: wall thickness [m], above 0.

    Returns:
        Half length H; a fold takes 2 H of rail [m].

    Raises:
        ValueError: outside a range; the message names the argument.

    Leaves out: triggers, multi-cell sections.
    Source: T. Wierzbicki, W. Abramowicz, J. Appl. Mech. 50 (1983) 727-734: 0.983 c^(2/3) h^(1/3)
    (constant from memory).

    >>> round(float(fold_half_length(0.08, 0.002)) * 1e3, 2)
    22.99
    """
    c = within("side", side, 0.01, 1)
    h = within("gauge", gauge, 0, 0.1, above=True)
    return np.asarray(0.983 * np.cbrt(c) ** 2 * np.cbrt(h))
