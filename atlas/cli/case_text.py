"""A case as text for people."""

from atlas.casework.beliefs import Belief, beliefs
from atlas.casework.disputes import NO_PATTERN, in_words
from atlas.casework.model import Case, Suspicion
from atlas.casework.photos import photo as photo_of
from atlas.catalogue.library import Library
from atlas.catalogue.model import SETTLED_BY
from atlas.cli.common import heading, say


def print_case(found: Case, library: Library) -> None:
    """A case for people; a photo that is gone or has changed is said."""
    head = found.head
    say(f"{head.title}  [{head.id}]  {found.status}")
    where = "; ".join(p for p in (head.vehicle, head.place, head.date, ", ".join(head.people)) if p)
    say(where)
    for about in found.structures:
        heading(about)
        for one in beliefs(found, about):
            _print_belief(one)
        _print_verdicts(found, about)
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


def _print_belief(one: Belief) -> None:
    """What each person stated last, and how he came there; what all mean where they are several."""

    def said(name: str, last: Suspicion) -> str:
        moved = f": {one.course(name)}" if len(one.by[name]) > 1 else ""
        return f"({name} {last.at[:10]}{moved}) {last.why}".strip()

    if len(one.by) == 1:
        ((name, last),) = one.newest.items()
        say(f"{last.probability:4.0%}  {one.pattern}  {said(name, last)}", 2, 6)
        return
    say(f"{one.mean:4.0%}  {one.pattern}  (mean of {len(one.by)} people)", 2, 6)
    for name, last in one.newest.items():
        say(f"{last.probability:4.0%}  {said(name, last)}", 8, 6)


def _print_verdicts(found: Case, about: str) -> None:
    verdicts = found.verdicts(about)
    verdict = found.verdict_on(about)
    if verdict:
        name = verdict.pattern or NO_PATTERN
        said = f"{verdict.by} {verdict.at[:10]}".strip()
        say(f"settled: {name}, {SETTLED_BY[verdict.how]}: {verdict.found} ({said})", 2, 2)
    if verdicts.disputed:
        say("In dispute; it counts as open until one is chosen: atlas sync --conflicts", 2, 2)
    for one in verdicts.disputed.values():
        say(f"{one.by or 'unnamed'} settled it as {in_words(one)}", 4, 2)
    for other in verdicts.overruled:
        what = f"{other.verdict.by or 'unnamed'} settled it as {in_words(other.verdict)}"
        if other.choice is None:
            say(f"before that, {what}", 2, 2)
        else:
            who = f"by {other.choice.by or 'unnamed'} {other.choice.at[:10]}"
            say(f"not chosen ({who}): {what}", 2, 2)
