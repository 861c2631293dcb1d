"""All cases at once, from a derived cache: ten thousand are listed without being read again."""

import hashlib
from pathlib import Path
from typing import TypeVar

import msgspec
from msgspec import Struct

from atlas.casework.model import Case
from atlas.casework.storage import case_of, read_tables
from atlas.catalogue.derived import Item, Read, derive, scan
from atlas.catalogue.library import cache_folder
from atlas.errors import AtlasError

_SALT = "3"  # changes whenever a row or a case would be kept differently
Kind = TypeVar("Kind")


class Row(Struct, frozen=True, array_like=True):
    """A case as the list shows it."""

    id: str
    title: str
    vehicle: str
    opened: str
    status: str
    structures: tuple[str, ...]
    suspicions: int
    verdicts: int
    in_dispute: tuple[str, ...] = ()  # structures whose verdicts contradict each other


def rows_of(folder: Path, *, cached: bool = True) -> tuple[tuple[Row, ...], tuple[AtlasError, ...]]:
    """The cases of a folder as rows, newest first, and why any file was set aside."""
    return _all(folder, "rows", _row, Row, cached)


def every_case(
    folder: Path, *, cached: bool = True
) -> tuple[tuple[Case, ...], tuple[AtlasError, ...]]:
    """The cases of a folder without history and results, newest first; and what was set aside."""
    return _all(folder, "cases", _case, Case, cached)


def _all(
    folder: Path, name: str, read: Read, kind: type[Kind], cached: bool
) -> tuple[tuple[Kind, ...], tuple[AtlasError, ...]]:
    digest = hashlib.blake2b(str(folder).encode(errors="replace"), digest_size=8).hexdigest()
    cache = cache_folder() / f"{name}-{digest}" if cached else None
    files = scan(folder, ".json", deep=False)
    items, faults = derive(files, cache, read, _SALT)
    items.sort(key=_opened, reverse=True)
    decode = msgspec.msgpack.Decoder(kind).decode
    try:
        return tuple(decode(item.body) for item in items), tuple(faults)
    except msgspec.DecodeError:  # a cache that was half on the disk when the power went
        if cache is None:
            raise
        return _all(folder, name, read, kind, False)


def _opened(item: Item) -> tuple[str, ...]:
    return item.head


def _row(path: Path) -> tuple[tuple[str, ...], bytes]:
    case = case_of(read_tables(path), path)
    head = case.head
    row = Row(head.id, head.title, head.vehicle, head.opened, case.status, case.structures,
              len(case.suspicion), len(case.verdict), case.in_dispute)  # fmt: skip
    return (head.opened, head.id), msgspec.msgpack.encode(row)


def _case(path: Path) -> tuple[tuple[str, ...], bytes]:
    case = case_of(read_tables(path), path)
    calculations = {
        key: msgspec.structs.replace(one, results={}, findings=())
        for key, one in case.calculation.items()
    }
    short = msgspec.structs.replace(case, calculation=calculations, history={})
    return (case.head.opened, case.id), msgspec.msgpack.encode(short)
