"""What settled cases saw, for the catalogue to learn from, and the draft of a new pattern."""

from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import date

from atlas.casework.model import Case, Evidence
from atlas.catalogue.appending import filled
from atlas.catalogue.drafting import as_new
from atlas.catalogue.drafts import Content, id_from
from atlas.catalogue.load import Catalogue
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


def observed(case: Case, about: str, title: str, zone: str, catalogue: Catalogue) -> Content:
    """The draft of a pattern from what a case saw of a structure; nobody has decided what it is.

    What was noted becomes cues, what it was taken for look-alikes, the teardown's find the way to
    settle it, and each look a likelihood by counting, from states taken as equally likely before.

    Raises:
        NotThere: the case says nothing of that structure.

    Source: rule of succession (one count added to each state), A. Gelman et al., Bayesian Data
    Analysis, 3rd ed., section 3.4 (from memory).
    """
    if about not in case.structures:
        known = "; ".join(case.structures) or "none yet"
        raise NotThere(f"{case.id} says nothing of {about!r}", "--about", f"it speaks of {known}")
    evidence = {key: one for key, one in case.evidence.items() if one.about == about}
    verdict = case.verdict_on(about)
    draft: Content = {
        "id": id_from(title),
        "title": title,
        "zone": zone,
        "cues": [
            {"see": one.text, "look": _look(one, catalogue), "telling": "supports"}
            for one in evidence.values()
            if one.kind in {"text", "photo", "look"} and one.text
        ],
        "look_alikes": [{"id": name} for name in case.beliefs(about) if name in catalogue.patterns],
        "sources": [{"kind": "common-practice", "text": f"seen at teardown, case {case.id}"}],
    }
    if verdict is not None:
        how = verdict.how if verdict.how != "document" else "look"
        draft["settle"] = [{"by": how, "do": verdict.found}]
    counts: dict[str, Counter[str]] = {}
    for one in evidence.values():
        if one.observable in catalogue.observables:
            counts.setdefault(one.observable, Counter())[one.state] += 1
    draft["likelihoods"] = {name: _shares(name, seen, catalogue) for name, seen in counts.items()}
    looks = [f"{case.id}/{key}" for key, one in evidence.items() if one.observable in counts]
    draft["provenance"] = {"seen_in": [case.id], "counted": looks}
    return draft


def _look(one: Evidence, catalogue: Catalogue) -> str:
    asked = catalogue.observables.get(one.observable)
    return asked.look if asked is not None else "below"


def _shares(name: str, seen: Counter[str], catalogue: Catalogue) -> dict[str, float]:
    states = [one.id for one in catalogue.observables[name].states]
    total = sum(seen[state] for state in states) + len(states)
    shares = {state: round((seen[state] + 1) / total, 4) for state in states}
    last = states[-1]
    return {**shares, last: round(1 - sum(shares.values()) + shares[last], 4)}


_TO_WRITE: Content = {
    "summary": "What it is and what it does, in two sentences.",
    "does": "What it does for the structure.",
    "rationale": (
        "Which force comes from where, takes which path, of what size; why not the usual way."
    ),
    "load_cases": [
        {
            "case": "Which load",
            "force": "Which force, in which direction, of what order.",
            "path": "Through which parts it goes.",
        }
    ],
    "trade_offs": [
        {"axis": "mass", "effect": "depends", "why": "Against which alternative, and why."}
    ],
    "builds": [{"material": "Grade family", "process": "Process", "joint": "Joint"}],
    "settle": [{"by": "look", "do": "What to look at, measure, weigh or cut."}],
}


def draft_text(draft: Content, author: str, today: date) -> str:
    """A pattern file to be filled in: the draft, and a word on what is to be written elsewhere."""
    from rtoml import dumps

    draft = as_new(draft, author, today)
    whole = {**_TO_WRITE, **draft}
    for one in whole["look_alikes"]:
        one.setdefault("separates", "The one observation that tells the two apart.")
    for one in whole["settle"]:
        one.setdefault("decides", "What it decides, with a threshold.")
    order = sorted(whole, key=lambda key: isinstance(whole[key], list | dict))
    head = "# A draft: fill in every field, then `atlas check FILE` and `atlas add FILE`.\n"
    return head + dumps(filled({key: whole[key] for key in order}), pretty=True)
