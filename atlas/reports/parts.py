"""What reports share: a pattern's page, a calculation's block."""

from dataclasses import dataclass, replace

from atlas.calculators.running import Outcome
from atlas.casework.calculations import differences, run_again
from atlas.casework.model import Calculation
from atlas.catalogue.library import Library
from atlas.catalogue.model import Pattern
from atlas.drawing.plot import plot
from atlas.drawing.sketch import picture_of
from atlas.drawing.svg import to_svg
from atlas.drawing.terminal import draw
from atlas.errors import AtlasError

PLOT = (78, 20)


@dataclass(frozen=True)
class Drawing:
    """A drawing for both media, with what it shows in words."""

    title: str
    svg: str
    cells: str


@dataclass(frozen=True)
class Line:
    """A row of a results table."""

    name: str
    value: object
    unit: str
    low: float | None
    high: float | None
    share: float | None
    help: str


@dataclass(frozen=True)
class Block:
    """A calculation as a report shows it."""

    title: str
    question: str
    about: str
    findings: tuple[str, ...]
    results: tuple[Line, ...]
    inputs: tuple[Line, ...]
    drivers: tuple[tuple[str, float, float], ...] = ()
    driver_of: str = ""
    measure_next: str = ""
    cautions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    leaves_out: str = ""
    drawing: Drawing | None = None
    changed: tuple[str, ...] = ()
    samples: int = 1
    seed: int = 1


def sketches(pattern: Pattern) -> tuple[Drawing, ...]:
    """A pattern's sketches for both media."""
    return tuple(
        Drawing(view.title, to_svg(picture_of(view)), draw(picture_of(view), 72, 22).text())
        for view in pattern.sketches
    )


def block_of(outcome: Outcome, question: str = "", about: str = "") -> Block:
    """A run as a report shows it."""
    one = outcome.calculator
    picture = plot(outcome.figure, *PLOT)
    helps = {each.name: each.help for each in (*one.outputs, *one.inputs)}
    return Block(
        title=one.title,
        question=question or one.question,
        about=about,
        findings=outcome.findings,
        results=tuple(
            Line(name, r.value, r.unit, r.low, r.high, r.share, helps[name])
            for name, r in outcome.results.items()
        ),
        inputs=tuple(
            Line(name, r.value, r.unit, r.low, r.high, None, helps[name])
            for name, r in outcome.inputs.items()
        ),
        drivers=tuple((d.input, d.share, d.total) for d in outcome.drivers if d.total >= 0.005),
        driver_of=outcome.driver_of,
        measure_next=outcome.measure_next,
        cautions=one.cautions,
        sources=one.sources,
        leaves_out=one.leaves_out,
        drawing=Drawing(outcome.figure.title, to_svg(picture), draw(picture, *PLOT).text()),
        samples=outcome.samples,
        seed=outcome.seed,
    )


def block_again(record: Calculation, library: Library | None) -> Block:
    """A recorded calculation, drawn from a new run where that is still possible."""
    try:
        outcome = run_again(record, library)
    except AtlasError as error:
        rows = tuple(
            Line(
                n,
                r.get("value"),
                r.get("unit", ""),
                r.get("low"),
                r.get("high"),
                r.get("share"),
                "",
            )
            for n, r in record.results.items()
        )
        inputs = tuple(Line(n, v, "", None, None, None, "") for n, v in record.inputs.items())
        return Block(
            record.calculator, record.question, record.about, record.findings, rows, inputs,
            changed=(f"cannot be run any more: {error}",),
        )  # fmt: skip
    again = block_of(outcome, record.question, record.about)
    return replace(again, changed=differences(record, outcome))
