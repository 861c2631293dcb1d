"""Which files may come into a library from others, and in words why the rest may not.

Names must hold on file systems that know no difference between capital and small letters: records
are named in small letters, and of other names that differ in nothing else one counts everywhere.
"""

import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from pathlib import PurePosixPath

from atlas.casework.merging import kind_of, parse
from atlas.catalogue.visible import visible
from atlas.errors import Damaged

Entry = tuple[str, str]  # mode and blob
_RECORDS = ("cases/", "patterns/", "vehicles/", "reviews/", "study/")
_SAFE = re.compile(r"[^\x00-\x1f\x7f\\:*?\"<>|]+")


def misplaced(name: str, mode: str) -> str:
    """Why a file is never written into a library, in words; empty where it may be."""
    place = PurePosixPath(name)
    hidden = any(part.startswith(".") for part in place.parts) and name != ".gitignore"
    if mode not in {"100644", "100755"}:
        return f"{visible(name)}: a link or another history, not a record"
    if hidden or ".." in place.parts or place.is_absolute() or not _SAFE.fullmatch(name):
        return f"{visible(name)}: a name that does not belong into a library"
    if name.lower().startswith(_RECORDS) and kind_of(name.lower()) and name != name.lower():
        return f"{visible(name)}: a record whose name is not in small letters; rename it"
    return ""


def is_chosen_on(name: str) -> bool:
    """Whether removing a file against a change of it is a conflict, or the change simply stays.

    A case, a pattern or a vehicle is a decision to take back; comments and progress only grow.
    """
    return name.startswith(("cases/", "patterns/", "vehicles/")) and bool(kind_of(name))


def folded(name: str) -> str:
    """A name as a file system sees it that tells neither case nor composed letters apart.

    >>> folded("Notes.TXT") == folded("notes.txt"), folded("a/b") == folded("a/c")
    (True, False)
    """
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())


def shadowed(names: Iterable[str]) -> dict[str, str]:
    """Names that differ in case only from one that counts, with that one.

    The one in small letters counts, else the first in order: the same for all, whoever came first.

    >>> shadowed(["Notes.txt", "notes.txt", "other.txt"])
    {'Notes.txt': 'notes.txt'}
    """
    found: dict[str, str] = {}
    for alike in _alike(names):
        counts = _counting(alike)
        found |= {name: counts for name in alike if name != counts}
    return found


def by_one_name(
    before: Mapping[str, Entry], now: Mapping[str, Entry], stands: Callable[[str], bool]
) -> tuple[dict[str, Entry], list[str]]:
    """What is in a folder, of names that differ in case only the one that counts.

    A name that the history knows counts before one that it does not know. What the history holds
    under the others stays there: it cannot stand in the folder and is not missing from it.

    Args:
        before: what the history holds.
        now: what the folder holds, as its system names it.
        stands: whether a file can be reached by a name.

    Returns:
        Under the names that count; and what was left out, in words.
    """
    found, left_out = dict(now), []
    for alike in _alike({**before, **now}):
        here = [name for name in alike if name in now]
        known = [name for name in alike if name in before]
        if not here:
            continue
        counts = _counting(known or here)
        if counts not in now and not stands(counts):
            # It was renamed or taken away.
            known, counts = [name for name in here if name in before], _counting(here)
        entry = now.get(counts, now[here[0]])  # or one file under both names: case is folded here
        for name in here:
            del found[name]
            if name != counts and counts in now and now[name] != before.get(name):
                left_out.append(differs(name, counts))
        found |= {name: before[name] for name in known}
        found[counts] = entry
    return found, left_out


def differs(name: str, other: str) -> str:
    """That a file is left out for the sake of another."""
    return f"{visible(name)}: differs from {visible(other)} in case only; rename it"


def _alike(names: Iterable[str]) -> list[list[str]]:
    groups: dict[str, list[str]] = {}
    for name in names:
        groups.setdefault(folded(name), []).append(name)
    return [alike for alike in groups.values() if len(alike) > 1]


def _counting(alike: list[str]) -> str:
    return min(alike, key=lambda name: (name != name.lower(), name))


def damage(name: str, content: bytes) -> str:
    """Why a record cannot be read, in words; empty where it can."""
    if kind_of(name):
        try:
            parse(name, content)
        except Damaged as error:
            return visible(str(error), lines=False)
    return ""
