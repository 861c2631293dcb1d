"""How a result answers one input, with the band that the other readings leave."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from atlas.calculators.declare import Calculator, Number, Sampled
from atlas.calculators.figure import Curve, Points
from atlas.calculators.units import factor

Floats = NDArray[np.float64]


def response(
    calculator: Calculator,
    sampled: Sampled,
    name: str,
    result: str,
    *,
    span: tuple[float, float] | None = None,
    points: int = 31,
    others: int = 200,
    title: str = "",
    style: str = "main",
) -> Curve:
    """Median and 5-95 % band of ``result`` over ``name``; all other readings stay as sampled.

    Args:
        calculator: whose formula is asked.
        sampled: the run.
        name: the input on the x axis.
        result: the output on the y axis.
        span: where the x axis runs, in the input's own unit; a third either side of the run by
            default, inside the bounds of validity.
        points: points along the axis.
        others: how many samples of the other readings make the band.
        title: the curve's name; the output's by default.
        style: as in ``Curve``.
    """
    axis = calculator.input(name)
    output = calculator.output(result)
    assert isinstance(axis, Number) and output is not None
    low, high = span if span is not None else _around(axis, sampled.inputs[name])
    x = np.linspace(low, high, points)
    count = min(others, len(sampled.inputs[name])) if sampled.varies else 1
    pick = np.linspace(0, len(sampled.inputs[name]) - 1, count).astype(int)
    arguments: dict[str, Any] = {}
    for one in calculator.inputs:
        if not isinstance(one, Number):
            arguments[one.name] = sampled.inputs[one.name]
            continue
        values = (
            np.repeat(x, count)
            if one.name == name
            else np.tile(sampled.inputs[one.name][pick], points)
        )
        arguments[one.name] = (np.rint(values) if one.whole else values) * factor(one.unit)
    y = _patient(calculator, arguments, result, points, count)
    y = y if output.labels else y / factor(output.unit)
    shown = ~np.all(np.isnan(y), axis=1)
    if not np.any(shown):
        return Curve(title or result.replace("_", " "), x[:0], x[:0], style=style)
    low_y, mid_y, high_y = np.nanpercentile(y[shown], (5, 50, 95), axis=1)
    name_ = title or result.replace("_", " ")
    if not sampled.varies:
        return Curve(name_, x[shown], mid_y, style=style)
    return Curve(name_, x[shown], mid_y, low_y, high_y, style=style)


def setting(sampled: Sampled, name: str, result: str) -> Points:
    """The run itself as one point: medians of an input and a result."""
    return Points(
        "as read",
        np.array([float(np.median(sampled.inputs[name]))]),
        np.array([sampled.median(result)]),
    )


def _around(axis: Number, values: Floats) -> tuple[float, float]:
    low, high = float(np.min(values)), float(np.max(values))
    reach = max((high - low) * 0.5, 0.35 * max(abs(low), abs(high)))
    if reach == 0:
        reach = (axis.high - axis.low) / 4
    return max(axis.low, low - reach), min(axis.high, high + reach)


def _patient(
    calculator: Calculator, arguments: dict[str, Any], result: str, points: int, count: int
) -> Floats:
    """All at once; where the formula refuses some of the axis, point by point with gaps."""

    def ask(these: dict[str, Any], shape: tuple[int, ...]) -> Floats:
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            raw = np.asarray(calculator.evaluate(**these)[result], dtype=np.float64)
        return np.broadcast_to(raw, shape)

    try:
        return ask(arguments, (points * count,)).reshape(points, count)
    except ValueError:
        y = np.full((points, count), np.nan)
        for i in range(points):
            part = slice(i * count, (i + 1) * count)
            these = {k: v[part] if isinstance(v, np.ndarray) else v for k, v in arguments.items()}
            try:
                y[i] = ask(these, (count,))
            except ValueError:
                continue
        return y
