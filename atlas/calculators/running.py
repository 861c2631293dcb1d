"""One run of a calculator: what was typed in, results with ranges, drivers and findings out."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from atlas.calculators.blame import blamed
from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled, figures
from atlas.calculators.drivers import Driver, by_expansion, first_order, total_order
from atlas.calculators.figure import Figure
from atlas.calculators.sampling import draw, factors, unit_sample
from atlas.calculators.units import factor
from atlas.calculators.values import Spread, read_value
from atlas.catalogue.nearest import suggestion
from atlas.errors import BadInput, OutOfRange
from atlas.mechanics.release import normal_cdf

Floats = NDArray[np.float64]
SAMPLES = 10_000
MOST_SAMPLES = 1_000_000
_MOST_WORDS = 20_000  # characters of a list of points or laps
_KEPT = 31 * 2**17  # doubles, 31 MiB; glibc takes no hint from a larger block


@dataclass(frozen=True)
class Reading:
    """An input as used: a number with its range, or words."""

    value: float | str
    unit: str
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Result:
    """A result: median with 5th and 95th percentile, or the likeliest outcome with its share."""

    value: float | str
    unit: str
    low: float | None
    high: float | None
    share: float | None = None


@dataclass(frozen=True)
class Outcome:
    """Everything that one run says."""

    calculator: Calculator
    inputs: dict[str, Reading]
    results: dict[str, Result]
    findings: tuple[str, ...]
    drivers: tuple[Driver, ...]
    driver_of: str  # the result whose variance the drivers share out
    warnings: tuple[str, ...]
    samples: int
    seed: int
    sampled: Sampled = field(repr=False)

    @property
    def figure(self) -> Figure:
        """The calculator's plot of this run."""
        return self.calculator.figure(self.sampled)

    @property
    def measure_next(self) -> str:
        """Which reading to take better, in a sentence; empty where nothing varies."""
        if not self.drivers or self.drivers[0].total < 0.05:
            return ""
        first = self.drivers[0]
        return (
            f"Measure {first.input.lstrip('@')} next: it causes {first.total:.0%} of the spread in "
            f"{self.driver_of}."
        )


def run(
    calculator: Calculator,
    given: Mapping[str, str | int | float],
    samples: int = SAMPLES,
    seed: int = 1,
    subject: object = None,
) -> Outcome:
    """Run a calculator on what somebody typed; inputs not given take their defaults.

    Raises:
        BadInput: an unknown name, a seed below 0, an unreadable value, a unit of another kind,
            or a combination that the mechanics refuses; the message names the input.
        OutOfRange: a value outside the input's range of validity.
    """
    if not 1 <= samples <= MOST_SAMPLES:
        raise BadInput(f"{samples} samples", "--samples", f"give 1 to {MOST_SAMPLES}")
    if seed < 0:
        raise BadInput(f"seed {seed}", "--seed", "give 0 or a larger whole number")
    spreads, words = _read(calculator, given)
    bounds = {one.name: (one.low, one.high) for one in calculator.inputs if isinstance(one, Number)}
    typed = dict(spreads)
    for name in _causes(calculator, words):
        spreads[name] = Spread("normal", 0.0, -3.5, 3.5, 1.0)
        bounds[name] = (-8.0, 8.0)
    causes = factors(spreads)
    count = samples if causes else 1
    if count > 1000:
        # Fetching freed memory anew costs some 2 us a page. One large block, freed untouched, makes
        # the C library keep up to twice as much of what is freed (glibc, mallopt(3)).
        np.empty(_KEPT)
    rng = np.random.default_rng(seed)
    unit = unit_sample(count, len(causes), rng)
    values = draw(spreads, bounds, unit)
    try:
        results = _evaluate(calculator, values, words, subject)
    except BadInput as refused:
        raise blamed(
            refused, calculator, _names(calculator, given), spreads, values, words,
            lambda numbers, texts: _evaluate(calculator, numbers, texts, subject),
        ) from None  # fmt: skip
    sampled = Sampled({**values, **words}, results, varies=bool(causes))
    leading = _leading(calculator, results)
    drivers: tuple[Driver, ...] = ()
    if causes and count >= 8 and leading:

        def again(points: Floats) -> Floats:
            drawn = draw(spreads, bounds, points)
            return _evaluate(calculator, drawn, words, subject)[leading]

        drivers = _drivers(tuple(causes), unit, results[leading], again, count, rng)
    return Outcome(
        calculator=calculator,
        inputs=_readings(calculator, typed, words),
        results={
            one.name: _result(one, results[one.name])
            for one in calculator.outputs
            if one.name in results
        },
        findings=tuple(calculator.findings(sampled)),
        drivers=drivers,
        driver_of=leading,
        warnings=_warnings(typed, bounds),
        samples=count,
        seed=seed,
        sampled=sampled,
    )


def _names(calculator: Calculator, given: Mapping[str, Any]) -> set[str]:
    """Own names of the inputs that were given under any of theirs."""
    return {calculator.also.get(name, name) for name in given}


def _causes(calculator: Calculator, words: Mapping[str, str]) -> tuple[str, ...]:
    if calculator.causes is None:
        return ()
    try:
        return calculator.causes(words)
    except ValueError as error:
        raise BadInput(str(error), calculator.id) from None


def _read(
    calculator: Calculator, given: Mapping[str, str | int | float]
) -> tuple[dict[str, Spread], dict[str, str]]:
    typed: dict[str, str | int | float] = {}
    for name, value in given.items():
        one = calculator.input(name)
        if one is None:
            names = [one.name for one in calculator.inputs]
            remedy = suggestion(name[:100], names, f"inputs are {', '.join(names)}")
            raise BadInput(f"no input {name[:60]!r}", calculator.id, remedy)
        typed[one.name] = value
    spreads: dict[str, Spread] = {}
    words: dict[str, str] = {}
    for one in calculator.inputs:
        value = typed.get(one.name, one.default)
        if isinstance(one, Number):
            spreads[one.name] = _bounded(one, read_value(value, one.unit, one.name))
        elif isinstance(one, Choice):
            words[one.name] = _chosen(one, str(value))
        else:
            words[one.name] = str(value)
            if len(words[one.name]) > _MOST_WORDS:
                raise BadInput(
                    f"{len(words[one.name]):,} characters",
                    one.name,
                    f"give at most {_MOST_WORDS:,}",
                )
    return spreads, words


def _bounded(one: Number, spread: Spread) -> Spread:
    ends = (spread.centre,) if spread.kind == "normal" else (spread.low, spread.high)
    for end in ends:
        if not one.low <= end <= one.high:
            unit = f" {one.unit}" if one.unit else ""
            raise OutOfRange(
                f"{figures(end, 6)}{unit} is outside the range of validity",
                one.name,
                f"give {figures(one.low, 6)} to {figures(one.high, 6)}{unit}",
            )
    return spread


def _chosen(one: Choice, value: str) -> str:
    if value not in one.options:
        raise BadInput(f"no option {value[:60]!r}", one.name, f"choose {', '.join(one.options)}")
    return value


def _evaluate(
    calculator: Calculator,
    values: Mapping[str, Floats],
    words: Mapping[str, str],
    subject: object,
) -> dict[str, Floats]:
    arguments: dict[str, Any] = dict(words)
    count = max((len(array) for array in values.values()), default=1)
    for one in calculator.inputs:
        if isinstance(one, Number):
            array = np.rint(values[one.name]) if one.whole else values[one.name]
            arguments[one.name] = array * factor(one.unit)
    if calculator.subject:
        arguments["subject"] = subject
    if calculator.causes is not None:
        arguments["causes"] = {name: values[name] for name in _causes(calculator, words)}
    try:
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            raw = calculator.evaluate(**arguments)
    except ValueError as error:
        raise BadInput(str(error), calculator.id) from None
    results: dict[str, Floats] = {}
    for output in calculator.outputs:
        if output.optional and output.name not in raw:
            continue
        array = np.broadcast_to(np.asarray(raw[output.name], dtype=np.float64), (count,))
        if not np.all(np.isfinite(array)):
            share = float(np.mean(~np.isfinite(array)))
            raise BadInput(
                f"{output.name} has no finite value in {share:.0%} of the samples", calculator.id,
                "narrow the inputs",
            )  # fmt: skip
        results[output.name] = array if output.labels else array / factor(output.unit)
    return results


def _leading(calculator: Calculator, results: Mapping[str, Floats]) -> str:
    """The first numeric result that varies."""
    for output in calculator.outputs:
        values = results.get(output.name, np.zeros(1))
        if not output.labels and np.ptp(values) > 1e-12 * np.max(np.abs(values)):
            return output.name
    return ""


def _drivers(
    names: tuple[str, ...],
    unit: Floats,
    result: Floats,
    again: Any,
    count: int,
    rng: np.random.Generator,
) -> tuple[Driver, ...]:
    found = by_expansion(unit, result) if len(names) > 1 else None
    alone = found[0] if found else first_order(unit, result)
    if len(names) == 1:
        total = np.ones(1)
    elif found:
        total = found[1]
    else:
        base = int(np.clip(count // (2 * (len(names) + 1)), 4, 2000))
        total = np.maximum(total_order(again, len(names), base, rng), alone)
    drivers = [
        Driver(name, float(first), float(all_))
        for name, first, all_ in zip(names, alone, total, strict=True)
    ]
    return tuple(sorted(drivers, key=lambda one: (-one.total, one.input)))


def _readings(
    calculator: Calculator, spreads: Mapping[str, Spread], words: Mapping[str, str]
) -> dict[str, Reading]:
    readings: dict[str, Reading] = {}
    for one in calculator.inputs:
        if isinstance(one, Number):
            low, high = spreads[one.name].interval
            readings[one.name] = Reading(spreads[one.name].centre, one.unit, low, high)
        else:
            readings[one.name] = Reading(words[one.name], "", None, None)
    return readings


def _result(output: Output, values: Floats) -> Result:
    if output.labels:
        counts = np.bincount(np.rint(values).astype(int), minlength=len(output.labels))
        best = int(np.argmax(counts))
        return Result(output.labels[best], "", None, None, float(counts[best] / counts.sum()))
    low, middle, high = (float(v) for v in np.percentile(values, (5, 50, 95)))
    return Result(middle, output.unit, low, high)


def _warnings(
    spreads: Mapping[str, Spread], bounds: Mapping[str, tuple[float, float]]
) -> tuple[str, ...]:
    found = []
    for name, spread in spreads.items():
        if spread.kind != "normal":
            continue
        low, high = (
            float(normal_cdf((bound - spread.centre) / spread.sd)) for bound in bounds[name]
        )
        if low + 1 - high > 0.006:  # 2.5 standard deviations
            below = low > 1 - high
            end = figures(bounds[name][0 if below else 1], 4)
            found.append(
                f"{name}: {low + 1 - high:.0%} of the tolerance lies outside the valid range, "
                f"most of it {'below' if below else 'above'} {end}, and is cut off there"
            )
    return tuple(found)
