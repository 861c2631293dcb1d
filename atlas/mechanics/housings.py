"""A steering or drive housing that stands in for a cross member, or works beside one.

Racking: two legs of length h on the body, joined across at their far ends; a side force on that
end turns both corners alike, so each cross part acts as a rotational spring on the leg. Bending:
the housing bolted along the member acts together with it as far as the bolts' slip allows.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .braces import end_spring
from .ranges import within

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Sway:
    """A bay under a unit side force: stiffness, and the moments at each corner."""

    stiffness: Floats  # [N/m]
    corner_moment: Floats  # per unit of side force, whole corner [m]


def corner_spring(bending: ArrayLike, span: ArrayLike, joint: ArrayLike) -> Floats:
    """What a cross part holds a leg's end with, when both ends turn alike.

    Args:
        bending: EI of the cross part in plan [N m2].
        span: between the legs [m].
        joint: rotational stiffness of its joint to the leg [N m/rad], infinite where rigid.

    Returns:
        Rotational spring at the leg's end [N m/rad].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: length of the joint itself, shear flexibility.
    Source: slope deflection, antisymmetric bending: 6 EI / L, in series with the joint.

    >>> float(corner_spring(1e4, 0.6, np.inf))
    100000.0
    """
    ei = within("bending", bending, 0, 1e12)
    run = within("span", span, 0, 10, above=True)
    held = np.asarray(joint, dtype=np.float64)
    if not np.all(held >= 0):
        raise ValueError("joint must not be negative")
    with np.errstate(divide="ignore"):
        return np.asarray(1 / (run / (6 * ei) + 1 / held))


def sway(leg: ArrayLike, length: ArrayLike, corner: ArrayLike, foot_fixity: ArrayLike) -> Sway:
    """Racking of a bay of two equal legs.

    Args:
        leg: EI of a leg in plan [N m2].
        length: of a leg [m].
        corner: rotational springs at a corner, all cross parts together [N m/rad].
        foot_fixity: of the legs' ends on the body, 0 hinge, 1 clamped [-].

    Returns:
        The bay's response to a unit side force.

    Raises:
        ValueError: an entry is NaN or outside its range, or the bay is a mechanism.

    Leaves out: stretching of legs and cross parts, shear flexibility.
    Source: slope deflection with end springs, W. McGuire, R. H. Gallagher, R. D. Ziemian, Matrix
    Structural Analysis, 2nd ed., ch. 13.

    >>> float(sway(1e4, 1.0, np.inf, 1.0).stiffness)  # two clamped legs, 24 EI/h3
    240000.0
    """
    ei = within("leg", leg, 0, 1e12, above=True)
    h = within("length", length, 0, 10, above=True)
    top = np.asarray(corner, dtype=np.float64)
    if not np.all(top >= 0):
        raise ValueError("corner must not be negative")
    foot = end_spring(foot_fixity, ei, h)
    if np.any((top <= 1e-9) & (foot <= 1e-9)):
        raise ValueError("foot_fixity and corner are both zero: the bay is a mechanism")
    with np.errstate(divide="ignore"):
        one = h / (3 * ei) + 1 / np.maximum(foot, 1e-9 * ei / h)
        two = h / (3 * ei) + 1 / np.maximum(top, 1e-9 * ei / h)
    cross = -h / (6 * ei)
    whole = one * two - cross**2
    # End moments of a leg whose ends cannot turn beyond their springs, per unit of slope.
    at_top = (one - cross) / whole
    at_foot = (two - cross) / whole
    stiffness = 2 * (at_top + at_foot) / h**2
    return Sway(np.asarray(stiffness), np.asarray(at_top / h / stiffness))


def jointed_bending(
    first: tuple[ArrayLike, ArrayLike],
    second: tuple[ArrayLike, ArrayLike],
    offset: ArrayLike,
    span: ArrayLike,
    pitch: ArrayLike,
    slip: ArrayLike,
) -> Floats:
    """Bending stiffness of two parts bolted side by side along their length.

    Args:
        first: EA and EI of one part [N], [N m2].
        second: EA and EI of the other [N], [N m2].
        offset: between their axes, in the direction of bending [m].
        span: between supports [m].
        pitch: of the bolts along the parts [m].
        slip: stiffness of one bolt in shear [N/m].

    Returns:
        Effective EI [N m2], between the plain sum and the full composite.

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: gaps, clearance in the holes, shear flexibility.
    Source: EN 1995-1-1:2004, Annex B (mechanically jointed beams), for two parts.

    >>> float(jointed_bending((1e8, 1e4), (1e8, 1e4), 0.1, 1.0, 0.1, 1e15).round())
    520000.0
    """
    a1, i1 = (
        within(f"first {k}", v, 0, 1e13, above=True) for k, v in zip("AI", first, strict=True)
    )
    a2, i2 = (
        within(f"second {k}", v, 0, 1e13, above=True) for k, v in zip("AI", second, strict=True)
    )
    e = within("offset", offset, 0, 2)
    run = within("span", span, 0, 10, above=True)
    s = within("pitch", pitch, 0, 10, above=True)
    k = within("slip", slip, 0, 1e18, above=True)
    gamma = 1 / (1 + np.pi**2 * a1 * s / (k * run**2))
    arm2 = gamma * a1 * e / (gamma * a1 + a2)
    arm1 = e - arm2
    return np.asarray(i1 + i2 + gamma * a1 * arm1**2 + a2 * arm2**2)


def foot_joint(bolts: ArrayLike, bolt: ArrayLike, spread: ArrayLike) -> Floats:
    """Rotational stiffness of a bolted foot in plan.

    Args:
        bolts: in the foot [-].
        bolt: shear stiffness of one, with the metal round it [N/m].
        spread: between the outermost bolts [m].

    Returns:
        Rotational stiffness [N m/rad]; nothing for one bolt.

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: clamp friction before slip (stiffer), clearance (softer).
    Source: elastic bolt group, sum of k r squared, bolts evenly spaced in a row; see EN
    1993-1-8:2005, 3.12.

    >>> float(foot_joint(2, 1e8, 0.1))
    500000.0
    """
    n = within("bolts", bolts, 1, 20)
    k = within("bolt", bolt, 0, 1e14)
    d = within("spread", spread, 0, 2)
    # Sum of squared distances from the middle of n points evenly spread over d.
    squares = d**2 * n * (n + 1) / np.maximum(12 * (n - 1), 1e-9)
    return np.asarray(np.where(n < 1.5, 0.0, k * squares))
