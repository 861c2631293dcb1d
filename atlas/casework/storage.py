"""The only door to a case's file: TinyDB over durable writes, and its tables as records."""

import json
import re
import secrets
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import msgspec
from tinydb.storages import Storage

from atlas.casework.model import TABLES, Case
from atlas.catalogue.model import path_of
from atlas.catalogue.reading import read_bytes
from atlas.catalogue.visible import MOST, texts
from atlas.catalogue.writing import write_durably
from atlas.errors import Damaged, NotThere

Tables = dict[str, dict[str, Any]]


class DurableStorage(Storage):
    """Reads and writes one TinyDB file whole; a reader never sees half a write.

    Keys are sorted and every field has a line of its own, so that a version-control system shows
    and merges what changed.
    """

    def __init__(self, path: Path) -> None:
        self.path = path

    def read(self) -> Tables | None:
        """The tables, or None where the file does not exist yet.

        Raises:
            Damaged: the file is no JSON object of tables.
            Refused: it is no ordinary file, or may not be read.
        """
        try:
            content = read_bytes(self.path)
        except NotThere:
            return None
        try:
            tables = json.loads(content)
        except (ValueError, RecursionError) as error:
            raise Damaged(f"not JSON: {error}", str(self.path), _REMEDY) from None
        if not isinstance(tables, dict) or not all(isinstance(t, dict) for t in tables.values()):
            raise Damaged("does not hold tables of records", str(self.path), _REMEDY)
        fault = field_fault(content, tables)
        if fault:
            raise Damaged(fault, str(self.path), _REMEDY)
        return tables

    def write(self, data: Tables) -> None:
        """Replace the file's content durably."""
        write_durably(self.path, as_json(data))


def field_fault(content: bytes, record: Any) -> str:
    """Why a record from outside can neither be shown nor merged, in words; empty where it can."""
    # The looks through every field are spared where no field can be at fault.
    if len(content) <= MOST and not _HALF.search(content):
        return ""
    return next((f"a field {fault}" for fault in map(_fault, texts(record)) if fault), "")


def _fault(text: str) -> str:
    """Why a field of a file from outside cannot be shown, in words; empty where it can."""
    if len(text) > MOST:
        return f"has {len(text):,} characters; at most {MOST:,} fit"
    if any("\ud800" <= sign <= "\udfff" for sign in text):
        return "holds half of a character (a surrogate without its pair)"
    return ""


_MOST_KEY = 1 << 53
_HALF = re.compile(rb"\\u[dD][89a-fA-F]")
_REMEDY = "it was left as it is; restore it from the library's history or move it away"


def as_json(tables: dict[str, Any]) -> bytes:
    """The bytes of a record: sorted, each field on a line of its own.

    Written compactly and set out afterwards, both outside Python: a case of two thousand changes
    else takes half a second, in which everybody else waits for it.
    """
    text = json.dumps(tables, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    try:
        return msgspec.json.format(text.encode(), indent=1) + b"\n"
    except msgspec.DecodeError:  # what JSON does not know and Python writes all the same: NaN
        return json.dumps(tables, sort_keys=True, ensure_ascii=False, indent=1).encode() + b"\n"


def read_tables(path: Path) -> Tables:
    """The tables of a case file.

    Raises:
        NotThere: there is no such file.
        Damaged: it cannot be read.
    """
    tables = DurableStorage(path).read()
    if tables is None:
        raise NotThere("no such case file", str(path))
    return tables


def next_key(tables: Tables) -> int:
    """A key above all in the case, in order of time, that no other writer draws.

    53 bits, so that it is exact in any JSON reader. Where somebody's clock runs ahead, those who
    add after him draw above his keys at random, not the next number: else two of them, each on his
    own, would draw the same one for different things.
    """
    stamp = int(time.time() * 1000) << 12 | secrets.randbits(12)
    keys = (key for rows in tables.values() for key in rows)
    highest = max((int(key) for key in keys if key.isdecimal()), default=0)  # else: damaged
    if highest < stamp < _MOST_KEY:
        return stamp
    return highest + 1 + secrets.randbits(20)


def records_of(
    tables: Tables, kinds: Mapping[str, type[msgspec.Struct]], path: Path
) -> dict[str, dict[int, Any]]:
    """Stored tables as records of their kinds, each table in order of key.

    Raises:
        Damaged: a record does not have the fields that it should, or no number as its key.
    """
    parts: dict[str, dict[int, Any]] = {}
    for table, kind in kinds.items():
        rows: dict[int, Any] = {}
        for key, document in tables.get(table, {}).items():
            try:
                rows[int(key)] = msgspec.convert(document, kind)
            except RecursionError:
                raise Damaged("nested too deeply", f"{path}: {table} {key}", _REMEDY) from None
            except ValueError as error:  # msgspec.ValidationError is one
                what, field = path_of(msgspec.ValidationError(str(error)))
                raise Damaged(what, f"{path}: {table} {key} {field}".rstrip(), _REMEDY) from None
        parts[table] = dict(sorted(rows.items()))
    return parts


def case_of(tables: Tables, path: Path) -> Case:
    """The tables as a case.

    Raises:
        Damaged: a record does not have the fields that it should.
    """
    parts: dict[str, Any] = records_of(tables, TABLES, path)
    if 1 not in parts["head"]:
        raise Damaged("has no head record", str(path))
    head = parts.pop("head")[1]
    if head.id != path.stem:
        raise Damaged(f"holds the case {head.id!r}", str(path), f"name it {head.id}.json")
    if head.id != head.id.lower():  # some file systems would take it for another
        raise Damaged("has capital letters in its id", str(path), "use small ones, in it as well")
    return Case(head=head, **parts)
