"""A case as one JSON document, as commands print it, and such a document as a case's tables."""

from pathlib import Path
from typing import Any

import msgspec

from atlas.casework.beliefs import beliefs
from atlas.casework.model import TABLES, Case
from atlas.casework.storage import Tables, case_of
from atlas.errors import BadInput, Damaged

_LISTED = tuple(name for name in TABLES if name != "head")


def document(found: Case) -> dict[str, Any]:
    """A case as the document that ``--json`` prints."""
    rows = {
        name: [
            {"key": key, **msgspec.to_builtins(row)} for key, row in getattr(found, name).items()
        ]
        for name in _LISTED
    }
    return {
        "case": msgspec.to_builtins(found.head),
        "status": found.status,
        "revision": found.revision,
        "in_dispute": list(found.in_dispute),
        "stated": [
            {
                "about": about,
                "pattern": one.pattern,
                "mean": round(one.mean, 6),
                "people": [
                    {
                        "by": name,
                        "probability": said[-1].probability,
                        "at": said[-1].at,
                        "course": [{"probability": s.probability, "at": s.at} for s in said],
                    }
                    for name, said in one.by.items()
                ],
            }
            for about in found.structures
            for one in beliefs(found, about)
        ],
        **rows,
    }


def tables_of(said: Any, where: str) -> Tables:
    """The tables of a case that ``document`` wrote down.

    Raises:
        BadInput: it is no such document; the message names the record and the field.
    """
    if not isinstance(said, dict) or not isinstance(said.get("case"), dict):
        raise BadInput("is no case", where, "it needs an object 'case' with id and title")
    tables: Tables = {"head": {"1": said["case"]}}
    for name in _LISTED:
        rows = said.get(name, [])
        if not isinstance(rows, list):
            raise BadInput(f"{name} is no list", where)
        for row in rows:
            key = row.get("key") if isinstance(row, dict) else None
            if not isinstance(key, int) or isinstance(key, bool) or not 0 < key < 2**63:
                raise BadInput(f"a record of {name} has no number as its key", where)
            if str(key) in tables.setdefault(name, {}):
                raise BadInput(f"{name} holds the key {key} twice", where)
            tables[name][str(key)] = {k: v for k, v in row.items() if k != "key"}
    name = said["case"].get("id")
    if not isinstance(name, str) or "/" in name or "\0" in name:
        raise BadInput(f"{str(name)[:60]!r} is no case id", f"{where}: id")
    try:
        case_of(tables, Path(where) / f"{name}.json")
    except Damaged as error:
        raise BadInput(error.what, error.where) from None
    return tables
