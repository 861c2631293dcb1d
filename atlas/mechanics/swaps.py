"""One part in another metal: gauge and mass at equal stiffness or equal strength."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]

# How stiffness and strength grow with the one dimension that is free: stiffness with the n-th
# power, strength with the m-th, mass with the p-th. Ashby's cases: tie (area free),
# beam of square shape (area free), panel (thickness free); thin wall: gauge free in a closed
# profile of fixed size.
CASES: dict[str, tuple[float, float, float]] = {
    "tie": (1.0, 1.0, 1.0),
    "beam": (4.0, 3.0, 2.0),
    "panel": (3.0, 2.0, 1.0),
    "thin-wall": (1.0, 1.0, 1.0),
    "panel-buckling": (3.0, 3.0, 1.0),
}


def size_ratio(case: str, demand: str, property_from: ArrayLike, property_to: ArrayLike) -> Floats:
    """Free dimension in the new metal over that in the old.

    Args:
        case: tie, beam, panel, thin-wall or panel-buckling [-].
        demand: stiffness or strength [-].
        property_from: elastic modulus or strength of the old metal [Pa].
        property_to: the same of the new metal [Pa].

    Returns:
        Ratio of the free dimension (gauge, side or area's root) [-].

    Raises:
        ValueError: an unknown case or demand, or an entry outside its range.

    Leaves out: joints, least gauges, local buckling of a thinned wall.
    Source: M. F. Ashby, Materials Selection in Mechanical Design, ch. 5 (tie, beam, panel).

    >>> float(size_ratio("panel", "stiffness", 210e9, 70e9))
    1.44
    """
    if case not in CASES or demand not in ("stiffness", "strength"):
        raise ValueError(f"case must be one of {', '.join(CASES)}, demand stiffness or strength")
    old = within("property_from", property_from, 0, 5e12, above=True)
    new = within("property_to", property_to, 0, 5e12, above=True)
    power = CASES[case][0 if demand == "stiffness" else 1]
    return np.asarray((old / new) ** (1 / power))


def mass_ratio(
    case: str,
    demand: str,
    property_from: ArrayLike,
    property_to: ArrayLike,
    density_from: ArrayLike,
    density_to: ArrayLike,
) -> Floats:
    """Mass in the new metal over that in the old, for the same job.

    Args:
        case: tie, beam, panel, thin-wall or panel-buckling [-].
        demand: stiffness or strength [-].
        property_from: elastic modulus or strength of the old metal [Pa].
        property_to: the same of the new metal [Pa].
        density_from: density of the old metal [kg/m3].
        density_to: density of the new metal [kg/m3].

    Returns:
        Mass ratio [-].

    Raises:
        ValueError: an unknown case or demand, or an entry outside its range.

    Leaves out: joints, least gauges, cost.
    Source: M. F. Ashby, Materials Selection in Mechanical Design, ch. 5 and its table of indices:
    E/rho for ties, E^(1/2)/rho for beams, E^(1/3)/rho for panels.

    >>> round(float(mass_ratio("beam", "stiffness", 210e9, 70e9, 7850, 2700)), 3)
    0.596
    """
    old = within("density_from", density_from, 1, 3e4)
    new = within("density_to", density_to, 1, 3e4)
    size = size_ratio(case, demand, property_from, property_to)
    return np.asarray(size ** CASES[case][2] * new / old)


def boxed_gauge(width: ArrayLike, height: ArrayLike, inertia: ArrayLike) -> Floats:
    """Gauge of a sharp-cornered box of fixed outer size for a wanted second moment of area.

    Args:
        width: outer width [m].
        height: outer height, in the plane of bending [m].
        inertia: second moment of area wanted [m4].

    Returns:
        Gauge [m]; NaN where even the solid bar has less.

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: corner radii.
    Source: box section, exact, solved by bisection.

    >>> i = (0.06 * 0.08**3 - 0.055 * 0.075**3) / 12
    >>> round(float(boxed_gauge(0.06, 0.08, i)), 6)
    0.0025
    """
    b = within("width", width, 0, 2, above=True)
    h = within("height", height, 0, 2, above=True)
    want = within("inertia", inertia, 0, 1, above=True)
    b, h, want = np.broadcast_arrays(b, h, want)
    low, high = np.zeros(b.shape), np.minimum(b, h) / 2
    for _ in range(50):
        t = (low + high) / 2
        less = (b * h**3 - (b - 2 * t) * (h - 2 * t) ** 3) / 12 < want
        low, high = np.where(less, t, low), np.where(less, high, t)
    solid = b * h**3 / 12
    return np.asarray(np.where(want <= solid * (1 + 1e-9), (low + high) / 2, np.nan))
