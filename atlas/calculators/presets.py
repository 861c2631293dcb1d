"""Runs the calculations that a pattern comes with, and holds them against its own text."""

from collections.abc import Iterator

from atlas.calculators.registry import calculator
from atlas.calculators.running import Outcome, run
from atlas.catalogue.checking import Fault
from atlas.catalogue.model import Calculation, Pattern
from atlas.errors import AtlasError


def preset(calculation: Calculation, samples: int = 2000, seed: int = 1) -> Outcome:
    """Run a calculation of a pattern with its preset inputs."""
    return run(calculator(calculation.calculator), calculation.inputs, samples, seed)


def check_presets(pattern: Pattern) -> Iterator[Fault]:
    """Presets that fail, leave a range of validity, or contradict the pattern's text."""
    for i, calculation in enumerate(pattern.calculations):
        field = f"calculations[{i}]"
        try:
            outcome = preset(calculation)
        except AtlasError as error:
            yield Fault(pattern.id, field, str(error))
            continue
        for warning in outcome.warnings:
            yield Fault(pattern.id, f"{field}.inputs", warning)
        if not outcome.findings:
            yield Fault(pattern.id, field, f"{calculation.calculator} finds nothing to say")
        for j, expectation in enumerate(calculation.expect):
            where = f"{field}.expect[{j}]"
            result = outcome.results.get(expectation.result)
            if result is None:
                names = ", ".join(outcome.results)
                yield Fault(pattern.id, where, f"no result {expectation.result!r}; has {names}")
            elif not isinstance(result.value, float):
                yield Fault(pattern.id, where, f"{expectation.result} is no number")
            elif not (
                (expectation.above is None or result.value > expectation.above)
                and (expectation.below is None or result.value < expectation.below)
            ):
                bound = (
                    f"above {expectation.above:g}"
                    if expectation.above is not None and result.value <= expectation.above
                    else f"below {expectation.below:g}"
                )
                said = f"{expectation.result} is {result.value:.4g} {result.unit}".rstrip()
                yield Fault(pattern.id, where, f"{said}; the text needs it {bound}")
