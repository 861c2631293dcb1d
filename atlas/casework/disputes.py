"""Verdicts of a library's cases that contradict each other, and the choice between them."""

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from atlas.casework.cases import Cases, Changes
from atlas.casework.index import rows_of
from atlas.casework.model import Case, Choice, Verdict
from atlas.casework.storage import case_of
from atlas.catalogue.library import Library
from atlas.catalogue.model import SETTLED_BY
from atlas.errors import AtlasError, Conflict

NO_PATTERN = "none of the catalogue"


@dataclass(frozen=True)
class Dispute:
    """A structure that people settled differently without knowing of each other."""

    case: str
    about: str
    verdicts: dict[int, Verdict]  # by key

    @property
    def id(self) -> str:
        """A number that every clone gives this dispute."""
        return key_of([self.case, self.about, *sorted(self.verdicts)])


def key_of(parts: list[Any]) -> str:
    """A number that every clone gives the same conflict, and no other one."""
    text = json.dumps(parts)
    return str(int.from_bytes(hashlib.sha256(text.encode()).digest()[:6], "big"))


def open_disputes(library: Library) -> tuple[tuple[Dispute, ...], tuple[AtlasError, ...]]:
    """Every dispute of a library, by case; and why any case was set aside.

    Cases that did not change are not read again.
    """
    rows, faults = rows_of(library.cases)
    found: list[Dispute] = []
    unread = list(faults)
    cases = Cases(library)
    for row in sorted(rows, key=lambda one: one.id):
        if row.in_dispute:
            try:
                found += disputes_of(cases.get(row.id))
            except AtlasError as error:
                unread.append(error)
    return tuple(found), tuple(unread)


def disputes_of(case: Case) -> tuple[Dispute, ...]:
    """The disputes of one case."""
    return tuple(Dispute(case.id, about, case.disputed(about)) for about in case.in_dispute)


def arisen(path: Path, before: bytes, after: bytes) -> tuple[str, ...]:
    """Structures that a merge brought into dispute; none where either state is no case."""
    try:
        known, now = (case_of(json.loads(one), path).in_dispute for one in (before, after))
    except (AtlasError, ValueError, AttributeError):
        return ()
    return tuple(about for about in now if about not in known)


def in_words(verdict: Verdict) -> str:
    """A verdict in one line: what it was, what was found, how and when.

    >>> in_words(Verdict("plate", "", "two feet", "cut", "2026-03-01T10:00:00Z", "AB"))
    'none of the catalogue: two feet (by cutting, 2026-03-01 10:00)'
    """
    name = verdict.pattern or NO_PATTERN
    return (
        f"{name}: {verdict.found} ({SETTLED_BY[verdict.how]}, {verdict.at[:16].replace('T', ' ')})"
    )


def choose_verdict(cases: Cases, name: str, about: str, key: int) -> Case:
    """Let one of the verdicts in dispute stand; the others stay on record as not chosen.

    Raises:
        Conflict: that verdict does not wait for a choice, or no longer.
    """

    def chosen(case: Case) -> tuple[str, Changes]:
        verdicts = case.verdicts(about)
        rivals = dict(verdicts.disputed)
        if key not in rivals:
            raise Conflict("that verdict does not wait for a choice", f"{name}: {about}",
                           "look at the case as it stands now")  # fmt: skip
        replaced, over = verdicts.settling(key)
        kept = _of(rivals.pop(key))
        said = " or ".join(_of(one) for one in rivals.values())
        record = Choice(about, key, over, cases.now(), cases.who)
        changes = [*(("choice", one, None) for one in sorted(replaced)), ("choice", None, record)]
        return f"chose for {about}: {kept}, not {said}", changes

    return cases.amend(name, chosen)


def _of(verdict: Verdict) -> str:
    return f"{verdict.pattern or NO_PATTERN} ({verdict.by or 'unnamed'})"
