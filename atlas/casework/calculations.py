"""Calculations as a case keeps them: recorded, run again, compared."""

from typing import Any

from atlas import __version__
from atlas.calculators.declare import figures
from atlas.calculators.registry import calculator
from atlas.calculators.running import Outcome, run
from atlas.casework.model import Calculation
from atlas.catalogue.library import Library
from atlas.errors import AtlasError
from atlas.vehicles.readings import resolve


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


def run_again(record: Calculation, library: Library | None) -> Outcome:
    """Run a recorded calculation again, with the same samples and seed.

    Raises:
        AtlasError: its calculator, an input or its vehicle is no longer what it was.
    """
    one = calculator(record.calculator)
    given, subject = resolve(one, dict(record.inputs), library)
    return run(one, given, max(record.samples, 1), record.seed, subject)


def compare_again(record: Calculation, library: Library | None) -> tuple[str, ...]:
    """Run a recorded calculation again; what differs, in words, nothing where it is the same."""
    try:
        outcome = run_again(record, library)
    except AtlasError as error:
        return (f"cannot be run any more: {error}",)
    return differences(record, outcome)


def differences(record: Calculation, outcome: Outcome) -> tuple[str, ...]:
    """What a new run of a recorded calculation gives differently, in words."""
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
