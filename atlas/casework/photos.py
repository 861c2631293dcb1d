"""Where a case's photo lies now, and whether it still is the one that was noted."""

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from atlas.casework.model import Case, Evidence
from atlas.catalogue.library import Library
from atlas.catalogue.visible import storable
from atlas.errors import BadInput

State = Literal["there", "changed", "missing", "unreadable"]
MOST = 256 * 2**20  # bytes of a photo; what a kernel offers as a file can be endless
_DIGEST = re.compile(r"[0-9a-f]{64}")
_SUFFIX = re.compile(r"\.[a-z0-9]{1,5}")


@dataclass(frozen=True)
class Photo:
    """A noted photo and what became of its file."""

    evidence: Evidence
    state: State
    path: Path | None  # a file that holds what was noted; None unless ``there``

    @property
    def why(self) -> str:
        """What is wrong with it, as a clause; empty where nothing is."""
        return {
            "there": "",
            "changed": "is no longer the photo that was noted",
            "missing": "is missing",
            "unreadable": "cannot be read",
        }[self.state]


def photo_noted(path: str) -> tuple[str, str]:
    """Full path and SHA-256 of a photo, to be noted in a case.

    Raises:
        BadInput: it is no file, too large or cannot be read.
    """
    storable(path, "--photo", 4096)
    try:
        file = Path(path).expanduser()
        if not file.is_file():  # a pipe or a device would never end
            raise BadInput("is no file" if file.exists() else "no such file", path)
        if file.stat().st_size > MOST:
            raise BadInput(f"is larger than {MOST >> 20} MiB", path, "name a photo")
        return str(file.absolute()), digest_of(file)
    except (OSError, ValueError, RuntimeError) as error:
        raise BadInput(f"cannot be read ({getattr(error, 'strerror', error)})", path) from None


def digest_of(path: Path) -> str:
    """SHA-256 of a file's content, which is not held in memory for it."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def kept_name(path: str, digest: str) -> str:
    """Name of a photo by its content; the suffix stays, so that other programs open it.

    >>> kept_name("/mnt/stick/IMG_3.JPG", "ab12")
    'ab12.jpg'
    """
    suffix = Path(path.replace("\\", "/")).suffix.lower()
    return digest + (suffix if _SUFFIX.fullmatch(suffix) else "")


def photo(one: Evidence, library: Library) -> Photo:
    """Find a noted photo: among those that the library keeps by content, else where it was noted.

    Reads the file once, to see that its SHA-256 is the noted one.
    """
    state: State = "missing"
    if not _DIGEST.fullmatch(one.sha256):
        return Photo(one, state, None)
    for path in (*library.photos.glob(f"{one.sha256}*"), Path(one.path)):
        found = _state(path, one.sha256)
        if found == "there":
            return Photo(one, "there", path)
        if state == "missing":
            state = found
    return Photo(one, state, None)


def photos(case: Case, library: Library) -> Iterator[Photo]:
    """Every photo of a case, each content once."""
    seen = set()
    for one in case.evidence.values():
        if one.path and one.sha256 and one.sha256 not in seen:
            seen.add(one.sha256)
            yield photo(one, library)


def _state(path: Path, digest: str) -> State:
    try:
        if not path.is_file():  # a pipe would never end
            return "missing"
        if path.stat().st_size > MOST:
            return "unreadable"
        same = digest_of(path) == digest
    except ValueError:  # a NUL in the name
        return "missing"
    except OSError:
        return "unreadable"
    return "there" if same else "changed"
