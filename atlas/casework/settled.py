"""What teardowns settled, as examples to learn from: evidence and verdict of each structure."""

from dataclasses import dataclass

from atlas.casework.index import every_case
from atlas.casework.model import Case, Evidence, How, Verdict
from atlas.catalogue.library import Library
from atlas.errors import AtlasError


@dataclass(frozen=True)
class Settled:
    """One structure of a case: what was noted of it before the verdict, and the verdict."""

    case: str
    title: str
    about: str
    pattern: str
    seen: tuple[Evidence, ...]
    believed: str  # the pattern that was held likeliest before, empty where none was
    found: str
    how: How


def settled(
    library: Library, *, cached: bool = True
) -> tuple[tuple[Settled, ...], tuple[AtlasError, ...]]:
    """Every structure with a verdict that names a pattern, in order of case; and what was damaged.

    Unchanged cases are not read again.
    """
    cases, faults = every_case(library.cases, cached=cached)
    found = []
    for case in sorted(cases, key=lambda one: one.id):
        for about in case.structures:
            verdict = case.verdict_on(about)
            if verdict is not None and verdict.pattern:
                found.append(_settled(case, about, verdict))
    return tuple(found), faults


def _settled(case: Case, about: str, verdict: Verdict) -> Settled:
    alone = len(case.structures) == 1
    decided = case.verdict_key(about)
    seen = tuple(
        one
        for key, one in case.evidence.items()
        if key < decided and (one.about == about or (alone and not one.about))
    )
    before = [one for key, one in case.suspicion.items() if one.about == about and key < decided]
    latest = {one.pattern: one.probability for one in before}
    believed = max(latest, key=latest.__getitem__) if latest else ""
    return Settled(case.id, case.head.title, about, verdict.pattern, seen, believed, verdict.found,
                   verdict.how)  # fmt: skip
