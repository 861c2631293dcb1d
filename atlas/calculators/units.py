"""Units: the trade's own in a table, any other sensible one by pint, which loads only then."""

import re
from functools import lru_cache
from typing import TYPE_CHECKING

from atlas.errors import BadInput

if TYPE_CHECKING:
    import pint

# Factor from the unit to SI base units (rad, m, kg, s, A, money as it is). A test holds the table
# against pint.
_DEG = 0.017453292519943295
SI: dict[str, float] = {
    "": 1.0,
    "%": 0.01,
    "um": 1e-6,
    "mm": 1e-3,
    "m": 1.0,
    "1/m": 1.0,
    "mm2": 1e-6,
    "mm3": 1e-9,
    "mm4": 1e-12,
    "m2": 1.0,
    "N": 1.0,
    "kN": 1e3,
    "N mm": 1e-3,
    "N m": 1.0,
    "kN mm": 1.0,
    "kN m": 1e3,
    "kN m2": 1e3,
    "N/mm": 1e3,
    "kN/mm": 1e6,
    "kN/m": 1e3,
    "mm/kN": 1e-6,
    "N m/rad": 1.0,
    "kN m/rad": 1e3,
    "kN m/deg": 1e3 / _DEG,
    "N m/deg": 1.0 / _DEG,
    "deg/kN": _DEG * 1e-3,
    "deg/mm": _DEG * 1e3,
    "kN/mm/kg": 1e6,
    "Pa": 1.0,
    "MPa": 1e6,
    "GPa": 1e9,
    "N/mm2": 1e6,
    "kg": 1.0,
    "g": 1e-3,
    "t": 1e3,
    "kg/m": 1.0,
    "kg/m3": 1.0,
    "kg m2": 1.0,
    "J": 1.0,
    "kJ": 1e3,
    "kJ/kg": 1e3,
    "s": 1.0,
    "ms": 1e-3,
    "min": 60.0,
    "h": 3600.0,
    "Hz": 1.0,
    "1/s": 1.0,
    "m/s": 1.0,
    "mm/s": 1e-3,
    "km/h": 1.0 / 3.6,
    "m/s2": 1.0,
    "N s/m": 1.0,
    "deg": _DEG,
    "rad": 1.0,
    "V": 1.0,
    "mV": 1e-3,
    "MS/m": 1e6,
    "px": 1.0,
    "mm/px": 1e-3,
    "EUR": 1.0,
    "EUR/kg": 1.0,
    "EUR/h": 1.0 / 3600.0,
    "kEUR": 1e3,
}

_GRAMMAR = re.compile(r"[A-Za-z_]+(\*\*-?\d)?([*/][A-Za-z_]+(\*\*-?\d)?)*")

# What a result becomes when imperial units are asked for.
IMPERIAL: dict[str, tuple[str, float]] = {
    "mm": ("in", 1 / 25.4),
    "m": ("ft", 1 / 0.3048),
    "mm2": ("in2", 1 / 25.4**2),
    "mm3": ("in3", 1 / 25.4**3),
    "mm4": ("in4", 1 / 25.4**4),
    "N": ("lbf", 1 / 4.4482216152605),
    "kN": ("kip", 1 / 4.4482216152605),
    "N mm": ("lbf in", 1 / 112.9848290276167),
    "N m": ("lbf ft", 1 / 1.3558179483314),
    "kN m": ("kip ft", 1 / 1.3558179483314),
    "kN m2": ("kip ft2", 1 / (4.4482216152605 * 0.3048**2)),
    "N/mm": ("lbf/in", 1 / 0.175126835246477),
    "kN/mm": ("kip/in", 1 / 0.175126835246477),
    "MPa": ("ksi", 1 / 6.894757293168),
    "N/mm2": ("ksi", 1 / 6.894757293168),
    "GPa": ("Mpsi", 1 / 6.894757293168),
    "kg": ("lb", 1 / 0.45359237),
    "g": ("oz", 1 / 28.349523125),
    "kg/m": ("lb/ft", 0.3048 / 0.45359237),
    "kJ": ("kip ft", 1 / 1.3558179483314),
    "J": ("lbf ft", 1 / 1.3558179483314),
    "km/h": ("mph", 1 / 1.609344),
    "m/s": ("ft/s", 1 / 0.3048),
}


def factor(unit: str) -> float:
    """Factor that takes a declared unit to SI base units.

    >>> factor("kN/mm")
    1000000.0
    """
    return SI[unit]


def convert(number: float, unit: str, own: str, name: str) -> float:
    """Express ``number`` ``unit`` in the input's own unit.

    Args:
        number: as typed.
        unit: as typed; empty means the own unit.
        own: the declared unit.
        name: the input's name, for the message.

    Raises:
        BadInput: the unit is unknown or of another dimension.

    >>> round(convert(0.1, "in", "mm", "gauge"), 6)
    2.54
    >>> convert(2, "kN", "mm", "gauge")
    Traceback (most recent call last):
    atlas.errors.BadInput: gauge: kN is not a unit of mm; give it in mm or a unit of the same kind
    """
    if not unit or unit == own:
        return number
    if unit in SI and own in SI and _kind(unit) == _kind(own):
        return number * SI[unit] / SI[own]
    return number * _by_pint(unit, own, name)


@lru_cache(maxsize=256)
def _by_pint(unit: str, own: str, name: str) -> float:
    import pint  # 150 ms, so only where somebody typed a foreign unit

    remedy = f"give it in {own} or a unit of the same kind" if own else "give a plain number"
    if not _GRAMMAR.fullmatch(_spelled(unit)):  # pint's parser would choke, each time otherwise
        raise BadInput(f"unknown unit {unit[:60]!r}", name, remedy)
    registry = _registry()
    try:
        asked = registry.parse_units(_spelled(unit))
        target = registry.parse_units(_spelled(own))
    except (pint.errors.PintError, ValueError, AttributeError):
        raise BadInput(f"unknown unit {unit[:60]!r}", name, remedy) from None
    if asked.dimensionality != target.dimensionality:
        raise BadInput(f"{unit[:60]} is not a unit of {own or 'plain numbers'}", name, remedy)
    return float((1 * asked).to(target).magnitude)


@lru_cache(maxsize=1)
def _registry() -> "pint.UnitRegistry[float]":
    import pint

    registry: pint.UnitRegistry[float] = pint.UnitRegistry(cache_folder=None)
    registry.define("money = [money] = EUR")
    registry.define("kEUR = 1000 * EUR")
    registry.define("MS = 1e6 * siemens")
    return registry


_KINDS: dict[str, str] = {
    "N/mm2": "stress", "MPa": "stress", "GPa": "stress", "Pa": "stress",
    "um": "length", "mm": "length", "m": "length", "N": "force", "kN": "force",
    "N mm": "moment", "N m": "moment", "kN mm": "moment", "kN m": "moment",
    "N/mm": "stiffness", "kN/mm": "stiffness", "kN/m": "stiffness",
    "kg": "mass", "g": "mass", "t": "mass", "J": "energy", "kJ": "energy",
    "s": "time", "ms": "time", "min": "time", "h": "time", "m/s": "speed",
    "mm/s": "speed", "km/h": "speed",
    "deg": "angle", "rad": "angle", "V": "volt", "mV": "volt", "": "number", "%": "number",
    "EUR": "money", "kEUR": "money",
}  # fmt: skip


def _kind(unit: str) -> str:
    return _KINDS.get(unit, unit)


def _spelled(unit: str) -> str:
    """The unit as pint spells it: 'N mm2' -> 'N*mm**2'."""
    text = unit.strip().replace("²", "2").replace("³", "3").replace("·", " ").replace("^", "**")
    text = text.replace("%", "percent").replace("px", "pixel")
    text = re.sub(r"(?<=[A-Za-z])(\d)", r"**\1", text)
    return re.sub(r"(?<=[A-Za-z0-9)])\s+(?=[A-Za-z(])", "*", text)
