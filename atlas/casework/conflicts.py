"""What two people did differently: both versions are kept until one is chosen.

Fields that both changed wait in a file of their own; verdicts that contradict each other wait in
their case (see ``disputes``). Here both are listed, and chosen between, alike.
"""

import contextlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from atlas.casework.cases import Cases
from atlas.casework.differences import told_apart
from atlas.casework.disputes import Dispute, choose_verdict, in_words, key_of, open_disputes
from atlas.casework.merging import ABSENT, Clash, dump, kind_of, parse, value_at
from atlas.casework.model import Verdict
from atlas.casework.storage import DurableStorage, Tables, read_tables
from atlas.catalogue.library import Library
from atlas.catalogue.nearest import suggestion
from atlas.catalogue.reading import read_bytes
from atlas.catalogue.writing import locked, sync_folder, write_durably
from atlas.errors import AtlasError, BadInput, Conflict, NotThere

CHANGED = "kept, with what was changed in it"
# Of a record that one took out while another changed it: it stays until somebody chooses.
TAKEN_OUT = Clash((), (ABSENT, CHANGED), 1)


@dataclass(frozen=True)
class Open:
    """A conflict that waits for somebody's choice."""

    id: str
    record: str  # path of the record's file in the library
    path: tuple[str, ...]
    values: tuple[Any, ...]  # ABSENT where that side had removed it
    names: tuple[str, ...]  # who wrote which
    kept: int  # which the record holds until somebody chooses; -1: none
    verdicts: tuple[tuple[int, Verdict], ...] = ()  # by key, where it is verdicts that contradict
    rows: tuple[str, ...] = ()  # of the stored rows that are told together here

    @property
    def field(self) -> str:
        """The field in one word; empty for a file that is no record."""
        return f"verdict on {self.path[1]}" if self.verdicts else ".".join(self.path)

    def shown(self, place: int) -> str:
        """A version as text."""
        value = self.values[place]
        if value is ABSENT:
            return "(taken out)"
        return value if isinstance(value, str) else json.dumps(_stored(value), ensure_ascii=False)

    def told(self, place: int) -> str:
        """A version as text for people: of nested values only what the others have otherwise."""
        values = [None if one is ABSENT else _stored(one) for one in self.values]
        nested = [isinstance(one, dict | list) for one in values]
        if not nested[place] or sum(nested) < 2:
            return self.shown(place)
        others = [one for i, one in enumerate(values) if nested[i] and i != place]
        return told_apart(values[place], others)


def file_of(record: str) -> str:
    """Where the conflicts of a record are kept, in the library."""
    return f"conflicts/{record}.json"


def rows_of(record: str, clashes: Iterable[Clash], names: dict[str, str]) -> dict[str, Any]:
    """Clashes as stored rows; ``names`` tells by a version's text who wrote it."""
    rows = {}
    for clash in clashes:
        versions = []
        for value in clash.values:
            row: dict[str, Any] = {"by": names.get(text_of(value), "")}
            if value is not ABSENT:
                row["value"] = _stored(value)
            versions.append(row)
        rows[str(clash.key)] = {
            "record": record, "path": list(clash.path), "kept": clash.kept, "versions": versions,
        }  # fmt: skip
    return rows


def keep_clashes(library: Library, record: str, clashes: Iterable[Clash]) -> None:
    """Add clashes to those that wait for a choice; before the record itself is written."""
    rows = rows_of(record, clashes, {})
    if not rows:
        return
    path = library.root / file_of(record)
    with locked(path):
        tables: Tables = DurableStorage(path).read() or {}
        DurableStorage(path).write({"conflict": tables.get("conflict", {}) | rows})


def text_of(value: Any) -> str:
    """A version's text, to tell it from the other."""
    return "" if value is ABSENT else json.dumps(_stored(value), sort_keys=True)


def open_conflicts(library: Library) -> tuple[tuple[Open, ...], tuple[AtlasError, ...]]:
    """Conflicts that wait for a choice, and why a file of them cannot be read.

    Verdicts that contradict each other come first, then fields by record.
    """
    disputes, unread = open_disputes(library)
    fields, faults = open_fields(library)
    return (*map(_dispute, disputes), *fields), (*unread, *faults)


def open_fields(library: Library) -> tuple[tuple[Open, ...], tuple[AtlasError, ...]]:
    """Fields that wait for a choice, by record; and why a file of them cannot be read.

    One whose record was taken out since waits for nobody; should the record come back, so does it.
    """
    found: list[Open] = []
    faults: list[AtlasError] = []
    for path in sorted((library.root / "conflicts").rglob("*.json")):
        if path.name.startswith("."):
            continue
        try:
            rows = (DurableStorage(path).read() or {}).get("conflict", {})
            listed = [_open(key, row) for key, row in sorted(rows.items())]
            found += _joined(library, [one for one in listed if _stands(library, one)])
        except AtlasError as error:
            faults.append(error)
        except (KeyError, TypeError, ValueError, IndexError):
            faults.append(BadInput("does not hold conflicts", str(path), "mend or remove it"))
    return tuple(found), tuple(faults)


def choose(library: Library, conflict_id: str, version: int, who: str) -> Open:
    """Put the chosen version (1 or 2) into the record and close the conflict.

    Raises:
        NotThere: no such conflict.
        BadInput: no such version.
        Conflict: the record no longer has the place where the field was, or the verdicts changed.
    """
    waiting, _ = open_conflicts(library)
    by_id = {one.id: one for one in waiting}
    if conflict_id not in by_id:
        remedy = suggestion(conflict_id, by_id, "'atlas sync --conflicts' lists them")
        raise NotThere(f"no conflict {conflict_id[:40]!r}", remedy=remedy)
    one = by_id[conflict_id]
    if not 1 <= version <= len(one.values):
        say = " or ".join(str(i + 1) for i in range(len(one.values)))
        raise BadInput(f"there is no version {version}", "--choose", f"say {say}")
    if one.verdicts:
        case, key = Path(one.record).stem, one.verdicts[version - 1][0]
        choose_verdict(Cases(library, who), case, one.path[1], key)
        return one
    value = one.values[version - 1]
    if one.record.startswith("cases/") and len(one.path) >= 2:
        _choose_in_case(library, one, value, who)
    else:
        _choose_in_file(library, one, value)
    path = library.root / file_of(one.record)
    with locked(path):
        tables: Tables = DurableStorage(path).read() or {}
        for row in one.rows:
            tables.get("conflict", {}).pop(row, None)
        DurableStorage(path).write({"conflict": tables.get("conflict", {})})
    return one


# --------------------------------------------------------------------------------------- inner
def _dispute(one: Dispute) -> Open:
    return Open(
        id=one.id,
        record=f"cases/{one.case}.json",
        path=("verdict", one.about),
        values=tuple(in_words(verdict) for verdict in one.verdicts.values()),
        names=tuple(verdict.by for verdict in one.verdicts.values()),
        kept=-1,
        verdicts=tuple(one.verdicts.items()),
    )


def _joined(library: Library, listed: list[Open]) -> list[Open]:
    """One conflict for each field, with every version that anybody wrote, and which of it holds."""
    fields: dict[tuple[str, tuple[str, ...]], list[Open]] = {}
    for one in listed:
        fields.setdefault((one.record, one.path), []).append(one)
    found = []
    for (record, path), alike in fields.items():
        versions: dict[str, tuple[Any, str]] = {}
        for one in alike:
            for value, name in zip(one.values, one.names, strict=True):
                known = versions.get(text_of(value), (value, ""))[1]
                versions[text_of(value)] = (value, known or name)
        held = text_of(alike[0].values[alike[0].kept])
        with contextlib.suppress(AtlasError):
            if path or text_of(ABSENT) not in versions:
                held = text_of(value_at(record, read_bytes(library.root / record), path))
        values, names = zip(*versions.values(), strict=True)
        kept = list(versions).index(held) if held in versions else -1
        rows = tuple(one.id for one in alike)
        # Changes with the versions, so that nobody chooses by a number that meant another.
        number = key_of([record, list(path), *rows])
        found.append(Open(number, record, path, values, names, kept, rows=rows))
    return found


def _stands(library: Library, one: Open) -> bool:
    """Whether the record that a conflict is about is still there."""
    path = library.root / one.record
    if not path.is_file():
        return False
    if not one.record.startswith("cases/") or len(one.path) < 2:
        return True
    try:
        tables = read_tables(path)
    except AtlasError:
        return True  # the one who chooses is told
    return one.path[1] in tables.get(one.path[0], {})


def _choose_in_case(library: Library, one: Open, value: Any, who: str) -> None:
    """Through the door that writes the case's history, so that the choice can be taken back."""
    import msgspec

    from atlas.casework.model import TABLES, plain

    cases = Cases(library, who)
    case = cases.get(Path(one.record).stem)
    table, key, *rest = one.path
    records = {1: case.head} if table == "head" else getattr(case, table)
    if int(key) not in records:
        if value is ABSENT:
            return
        raise Conflict("the record is gone", f"{one.record}: {one.field}", "'atlas case undo'")
    record: Any = None
    if value is not ABSENT or rest:
        document: Any = plain(records[int(key)])
        document = put_at(document, tuple(rest), value)
        record = msgspec.convert(document, TABLES[table])
    if record != records[int(key)]:
        cases.replace(case.id, table, int(key), record, revision=case.revision)


def _choose_in_file(library: Library, one: Open, value: Any) -> None:
    path = library.root / one.record
    with locked(path):
        try:
            content = path.read_bytes()
        except OSError:
            raise Conflict("the file is gone", str(path), "restore it, then choose") from None
        if not one.path:
            if value is ABSENT:
                path.unlink()
                sync_folder(path.parent)
            elif ABSENT not in one.values:  # else it is there, with all that was changed since
                write_durably(path, str(value).encode())
            return
        table = parse(one.record, content)
        write_durably(path, dump(one.record, put_at(table, one.path, value)))


def put_at(value: Any, path: tuple[str, ...], new: Any) -> Any:
    """The value with the field at ``path`` replaced, or taken out."""
    if not path:
        return new
    name, rest = path[0], path[1:]
    if isinstance(value, dict):
        changed = {**value, name: put_at(value.get(name, {}), rest, new)}
        return {k: v for k, v in changed.items() if v is not ABSENT}
    if isinstance(value, list):
        items = [
            put_at(item, rest, new) if isinstance(item, dict) and item.get("id") == name else item
            for item in value
        ]
        return [item for item in items if item is not ABSENT]
    raise Conflict("the record no longer has that field", ".".join(path), "look at it, then edit")


def _open(key: str, row: dict[str, Any]) -> Open:
    first, second = row["versions"]
    record = str(row["record"])
    if not kind_of(record) and row["path"]:
        raise ValueError(record)
    if Path(record).is_absolute() or ".." in Path(record).parts:
        raise ValueError(record)
    return Open(
        id=key,
        record=record,
        path=tuple(map(str, row["path"])),
        values=(_loaded(first), _loaded(second)),
        names=(str(first.get("by", "")), str(second.get("by", ""))),
        kept=int(row["kept"]),
    )


def _loaded(row: dict[str, Any]) -> Any:
    return _unstored(row["value"]) if "value" in row else ABSENT


def _stored(value: Any) -> Any:
    """A TOML value as JSON can hold it."""
    if isinstance(value, dict):
        return {k: _stored(v) for k, v in value.items()}
    if isinstance(value, list):
        return [_stored(v) for v in value]
    return {"when": value.isoformat()} if isinstance(value, date | time) else value


def _unstored(value: Any) -> Any:
    if isinstance(value, dict):
        if set(value) == {"when"} and isinstance(value["when"], str):
            text = value["when"]
            return datetime.fromisoformat(text) if "T" in text else date.fromisoformat(text)
        return {k: _unstored(v) for k, v in value.items()}
    return [_unstored(v) for v in value] if isinstance(value, list) else value
