"""Moving a typed reading up and down, wider and narrower, without losing what kind it is."""

import math
from dataclasses import replace

from atlas.calculators.declare import Number
from atlas.calculators.values import Spread, read_value


def stepped(text: str, one: Number, steps: float) -> str:
    """Move a reading by so many steps; the step follows the size of the number.

    >>> wall = Number("gauge", "mm", "2.5", 0.3, 60, "wall")
    >>> stepped("2.5", wall, 1), stepped("2.2..2.8", wall, -2), stepped("0.1in", wall, 1)
    ('2.6', '2..2.6', '2.64')
    """
    spread = read_value(text, one.unit, one.name)
    step = step_of(spread.centre, one)
    move = steps * step
    move = min(max(move, one.low - spread.low), one.high - spread.high)
    if spread.kind == "normal":
        move = min(max(steps * step, one.low - spread.centre), one.high - spread.centre)
    return written(
        replace(
            spread, centre=spread.centre + move, low=spread.low + move, high=spread.high + move
        ),
        step,
    )


def widened(text: str, one: Number, steps: int) -> str:
    """Make a reading's range wider or narrower by a step on each side.

    >>> wall = Number("gauge", "mm", "2.5", 0.3, 60, "wall")
    >>> widened("2.5", wall, 1), widened("2.4..2.6", wall, -1), widened("2.5+-0.2", wall, 1)
    ('2.4..2.6', '2.5', '2.5+-0.3')
    """
    spread = read_value(text, one.unit, one.name)
    step = step_of(spread.centre, one)
    if spread.kind == "normal":
        sd = spread.sd + steps * step
        if sd > step / 2:
            return written(replace(spread, sd=sd), step)
        return written(replace(spread, kind="fixed"), step)
    low = max(spread.low - steps * step, one.low)
    high = min(spread.high + steps * step, one.high)
    if high - low <= step / 2:
        return written(replace(spread, kind="fixed"), step)
    kind = "uniform" if spread.kind == "fixed" else spread.kind
    if not low <= spread.centre <= high:
        kind = "uniform"
    return written(replace(spread, kind=kind, low=low, high=high), step)


def step_of(value: float, one: Number) -> float:
    """A round step of one to ten per cent of the value; one for counts."""
    if one.whole:
        return 1.0
    size = abs(value) or (one.high - one.low) / 10 or 1.0
    step: float = 10.0 ** math.floor(math.log10(size))
    return float(step / 10)


def written(spread: Spread, step: float) -> str:
    """Write a reading as a person would type it, with as many places as the step has."""
    places = max(0, -math.floor(math.log10(step) + 1e-9)) + 1

    def number(value: float) -> str:
        text = f"{value:.{places}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
        return "0" if text in ("-0", "") else text

    share = f":{spread.follows:g}" if spread.follows != 1 else ""
    tie = f"@{spread.tie}{share}" if spread.tie else ""
    if spread.kind == "uniform":
        return f"{number(spread.low)}..{number(spread.high)}{tie}"
    if spread.kind == "triangular":
        return f"{number(spread.low)}..{number(spread.centre)}..{number(spread.high)}{tie}"
    if spread.kind == "normal":
        return f"{number(spread.centre)}+-{number(spread.sd)}{tie}"
    return f"{number(spread.centre)}{tie}"


def slider(text: str, one: Number, width: int) -> str:
    """A bar from least to greatest with the reading on it; empty where it cannot be read.

    >>> slider("5..10", Number("a", "mm", "5", 0, 20, ""), 21)
    '├────╺━━●━╸─────────┤'
    """
    from atlas.errors import AtlasError

    try:
        spread = read_value(text, one.unit, one.name)
    except AtlasError:
        return ""
    log = one.low > 0 and one.high / one.low > 1000
    room = width - 3

    def cell(value: float) -> int:
        value = min(max(value, one.low), one.high)
        if log:
            share = math.log(value / one.low) / math.log(one.high / one.low)
        else:
            share = (value - one.low) / ((one.high - one.low) or 1.0)
        return 1 + round(share * room)

    cells = ["─"] * width
    cells[0], cells[-1] = "├", "┤"
    low, high = spread.interval
    first, last = cell(low), cell(high)
    if spread.varies:
        for index in range(first, last + 1):
            cells[index] = "━"
        cells[first], cells[last] = "╺", "╸"
    cells[cell(spread.centre)] = "●"
    return "".join(cells)
