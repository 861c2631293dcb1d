"""A case as text for people."""

from atlas.casework.model import Case
from atlas.casework.photos import photo as photo_of
from atlas.catalogue.library import Library
from atlas.cli.common import heading, say


def print_case(found: Case, library: Library) -> None:
    """A case for people; a photo that is gone or has changed is said."""
    head = found.head
    say(f"{head.title}  [{head.id}]  {found.status}")
    where = "; ".join(p for p in (head.vehicle, head.place, head.date, ", ".join(head.people)) if p)
    say(where)
    for about in found.structures:
        heading(about)
        for one in found.beliefs(about).values():
            say(f"{one.probability:4.0%}  {one.pattern}  ({one.by} {one.at[:10]}) {one.why}", 2, 6)
        verdict = found.verdict_on(about)
        if verdict:
            name = verdict.pattern or "none of the catalogue"
            say(f"settled: {name}, by {verdict.how}: {verdict.found}", 2, 2)
        for other in found.disputes(about):
            name = other.pattern or "none of the catalogue"
            say(
                f"before that, {other.by} settled it as {name}, by {other.how}: {other.found}", 2, 2
            )
    if found.evidence:
        heading("Evidence")
    for note_ in found.evidence.values():
        reading = f" {note_.measured}" if note_.measured else ""
        photo = f" {note_.path} sha256 {note_.sha256[:12]}" if note_.path else ""
        why = photo_of(note_, library).why if note_.path and note_.sha256 else ""
        photo += f" (it {why})" if why else ""
        about = f"{note_.about}: " if note_.about else ""
        say(f"{note_.at[:10]} {note_.by} {note_.kind}  {about}{note_.text}{reading}{photo}", 0, 2)
    if found.calculation:
        heading("Calculations")
    for one_ in found.calculation.values():
        say(f"{one_.calculator} {' '.join(f'{k}={v}' for k, v in one_.inputs.items())}", 0, 2)
        for finding in one_.findings:
            say(f"- {finding}", 2, 2)
    if found.question:
        heading("Open questions")
    for question in found.question.values():
        say(f"{question.text} Look: {question.look}" if question.look else question.text, 0, 2)
