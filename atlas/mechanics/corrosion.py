"""Pairs of metals: difference of anodic index, and attack by the area that feeds it."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]

# Anodic index [V] below gold: published tables in the line of MIL-F-14072; graphite and carbon
# fibre are usually set with the noble metals (from memory).
INDEX: dict[str, float] = {
    "gold": 0.00,
    "carbon-fibre": 0.05,
    "silver": 0.15,
    "nickel": 0.30,
    "titanium": 0.30,
    "copper": 0.35,
    "brass": 0.45,
    "stainless-steel": 0.50,
    "chromium-steel": 0.60,
    "tin": 0.65,
    "aluminium-2xxx": 0.75,
    "steel": 0.85,
    "cast-iron": 0.85,
    "aluminium": 0.90,
    "aluminium-casting": 0.95,
    "zinc-dip": 1.20,
    "zinc-plate": 1.25,
    "magnesium": 1.75,
}
# Atomic mass over charge [kg/mol] and density [kg/m3] of the metals that dissolve.
_DISSOLVING: dict[str, tuple[float, float]] = {
    "steel": (55.845e-3 / 2, 7870.0),
    "cast-iron": (55.845e-3 / 2, 7200.0),
    "chromium-steel": (55.845e-3 / 2, 7700.0),
    "stainless-steel": (55.845e-3 / 2, 7900.0),
    "zinc-dip": (65.38e-3 / 2, 7140.0),
    "zinc-plate": (65.38e-3 / 2, 7140.0),
    "aluminium": (26.982e-3 / 3, 2700.0),
    "aluminium-2xxx": (26.982e-3 / 3, 2780.0),
    "aluminium-casting": (26.982e-3 / 3, 2680.0),
    "magnesium": (24.305e-3 / 2, 1740.0),
    "copper": (63.546e-3 / 2, 8960.0),
    "brass": (63.546e-3 / 2, 8500.0),
    "tin": (118.71e-3 / 2, 7290.0),
    "nickel": (58.693e-3 / 2, 8900.0),
    "titanium": (47.867e-3 / 4, 4500.0),
    "silver": (107.87e-3, 10500.0),
    "gold": (196.97e-3 / 3, 19300.0),
    "carbon-fibre": (12.011e-3 / 4, 1800.0),
}
FARADAY = 96485.33  # [C/mol] CODATA


def index_difference(one: str, other: str) -> float:
    """Difference of two metals' anodic indices [V].

    Args:
        one: a key of ``INDEX`` [-].
        other: a key of ``INDEX`` [-].

    Raises:
        ValueError: no such metal.

    Leaves out: passive films that break down, temperature, the electrolyte.
    Source: anodic index table in the line of MIL-F-14072, as published at
    vk6ysf.com/galvanic_table.htm.

    >>> round(index_difference("stainless-steel", "aluminium"), 2)
    0.4
    """
    for name in (one, other):
        if name not in INDEX:
            raise ValueError(f"metal must be one of {', '.join(INDEX)}, got {name!r}")
    return abs(INDEX[one] - INDEX[other])


def penetration(metal: str, current: ArrayLike) -> Floats:
    """How fast a current eats a metal away.

    Args:
        metal: a key of ``INDEX`` [-].
        current: current density on the metal [A/m2].

    Returns:
        Depth per time, even attack [m/s].

    Raises:
        ValueError: no such metal, or an entry outside its range.

    Leaves out: pits, which go deeper than the even attack; self-corrosion.
    Source: Faraday's law, M i / (z F rho); 1 A/m2 is 1.16 mm a year of iron (ASTM G102 gives
    11.6 um a year for 1 uA/cm2).

    >>> round(float(penetration("steel", 1.0)) * 1e3 * 3600 * 24 * 365.25, 2)
    1.16
    """
    if metal not in _DISSOLVING:
        raise ValueError(f"metal must be one of {', '.join(_DISSOLVING)}, got {metal!r}")
    mole, density = _DISSOLVING[metal]
    return np.asarray(within("current", current, 0, 1e5) * mole / (FARADAY * density))


def fed_current(
    limit: ArrayLike, area_ratio: ArrayLike, open_share: ArrayLike, wet_share: ArrayLike
) -> Floats:
    """Current density on the less noble metal, fed by oxygen on the nobler one.

    Args:
        limit: current density that oxygen allows on the nobler metal [A/m2].
        area_ratio: wet nobler area over wet less noble area [-].
        open_share: share of the nobler area that is bare [-], 0 to 1.
        wet_share: share of time that both are wet [-], 0 to 1.

    Returns:
        Mean current density on the less noble metal [A/m2].

    Leaves out: resistance of thin films, which keeps the attack near the joint.
    Source: catchment-area principle, G. V. Akimov; H. H. Uhlig and R. W. Revie, Corrosion and
    Corrosion Control, ch. on polarisation (from memory).

    >>> float(fed_current(0.1, 10.0, 0.5, 0.2))
    0.1
    """
    feeding = within("area_ratio", area_ratio, 0, 1e6) * within("open_share", open_share, 0, 1)
    return np.asarray(
        within("limit", limit, 0, 1e3) * feeding * within("wet_share", wet_share, 0, 1)
    )
