"""What settled cases saw, for the catalogue to learn from, and the draft of a new pattern."""

from collections.abc import Iterable, Iterator
from datetime import date

from atlas.casework.model import Case
from atlas.errors import NotThere


def seen_in(cases: Iterable[Case]) -> Iterator[tuple[str, str, str, str]]:
    """Pattern by verdict, observable, state, name: one for each look at a settled structure."""
    for case in cases:
        for key, evidence in case.evidence.items():
            verdict = case.verdict_on(evidence.about) if evidence.observable else None
            if verdict is not None and verdict.pattern:
                yield verdict.pattern, evidence.observable, evidence.state, f"{case.id}/{key}"


def said_in(cases: Iterable[Case]) -> dict[str, tuple[str, ...]]:
    """Descriptions noted of settled structures, by the pattern that each turned out to be."""
    said: dict[str, dict[str, None]] = {}
    for case in cases:
        for evidence in case.evidence.values():
            verdict = case.verdict_on(evidence.about) if evidence.kind == "text" else None
            if verdict is not None and verdict.pattern and len(evidence.text.split()) > 2:
                said.setdefault(verdict.pattern, {})[evidence.text] = None
    return {name: tuple(texts) for name, texts in said.items()}


def draft_text(case: Case, about: str, name: str, zone: str, author: str, today: date) -> str:
    """A pattern file to be filled in, with what the case saw of a structure already in it.

    Raises:
        NotThere: the case says nothing of that structure.
    """
    from rtoml import dumps

    if about not in case.structures:
        known = "; ".join(case.structures) or "none yet"
        raise NotThere(f"{case.id} says nothing of {about!r}", "--about", f"it speaks of {known}")

    def text(value: str) -> str:
        return dumps({"v": value}).split("=", 1)[1].strip()

    verdict = case.verdict_on(about)
    lines = [
        "# A draft: fill in every field, then `atlas check FILE` and `atlas add FILE`.",
        f"id = {text(name)}",
        f"title = {text(about[:1].upper() + about[1:])}",
        f"zone = {text(zone)}",
        "other_names = []",
        'summary = "What it is and what it does, in two sentences."',
        'does = "What it does for the structure."',
        'rationale = """',
        "Which force comes from where, takes which path, of what size; why not the usual way.",
        '"""',
        "cautions = []",
        "",
    ]
    for one in case.evidence.values():
        if one.about == about and one.kind in {"text", "photo", "look"} and one.text:
            lines += ["[[cues]]", f"see = {text(one.text)}", 'look = "below"',
                      'telling = "supports"', ""]  # fmt: skip
    for suspected in case.beliefs(about):
        lines += ["[[look_alikes]]", f"id = {text(suspected)}",
                  'separates = "The one observation that tells the two apart."', ""]  # fmt: skip
    lines += [
        "[[load_cases]]",
        'case = "Which load"',
        'force = "Which force, in which direction, of what order."',
        'path = "Through which parts it goes."',
        "",
        "[[trade_offs]]",
        'axis = "mass"',
        'effect = "depends"',
        'why = "Against which alternative, and why."',
        "",
        "[[builds]]",
        'material = "Grade family"',
        'process = "Process"',
        'joint = "Joint"',
        "",
        "[[settle]]",
        f"by = {text(verdict.how if verdict and verdict.how != 'document' else 'look')}",
        f"do = {text(verdict.found if verdict else 'What to look at, measure, weigh or cut.')}",
        'decides = "What it decides, with a threshold."',
        "",
        "[[sources]]",
        'kind = "common-practice"',
        f"text = {text(f'seen at teardown, case {case.id}')}",
        "",
        "[provenance]",
        'status = "draft"',
        f"written = {today.isoformat()}",
        f"author = {text(author)}",
        f"seen_in = [{text(case.id)}]",
        "",
    ]
    looks = [one for one in case.evidence.values() if one.about == about and one.observable]
    for one in looks:
        lines += [f"[likelihoods.{one.observable}]", f"{one.state} = 0.9", ""]
    return "\n".join(lines)
