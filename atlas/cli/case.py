"""``atlas case``: open a case, add to it, settle it, report it."""

import getpass
import os
from typing import Any, get_args

import click

from atlas.casework.cases import Cases
from atlas.casework.disputes import NO_PATTERN
from atlas.casework.documents import document
from atlas.casework.model import Calculation, Case, How
from atlas.casework.readings import measured as read_measured
from atlas.casework.readings import read_probability
from atlas.casework.verdicts import Verdicts
from atlas.catalogue.library import Library
from atlas.catalogue.nearest import suggestion
from atlas.cli.case_text import print_case
from atlas.cli.common import file_to_write, print_json, say, say_file, shared, table, warn
from atlas.cli.completion import Known
from atlas.cli.groups import Group
from atlas.cli.packing import pack, unpack
from atlas.errors import BadInput

_ABOUT = click.option("--about", metavar="STRUCTURE", default="", help="Which structure it is.")
_BY = click.option("--by", metavar="INITIALS", envvar="ATLAS_INITIALS", help="Who does it.")


def initials(given: str | None) -> str:
    """Who is at work: what was given, else ``ATLAS_INITIALS``, else the login name.

    The application asks here too, so that one person has one name in both front ends.
    """
    named = given or os.environ.get("ATLAS_INITIALS", "")
    if named:
        return named
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return os.environ.get("USER", "")


@click.group(
    cls=Group, epilog="Example: atlas case new 'Pick-up on lift 2' --vehicle 'demo pick-up'"
)
def case() -> None:
    """Keep cases: evidence, suspicions, calculations and verdicts.

    CASE is a case's id or any part of it that no other id has.
    """


@case.command("new")
@click.argument("title", nargs=-1, required=True)
@click.option("--vehicle", default="", help="What stands on the lift.")
@click.option("--place", default="", help="Where.")
@click.option("--date", default="", help="Day of the inspection (today).")
@click.option("--people", default="", help="Initials of those present, with commas.")
@_BY
@shared
def new(
    title: tuple[str, ...],
    vehicle: str,
    place: str,
    date: str,
    people: str,
    by: str | None,
    as_json: bool,
    library: Library,
) -> None:
    """Open a case and print its id."""
    present = tuple(one.strip() for one in people.split(",") if one.strip())
    opened = Cases(library, initials(by)).new(
        " ".join(title), vehicle=vehicle, place=place, date=date, people=present
    )
    if as_json:
        print_json(document(opened))
    else:
        print(opened.id)


@case.command("list")
@shared
def list_cases(as_json: bool, library: Library) -> None:
    """List the library's cases, newest first."""
    rows, problems = Cases(library).rows()
    warn(problems)
    if as_json:
        print_json({"cases": [_listed(row) for row in rows]})
    elif not rows:
        say(f"No cases in {library.cases}. Open one: atlas case new TITLE")
    else:
        table(
            ((r.id, _status(r), r.opened[:10], r.title, ", ".join(r.structures)) for r in rows),
            ("case", "status", "opened", "title", "structures"),
        )


def _status(row: Any) -> str:
    return "in dispute" if row.in_dispute else str(row.status)


def _listed(row: Any) -> dict[str, Any]:
    return {name: getattr(row, name) for name in row.__struct_fields__}


@case.command("show")
@click.argument("case_id", metavar="CASE", type=Known("case"))
@shared
def show(case_id: str, as_json: bool, library: Library) -> None:
    """Show a case."""
    cases = Cases(library)
    found = cases.get(cases.id_of(case_id))
    if as_json:
        print_json(document(found))
    else:
        print_case(found, library)


@case.command("note", epilog="Example: atlas case note CASE 'bar 42 mm thick' --about 'front bar'")
@click.argument("case_id", metavar="CASE", type=Known("case"))
@click.argument("text", nargs=-1)
@_ABOUT
@click.option("--photo", default="", help="Path of a photo; TEXT says what it shows.")
@click.option("--measured", default="", metavar="VALUE", help="A reading, e.g. 42mm or 3.2kg.")
@click.option("--look", default="", metavar="OBSERVABLE=STATE", help="An answer, as in narrow.")
@_BY
@shared
def note(
    case_id: str,
    text: tuple[str, ...],
    about: str,
    photo: str,
    measured: str,
    look: str,
    by: str | None,
    as_json: bool,
    library: Library,
) -> None:
    """Add what was seen, photographed, measured or weighed."""
    value, unit, kind = read_measured(measured)
    observable, state, said = _look(look, library)
    if said:
        kind = "look"
        text = text or (said,)
    cases = Cases(library, initials(by))
    changed = cases.note(
        cases.id_of(case_id),
        " ".join(text),
        about=about,
        kind=kind,
        photo=photo,
        value=value,
        unit=unit,
        observable=observable,
        state=state,
    )
    _tell(changed, as_json, "noted")


def _look(text: str, library: Library) -> tuple[str, str, str]:
    """Observable, state and both in words; refuses what no observable knows."""
    if not text:
        return "", "", ""
    from atlas.catalogue.load import load

    name, equals, state = (part.strip() for part in text.partition("="))
    known = load(library).observables
    if not equals or name not in known:
        remedy = suggestion(name, known, "write it as magnet=sticks")
        raise BadInput(f"cannot read {text[:60]!r}", "--look", remedy)
    texts = {one.id: one.text for one in known[name].states}
    if state not in texts:
        raise BadInput(f"no state {state[:40]!r}", f"--look {name}", f"answer {', '.join(texts)}")
    return name, state, f"{known[name].question} {texts[state]}"


@case.command("suspect", epilog="Example: atlas case suspect CASE rear-x-plate 0.7 --about brace")
@click.argument("case_id", metavar="CASE", type=Known("case"))
@click.argument("pattern_id", metavar="PATTERN")
@click.argument("probability", metavar="PROBABILITY")
@_ABOUT
@click.option("--why", default="", help="What speaks for it.")
@_BY
@shared
def suspect(
    case_id: str,
    pattern_id: str,
    probability: str,
    about: str,
    why: str,
    by: str | None,
    as_json: bool,
    library: Library,
) -> None:
    """State how likely it is that a structure is an example of a pattern."""
    from atlas.catalogue.load import load

    pattern = load(library).pattern(pattern_id)
    cases = Cases(library, initials(by))
    changed = cases.suspect(
        cases.id_of(case_id),
        pattern.id,
        read_probability(probability),
        about=about or pattern.title,
        why=why,
    )
    _tell(changed, as_json, "noted")


@case.command(
    "calc", epilog="Example: atlas case calc CASE bolted-joint bolt=12 --about 'rear mount'"
)
@click.argument("case_id", metavar="CASE", type=Known("case"))
@click.argument("calculator_id", metavar="CALCULATOR", required=False)
@click.argument("values", nargs=-1, metavar="[NAME=VALUE]...")
@click.option("--samples", type=int, default=10_000, show_default=True)
@click.option("--seed", type=int, default=1, show_default=True)
@click.option("--question", default="", help="What the calculation is to decide.")
@click.option("--rerun", is_flag=True, help="Run the attached ones again and compare.")
@_ABOUT
@_BY
@shared
def calculate(
    case_id: str,
    calculator_id: str | None,
    values: tuple[str, ...],
    samples: int,
    seed: int,
    question: str,
    rerun: bool,
    about: str,
    by: str | None,
    as_json: bool,
    library: Library,
) -> int:
    """Run a calculator and attach the result, or run the attached ones again."""
    from atlas.calculators.registry import calculator
    from atlas.calculators.running import run
    from atlas.casework.calculations import record_of
    from atlas.cli.calc import print_outcome, split
    from atlas.vehicles.readings import resolve

    cases = Cases(library, initials(by))
    case_id = cases.id_of(case_id)
    if rerun:
        return _rerun(cases.get(case_id), as_json, library)
    if calculator_id is None:
        raise BadInput("no calculator", "CALCULATOR", "'atlas calc' lists them")
    one = calculator(calculator_id)
    typed = split(values)
    given, subject = resolve(one, typed, library)
    outcome = run(one, given, samples, seed, subject)
    changed = cases.calculate(case_id, record_of(outcome, typed, about, question))
    if as_json:
        print_json(document(changed))
    else:
        print_outcome(outcome)
    return 0


def _rerun(found: Case, as_json: bool, library: Library) -> int:
    from atlas.casework.calculations import compare_again
    from atlas.casework.photo_lengths import superseded

    changed = {
        key: (*compare_again(one, library), *superseded(found, one))
        for key, one in found.calculation.items()
    }
    if as_json:
        print_json({"case": found.id, "changed": {str(k): list(v) for k, v in changed.items()}})
    for key, lines in changed.items():
        if not as_json:
            one: Calculation = found.calculation[key]
            say(f"{one.calculator} of {one.at[:10]}: {'; '.join(lines) or 'the same result'}")
    return 1 if any(changed.values()) else 0


@case.command("ask")
@click.argument("case_id", metavar="CASE", type=Known("case"))
@click.argument("text", nargs=-1, required=True)
@click.option("--look", default="", help="The look that would settle it.")
@_ABOUT
@_BY
@shared
def ask(
    case_id: str,
    text: tuple[str, ...],
    look: str,
    about: str,
    by: str | None,
    as_json: bool,
    library: Library,
) -> None:
    """Note an open question and the look that would settle it."""
    cases = Cases(library, initials(by))
    changed = cases.ask(cases.id_of(case_id), " ".join(text), look, about=about)
    _tell(changed, as_json, "noted")


@case.command(
    "settle", epilog="Example: atlas case settle CASE rear-x-plate --found 'four feet, M12'"
)
@click.argument("case_id", metavar="CASE", type=Known("case"))
@click.argument("pattern_id", metavar="PATTERN|none")
@_ABOUT
@click.option("--found", default="", help="What the teardown showed.")
@click.option("--how", type=click.Choice(get_args(How)), default="look", show_default=True)
@_BY
@shared
def settle(
    case_id: str,
    pattern_id: str,
    about: str,
    found: str,
    how: How,
    by: str | None,
    as_json: bool,
    library: Library,
) -> None:
    """Record what the teardown showed a structure to be."""
    from atlas.catalogue.load import load

    cases = Cases(library, initials(by))
    known = cases.get(cases.id_of(case_id))
    pattern = "" if pattern_id == "none" else load(library).pattern(pattern_id).id
    changed = cases.settle(
        known.id, pattern, about=about or _only_structure(known), found=found, how=how
    )
    _tell(changed, as_json, "verdict on record" + _correcting(changed))


def _correcting(changed: Case) -> str:
    """Whose other verdict the latest one corrects, so that nobody's is overruled unawares."""
    key = max(changed.verdict)
    given = changed.verdict[key]
    told = changed.verdicts(given.about)
    before = Verdicts({k: v for k, v in told.given.items() if k != key}, told.choices)
    others = [v for v in before.standing.values() if v.pattern != given.pattern]
    if not others:
        return ""
    last = others[-1]
    was = f"{last.pattern or NO_PATTERN} ({f'{last.by} {last.at[:10]}'.strip()})"
    return f", which corrects {was}; 'atlas case undo' takes it back"


def _only_structure(known: Case) -> str:
    suspected = list(dict.fromkeys(one.about for one in known.suspicion.values()))
    if len(suspected) == 1:
        return suspected[0]
    choices = f"say which: {'; '.join(suspected)}" if suspected else "say which structure it is"
    raise BadInput("no structure was named", "--about", choices)


@case.command("undo")
@click.argument("case_id", metavar="CASE", type=Known("case"))
@_BY
@shared
def undo(case_id: str, by: str | None, as_json: bool, library: Library) -> None:
    """Take back the latest change; the history keeps both."""
    cases = Cases(library, initials(by))
    changed = cases.undo(cases.id_of(case_id))
    _tell(changed, as_json, changed.latest.what)


@case.command("report")
@click.argument("case_id", metavar="CASE", type=Known("case"))
@click.option("--format", "form", type=click.Choice(["html", "md", "pdf"]), default="html")
@click.option(
    "--output", "--out", "output", metavar="FILE", default="", help="Where to write it (CASE.html)."
)
@shared
def report(case_id: str, form: str, output: str, as_json: bool, library: Library) -> None:
    """Write a case as a report that people can hand over."""
    from atlas.catalogue.load import load
    from atlas.catalogue.writing import write_durably
    from atlas.reports.case import case_report

    cases = Cases(library)
    found = cases.get(cases.id_of(case_id))
    path = file_to_write(output or f"{found.id}.{form}", "--output")
    write_durably(path, case_report(found, load(library), form, library))
    if as_json:
        print_json({"case": found.id, "report": str(path)})
    else:
        say_file(path)


def _tell(changed: Case, as_json: bool, done: str) -> None:
    if as_json:
        print_json(document(changed))
    else:
        say(f"{changed.id}: {done}; {changed.status}")


case.add_command(pack)
case.add_command(unpack)
