"""Cases, measurements and patterns as rows of a table and as one JSON document."""

import json
from collections.abc import Callable, Iterable, Iterator
from typing import Any

import msgspec

from atlas.casework.documents import document
from atlas.casework.model import Case
from atlas.casework.sheets import SHEETS, write_sheet
from atlas.catalogue.model import Pattern

VERSION = 1


def as_csv(kind: str, records: Iterable[Any]) -> bytes:
    """Records as a CSV file in UTF-8; the columns are those of ``sheets``."""
    return write_sheet(SHEETS[kind], (row for one in records for row in _ROWS[kind](one)))


def as_document(kind: str, records: Iterable[Any]) -> dict[str, Any]:
    """Records as one JSON-ready document that loses nothing."""
    found: list[Any]
    if kind == "cases":
        found = [document(case) for case in records]
    elif kind == "patterns":
        found = [msgspec.to_builtins(pattern) for pattern in records]
    else:
        found = [_measured(row) for case in records for row in measurement_rows(case)]
    return {"kind": kind, "version": VERSION, kind: found}


def as_json(kind: str, records: Iterable[Any]) -> bytes:
    """``as_document`` as a file in UTF-8."""
    text = json.dumps(as_document(kind, records), indent=1, ensure_ascii=False)
    return text.encode() + b"\n"


def case_rows(case: Case) -> Iterator[dict[str, str]]:
    """A case, one row for each structure and pattern it is suspected to be, likeliest first."""
    head = case.head
    whole = {
        "case": head.id, "title": head.title, "vehicle": head.vehicle, "place": head.place,
        "date": head.date, "people": ", ".join(head.people), "opened": head.opened,
        "status": case.status,
    }  # fmt: skip
    named = [one.about for table in (case.suspicion, case.verdict) for one in table.values()]
    structures = tuple(dict.fromkeys(name for name in named if name))
    if not structures:
        yield whole
    for about in structures:
        verdict = case.verdict_on(about)
        ended = (
            {"verdict": verdict.pattern or "none", "found": verdict.found, "how": verdict.how}
            if verdict
            else {}
        )
        beliefs = case.beliefs(about).values()
        if not beliefs:
            yield whole | {"structure": about, "by": verdict.by if verdict else ""} | ended
        for one in beliefs:
            yield whole | {
                "structure": about, "pattern": one.pattern, "probability": repr(one.probability),
                "by": one.by, "why": one.why,
            } | ended  # fmt: skip


def measurement_rows(case: Case) -> Iterator[dict[str, str]]:
    """What was measured and weighed in a case, one row a reading."""
    for key, one in case.evidence.items():
        if one.value is not None:
            yield {
                "case": case.id, "key": str(key), "structure": one.about, "kind": one.kind,
                "value": repr(one.value), "unit": one.unit, "text": one.text, "at": one.at,
                "by": one.by,
            }  # fmt: skip


def pattern_rows(pattern: Pattern) -> Iterator[dict[str, str]]:
    """A pattern as one row; what has several parts has a line for each."""
    yield {
        "id": pattern.id,
        "title": pattern.title,
        "zone": pattern.zone,
        "other_names": "\n".join(pattern.other_names),
        "status": pattern.provenance.status,
        "author": pattern.provenance.author,
        "summary": pattern.summary,
        "does": pattern.does,
        "rationale": pattern.rationale,
        "cues": "\n".join(f"{cue.see} ({cue.telling})" for cue in pattern.cues),
        "look_alikes": "\n".join(f"{one.id}: {one.separates}" for one in pattern.look_alikes),
        "builds": "\n".join(f"{b.material}; {b.process}; {b.joint}" for b in pattern.builds),
        "settle": "\n".join(f"{one.by}: {one.do} {one.decides}" for one in pattern.settle),
        "cautions": "\n".join(pattern.cautions),
        "calculations": "\n".join(f"{c.calculator}: {c.question}" for c in pattern.calculations),
        "sources": "\n".join(f"{s.kind}: {s.text} {s.address}".strip() for s in pattern.sources),
        "superseded_by": pattern.provenance.superseded_by,
    }


def _measured(row: dict[str, str]) -> dict[str, Any]:
    return row | {"key": int(row["key"]), "value": float(row["value"])}


_ROWS: dict[str, Callable[[Any], Iterator[dict[str, str]]]] = {
    "cases": case_rows,
    "measurements": measurement_rows,
    "patterns": pattern_rows,
}
