"""Which reading makes a combination impossible: a refusal that names it."""

from collections.abc import Callable, Collection, Mapping

import numpy as np
from numpy.typing import NDArray

from atlas.calculators.declare import Calculator, Input, Number, figures
from atlas.calculators.values import Spread, read_value
from atlas.errors import BadInput

Floats = NDArray[np.float64]
Works = Callable[[Mapping[str, Floats], Mapping[str, str]], object]


def blamed(
    refused: BadInput,
    calculator: Calculator,
    given: Collection[str],
    spreads: Mapping[str, Spread],
    values: Mapping[str, Floats],
    words: Mapping[str, str],
    works: Works,
) -> BadInput:
    """The refusal, with the reading whose range or value brought it about.

    Args:
        refused: what the mechanics said of the whole.
        given: names of the inputs that somebody typed; the others have their defaults.
        spreads: readings of all numbers.
        values: samples of them, own units, as they were refused.
        words: choices and words.
        works: raises ``BadInput`` where values and words do not go together.

    Returns:
        The same complaint about one reading: a typed range that leads there though its middle
        holds; else a typed value whose default would hold; else any range that leads there.
    """

    def holds(numbers: Mapping[str, Floats], texts: Mapping[str, str] = words) -> bool:
        try:
            works(numbers, texts)
        except BadInput:
            return False
        return True

    middle = {name: np.full(2, spreads[name].centre) for name in values}
    # Words that bring causes of their own (marked points) say themselves what is wrong with them.
    inputs = [
        one for one in calculator.inputs
        if one.name in given and (isinstance(one, Number) or calculator.causes is None)
    ]  # fmt: skip
    reaching: list[str] = []
    if holds(middle):
        for name, sample in values.items():
            ends = np.array([sample.min(), sample.max()])
            if ends[0] < ends[1] and not holds({**middle, name: ends}):
                reaching.append(name)
    typed = [name for name in reaching if name in given]
    mended = [] if typed else [one for one in inputs if _mended(one, values, words, holds)]
    if len(mended) == 1:
        return _by_default(refused, mended[0])
    if typed or reaching:
        name = (typed or reaching)[0]
        return _by_range(refused, calculator, name, spreads[name], values[name])
    return refused


def _mended(
    one: Input, values: Mapping[str, Floats], words: Mapping[str, str], holds: Callable[..., bool]
) -> bool:
    """Whether the rest holds with this input's default."""
    if isinstance(one, Number):
        centre = read_value(one.default, one.unit, one.name).centre
        return holds({**values, one.name: np.full_like(values[one.name], centre)})
    return holds(values, {**words, one.name: one.default})


def _about(refused: BadInput, name: str) -> str:
    """The complaint without the name that will stand before it."""
    what = refused.what.removeprefix(f"{name}: ")
    return what.removeprefix(f"{name} ") if what.startswith(f"{name} must ") else what


def _by_default(refused: BadInput, one: Input) -> BadInput:
    what = _about(refused, one.name)
    if not isinstance(one, Number):
        return BadInput(what, one.name, refused.remedy)
    unit = f" {one.unit}" if one.unit and not one.default.endswith(one.unit) else ""
    return BadInput(what, one.name, f"its default, {one.default}{unit}, goes with the rest")


def _by_range(
    refused: BadInput, calculator: Calculator, name: str, spread: Spread, sample: Floats
) -> BadInput:
    one = calculator.input(name)
    what = _about(refused, name)
    if not isinstance(one, Number):
        return BadInput(what, name, refused.remedy)
    unit = f" {one.unit}" if one.unit else ""
    low, high, middle = (
        figures(float(end), 4) for end in (sample.min(), sample.max(), spread.centre)
    )
    cut = ""
    if spread.kind == "normal":
        given = f"{middle}+-{figures(spread.sd, 4)}{unit}"
        if spread.low < one.low:
            cut = f"{given} reaches below {figures(one.low, 4)}{unit}, the least allowed; "
        elif spread.high > one.high:
            cut = f"{given} reaches above {figures(one.high, 4)}{unit}, the most allowed; "
    return BadInput(
        what, name, f"{cut}it runs from {low} to {high}{unit} here, of which {middle}{unit} holds"
    )
