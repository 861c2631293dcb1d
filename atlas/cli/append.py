"""``atlas add``, ``review``, ``supersede`` and ``learn``: how the catalogue grows."""

from datetime import date
from pathlib import Path
from typing import Any

import click
import msgspec
from msgspec.structs import replace

from atlas.catalogue.appending import (
    change_pattern,
    compared_with,
    differences,
    drafted,
    reviewed,
    superseded,
)
from atlas.catalogue.checking import check_pattern, check_variant
from atlas.catalogue.library import Library
from atlas.catalogue.load import Catalogue, load
from atlas.catalogue.model import Pattern
from atlas.catalogue.reading import read_record
from atlas.catalogue.visible import visible
from atlas.cli.case import initials
from atlas.cli.common import heading, print_json, say, shared, warn
from atlas.cli.completion import Known
from atlas.cli.dispute_text import dispute_rows, say_disputes
from atlas.errors import BadInput, NotThere
from atlas.identify.chances import told

_BY = click.option("--by", metavar="INITIALS", envvar="ATLAS_INITIALS", help="Who does it.")


@click.command(epilog="Example: atlas add new-brace.toml --as new --by AB")
@click.argument("file", required=False)
@click.option("--as", "kind", type=click.Choice(["same", "variant", "new"]), help="What it is.")
@click.option("--of", "of", metavar="ID", default="", help="The pattern that it is, or varies.")
@click.option("--from-case", "case_id", metavar="CASE", default="", help="Draft FILE from a case.")
@click.option("--about", default="", help="Structure of the case.")
@click.option("--zone", default="", help="Zone of the draft.")
@_BY
@shared
def add(
    file: str | None,
    kind: str | None,
    of: str,
    case_id: str,
    about: str,
    zone: str,
    by: str | None,
    as_json: bool,
    library: Library,
) -> int:
    """Add a pattern file to the library as a draft, or draft one from a case.

    The nearest existing patterns are shown first; say with --as whether yours is the same as one of
    them, a variant of it, or new.
    """
    who = initials(by)
    catalogue = load(library)
    if file is None:
        raise BadInput("no file", "FILE", "name the pattern's file, or the one to draft")
    if case_id:
        return _draft(file, case_id, about, zone, who, as_json, library, catalogue)
    pattern = read_record(Path(file).expanduser(), Pattern)
    near = _nearest(pattern, catalogue)
    if kind is None:
        if as_json:
            print_json({"id": pattern.id, "nearest": near, "added": False})
        else:
            _show_nearest(near)
        raise BadInput(
            "is it one of these?", "--as", "say --as same, variant (both with --of ID) or new"
        )
    if kind in {"same", "variant"}:
        if not of:
            what = "is" if kind == "same" else "varies"
            raise BadInput("no pattern was named", "--of", f"say which one it {what}")
        catalogue.pattern(of)
    if kind == "same":
        if as_json:
            print_json({"id": of, "nearest": near, "added": False})
        else:
            say("Nothing was added. Record what you saw in a case and let 'atlas learn' count it: "
                f"{of}")  # fmt: skip
        return 0
    # A variant of itself is the pattern changed.
    if pattern.id in catalogue.patterns and (kind == "new" or of != pattern.id):
        raise BadInput(
            f"there is a pattern {pattern.id!r}", "id",
            f"choose another, or change it with --as variant --of {pattern.id}",
        )  # fmt: skip
    found = list(check_pattern(pattern, catalogue))
    if kind == "variant" and of != pattern.id:
        pattern = replace(pattern, provenance=replace(pattern.provenance, variant_of=of))
        found += check_variant(pattern, catalogue.pattern(of))
    faults = [fault for fault in found if fault.severe]
    if faults:
        raise BadInput(faults[0].what, f"{file}: {faults[0].field}", "'atlas check' lists them all")
    draft = drafted(pattern, who, date.today())
    change_pattern(library, catalogue.patterns.get(draft.id), draft)
    if as_json:
        print_json({"id": draft.id, "nearest": near, "added": True, "status": "draft"})
    else:
        say(f"{draft.id} is in the library as a draft by {who}. Next: atlas review {draft.id}")
    return 0


def _draft(
    file: str,
    case_id: str,
    about: str,
    zone: str,
    who: str,
    as_json: bool,
    library: Library,
    catalogue: Catalogue,
) -> int:
    from atlas.casework.cases import Cases
    from atlas.casework.lessons import draft_text, observed
    from atlas.catalogue.writing import write_durably

    path = Path(file).expanduser()
    if path.exists():
        raise BadInput("exists already", str(path), "name a new file")
    if zone not in catalogue.zones:
        raise BadInput(f"no zone {zone!r}", "--zone", f"zones are {', '.join(catalogue.zones)}")
    store = Cases(library)
    case = store.get(store.id_of(case_id))
    title = about[:1].upper() + about[1:]
    draft = {**observed(case, about, title, zone, catalogue), "id": path.stem}
    write_durably(path, draft_text(draft, who, date.today()).encode())
    if as_json:
        print_json({"file": str(path), "case": case.id})
    else:
        say(f"{path}: fill it in, then atlas check {path} and atlas add {path}")
    return 0


def _nearest(pattern: Pattern, catalogue: Catalogue) -> list[dict[str, Any]]:
    from atlas.identify.likeness import nearest
    from atlas.identify.text import Finder

    return [
        {
            "id": one.pattern_id,
            "title": catalogue.patterns.title(one.pattern_id),
            "score": round(one.score, 4),
        }
        for one in nearest(msgspec.to_builtins(pattern), Finder(catalogue))
    ]


def _show_nearest(near: list[dict[str, Any]]) -> None:
    heading("Nearest patterns that there are")
    for one in near:
        say(f"{told(one['score']):>4}  {one['title']} [{one['id']}]", hang=6)


@click.command(epilog="Example: atlas review new-brace --by CD --accept")
@click.argument("pattern_id", metavar="ID", type=Known("pattern"))
@click.option("--accept", is_flag=True, help="Mark it as reviewed.")
@click.option("--comment", default="", help="What should change.")
@_BY
@shared
def review(
    pattern_id: str, accept: bool, comment: str, by: str | None, as_json: bool, library: Library
) -> None:
    """Show what a pattern changes, field by field; comment on it or accept it."""
    from atlas.casework.reviews import Reviews

    catalogue = load(library)
    pattern = catalogue.pattern(pattern_id)
    before = compared_with(pattern, catalogue, load(None))
    changes = differences(before, pattern)
    reviews = Reviews(library)
    if comment:
        reviews.comment(pattern_id, initials(by), comment)
    if accept and pattern.provenance.status != "draft":
        raise BadInput(f"{pattern_id} is {pattern.provenance.status} already", "--accept")
    if accept:
        accepted_one = reviewed(pattern, initials(by), date.today())
        faults = [fault for fault in check_pattern(pattern, catalogue) if fault.severe]
        if faults:
            raise BadInput(faults[0].what, f"{pattern_id}: {faults[0].field}", "mend it first")
        change_pattern(library, pattern, accepted_one)
        pattern = accepted_one
    said = reviews.comments(pattern_id)
    if as_json:
        print_json(
            {
                "id": pattern_id,
                "status": pattern.provenance.status,
                "differences": [{"field": f, "before": b, "after": a} for f, b, a in changes],
                "comments": [{"by": c.by, "at": c.at, "text": c.text} for c in said],
            }
        )
        return
    say(f"{pattern.title} [{pattern_id}], {pattern.provenance.status}, by "
        f"{pattern.provenance.author or 'the shipped catalogue'}")  # fmt: skip
    if before is None:
        heading("New")
    else:
        other = visible(before.title, lines=False)
        heading(f"Against {'the shipped one' if before.id == pattern_id else other}")
    if not changes:
        say("No field differs.")
    for field, old, new in changes:
        say(f"{field}", 0)
        if before is not None:
            say(f"- {old}", 4, 2)
        say(f"+ {new}", 4, 2)
    if said:
        heading("Comments")
    for one in said:
        say(f"{one.at[:10]} {one.by}: {one.text}", hang=2)


@click.command(epilog="Example: atlas supersede old-brace new-brace")
@click.argument("old")
@click.argument("new")
@shared
def supersede(old: str, new: str, as_json: bool, library: Library) -> None:
    """Replace a pattern by another; the old one stays readable, links keep working."""
    catalogue = load(library)
    first, second = superseded(catalogue.pattern(old), catalogue.pattern(new))
    # In this order: one that was killed in between is completed by the same command again.
    change_pattern(library, catalogue.pattern(new), second)
    change_pattern(library, catalogue.pattern(old), first)
    if as_json:
        print_json({"old": old, "new": new})
    else:
        say(f"{old} is superseded by {new}, which took over its names.")


@click.command(epilog="Example: atlas learn --pattern rear-x-plate --write")
@click.option("--pattern", "pattern_id", default="", metavar="ID", help="One pattern only.")
@click.option("--write", is_flag=True, help="Write the moved likelihoods into the library.")
@shared
def learn(pattern_id: str, write: bool, as_json: bool, library: Library) -> int:
    """Show how settled cases would move likelihoods by counting; nothing is changed unasked.

    What was noted of a structure in words is added to what the search counts as said of its
    pattern.
    """
    from atlas.casework import learning

    catalogue = load(library)
    if pattern_id:
        catalogue.pattern(pattern_id)
    found = learning.taught(library, catalogue)
    warn(found.problems)
    if pattern_id:
        found = found.about(pattern_id)
    if write:
        learning.learn(library, catalogue, found)
    if as_json:
        print_json(
            {
                "lessons": [
                    {"pattern": x.pattern, "observable": x.observable, "counts": x.counts,
                     "before": x.before, "after": x.after}
                    for x in found.lessons
                ],
                "heard": found.said,
                "in_dispute": dispute_rows(found.cases),
                "written": write,
            }
        )  # fmt: skip
        return 0
    say_disputes(found.cases)
    for name, texts in found.said.items():
        say(
            f"{name}: {len(texts)} noted in words, the last: {visible(texts[-1], lines=False)[:90]}"
        )
    if not found.patterns:
        raise NotThere(
            "no settled case holds anything that was not counted yet", "",
            "note looks with: atlas case note CASE --look magnet=sticks --about STRUCTURE",
        )  # fmt: skip
    for one in found.lessons:
        say(f"{one.pattern}: {one.observable}")
        for state, share in one.after.items():
            say(
                f"{state}: seen {one.counts.get(state, 0)}, {one.before[state]:.2f} -> {share:.2f}",
                4,
            )
    say("Written into the library." if write else "Nothing was changed; --write does it.")
    return 0
