"""The only door to a case's file: TinyDB over durable writes, and its tables as records."""

import json
import secrets
import time
from pathlib import Path
from typing import Any

import msgspec
from tinydb.storages import Storage

from atlas.casework.model import TABLES, Case
from atlas.catalogue.model import path_of
from atlas.catalogue.writing import refusal, write_durably
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
        """
        try:
            content = self.path.read_bytes()
        except FileNotFoundError:
            return None
        except OSError as error:
            raise refusal(error, self.path) from None
        try:
            tables = json.loads(content)
        except (ValueError, RecursionError) as error:
            raise Damaged(f"not JSON: {error}", str(self.path), _REMEDY) from None
        if not isinstance(tables, dict) or not all(isinstance(t, dict) for t in tables.values()):
            raise Damaged("does not hold tables of records", str(self.path), _REMEDY)
        return tables

    def write(self, data: Tables) -> None:
        """Replace the file's content durably."""
        text = json.dumps(data, indent=1, sort_keys=True, ensure_ascii=False)
        write_durably(self.path, text.encode() + b"\n")


_REMEDY = "it was left as it is; restore it from the library's history or move it away"


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
    """A key above all in the case, in order of time, that no other writer draws."""
    stamp = int(time.time() * 1000) << 12 | secrets.randbits(
        12
    )  # 53 bits: exact in any JSON reader
    highest = max((int(key) for rows in tables.values() for key in rows), default=0)
    return max(stamp, highest + 1)


def case_of(tables: Tables, path: Path) -> Case:
    """The tables as records.

    Raises:
        Damaged: a record does not have the fields that it should.
    """
    parts: dict[str, Any] = {}
    for table, kind in TABLES.items():
        rows: dict[int, Any] = {}
        for key, document in tables.get(table, {}).items():
            try:
                rows[int(key)] = msgspec.convert(document, kind)
            except ValueError as error:  # msgspec.ValidationError is one
                what, field = path_of(msgspec.ValidationError(str(error)))
                raise Damaged(what, f"{path}: {table} {key} {field}".rstrip()) from None
        parts[table] = dict(sorted(rows.items()))
    if 1 not in parts["head"]:
        raise Damaged("has no head record", str(path))
    head = parts.pop("head")[1]
    if head.id != path.stem:
        raise Damaged(f"holds the case {head.id!r}", str(path), f"name it {head.id}.json")
    return Case(head=head, **parts)
