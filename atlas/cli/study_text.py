"""Study as the documents that ``--json`` prints, and as text for people."""

from datetime import date
from typing import Any

from atlas.casework.calibration import verdict_in_words
from atlas.catalogue.visible import sentence
from atlas.cli.common import heading, say, table
from atlas.cli.score_text import print_bins
from atlas.identify.chances import told
from atlas.study.boxes import Standing
from atlas.study.items import Item
from atlas.study.overview import Overview, Row
from atlas.study.path import question
from atlas.study.practice import Queue, Study
from atlas.study.progress import Progress
from atlas.study.reasons import Reasons


def item_document(
    study: Study, progress: Progress, queue: Queue, name: str, day: date
) -> dict[str, Any]:
    """The next item, with the cues that are uncovered and what it can be; nothing of the answer."""
    counts = {"open": len(queue.open), "due": len(queue.due), "new": len(queue.new)}
    head = {"by": progress.who, "day": day.isoformat(), "left": counts}
    if not name:
        return {**head, "item": None, "choices": []}
    item = study.items[name]
    shown = max(progress.shown(name), 1)
    return {
        **head,
        "item": {
            "id": item.id,
            "kind": item.kind,
            "zone": item.zone,
            "about": item.about,
            "where": item.where,
            "box": progress.standing(name).box,
            "cues": [{"text": c.text, "look": c.look} for c in item.cues[:shown]],
            "of": len(item.cues),
        },
        "choices": named(study, study.choices(item.zone)),
    }


def named(study: Study, names: tuple[str, ...]) -> list[dict[str, str]]:
    """Patterns by id and title."""
    return [{"id": name, "title": study.catalogue.patterns.title(name)} for name in names]


def answered_document(
    study: Study, progress: Progress, item: Item, said: str, sure: float | None, why: Reasons
) -> dict[str, Any]:
    """An answer and what follows it."""
    now = progress.standing(item.id)
    return {
        "item": item.id,
        "said": said,
        "sure": sure,
        "right": why.right,
        "pattern": item.pattern,
        "title": why.pattern.title,
        "box": now.box,
        "due": now.due.isoformat() if now.due else None,
        "found": item.found,
        "how": item.how,
        "first_guess": item.first_guess,
        "separations": [
            {"id": one.other, "title": one.title, "text": one.text, "taken": one.taken}
            for one in why.separations
        ],
        "course": [round(share, 4) for share in why.course],
        "telling": None if why.telling is None else item.cues[why.telling].text,
        "rationale": why.pattern.rationale,
        "number": None
        if why.number is None
        else {
            "calculator": why.number.calculator,
            "question": why.number.question,
            "findings": list(why.number.findings),
            "says": why.number.says,
            "leaves_out": why.number.leaves_out,
        },
        "cautions": list(why.cautions),
    }


def overview_document(found: Overview) -> dict[str, Any]:
    """A learner's progress."""
    return {
        "by": found.who,
        "day": found.day.isoformat(),
        "all": _row(found.whole),
        "zones": [{"zone": row.zone, **_row(row)} for row in found.zones],
        "confusions": [
            {"pattern": one.pattern, "said": one.said, "count": one.count,
             "last": one.last.isoformat(), "separates": one.separates}
            for one in found.confusions
        ],
        "next": list(found.next),
    }  # fmt: skip


def _row(row: Row) -> dict[str, Any]:
    return {
        "path": row.path,
        "read": row.read,
        "items": row.items,
        "seen": row.seen,
        "boxes": list(row.boxes),
        "due": row.due,
        "answers": row.answers,
        "right": row.right,
        "cues": round(row.cues, 4),
        "brier": None if row.score is None else row.score.brier,
    }


def path_document(study: Study, zone: str, right: bool | None) -> dict[str, Any]:
    """A zone's path, how far it was walked, and the question that comes next."""
    progress = study.learner.get()
    step = study.next_step(progress, zone)
    asked = question(study.catalogue.pattern(step), study.catalogue) if step else None
    return {
        "by": progress.who,
        "zone": zone,
        "title": study.catalogue.zones[zone].title,
        "steps": [
            {**one, "read": one["id"] in progress.read} for one in named(study, study.paths[zone])
        ],
        "next": step or None,
        "question": asked and {"text": asked.text, "options": named(study, asked.options)},
        "right": right,
    }


# ------------------------------------------------------------------------------------- for people
def print_path(study: Study, zone: str) -> None:
    """A zone's path in its order."""
    read = study.learner.get().read
    path = study.paths[zone]
    done = sum(name in read for name in path)
    say(f"{study.catalogue.zones[zone].title}: {done} of {len(path)} read.")
    table(
        ((str(number), "read" if name in read else "-", name, study.catalogue.patterns.title(name))
         for number, name in enumerate(path, 1)),
        ("", "", "pattern", "title"),
    )  # fmt: skip


def print_reasons(item: Item, why: Reasons, sure: float | None, shown: int, now: Standing) -> None:
    """What follows an answer."""
    print()
    stated = f" You were {sure:.0%} sure." if sure is not None else ""
    if why.right:
        say(f"Right: {why.pattern.title} [{item.pattern}].{stated}")
    else:
        taken = f"Not {why.said}. " if why.said else ""
        say(f"{taken}It is: {why.pattern.title} [{item.pattern}].{stated}")
    if item.found:
        say(f"Found: {sentence(item.found)}", 2, 2)
    if why.first_guess:
        say(f"First taken for: {why.first_guess}.", 2, 2)
    if why.separations:
        heading("What separates it")
        for one in why.separations[:3]:
            text = one.text or "nothing in the catalogue separates the two directly"
            say(f"from {one.title}: {sentence(text)}", 2, 4)
    if why.course:
        heading("Which cue told")
        if why.telling is not None:
            before, after = why.course[why.telling : why.telling + 2]
            say(f"Number {why.telling + 1}: {sentence(item.cues[why.telling].text)}", 2, 4)
            say(
                f"With it the catalogue's own matching went from {told(before)} to {told(after)}.",
                2,
            )
        else:
            say("None of them alone.", 2)
        say(
            f"After the {shown} that you saw the matching held it for {told(why.course[shown])}.",
            2,
        )
    heading("Why it is built so")
    for paragraph in why.pattern.rationale.strip().split("\n\n"):
        say(paragraph, 2)
    if why.number is not None:
        heading("The number")
        say(why.number.question, 2)
        for finding in why.number.findings:
            say(f"- {finding}", 2, 2)
        if why.number.says:
            say(why.number.says, 2)
        say(f"Left out: {sentence(why.number.leaves_out)}", 2, 2)
    if why.cautions:
        heading("Cautions")
        for caution in why.cautions:
            say(f"- {caution}", 2, 2)
    print()
    if now.due is not None:
        say(f"Box {now.box} of 5; it comes back on {now.due.isoformat()}.")


def print_overview(found: Overview) -> None:
    """A learner's progress."""
    whole = found.whole
    say(f"Study of {found.who}, {found.day.isoformat()}")
    hits = f", {whole.hits:.0%} right" if whole.hits is not None else ""
    say(
        f"{whole.seen} of {whole.items} items seen, {whole.due} due today; {whole.answers} answers"
        f"{hits}; {whole.read} of {whole.path} patterns of the paths read."
    )
    worth = "Nothing was answered with a probability yet."
    say(verdict_in_words(whole.score) if whole.score else worth)
    heading("By zone")
    table(
        (_cells(row) for row in found.zones),
        ("zone", "read", "seen", "box 1-5", "due", "right", "cues", "brier"),
    )
    if whole.score is not None:
        print_bins(whole.score)
    if found.confusions:
        heading("What was taken for what")
        for one in found.confusions[:8]:
            say(f"{one.count} x {one.title}, taken for {one.said_title}. {one.separates}", 0, 4)
    if found.next:
        heading("What next")
        for line in found.next:
            say(f"- {line}", 0, 2)


def _cells(row: Row) -> tuple[str, ...]:
    return (
        row.zone,
        f"{row.read}/{row.path}",
        f"{row.seen}/{row.items}",
        " ".join(map(str, row.boxes)),
        str(row.due),
        f"{row.hits:.0%}" if row.hits is not None else "-",
        f"{row.cues:.0%}" if row.answers else "-",
        f"{row.score.brier:.2f}" if row.score else "-",
    )
