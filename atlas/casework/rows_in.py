"""Rows of a table as cases and as readings, each checked; a fault names its row and column."""

import contextlib
import math
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from typing import Any, get_args

from atlas.casework.cases import Cases
from atlas.casework.clock import day_of, stamp
from atlas.casework.exporting import case_rows
from atlas.casework.model import Case, Evidence, Head, How, Suspicion, Verdict
from atlas.casework.plan import Plan, Step
from atlas.casework.readings import measured, read_probability
from atlas.casework.sheets import Row, as_written, harmless
from atlas.catalogue.load import Catalogue
from atlas.catalogue.nearest import suggestion
from atlas.catalogue.visible import accepted
from atlas.errors import AtlasError, BadInput

_HEAD = ("title", "vehicle", "place", "date", "people", "opened")


def plan_cases(rows: Iterable[Row], cases: Cases, catalogue: Catalogue) -> Plan:
    """Cases by rows: each row a structure with one suspicion, its verdict, or the case alone."""
    plan = Plan("cases")
    groups: dict[tuple[str, ...], list[Row]] = {}
    for row in rows:
        name = row["case"]
        key = (name,) if name else ("", *(row[column] for column in _HEAD))
        groups.setdefault(key, []).append(row)
    for (name, *_), found in groups.items():
        if name and _is_there(cases, name):
            _compare(plan, cases, name, found)
            continue
        head: Head | None = None
        records: list[tuple[str, Any]] = []
        for row in found:
            with plan.refusing(row.at):
                now = _head(row, cases)
                if head is not None:
                    _same_head(row, head, now)
                records += _records(row, head or now, records, cases, catalogue)
                head = head or now
        if head is not None:
            # Verdicts last, whichever row gave them: what is on record before one was said before.
            records.sort(key=lambda record: record[0] == "verdict")
            plan.steps.append(_opening(cases, head, tuple(records)))
    return plan


def plan_measurements(rows: Iterable[Row], cases: Cases) -> Plan:
    """Readings by rows, added to cases that are there."""
    plan = Plan("measurements")
    known: dict[str, Case] = {}
    found: dict[str, list[tuple[int, Evidence]]] = {}
    for row in rows:
        with plan.refusing(row.at):
            with cell("case"):
                case_id = cases.id_of(row["case"])
            case = known.get(case_id) or known.setdefault(case_id, cases.get(case_id))
            key, reading = _reading(row, cases)
            taken = found.setdefault(case.id, [])
            if key and key in dict(taken):
                raise BadInput(f"the number {key} is there twice", "key", "leave it empty")
            if key in case.evidence:
                if not _same_reading(case.evidence[key], reading):
                    raise BadInput("the case has another reading of this number", "key",
                                   "leave it empty to add one")  # fmt: skip
                plan.there_already.append(f"{case.id} {key}")
            else:
                taken.append((key, reading))
    for name, readings in found.items():
        if readings:
            plan.steps.append(_adding(cases, name, tuple(readings)))
    return plan


@contextlib.contextmanager
def cell(column: str) -> Iterator[None]:
    """A refusal of a cell's content names its column."""
    try:
        yield
    except AtlasError as error:
        raise type(error)(error.what, column, error.remedy) from None


# --------------------------------------------------------------------------------------- inner
def _opening(cases: Cases, head: Head, records: tuple[tuple[str, Any], ...]) -> Step:
    path = cases.path(head.id)
    return Step(head.id, lambda: cases.take_in(head, records), lambda: path.unlink(missing_ok=True))


def _adding(cases: Cases, name: str, readings: tuple[tuple[int, Evidence], ...]) -> Step:
    return Step(name, lambda: cases.add_readings(name, readings), lambda: cases.undo(name))


def _is_there(cases: Cases, name: str) -> bool:
    """Whether there is a case of that id; an id that can be none is refused with its cell."""
    with contextlib.suppress(BadInput):
        return cases.path(name).exists()
    return False


def _compare(plan: Plan, cases: Cases, name: str, rows: list[Row]) -> None:
    """A case that is there already: the same, or refused."""
    with plan.refusing(rows[0].at):
        columns = [column for column in rows[0].cells if column != "status"]
        there = [
            tuple(as_written(harmless(one.get(column, ""))).strip() for column in columns)
            for one in case_rows(cases.get(name))
        ]
        if sorted(there) != sorted(tuple(row[column] for column in columns) for row in rows):
            raise BadInput("the library has another state of this case", "case",
                           "leave the cell empty to open a new one")  # fmt: skip
        plan.there_already.append(name)


def _head(row: Row, cases: Cases) -> Head:
    with cell("title"):
        title = accepted(row["title"], "title", most=200)
    with cell("case"):
        name = row["case"] or cases.new_id(title)
        cases.path(name)
    with cell("people"):
        people = [accepted(p, "people", most=40) for p in row["people"].split(",") if p.strip()]
    with cell("date"):
        date = day_of(row["date"])
    texts = {}
    for column in ("vehicle", "place"):
        with cell(column):
            texts[column] = accepted(row[column], column, most=200, empty=True)
    opened = _moment(row, "opened", cases)
    return Head(name, title, opened, **texts, date=date or opened[:10], people=tuple(people))


def _same_head(row: Row, first: Head, now: Head) -> None:
    for column in ("title", "vehicle", "place", "date", "people"):
        if getattr(first, column) != getattr(now, column):
            raise BadInput("differs from the first row of this case", column,
                           "give the rows of one case the same")  # fmt: skip


def _records(
    row: Row, head: Head, before: list[tuple[str, Any]], cases: Cases, catalogue: Catalogue
) -> list[tuple[str, Any]]:
    """Suspicion and verdict of a row; a verdict that an earlier row gave is not given twice."""
    with cell("structure"):
        spoken = any(row[column] for column in ("pattern", "probability", "verdict", "found"))
        about = " ".join(accepted(row["structure"], "", most=80, empty=not spoken).split())
    with cell("by"):
        by = accepted(row["by"] or cases.who, "by", most=40, empty=True)
    found: list[tuple[str, Any]] = []
    if row["pattern"] or row["probability"]:
        pattern = _pattern(row, "pattern", catalogue)
        with cell("probability"):
            probability = read_probability(row["probability"])
        with cell("why"):
            why = accepted(row["why"], "why", empty=True)
        found.append(("suspicion", Suspicion(about, pattern, probability, head.opened, by, why)))
    if row["verdict"] or row["found"]:
        verdict = _verdict(row, head, about, by, catalogue)
        earlier = [one for table, one in before if table == "verdict" and one.about == about]
        if not earlier:
            found.append(("verdict", verdict))
        elif (earlier[0].pattern, earlier[0].found) != (verdict.pattern, verdict.found):
            raise BadInput("differs from the verdict of an earlier row", "verdict",
                           "give the rows of one structure the same")  # fmt: skip
    return found


def _verdict(row: Row, head: Head, about: str, by: str, catalogue: Catalogue) -> Verdict:
    pattern = "" if row["verdict"] == "none" else _pattern(row, "verdict", catalogue)
    with cell("found"):
        text = accepted(row["found"], "found")
    how: Any = row["how"] or "look"
    if how not in get_args(How):
        raise BadInput(f"no way {how[:40]!r}", "how", f"say {', '.join(get_args(How))}")
    return Verdict(about, pattern, text, how, head.opened, by)


def _pattern(row: Row, column: str, catalogue: Catalogue) -> str:
    name = row[column]
    if not name:
        raise BadInput("no pattern", column, "'atlas list' shows their ids")
    if name not in catalogue.patterns:
        remedy = suggestion(name[:100], catalogue.patterns, "'atlas list' shows the ids")
        raise BadInput(f"no pattern {name[:60]!r}", column, remedy)
    return name


def _reading(row: Row, cases: Cases) -> tuple[int, Evidence]:
    with cell("value"):
        value = _number(row["value"])
    with cell("unit"):
        _, unit, kind = measured(f"1 {row['unit']}")
    if row["kind"] and row["kind"] not in ("point", "weight"):
        raise BadInput(f"no kind {row['kind'][:40]!r}", "kind", "say point or weight, or nothing")
    with cell("structure"):
        about = " ".join(accepted(row["structure"], "", most=80, empty=True).split())
    with cell("text"):
        text = accepted(row["text"] or about, "text")
    with cell("by"):
        by = accepted(row["by"] or cases.who, "by", most=40, empty=True)
    chosen: Any = row["kind"] or kind
    at = _moment(row, "at", cases)
    return _key(row["key"]), Evidence(chosen, text, at, by, about, value=value, unit=unit)


def _same_reading(one: Evidence, other: Evidence) -> bool:
    def told(reading: Evidence) -> tuple[Any, ...]:
        words = (as_written(harmless(t)).strip() for t in (reading.text, reading.about))
        return (*words, reading.value, reading.unit)

    return told(one) == told(other) or (one.text == "" and told(one)[1:] == told(other)[1:])


def _number(text: str) -> float:
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        raise BadInput(f"{text[:40]!r} is no number", "", "write 42 or 3.2") from None
    if not math.isfinite(value):
        raise BadInput(f"{text[:40]!r} is no reading", "", "write 42 or 3.2")
    return value


def _key(text: str) -> int:
    if not text:
        return 0
    if not (text.isascii() and text.isdigit()) or len(text) > 16 or not 0 < int(text) < 2**53:
        raise BadInput(
            f"{text[:40]!r} is no record's number", "key", "leave it empty for a new one"
        )
    return int(text)


def _moment(row: Row, column: str, cases: Cases) -> str:
    text = row[column]
    if not text:
        return cases.now()
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise BadInput(f"{text[:40]!r} is no time", column, "write 2026-11-25T08:30:00Z") from None
    moment = moment if moment.tzinfo else moment.replace(tzinfo=UTC)
    try:
        return stamp(moment)
    except OverflowError:
        raise BadInput(f"{text[:40]!r} is no time", column, "write 2026-11-25T08:30:00Z") from None
