"""Struts: yield in tension, squash, flexural buckling with a bow or a crank."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]

# Imperfection factor and plateau. EN 1993-1-1:2005, Table 6.1 and 6.3.1.2 (a0 to d);
# EN 1999-1-1:2007, Table 6.6 (A: heat-treated, B: others).
CURVES: dict[str, tuple[float, float]] = {
    "a0": (0.13, 0.2),
    "a": (0.21, 0.2),
    "b": (0.34, 0.2),
    "c": (0.49, 0.2),
    "d": (0.76, 0.2),
    "A": (0.20, 0.1),
    "B": (0.32, 0.0),
}


def euler_load(
    modulus: ArrayLike, inertia: ArrayLike, length: ArrayLike, factor: ArrayLike = 1.0
) -> Floats:
    """Elastic buckling load of a straight strut.

    Args:
        modulus: elastic modulus [Pa].
        inertia: second moment of area about the weaker axis [m4].
        length: length between the end joints [m].
        factor: effective length over length [-]; 1 pinned, 0.7 one end clamped, 0.5 both, 2 free.

    Returns:
        Euler load [N].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: yield, bow, shear flexibility, torsional modes of open sections.
    Source: S. P. Timoshenko and J. M. Gere, Theory of Elastic Stability, 2nd ed., 2.1.

    >>> round(float(euler_load(210e9, 1e-6, 2.0)))
    518154
    """
    e = within("modulus", modulus, 0, 1e12, above=True)
    i = within("inertia", inertia, 0, 1, above=True)
    run = within("length", length, 0, 20, above=True)
    k = within("factor", factor, 0.5, 2.5)
    return np.asarray(np.pi**2 * e * i / (k * run) ** 2)


def reduction(slenderness: ArrayLike, curve: str = "a", bow: ArrayLike = 0.0) -> Floats:
    """Buckling load over squash load, from first yield of a bowed strut.

    Args:
        slenderness: non-dimensional slenderness, root of squash over Euler load [-].
        curve: a0, a, b, c, d (steel) or A, B (aluminium) [-].
        bow: known offset of the axis times area over elastic modulus, on top of the curve's own
            imperfection [-].

    Returns:
        Reduction factor [-], 0 to 1.

    Raises:
        ValueError: an entry is NaN or outside its range, or no such curve.

    Leaves out: partial factors, end moments other than by ``bow``.
    Source: EN 1993-1-1:2005, 6.3.1.2, eq. (6.49); EN 1999-1-1:2007, 6.3.1.2, eq. (6.50); both are
    Ayrton and Perry's first-yield equation, in which a known bow adds to the imperfection.

    >>> round(float(reduction(1.0, "a")), 4)
    0.6656
    """
    if curve not in CURVES:
        raise ValueError(f"curve must be one of {', '.join(CURVES)}, got {curve!r}")
    alpha, plateau = CURVES[curve]
    lam = within("slenderness", slenderness, 0, 30)
    extra = within("bow", bow, 0, 1e4)
    eta = alpha * np.maximum(lam - plateau, 0.0) + extra
    phi = 0.5 * (1 + eta + lam**2)
    return np.asarray(np.minimum(1.0, 1 / (phi + np.sqrt(np.maximum(phi**2 - lam**2, 0.0)))))


def johnson_stress(modulus: ArrayLike, strength: ArrayLike, ratio: ArrayLike) -> Floats:
    """Critical stress by Johnson's parabola, Euler's hyperbola beyond their tangent point.

    Args:
        modulus: elastic modulus [Pa].
        strength: yield strength [Pa].
        ratio: effective length over radius of gyration [-].

    Returns:
        Critical stress [Pa].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: bow and welds; it is a mean curve, above the standards' design curves.
    Source: Shigley's Mechanical Engineering Design, 8th ed., 4-13 (J. B. Johnson's formula).

    >>> round(float(johnson_stress(210e9, 350e6, 60)) / 1e6, 1)
    296.8
    """
    e = within("modulus", modulus, 0, 1e12, above=True)
    fy = within("strength", strength, 0, 5e9, above=True)
    slim = within("ratio", ratio, 0, 2000)
    turn = np.sqrt(2 * np.pi**2 * e / fy)
    parabola = fy * (1 - slim**2 / (2 * turn**2))
    return np.asarray(np.where(slim <= turn, parabola, np.pi**2 * e / np.maximum(slim, 1e-9) ** 2))


def weld_reduction(slenderness: ArrayLike, softened: ArrayLike, retained: ArrayLike) -> Floats:
    """What lengthwise welds leave of the buckling load of a heat-treated aluminium strut.

    Args:
        slenderness: non-dimensional slenderness [-].
        softened: share of the section that lies in the heat-affected zone [-], 0 to 1.
        retained: proof strength in the zone over the parent's [-], 0.2 to 1.

    Returns:
        Factor on the buckling load [-].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: welds across the strut away from its ends, which weaken it more.
    Source: EN 1999-1-1:2007, 6.3.1.2, Table 6.5, class A (from memory).

    >>> weld_reduction([0.2, 1.0, 2.0], 0.0, 0.5).round(2)
    array([1., 1., 1.])
    """
    lam = within("slenderness", slenderness, 0, 30)
    share = within("softened", softened, 0, 1)
    kept = within("retained", retained, 0.2, 1)
    left = 1 - share * (1 - kept)
    safe = np.maximum(lam, 1e-6)
    kappa = 1 - (1 - left) * 10**-safe - (0.05 + 0.1 * left) * safe ** (1.3 * (1 - safe))
    return np.asarray(np.where(left > 1 - 1e-12, 1.0, np.clip(np.minimum(kappa, 1.0), 0.0, 1.0)))
