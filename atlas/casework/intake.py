"""Which files may come into a library from others, and in words why the rest may not."""

import re
from pathlib import PurePosixPath

from atlas.casework.merging import kind_of, parse
from atlas.catalogue.visible import visible
from atlas.errors import Damaged

_SAFE = re.compile(r"[^\x00-\x1f\x7f\\:*?\"<>|]+")


def misplaced(name: str, mode: str) -> str:
    """Why a file is never written into a library, in words; empty where it may be."""
    place = PurePosixPath(name)
    hidden = any(part.startswith(".") for part in place.parts) and name != ".gitignore"
    if mode not in {"100644", "100755"}:
        return f"{visible(name)}: a link or another history, not a record"
    if hidden or ".." in place.parts or place.is_absolute() or not _SAFE.fullmatch(name):
        return f"{visible(name)}: a name that does not belong into a library"
    return ""


def damage(name: str, content: bytes) -> str:
    """Why a record cannot be read, in words; empty where it can."""
    if kind_of(name):
        try:
            parse(name, content)
        except Damaged as error:
            return visible(str(error), lines=False)
    return ""
