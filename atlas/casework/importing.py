"""Cases, measurements and patterns from CSV or JSON: everything is checked, then written or not.

A file is first made a plan; what of it cannot be taken in is named by row and column, or by its
place in the document. Writing the plan is a step of its own.
"""

import json
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import msgspec

from atlas.casework.cases import Cases
from atlas.casework.documents import tables_of
from atlas.casework.exporting import VERSION
from atlas.casework.plan import Plan, Step
from atlas.casework.rows_in import plan_cases, plan_measurements
from atlas.casework.sheets import MEASUREMENTS, SHEETS, Row, read_sheet
from atlas.casework.taking_in import put_case, same_or_refuse
from atlas.catalogue.appending import change_pattern, drafted
from atlas.catalogue.checking import check_pattern
from atlas.catalogue.load import Catalogue
from atlas.catalogue.model import Pattern, path_of
from atlas.catalogue.reading import read_bytes
from atlas.catalogue.visible import storable, texts
from atlas.catalogue.writing import locked
from atlas.errors import BadInput


def plan_of(path: Path, cases: Cases, catalogue: Catalogue, *, merge: bool = False) -> Plan:
    """What taking in a file would write, and what of it is refused; nothing is written yet.

    Args:
        path: a file of ``atlas export``, or one like it.
        cases: the library's cases, and who takes it in.
        catalogue: what patterns there are.
        merge: merge a case of a JSON document with another state of it in the library.

    Raises:
        NotThere, Refused: the file cannot be read.
        BadInput: it is neither such a table nor such a document.
    """
    content = read_bytes(path)
    if content.lstrip(b"\xef\xbb\xbf \t\r\n")[:1] in (b"{", b"["):
        return _from_json(content, str(path), cases, catalogue, merge)
    sheet, rows = read_sheet(content, str(path))
    if sheet.name == "cases":
        return plan_cases(rows, cases, catalogue)
    if sheet.name == "measurements":
        return plan_measurements(rows, cases)
    raise BadInput("patterns do not come in as a table", str(path),
                   "export them as JSON, or 'atlas add' their files")  # fmt: skip


def _from_json(content: bytes, where: str, cases: Cases, catalogue: Catalogue, merge: bool) -> Plan:
    kind, records = _records(content, where)
    if kind == "measurements":
        return plan_measurements(list(_rows(records, where)), cases)
    plan = Plan(kind)
    coming = {str(one.get("id")) for one in records if isinstance(one, dict)}
    seen: set[str] = set()
    for place, record in enumerate(records):
        with plan.refusing(f"{kind}[{place}]"):
            if kind == "cases":
                _plan_case(plan, record, cases, merge, seen)
            else:
                _plan_pattern(plan, record, cases, catalogue, coming, seen)
    return plan


def _records(content: bytes, where: str) -> tuple[str, list[Any]]:
    try:
        said = json.loads(content.decode("utf-8-sig"))
        json.dumps(said, allow_nan=False)
    except (ValueError, RecursionError) as error:
        raise BadInput(f"not JSON: {str(error)[:80]}", where) from None
    if isinstance(said, dict) and isinstance(said.get("case"), dict):  # of 'case show --json'
        return "cases", [said]
    kind = said.get("kind") if isinstance(said, dict) else None
    if kind not in SHEETS:
        raise BadInput(
            "is no document of 'atlas export'", where, f"its kind is one of {', '.join(SHEETS)}"
        )
    if said.get("version") != VERSION:
        version = str(said.get("version"))[:20]
        raise BadInput(f"is of version {version}", where, f"this atlas reads version {VERSION}")
    records = said.get(kind)
    if not isinstance(records, list):
        raise BadInput(f"{kind} is no list", where)
    return kind, records


def _rows(records: list[Any], where: str) -> Iterator[Row]:
    for place, record in enumerate(records):
        at = f"measurements[{place}]"
        if not isinstance(record, dict):
            raise BadInput("is no object", f"{where}: {at}")
        for name in record:
            if name not in MEASUREMENTS.columns:
                known = ", ".join(MEASUREMENTS.columns)
                raise BadInput(f"no field {name[:40]!r}", f"{where}: {at}", f"fields are {known}")
        yield Row(at, {name: "" if v is None else str(v) for name, v in record.items()})


def _plan_case(plan: Plan, record: Any, cases: Cases, merge: bool, seen: set[str]) -> None:
    tables = tables_of(record, "")
    name = str(tables["head"]["1"]["id"])
    path = cases.path(name)
    for text in texts(tables):
        storable(text, name)
    if name in seen:
        raise BadInput("is there twice", name, "take one out")
    seen.add(name)
    if same_or_refuse(path, tables, merge=merge):
        plan.there_already.append(name)
        return
    fresh = not path.exists()

    def write() -> None:
        with locked(path):
            same_or_refuse(path, tables, merge=merge)  # somebody may have written it meanwhile
            put_case(cases.library, path, tables)

    # What was merged is not taken apart again: both states are in it.
    plan.steps.append(Step(name, write, lambda: path.unlink(missing_ok=True) if fresh else None))


def _plan_pattern(
    plan: Plan, record: Any, cases: Cases, catalogue: Catalogue, coming: set[str], seen: set[str]
) -> None:
    try:
        pattern = msgspec.convert(record, Pattern)
    except msgspec.ValidationError as error:
        what, field = path_of(error)
        raise BadInput(what, field) from None
    for text in texts(record):
        storable(text, pattern.id)
    if pattern.id in seen:
        raise BadInput("is there twice", pattern.id, "take one out")
    seen.add(pattern.id)
    known = catalogue.patterns.get(pattern.id)
    if known is not None:
        if msgspec.structs.replace(known, provenance=pattern.provenance) == pattern:
            plan.there_already.append(pattern.id)
            return
        raise BadInput("there is another pattern of this id", pattern.id,
                       "give yours another, or 'atlas add FILE --as variant'")  # fmt: skip
    for fault in check_pattern(pattern, catalogue, coming):
        if fault.severe:
            raise BadInput(fault.what, f"{pattern.id}: {fault.field}")
    draft = drafted(pattern, cases.who, date.today())
    path = cases.library.patterns / pattern.zone / f"{pattern.id}.toml"
    plan.steps.append(
        Step(
            pattern.id,
            lambda: change_pattern(cases.library, None, draft),
            lambda: path.unlink(missing_ok=True),
        )
    )
