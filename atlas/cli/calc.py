"""``atlas calc``: list calculators, or run one."""

from dataclasses import replace
from typing import Any

import click

from atlas.calculators.declare import Calculator, Choice, Number, figures
from atlas.calculators.running import Outcome, Reading
from atlas.catalogue.library import Library
from atlas.cli.common import heading, is_plain, print_json, quantity, say, shared, table, width
from atlas.cli.completion import Known
from atlas.errors import BadInput


@click.command(
    epilog="Example: atlas calc mass-estimate gauge=2.2..2.8 length=0.9m perimeter=260+-10"
)
@click.argument("calculator_id", metavar="[ID]", required=False, type=Known("calculator"))
@click.argument("values", nargs=-1, metavar="[NAME=VALUE]...")
@click.option("--samples", type=int, help="Samples drawn from the ranges (10000).")
@click.option("--seed", type=int, default=1, show_default=True, help="Repeats the same draw.")
@click.option("--units", type=click.Choice(["trade", "imperial"]), default="trade")
@click.option("--plot/--no-plot", default=True, help="Draw the plot.")
@click.option("--ascii", "ascii_only", is_flag=True, help="Draw with ASCII characters only.")
@shared
def calc(
    calculator_id: str | None,
    values: tuple[str, ...],
    samples: int | None,
    seed: int,
    units: str,
    plot: bool,
    ascii_only: bool,
    as_json: bool,
    library: Library,
) -> None:
    """Run a calculator on numbers, ranges or tolerances; without ID, list them all.

    \b
    A VALUE is a number in the input's own unit (t=2.5), with a unit (t=0.1in),
    a range (t=2.2..2.8), a range with its likeliest value (t=2.2..2.5..2.8) or a
    tolerance of one standard deviation (t=2.5+-0.2mm). Readings off one picture
    move together when tied: a=100+-3@photo b=40+-1@photo.
    """
    from atlas.calculators.registry import calculator, calculator_ids
    from atlas.calculators.running import SAMPLES, run
    from atlas.vehicles.readings import resolve

    if calculator_id is None:
        declared = [calculator(name) for name in calculator_ids()]
        if as_json:
            print_json({"calculators": [declaration(one) for one in declared]})
        else:
            for one in declared:
                _describe(one)
        return
    one = calculator(calculator_id)
    given, subject = resolve(one, split(values), library)
    outcome = run(one, given, SAMPLES if samples is None else samples, seed, subject)
    if as_json:
        print_json(outcome_document(outcome, units))
        return
    print_outcome(outcome, units)
    if not values:
        _describe(one)
    if plot and not is_plain():
        print()
        print(drawn(outcome, ascii_only, units))


def split(values: tuple[str, ...]) -> dict[str, str]:
    """NAME=VALUE arguments as a mapping.

    Raises:
        BadInput: an argument without '=', or a name given twice.
    """
    given: dict[str, str] = {}
    for value in values:
        name, equals, text = value.partition("=")
        if not equals or not name.strip():
            raise BadInput(f"cannot read {value[:60]!r}", "NAME=VALUE", "write gauge=2.5")
        if name.strip() in given:
            raise BadInput("given twice", name.strip(), "give it once")
        given[name.strip()] = text.strip()
    return given


def declaration(one: Calculator) -> dict[str, Any]:
    """A calculator's declaration as a document."""
    return {
        "id": one.id,
        "title": one.title,
        "question": one.question,
        "inputs": [_input(each) for each in one.inputs],
        "results": [
            {"name": o.name, "unit": o.unit, "help": o.help, "labels": list(o.labels)}
            for o in one.outputs
        ],
        "leaves_out": one.leaves_out,
        "cautions": list(one.cautions),
        "sources": list(one.sources),
    }


def _input(each: Any) -> dict[str, Any]:
    document = {"name": each.name, "default": each.default, "help": each.help}
    if isinstance(each, Number):
        return {**document, "unit": each.unit, "low": each.low, "high": each.high}
    if isinstance(each, Choice):
        return {**document, "options": dict(each.options)}
    return {**document, "example": each.example}


def outcome_document(outcome: Outcome, units: str = "trade") -> dict[str, Any]:
    """A run as the document that ``--json`` prints."""
    results: dict[str, Any] = {}
    for name, result in outcome.results.items():
        if result.share is not None:
            results[name] = {"value": result.value, "unit": "", "low": None, "high": None,
                             "share": round(result.share, 4)}  # fmt: skip
            continue
        factor, unit = _in_units(result.unit, units)
        numbers = (result.value, result.low, result.high)
        value, low, high = (None if n is None else float(n) * factor for n in numbers)
        results[name] = {"value": value, "unit": unit, "low": low, "high": high}
    return {
        "calculator": outcome.calculator.id,
        "inputs": {name: quantity(reading) for name, reading in _readings(outcome, units).items()},
        "results": results,
        "findings": [_said(one, units) for one in outcome.findings],
        "drivers": [
            {"input": d.input, "share": round(d.share, 4), "total": round(d.total, 4)}
            for d in outcome.drivers
        ],
        "driver_of": outcome.driver_of,
        "measure_next": outcome.measure_next,
        "warnings": list(outcome.warnings),
        "cautions": list(outcome.calculator.cautions),
        "sources": list(outcome.calculator.sources),
        "leaves_out": outcome.calculator.leaves_out,
        "samples": outcome.samples,
        "seed": outcome.seed,
    }


def _in_units(unit: str, units: str) -> tuple[float, str]:
    from atlas.calculators.units import IMPERIAL

    if units == "imperial" and unit in IMPERIAL:
        name, factor = IMPERIAL[unit]
        return factor, name
    return 1.0, unit


def _readings(outcome: Outcome, units: str) -> dict[str, Reading]:
    """What the run started from, each reading in the units asked for."""
    readings = dict(outcome.inputs)
    for name, reading in readings.items():
        factor, unit = _in_units(reading.unit, units)
        if isinstance(reading.value, str) or unit == reading.unit:
            continue
        low, high = (None if n is None else n * factor for n in (reading.low, reading.high))
        readings[name] = replace(
            reading, value=reading.value * factor, unit=unit, low=low, high=high
        )
    return readings


def _said(sentence: str, units: str) -> str:
    """A finding, with imperial units beside the trade's where they are asked for."""
    from atlas.calculators.imperial import in_both

    return in_both(sentence) if units == "imperial" else sentence


def drawn(outcome: Outcome, ascii_only: bool = False, units: str = "trade") -> str:
    """The run's plot for the terminal."""
    from atlas.calculators.imperial import in_imperial
    from atlas.drawing.plot import plot
    from atlas.drawing.terminal import draw

    columns = min(width(), 90)
    figure = in_imperial(outcome.figure) if units == "imperial" else outcome.figure
    return draw(plot(figure, columns, 20), columns, 20, ascii_only=ascii_only).text()


def print_outcome(outcome: Outcome, units: str = "trade") -> None:
    """A run for people: findings first, then the numbers, then what to doubt."""
    one = outcome.calculator
    say(one.question)
    for finding in outcome.findings:
        say(f"- {_said(finding, units)}", hang=2)
    heading("Results" + (" (median, 5 to 95 %)" if outcome.samples > 1 else ""))
    rows = []
    for name, result in outcome.results.items():
        output = one.output(name)
        about = output.help if output else ""
        if result.share is not None:
            share = f"in {result.share:.0%}" if outcome.samples > 1 else ""
            rows.append((name, str(result.value), "", share, about))
            continue
        factor, unit = _in_units(result.unit, units)
        numbers = (result.value, result.low, result.high)
        value, low, high = (figures(float(n or 0) * factor, 4) for n in numbers)
        rows.append((name, value, unit, f"{low} to {high}" if low != high else "", about))
    table(rows)
    heading("From")
    readings = _readings(outcome, units)
    table(_reading_row(name, r.value, r.unit, r.low, r.high) for name, r in readings.items())
    if outcome.drivers:
        heading(f"What causes the spread in {outcome.driver_of}")
        for driver in [one for one in outcome.drivers if one.total >= 0.005][:6]:
            bar = "" if is_plain() else "  " + "#" * round(driver.total * 30)
            print(f"{driver.input:18} {driver.share:5.0%} alone, {driver.total:4.0%} in all{bar}")
        if outcome.measure_next:
            say(outcome.measure_next)
    for warning in outcome.warnings:
        say(f"Warning: {warning}", hang=2)
    heading("Mind")
    for caution in one.cautions:
        say(caution, hang=2)
    say(f"Left out: {one.leaves_out}", hang=2)
    say("Sources: " + "; ".join(one.sources), hang=2)


def _reading_row(
    name: str, value: float | str, unit: str, low: float | None, high: float | None
) -> tuple[str, ...]:
    if isinstance(value, str):
        return name, value, "", ""
    spread = ""
    if low is not None and high is not None and low != high:
        spread = f"{figures(low, 4)} to {figures(high, 4)}"
    return name, figures(value, 5), unit, spread


def _describe(one: Calculator) -> None:
    heading(f"{one.id}: {one.question}")
    rows = []
    for each in one.inputs:
        if isinstance(each, Number):
            reach = f"{figures(each.low, 6)} to {figures(each.high, 6)}"
            rows.append((f"  {each.name}={each.default}", each.unit, reach, each.help))
        elif isinstance(each, Choice):
            rows.append((f"  {each.name}={each.default}", "", "one of", ", ".join(each.options)))
        else:
            rows.append((f"  {each.name}=...", "", "text", each.help))
    table(rows)
