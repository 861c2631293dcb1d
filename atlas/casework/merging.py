"""Three-way merge of records, field by field: pure functions, the same whoever is "ours".

``merged(base, a, b)`` and ``merged(base, b, a)`` give the same bytes, and merging the result with
either side again changes nothing; so clones that exchange their work in any order end up alike, and
a merge that was cut short can simply be done again.
"""

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, time
from pathlib import PurePosixPath
from typing import Any

import rtoml

from atlas.casework.storage import as_json, field_fault
from atlas.catalogue.load import HEARD
from atlas.errors import Damaged

Path = tuple[str, ...]
ABSENT: Any = object()  # the field is not there


@dataclass(frozen=True)
class Clash:
    """A field that both sides changed differently; ``values`` in an order that both sides share."""

    path: Path
    values: tuple[Any, Any]
    kept: int  # which of the values the record holds until somebody chooses

    @property
    def key(self) -> int:
        """A number that every clone gives this clash."""
        text = _canonical([list(self.path), *map(_shown, self.values)])
        return int.from_bytes(hashlib.sha256(text.encode()).digest()[:6], "big")


@dataclass
class Merge:
    """A record as merged, and what could not be merged."""

    content: bytes
    clashes: list[Clash] = field(default_factory=list)


def kind_of(path: str) -> str:
    """``json`` or ``toml`` for a record, empty for any other file."""
    suffix = PurePosixPath(path).suffix
    return suffix[1:] if suffix in {".json", ".toml"} else ""


def parse(path: str, content: bytes) -> dict[str, Any]:
    """A record's fields.

    Raises:
        Damaged: it is not what its name says, or nests too deeply.
    """
    try:
        text = content.decode()
        table = json.loads(text) if kind_of(path) == "json" else rtoml.loads(text)
    except (ValueError, RecursionError) as error:
        raise Damaged(f"cannot be read ({str(error)[:100]})", path, "mend or remove it") from None
    if not isinstance(table, dict):
        raise Damaged("is no record", path, "mend or remove it")
    fault = field_fault(content, table)
    if fault:
        raise Damaged(fault, path, "mend or remove it")
    return table


def dump(path: str, table: dict[str, Any]) -> bytes:
    """The bytes of a record; the same for the same fields, in whichever order they came."""
    if kind_of(path) == "json":
        return as_json(table)
    return rtoml.dumps(_in_model_order(path, table), pretty=True).encode()


def merged(path: str, base: bytes | None, ours: bytes, theirs: bytes) -> Merge:
    """Merge two versions of one file that have ``base`` in common (None: nothing).

    Raises:
        Damaged: one of the two cannot be read as a record.
    """
    if ours == theirs:
        return Merge(ours)
    if base is not None and ours == base:
        return Merge(theirs)
    if base is not None and theirs == base:
        return Merge(ours)
    if not kind_of(path):
        kept = max(ours, theirs)
        texts = tuple(t.decode(errors="replace") for t in sorted((ours, theirs)))
        return Merge(kept, [Clash((), (texts[0], texts[1]), 1)])
    left, right = parse(path, ours), parse(path, theirs)
    try:
        old = parse(path, base) if base is not None else {}
    except Damaged:
        old = {}
    lists = all(isinstance(v, list) for table in (old, left, right) for v in table.values())
    if PurePosixPath(path).name == HEARD and lists:
        return Merge(dump(path, _descriptions(old, left, right)))
    clashes: list[Clash] = []
    whole = _whole_likelihoods if kind_of(path) == "toml" else _never
    result = _tables(old, left, right, (), clashes, whole)
    if path.startswith("patterns/"):
        _unreview(old, left, right, result)
        clashes = [c for c in clashes if c.path[:2] != ("provenance", "status")]
    return Merge(dump(path, result), clashes)


def value_at(path: str, content: bytes, field_path: Path) -> Any:
    """What a version of a record has at a field; its text where the file is no record."""
    if not field_path:
        return content.decode(errors="replace")
    value: Any = parse(path, content)
    for part in field_path:
        if isinstance(value, dict):
            value = value.get(part, ABSENT)
        elif isinstance(value, list):
            keyed = {item.get("id"): item for item in value if isinstance(item, dict)}
            value = keyed.get(part, ABSENT)
    return value


def value_found(path: str, content: bytes | None, field_path: Path) -> Any:
    """As ``value_at``, of a file that may not be there or be damaged."""
    try:
        return ABSENT if content is None else value_at(path, content, field_path)
    except Damaged:
        return ABSENT


# --------------------------------------------------------------------------------------- inner
def _descriptions(
    base: dict[str, Any], a: dict[str, Any], b: dict[str, Any]
) -> dict[str, list[Any]]:
    """What was said of each pattern: what either side added, less what either took away."""
    result: dict[str, list[Any]] = {}
    for name in sorted(a.keys() | b.keys()):
        old, left, right = (list(table.get(name, ())) for table in (base, a, b))
        kept = [text for text in old if text in left and text in right]
        added = {text for text in (*left, *right) if text not in old}
        if kept or added:
            result[name] = [*kept, *sorted(added, key=_canonical)]
    return result


def _tables(
    base: dict[str, Any],
    a: dict[str, Any],
    b: dict[str, Any],
    path: Path,
    clashes: list[Clash],
    whole: Callable[[Path], bool],
) -> dict[str, Any]:
    names = [*base, *sorted((a.keys() | b.keys()) - base.keys())]
    result = {}
    for name in names:
        value = _value(
            base.get(name, ABSENT), a.get(name, ABSENT), b.get(name, ABSENT),
            (*path, name), clashes, whole,
        )  # fmt: skip
        if value is not ABSENT:
            result[name] = value
    return result


def _value(
    base: Any, a: Any, b: Any, path: Path, clashes: list[Clash], whole: Callable[[Path], bool]
) -> Any:
    if _same(a, b) or _same(b, base):
        return a
    if _same(a, base):
        return b
    if isinstance(a, dict) and isinstance(b, dict) and not whole(path):
        table = base if isinstance(base, dict) else {}
        return _tables(table, a, b, path, clashes, whole)
    if isinstance(a, list) and isinstance(b, list):
        items = base if isinstance(base, list) else []
        joined = _lists(items, a, b, path, clashes, whole)
        if joined is not None:
            return joined
    first, second = sorted((a, b), key=_rank)
    clashes.append(Clash(path, (first, second), 1))
    return second


def _lists(
    base: list[Any],
    a: list[Any],
    b: list[Any],
    path: Path,
    clashes: list[Clash],
    whole: Callable[[Path], bool],
) -> list[Any] | None:
    """Lists of names merge as sets, lists of things with an id by that id; None: neither holds.

    What stays keeps its order, what either side adds follows in order of name.
    """
    keyed = [_by_key(items) for items in (base, a, b)]
    if any(items is None for items in keyed):
        return None
    old, left, right = (items or {} for items in keyed)
    for side in (left, right):
        if [key for key in side if key in old] != [key for key in old if key in side]:
            return None  # somebody put them into another order, and order may matter
    joined = _tables(old, left, right, path, clashes, whole)
    return list(joined.values())


def _by_key(items: list[Any]) -> dict[str, Any] | None:
    keys = []
    for item in items:
        if isinstance(item, str):
            keys.append(item)
        elif isinstance(item, dict) and isinstance(item.get("id"), str):
            keys.append(item["id"])
        else:
            return None
    return dict(zip(keys, items, strict=True)) if len(set(keys)) == len(keys) else None


def _whole_likelihoods(path: Path) -> bool:
    """An observable's likelihoods add up to one, so that half of two versions would be neither."""
    return len(path) >= 2 and path[0] == "likelihoods"


def _never(path: Path) -> bool:
    return False


def _unreview(
    base: dict[str, Any], a: dict[str, Any], b: dict[str, Any], result: dict[str, Any]
) -> None:
    """A review holds for the text that was read: where the other side changed it, it lapses."""

    def text(table: dict[str, Any]) -> str:
        return _canonical({k: v for k, v in table.items() if k != "provenance"})

    def status(table: dict[str, Any]) -> Any:
        return table.get("provenance", {}).get("status")

    provenance = result.get("provenance")
    if not isinstance(provenance, dict) or status(result) in {None, "draft"}:
        return
    for side in (a, b):
        if status(side) == status(result) and text(side) == text(result):
            return
    if status(base) == status(result) and status(a) == status(b):
        return  # it was reviewed before either changed it; that is for 'atlas review' to show
    provenance["status"] = "draft"
    provenance.pop("reviewed", None)
    provenance.pop("reviewer", None)


def _in_model_order(path: str, table: dict[str, Any]) -> dict[str, Any]:
    """Fields as the model lists them; what it does not know follows in order of name."""
    from atlas.catalogue.model import Pattern

    known = list(Pattern.__struct_fields__) if path.startswith("patterns/") else []
    names = [name for name in known if name in table] or list(table)
    return {name: table[name] for name in [*names, *sorted(table.keys() - set(names))]}


def _same(a: Any, b: Any) -> bool:
    if a is ABSENT or b is ABSENT:
        return a is b
    return _canonical(a) == _canonical(b)


def _rank(value: Any) -> tuple[bool, str]:
    """Removed loses against changed; among changed ones any order that all clones share will do."""
    return (value is not ABSENT, "" if value is ABSENT else _canonical(value))


def _shown(value: Any) -> Any:
    return "(absent)" if value is ABSENT else value


def _canonical(value: Any) -> str:
    return json.dumps(value, sort_keys=True, ensure_ascii=True, default=_plain)


def _plain(value: Any) -> Any:
    if isinstance(value, date | time):
        return {"when": value.isoformat()}
    raise TypeError(f"no record holds a {type(value).__name__}")
