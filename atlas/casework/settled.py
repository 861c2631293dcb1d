"""What teardowns settled, as examples to learn from: evidence and verdict of each structure."""

import hashlib
from pathlib import Path

import msgspec
from msgspec import Struct

from atlas.casework.model import Case, Evidence, How, Verdict
from atlas.casework.storage import case_of, read_tables
from atlas.catalogue.derived import derive, scan
from atlas.catalogue.library import Library, cache_folder
from atlas.errors import AtlasError


class Settled(Struct, frozen=True, array_like=True):
    """One structure of a case: what was noted of it before the verdict, and the verdict."""

    case: str
    title: str
    about: str
    pattern: str
    seen: tuple[Evidence, ...]
    believed: str  # the pattern that was held likeliest before, empty where none was
    found: str
    how: How


def settled(
    library: Library, *, cached: bool = True
) -> tuple[tuple[Settled, ...], tuple[AtlasError, ...]]:
    """Every structure with a verdict that names a pattern, in order of case; and what was damaged.

    Unchanged cases are not read again: ten thousand of them cost as much as listing them.
    """
    name = hashlib.blake2b(str(library.cases).encode(), digest_size=8).hexdigest()
    cache = cache_folder() / f"settled-{name}" if cached else None
    files = [file for file in scan(library.cases, ".json") if Path(file[0]).parent == library.cases]
    items, faults = derive(files, cache, _read, "1")
    found = [one for item in items for one in msgspec.msgpack.decode(item.body, type=list[Settled])]
    return tuple(found), tuple(faults)


def _read(path: Path) -> tuple[tuple[str, ...], bytes]:
    case = case_of(read_tables(path), path)
    verdicts = [(about, case.verdict_on(about)) for about in case.structures]
    found = [_settled(case, about, one) for about, one in verdicts if one and one.pattern]
    return (case.id,), msgspec.msgpack.encode(found)


def _settled(case: Case, about: str, verdict: Verdict) -> Settled:
    alone = len(case.structures) == 1
    seen = tuple(
        one
        for one in case.evidence.values()
        if one.at <= verdict.at and (one.about == about or (alone and not one.about))
    )
    before = [one for one in case.suspicion.values() if one.about == about and one.at <= verdict.at]
    latest = {one.pattern: one.probability for one in before}
    believed = max(latest, key=latest.__getitem__) if latest else ""
    return Settled(case.id, case.head.title, about, verdict.pattern, seen, believed, verdict.found,
                   verdict.how)  # fmt: skip
