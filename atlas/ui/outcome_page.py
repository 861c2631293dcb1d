"""What a calculation says, as the blocks of a page."""

import contextlib
from pathlib import Path

from textual.content import Content

from atlas.calculators.declare import Calculator, Number, figures
from atlas.calculators.running import Outcome, Result
from atlas.catalogue.visible import visible
from atlas.catalogue.writing import may_write, refusal
from atlas.errors import Refused
from atlas.ui import strings
from atlas.ui.lists import bar
from atlas.ui.page import GAP, Block, heading


def outcome_blocks(outcome: Outcome, held: Outcome | None, note: str = "") -> list[Block]:
    """Results with ranges, findings, drivers, and what the model leaves out.

    Args:
        outcome: the run to show.
        held: another run to compare it with.
        note: a sentence on what to read off the plot.
    """
    one = outcome.calculator
    blocks = [Block(Content.styled(visible(one.question), "bold $primary"))]
    # What decides stands first; the numbers bear it out.
    if outcome.findings:
        blocks += [Block(Content(visible(line)), lead="▪ ") for line in outcome.findings]
    if note:
        blocks.append(Block(Content(visible(note)), lead="▫ "))
    blocks += [
        Block(Content(visible(line)), lead="! ", lead_style="bold $warning")
        for line in outcome.warnings
    ]
    blocks += [GAP, heading(strings.RESULTS if held is None else strings.RESULTS_COMPARED)]
    width = max(len(output.name) for output in one.outputs) + 1
    for output in one.outputs:
        if output.name not in outcome.results:
            continue
        name = output.name.replace("_", " ").ljust(width)
        words = result_words(outcome.results[output.name])
        parts: list[tuple[str, str]] = [(words, "bold")]
        parts.append((f"   {visible(output.help)}", "$muted"))
        if held is not None and output.name in held.results:
            parts.append((f"\n{strings.HELD}{result_words(held.results[output.name])}", "$muted"))
            parts.append((_difference(outcome.results[output.name], held.results[output.name]), ""))
        key = f"result:{output.name}"
        blocks.append(Block(Content.assemble(*parts), "text", key, lead=name))
    if outcome.drivers:
        title = f"{strings.DRIVERS} {outcome.driver_of.replace('_', ' ')}"
        blocks += [GAP, heading(title)]
        blocks += [
            Block(
                Content.assemble(
                    (bar(driver.total, 12), "$accent"),
                    f" {driver.total:4.0%} ",
                    (visible(driver.input).replace("_", " "), "bold"),
                )
            )
            for driver in outcome.drivers[:6]
        ]
        if outcome.measure_next:
            blocks.append(Block(Content(outcome.measure_next.replace("_", " ")), lead="→ "))
    return [*blocks, *about_blocks(one)]


def about_blocks(one: Calculator) -> list[Block]:
    """What the model leaves out, its cautions and its sources."""
    blocks = [GAP, heading(strings.LEAVES_OUT), Block(Content(visible(one.leaves_out)))]
    if one.cautions:
        blocks += [GAP, heading(strings.CAUTIONS)]
        blocks += [
            Block(Content(visible(line)), lead="⚠ ", lead_style="bold $warning")
            for line in one.cautions
        ]
    blocks += [GAP, heading(strings.SOURCES)]
    return blocks + [
        Block(Content.styled(visible(line), "$muted"), lead="· ") for line in one.sources
    ]


def result_words(result: Result) -> str:
    """A result with its unit and range, or an outcome with its share."""
    if isinstance(result.value, str):
        share = f" ({result.share:.0%})" if result.share is not None and result.share < 1 else ""
        return result.value + share
    unit = f" {result.unit}" if result.unit else ""
    words = figures(result.value) + unit
    if result.low is not None and result.high is not None and result.high > result.low:
        words += f"   {figures(result.low)} to {figures(result.high)}"
    return words


def plain_text(outcome: Outcome, given: dict[str, str]) -> str:
    """A run as text that can be pasted into a message."""
    one = outcome.calculator
    lines = [f"{one.title} ({one.id})", one.question, ""]
    for declared in one.inputs:
        unit = f" {declared.unit}" if isinstance(declared, Number) and declared.unit else ""
        lines.append(f"  {declared.name} = {given.get(declared.name, declared.default)}{unit}")
    lines.append("")
    lines += [f"  {name}: {result_words(result)}" for name, result in outcome.results.items()]
    lines += ["", *outcome.findings, "", f"{strings.LEAVES_OUT}: {one.leaves_out}"]
    lines += [f"{strings.CAUTIONS}: {line}" for line in one.cautions]
    lines += [f"{strings.SOURCES}: {line}" for line in one.sources]
    lines.append(strings.RUN_WITH.format(samples=f"{outcome.samples:,}", seed=outcome.seed))
    return "\n".join(lines)


def write_here(name: str, suffix: str, text: str) -> Path:
    """Write a text to a new file of the current folder; one that is there already is left alone.

    Raises:
        Refused: the folder does not take it, is gone, or the application only looks.
    """
    folder = Path()
    may_write(folder)
    try:
        folder = Path.cwd()
        for number in range(1, 1000):
            path = folder / (f"{name}{suffix}" if number == 1 else f"{name}-{number}{suffix}")
            with contextlib.suppress(FileExistsError), path.open("x", encoding="utf-8") as file:
                file.write(text + "\n")
                return path
    except OSError as error:
        raise refusal(error, folder / f"{name}{suffix}") from None
    raise Refused("too many files of that name", str(folder / name), "move some away")


def _difference(now: Result, held: Result) -> str:
    if isinstance(now.value, str) or isinstance(held.value, str):
        return "" if now.value == held.value else f"  {strings.CHANGED}"
    if held.value == 0 or now.value == held.value:
        return ""
    if now.value * held.value < 0:
        return f"  {strings.SIGN_TURNS}"
    return f"  {now.value / held.value - 1:+.0%}"
