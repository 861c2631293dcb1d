"""``atlas study``: a path through a zone, practice, and how it goes."""

import sys
from datetime import date

import click

from atlas.catalogue.library import Library
from atlas.catalogue.load import load
from atlas.cli.case import initials
from atlas.cli.common import print_json, report_to_write, say, say_file, shared, warn
from atlas.cli.completion import Known
from atlas.cli.groups import Group
from atlas.cli.study_text import (
    answered_document,
    item_document,
    overview_document,
    path_document,
    print_overview,
    print_path,
    print_reasons,
)
from atlas.cli.study_walk import practise_aloud, read_aloud
from atlas.errors import BadInput
from atlas.study.overview import overview
from atlas.study.practice import Study, stated
from atlas.study.reasons import Reasons, reasons

_BY = click.option("--by", metavar="INITIALS", envvar="ATLAS_INITIALS", help="Who learns.")


def today() -> date:
    """The learner's day; the only place of the command that looks at the clock for it."""
    return date.today()


class StudyGroup(Group):
    """A group whose first word may also be a zone: ``atlas study rails`` practises there."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Put the command of practice before anything that names no command."""
        known = bool(args) and args[0] in (*self.commands, "-h", "--help")
        return super().parse_args(ctx, args if known else ["practise", *args])


@click.group(cls=StudyGroup, epilog="Example: atlas study rear-mount")
def study() -> None:
    """Learn why structures are as they are: a path, practice, and how it goes.

    Without a command, or with a zone, it practises: cues come one by one, an answer is given with
    its probability, the reasons follow. What is known comes back later and later, what is not comes
    back the next day (Leitner boxes). Progress lies in the library, one file a person.
    """


@study.command("practise", epilog="Example: atlas study practise rear-mount --by AB")
@click.argument("zone", default="", metavar="[ZONE]", type=Known("zone"))
@click.option("--cues", type=click.IntRange(1), help="Uncover so many cues (with --json).")
@_BY
@shared
def practise(
    zone: str, cues: int | None, by: str | None, as_json: bool, library: Library
) -> int:  # fmt: skip
    """Practise what is due, then what is new; in one ZONE or in all."""
    one = _study(library, by)
    chosen = one.zone(zone, _COMMANDS) if zone else ""
    day = today()
    if not as_json:
        return practise_aloud(one, chosen, day, sys.stdin)
    progress = one.learner.get()
    queue = one.queue(progress, day, chosen)
    name = queue.next
    if name and cues is not None:
        progress = one.learner.uncover(name, min(cues, len(one.items[name].cues)))
    print_json(item_document(one, progress, queue, name, day))
    return 0 if name else 1


@study.command("answer", epilog="Example: atlas study answer 190cc16fe7 rear-x-plate --sure 70%")
@click.argument("item", metavar="ITEM")
@click.argument("pattern", default="", metavar="[PATTERN]", type=Known("pattern"))
@click.option("--sure", metavar="PROBABILITY", default="", help="How sure: 0.7 or 70%.")
@click.option("--pass", "passing", is_flag=True, help="Name none and see the reasons.")
@click.option("--cues", type=click.IntRange(1), help="After how many cues (all that were shown).")
@_BY
@shared
def answer(
    item: str,
    pattern: str,
    sure: str,
    passing: bool,
    cues: int | None,
    by: str | None,
    as_json: bool,
    library: Library,
) -> None:
    """Answer ITEM and see the reasons."""
    if passing and (pattern or sure):
        raise BadInput("--pass goes with no answer", "--pass", "leave out PATTERN and --sure")
    if not passing and not pattern:
        raise BadInput("nothing was answered", "PATTERN", "name a pattern, or --pass")
    one = _study(library, by)
    found = one.item(item)
    taken = cues or one.learner.get().shown(found.id) or 1
    probability = stated(sure) if sure else None
    progress = one.answer(found, pattern, probability, taken, today())
    why = reasons_for(one, found.id, pattern)
    if as_json:
        print_json(answered_document(one, progress, found, pattern, probability, why))
    else:
        shown = progress.answers[-1].cues
        print_reasons(found, why, probability, shown, progress.standing(found.id))


@study.command("progress", epilog="Example: atlas study progress --by AB")
@_BY
@shared
def show_progress(by: str | None, as_json: bool, library: Library) -> None:
    """Show what was seen, the boxes, what is due, the hits and the calibration, by zone."""
    one = _study(library, by)
    found = overview(one, one.learner.get(), today())
    if as_json:
        print_json(overview_document(found))
    else:
        print_overview(found)


@study.command("path", epilog="Example: atlas study path rear-mount")
@click.argument("zone", metavar="ZONE", type=Known("zone"))
@click.option("--list", "listed", is_flag=True, help="Only list the patterns in their order.")
@click.option("--answer", "said", metavar="PATTERN", default="", help="Answer the next question.")
@click.option("--ascii", "ascii_only", is_flag=True, help="Draw with ASCII characters only.")
@_BY
@shared
def path(
    zone: str,
    listed: bool,
    said: str,
    ascii_only: bool,
    by: str | None,
    as_json: bool,
    library: Library,
) -> int:
    """Walk through ZONE pattern by pattern: sketch, cues, why, and a question to go on."""
    one = _study(library, by)
    chosen = one.zone(zone)
    right = None
    if said:
        right = one.take_step(chosen, one.catalogue.pattern(said).id, today())
    if as_json:
        print_json(path_document(one, chosen, right))
    elif listed or said:
        if right is not None:
            say("Right." if right else "Not that one; read it once more.")
        print_path(one, chosen)
    else:
        return read_aloud(one, chosen, today(), sys.stdin, ascii_only=ascii_only)
    return 1 if right is False else 0


@study.command("report", epilog="Example: atlas study report --output study.html")
@click.option(
    "--output", "--out", "out", metavar="FILE", required=True, help="FILE.html, .md or .pdf."
)
@_BY
@shared
def report(out: str, by: str | None, as_json: bool, library: Library) -> None:
    """Write the progress as a page that can be handed over."""
    from atlas.catalogue.writing import write_durably
    from atlas.reports.study import study_report

    target, form = report_to_write(out, "--output")
    one = _study(library, by)
    write_durably(target, study_report(one, one.learner.get(), today(), form))
    if as_json:
        print_json({"report": str(target), "who": one.learner.who})
    else:
        say_file(target)


_COMMANDS = tuple(study.commands)


def reasons_for(one: Study, name: str, said: str) -> Reasons:
    """The reasons after an answer, with the search and the narrowing made for it."""
    from atlas.identify.narrowing import Narrowing
    from atlas.identify.text import Finder

    catalogue = one.catalogue
    return reasons(
        one.items[name], said, catalogue, one.library, Finder(catalogue), Narrowing(catalogue)
    )


def _study(library: Library, by: str | None) -> Study:
    catalogue = load(library)
    one = Study(catalogue, library, initials(by))
    warn((*catalogue.problems, *one.problems))
    return one
