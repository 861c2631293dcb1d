"""What a run says and draws, in imperial units where somebody asks for them."""

import re
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from atlas.calculators.declare import figures
from atlas.calculators.figure import Axis, Bar, Curve, Figure
from atlas.calculators.units import IMPERIAL

Floats = NDArray[np.float64]

_NUMBER = r"-?\d+(?:,\d{3})*(?:\.\d+)?(?:e[+-]?\d+)?"
_SPAN = rf"{_NUMBER}(?: \({_NUMBER} to {_NUMBER}\))?"
# Grams are left out: a g in a sentence is an acceleration.
_UNITS = "|".join(
    re.escape(unit) for unit in sorted(IMPERIAL, key=len, reverse=True) if unit != "g"
)
_NUMBERS = rf"{_SPAN}(?: (?:and|to|against) {_SPAN})?"
_QUANTITY = re.compile(rf"(?<![\w.,-])(?P<numbers>{_NUMBERS}) (?P<unit>{_UNITS})(?![\w/]| mm?\b)")


def in_both(sentence: str) -> str:
    """A sentence with each of its quantities once more in imperial units.

    >>> in_both("It yields at 5 (4.5 to 5.5) kN m, 25.4 mm out, at 30 Hz.")
    'It yields at 5 (4.5 to 5.5) kN m [3.69 (3.32 to 4.06) kip ft], 25.4 mm [1 in] out, at 30 Hz.'
    """

    def both(found: re.Match[str]) -> str:
        unit, factor = IMPERIAL[found["unit"]]

        def turned(number: re.Match[str]) -> str:
            value = float(number[0].replace(",", ""))
            return figures(value * factor, 3)

        return f"{found[0]} [{re.sub(_NUMBER, turned, found['numbers'])} {unit}]"

    return _QUANTITY.sub(both, sentence)


def in_imperial(figure: Figure) -> Figure:
    """A plot with its axes in imperial units, and all that is drawn on them."""
    (x, by_x), (y, by_y) = _axis(figure.x), _axis(figure.y)

    def band(values: Floats | None) -> Floats | None:
        return None if values is None else values * by_y

    def curve(one: Curve) -> Curve:
        return replace(
            one, name=in_both(one.name), x=one.x * by_x, y=one.y * by_y, low=band(one.low),
            high=band(one.high),
        )  # fmt: skip

    def bar(one: Bar) -> Bar:
        limit = None if one.limit is None else one.limit * by_x
        return replace(
            one, name=in_both(one.name), value=one.value * by_x, low=one.low * by_x,
            high=one.high * by_x, limit=limit,
        )  # fmt: skip

    signs = figure.sign_map
    return replace(
        figure, title=in_both(figure.title), note=in_both(figure.note), x=x, y=y,
        curves=tuple(curve(one) for one in figure.curves),
        points=tuple(
            replace(one, name=in_both(one.name), x=one.x * by_x, y=one.y * by_y)
            for one in figure.points
        ),
        bars=tuple(bar(one) for one in figure.bars),
        sign_map=None if signs is None else replace(signs, x=signs.x * by_x, y=signs.y * by_y),
    )  # fmt: skip


def _axis(axis: Axis) -> tuple[Axis, float]:
    if axis.unit not in IMPERIAL or axis.unit == "g":
        return axis, 1.0
    unit, factor = IMPERIAL[axis.unit]
    low, high = (None if end is None else end * factor for end in (axis.low, axis.high))
    return replace(axis, unit=unit, low=low, high=high), factor
