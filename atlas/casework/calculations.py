"""Calculations as a case keeps them: recorded, run again, compared."""

from collections.abc import Callable
from typing import Any

from atlas import __version__
from atlas.calculators.declare import Calculator, figures
from atlas.calculators.registry import calculator
from atlas.calculators.running import Outcome, run
from atlas.casework.model import Calculation
from atlas.errors import AtlasError

# From given values to those that the calculator takes, and the model of a vehicle if one is named.
Resolve = Callable[[Calculator, dict[str, Any]], tuple[dict[str, Any], object]]


def record_of(
    outcome: Outcome, given: dict[str, Any], about: str = "", question: str = ""
) -> Calculation:
    """A run as the record that a case keeps."""
    return Calculation(
        calculator=outcome.calculator.id,
        inputs=dict(given),
        samples=outcome.samples,
        seed=outcome.seed,
        results={
            name: {
                "value": r.value, "unit": r.unit, "low": r.low, "high": r.high, "share": r.share,
            }
            for name, r in outcome.results.items()
        },
        findings=outcome.findings,
        at="",
        by="",
        about=about,
        version=__version__,
        question=question,
    )  # fmt: skip


def compare_again(record: Calculation, resolve: Resolve) -> tuple[str, ...]:
    """Run a recorded calculation again; what differs, in words, nothing where it is the same."""
    try:
        one = calculator(record.calculator)
        given, subject = resolve(one, dict(record.inputs))
        outcome = run(one, given, record.samples, record.seed, subject)
    except AtlasError as error:
        return (f"cannot be run any more: {error}",)
    changed = []
    for name, before in record.results.items():
        now = outcome.results.get(name)
        if now is None:
            changed.append(f"{name} is no longer a result")
        elif isinstance(now.value, str) or isinstance(before["value"], str):
            if now.value != before["value"]:
                changed.append(f"{name} was {before['value']}, is {now.value}")
        elif abs(now.value - before["value"]) > 1e-6 * max(abs(now.value), abs(before["value"])):
            changed.append(
                f"{name} was {figures(before['value'], 4)}, is {figures(now.value, 4)} {now.unit}"
            )
    return tuple(changed)
