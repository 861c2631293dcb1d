"""Flat plates: bending under pressure and a local load, dishing, piercing."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]

# Coefficients over a/b for nu = 0.3. Roark's Formulas for Stress and Strain, Table 11.4, cases 1a,
# 1b (all edges simply supported) and 8a, 8b (all edges clamped); in part from memory.
_RATIO = np.array([1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 3.0, 4.0, 5.0])
_TABLES: dict[str, tuple[float, ...]] = {
    "1a stress": (0.2874, 0.3762, 0.4530, 0.5172, 0.5688, 0.6102, 0.7134, 0.7410, 0.7476),
    "1a travel": (0.0444, 0.0616, 0.0770, 0.0906, 0.1017, 0.1110, 0.1335, 0.1400, 0.1417),
    "8a stress": (0.3078, 0.3834, 0.4356, 0.4680, 0.4872, 0.4974, 0.5000, 0.5000, 0.5000),
    "8a travel": (0.0138, 0.0188, 0.0226, 0.0251, 0.0267, 0.0277, 0.0284, 0.0284, 0.0284),
    "1b stress": (0.435, 0.650, 0.789, 0.875, 0.927, 0.958, 0.990, 1.000, 1.000),
    "1b travel": (0.1267, 0.1478, 0.1621, 0.1715, 0.1770, 0.1805, 0.1851, 0.1851, 0.1851),
    "8b centre": (-0.238, -0.078, 0.011, 0.053, 0.068, 0.067, 0.067, 0.067, 0.067),
    "8b edge": (0.7542, 0.8940, 0.9624, 0.9906, 1.000, 1.004, 1.008, 1.008, 1.008),
    "8b travel": (0.0611, 0.0706, 0.0754, 0.0777, 0.0786, 0.0788, 0.0791, 0.0791, 0.0791),
}
EDGES = ("supported", "clamped")


def coefficient(name: str, ratio: ArrayLike) -> Floats:
    """Coefficient of a rectangular plate from the table, between its rows by straight lines.

    Args:
        name: case and kind, such as "1a stress" [-].
        ratio: long side over short side [-], 1 to 20.

    Returns:
        Coefficient [-].

    Raises:
        ValueError: no such table, or a ratio outside the range.

    Leaves out: Poisson's ratios other than 0.3.
    Source: Roark's Formulas for Stress and Strain, Table 11.4, cases 1a, 1b, 8a and 8b.

    >>> float(coefficient("1a stress", 1.0))
    0.2874
    """
    if name not in _TABLES:
        raise ValueError(f"table must be one of {', '.join(_TABLES)}, got {name!r}")
    return np.asarray(np.interp(within("ratio", ratio, 1, 20), _RATIO, _TABLES[name]))


def pressed_plate(
    long: ArrayLike,
    short: ArrayLike,
    gauge: ArrayLike,
    modulus: ArrayLike,
    pressure: ArrayLike,
    edges: str,
) -> tuple[Floats, Floats]:
    """Largest stress and deflection of a plate under even pressure.

    Args:
        long: long side [m].
        short: short side [m].
        gauge: thickness [m].
        modulus: elastic modulus [Pa].
        pressure: pressure on it [Pa].
        edges: supported or clamped [-].

    Returns:
        Stress [Pa] and deflection at the centre [m].

    Raises:
        ValueError: an entry is NaN or outside its range, or edges unknown.

    Leaves out: membrane action, so take deflections above half the gauge as upper bounds.
    Source: Roark's Formulas for Stress and Strain, Table 11.4, cases 1a and 8a.

    >>> stress, travel = pressed_plate(0.6, 0.4, 2e-3, 210e9, 10e3, "clamped")
    >>> round(float(stress) / 1e6), round(float(travel) * 1e3, 1)
    (181, 3.6)
    """
    ratio, b, t, e = _plate(long, short, gauge, modulus)
    case = _case(edges, "1a", "8a")
    load = within("pressure", pressure, 0, 1e9)
    return (
        np.asarray(coefficient(f"{case} stress", ratio) * load * b**2 / t**2),
        np.asarray(coefficient(f"{case} travel", ratio) * load * b**4 / (e * t**3)),
    )


def struck_plate(
    long: ArrayLike,
    short: ArrayLike,
    gauge: ArrayLike,
    modulus: ArrayLike,
    force: ArrayLike,
    radius: ArrayLike,
    edges: str,
) -> tuple[Floats, Floats]:
    """Largest stress and deflection of a plate pushed over a small round patch at its centre.

    Args:
        long: long side [m].
        short: short side [m].
        gauge: thickness [m].
        modulus: elastic modulus [Pa].
        force: force [N].
        radius: radius of the patch [m].
        edges: supported or clamped [-].

    Returns:
        Stress [Pa] and deflection at the centre [m], linear theory.

    Raises:
        ValueError: an entry is NaN or outside its range, or edges unknown.

    Leaves out: membrane action (see ``dished``), yield.
    Source: Roark's Formulas for Stress and Strain, Table 11.4, cases 1b and 8b, nu = 0.3.

    >>> _, travel = struck_plate(2, 2, 1e-4, 17.472e6, 4e-4, 0.01, "clamped")
    >>> round(float(travel), 1)
    5.6
    """
    ratio, b, t, e = _plate(long, short, gauge, modulus)
    case = _case(edges, "1b", "8b")
    push = within("force", force, 0, 1e9)
    r = within("radius", radius, 0, 1, above=True)
    if np.any(2 * r > b):
        raise ValueError("radius must be at most half the short side")
    near = np.where(r < 0.5 * t, np.sqrt(1.6 * r**2 + t**2) - 0.675 * t, r)
    log = 1.3 * np.log(2 * b / (np.pi * near))
    unit = 3 * push / (2 * np.pi * t**2)
    if case == "1b":
        stress = unit * (log + coefficient("1b stress", ratio))
    else:
        centre = unit * (log + coefficient("8b centre", ratio))
        stress = np.maximum(centre, push / t**2 * coefficient("8b edge", ratio))
    travel = coefficient(f"{case} travel", ratio) * push * b**2 / (e * t**3)
    return np.asarray(stress), np.asarray(travel)


def dished(linear: ArrayLike, gauge: ArrayLike, edges: str) -> Floats:
    """Deflection with the membrane's help, from the linear one.

    Args:
        linear: deflection by linear theory [m].
        gauge: thickness [m].
        edges: supported or clamped; held from sliding in either case [-].

    Returns:
        Deflection [m].

    Raises:
        ValueError: an entry is NaN or outside its range, or edges unknown.

    Leaves out: bolts that creep in their holes, which halve the help.
    Source: S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., Table 82,
    central load: w/t + A (w/t)^3 = linear w/t with A = 0.443 clamped, 1.430 supported (from
    memory).

    >>> round(float(dished(10e-3, 2e-3, "clamped")) * 1e3, 2)
    3.81
    """
    t = within("gauge", gauge, 0, 0.1, above=True)
    ratio = within("linear", linear, 0, 1e6) / t
    a = 0.443 if _case(edges, "1", "8") == "8" else 1.430
    # Cardano for x + a x^3 = ratio: one real root.
    half = ratio / (2 * a)
    root = np.sqrt(half**2 + 1 / (27 * a**3))
    return np.asarray(t * (np.cbrt(half + root) + np.cbrt(half - root)))


def hinge_load(gauge: ArrayLike, strength: ArrayLike, edges: str) -> Floats:
    """Force at its centre at which a plate folds along plastic hinges.

    Args:
        gauge: thickness [m].
        strength: yield strength [Pa].
        edges: supported or clamped [-].

    Returns:
        Force [N].

    Raises:
        ValueError: an entry is NaN or outside its range, or edges unknown.

    Leaves out: size of the patch (larger patches carry more), membrane action.
    Source: yield lines under a point load, K. W. Johansen: 2 pi m supported, 4 pi m clamped with
    m = strength gauge^2 / 4 (from memory).

    >>> round(float(hinge_load(2e-3, 300e6, "clamped")))
    3770
    """
    t = within("gauge", gauge, 0, 0.1, above=True)
    fold = within("strength", strength, 1e5, 3e9) * t**2 / 4
    return np.asarray((2 if _case(edges, "1", "8") == "1" else 4) * np.pi * fold)


def punch_load(radius: ArrayLike, gauge: ArrayLike, tensile: ArrayLike) -> Floats:
    """Force that shears a plug out of a plate.

    Args:
        radius: radius of the patch [m].
        gauge: thickness [m].
        tensile: tensile strength [Pa].

    Returns:
        Force [N].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: tearing by stretch, which comes first under a blunt stone.
    Source: EN 1993-1-8:2005, Table 3.4, punching shear 0.6 pi d t f_u, gamma_M2 set to 1.

    >>> round(float(punch_load(10e-3, 2e-3, 400e6)))
    30159
    """
    r = within("radius", radius, 0, 1, above=True)
    t = within("gauge", gauge, 0, 0.1, above=True)
    return np.asarray(0.6 * 2 * np.pi * r * t * within("tensile", tensile, 1e5, 3e9))


def tear_travel(short: ArrayLike, radius: ArrayLike, elongation: ArrayLike) -> Floats:
    """Bulge at which a plate held at its rim tears beside the patch.

    Args:
        short: short side [m].
        radius: radius of the patch [m].
        elongation: strain that the metal stands, spread over the flank [-].

    Returns:
        Deflection [m].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: necking beside a sharp patch (earlier), metal drawn in from the rim (later).
    Source: geometry of a cone with straight flanks, whose length grows by the elongation.

    >>> round(float(tear_travel(0.4, 0.03, 0.2)) * 1e3)
    113
    """
    reach = within("short", short, 0, 10, above=True) / 2 - within("radius", radius, 0, 1)
    if np.any(reach <= 0):
        raise ValueError("radius must be less than half the short side")
    return np.asarray(reach * np.sqrt((1 + within("elongation", elongation, 0, 5)) ** 2 - 1))


def _plate(
    long: ArrayLike, short: ArrayLike, gauge: ArrayLike, modulus: ArrayLike
) -> tuple[Floats, Floats, Floats, Floats]:
    a = within("long", long, 0, 10, above=True)
    b = within("short", short, 0, 10, above=True)
    if np.any(a < b * (1 - 1e-12)):
        raise ValueError("long must be at least the short side")
    t = within("gauge", gauge, 0, 0.1, above=True)
    if np.any(t > b / 8):
        raise ValueError("gauge must be at most an eighth of the short side for thin-plate theory")
    return np.maximum(a / b, 1.0), b, t, within("modulus", modulus, 1e5, 1e12)


def _case(edges: str, supported: str, clamped: str) -> str:
    if edges not in EDGES:
        raise ValueError(f"edges must be one of {', '.join(EDGES)}, got {edges!r}")
    return supported if edges == "supported" else clamped
