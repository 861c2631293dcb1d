"""``atlas list``, ``atlas show`` and ``atlas glossary``: the catalogue, read."""

from pathlib import Path

import click
import msgspec

from atlas.catalogue.library import Library
from atlas.catalogue.load import Catalogue, load
from atlas.catalogue.model import Pattern
from atlas.catalogue.visible import sentence
from atlas.cli.common import (
    heading,
    is_plain,
    print_json,
    report_to_write,
    say,
    say_file,
    shared,
    table,
    warn,
)
from atlas.cli.completion import Known
from atlas.errors import NotThere


@click.command("list", epilog="Example: atlas list --zone rear-mount")
@click.option("--zone", type=Known("zone"), help="One zone only.")
@shared
def list_patterns(zone: str | None, as_json: bool, library: Library) -> None:
    """List the patterns of the catalogue, by zone."""
    catalogue = load(library)
    warn(catalogue.problems)
    replaced = catalogue.patterns.replaced
    names = list(catalogue.patterns) if zone is None else catalogue.in_zone(zone)
    if as_json:
        print_json(
            {
                "patterns": [
                    {
                        "id": name,
                        "title": catalogue.patterns.title(name),
                        "zone": catalogue.patterns.zone(name),
                        "replaced_by": replaced.get(name, ""),
                    }
                    for name in names
                ]
            }
        )
        return
    for group in catalogue.zones.values():
        rows = [n for n in names if catalogue.patterns.zone(n) == group.id]
        if rows:
            heading(f"{group.title} ({group.id})")
            ends = {name: f"  (replaced by {newer})" for name, newer in replaced.items()}
            table((n, f"{catalogue.patterns.title(n)}{ends.get(n, '')}") for n in rows)


@click.command(epilog="Example: atlas show rear-x-plate --sketch")
@click.argument("pattern_id", metavar="ID", type=Known("pattern"))
@click.option("--sketch/--no-sketch", default=True, help="Draw the sketches.")
@click.option("--ascii", "ascii_only", is_flag=True, help="Draw with ASCII characters only.")
@click.option("--report", metavar="FILE", default="", help="Write it as FILE.html, .md or .pdf.")
@shared
def show(
    pattern_id: str, sketch: bool, ascii_only: bool, report: str, as_json: bool, library: Library
) -> None:
    """Show all that is known of one pattern."""
    catalogue = load(library)
    warn(catalogue.problems)
    pattern = catalogue.pattern(pattern_id)
    if report:
        path = _report(catalogue, pattern, report)
        if as_json:
            print_json({"report": str(path)})
        else:
            say_file(path)
        return
    if as_json:
        print_json(msgspec.to_builtins(pattern))
        return
    _print(catalogue, pattern)
    if sketch and not is_plain():
        from atlas.drawing.sketch import picture_of
        from atlas.drawing.terminal import draw

        for view in pattern.sketches:
            heading(f"{view.title} ({view.view})")
            print(draw(picture_of(view), 72, 22, ascii_only=ascii_only).text())


def _report(catalogue: Catalogue, pattern: Pattern, name: str) -> Path:
    from atlas.catalogue.writing import write_durably
    from atlas.reports.pattern import pattern_report

    path, form = report_to_write(name, "--report")
    write_durably(path, pattern_report(pattern, catalogue, form))
    return path


def _print(catalogue: Catalogue, pattern: Pattern) -> None:
    say(f"{pattern.title}  [{pattern.id}]")
    zone = catalogue.zones.get(pattern.zone)
    say(f"{zone.title if zone else pattern.zone}; {pattern.provenance.status}")
    if pattern.other_names:
        say("Also called: " + "; ".join(pattern.other_names))
    print()
    say(pattern.summary)
    heading("What one sees")
    for cue in pattern.cues:
        say(f"{cue.telling:8}  {cue.see} ({cue.look.replace('-', ' ')})", hang=10)
    heading("Mistaken for")
    for other in pattern.look_alikes:
        say(f"{other.id}: {other.separates}", hang=2)
    heading("What it does")
    say(pattern.does)
    for case in pattern.load_cases:
        say(f"{case.case}: {sentence(case.force)} Path: {sentence(case.path)}", indent=2, hang=2)
    heading("Why it is built so")
    for paragraph in pattern.rationale.strip().split("\n\n"):
        say(paragraph)
    heading("Trade-offs")
    for one in pattern.trade_offs:
        say(f"{one.axis:10} {one.effect:8} {one.why}", hang=20)
    heading("Usual make")
    for build in pattern.builds:
        gauge = f", {build.gauge_mm[0]:g} to {build.gauge_mm[1]:g} mm" if build.gauge_mm else ""
        say(f"{build.material}{gauge}; {build.process}; {build.joint}", hang=2)
    if pattern.calculations:
        heading("Put a number on it")
        for number, calculation in enumerate(pattern.calculations, 1):
            say(f"{number}. {calculation.question}", hang=3)
            values = " ".join(f"{k}={v}" for k, v in calculation.inputs.items())
            say(f"atlas calc {calculation.calculator} {values}", indent=3, hang=4)
    heading("What settles it at teardown")
    for settle in pattern.settle:
        say(f"{settle.by}: {sentence(settle.do)} {sentence(settle.decides)}", hang=2)
    if pattern.cautions:
        heading("Cautions")
        for caution in pattern.cautions:
            say(caution, hang=2)
    heading("Sources")
    for source in pattern.sources:
        say(f"{source.kind.replace('-', ' ')}: {source.text} {source.address}".rstrip(), hang=2)


@click.command(epilog="Example: atlas glossary crush can")
@click.argument("words", nargs=-1)
@shared
def glossary(words: tuple[str, ...], as_json: bool, library: Library) -> None:
    """Explain the trade's words; without WORDS, all of them."""
    catalogue = load(library)
    wanted = " ".join(words).lower().strip()
    terms = [
        term
        for term in catalogue.terms.values()
        if not wanted or any(wanted in name.lower() for name in (term.term, *term.also))
    ]
    terms.sort(key=lambda term: wanted not in (name.lower() for name in (term.term, *term.also)))
    if not terms:
        raise NotThere(
            f"no term {wanted[:60]!r} in the glossary", remedy="try a shorter part of it"
        )
    if as_json:
        print_json({"terms": [msgspec.to_builtins(term) for term in terms]})
        return
    for term in terms:
        say(f"{term.term}: {term.definition}", hang=2)
        if term.also:
            say("also: " + ", ".join(term.also), indent=4, hang=6)
