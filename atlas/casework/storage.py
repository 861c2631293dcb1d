"""The only door to a case's file: TinyDB over durable writes."""

import json
from pathlib import Path
from typing import Any

from tinydb.storages import Storage

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
