"""The team's own folder: patterns that add to or override the shipped ones, cases, vehicles."""

import os
from dataclasses import dataclass
from pathlib import Path

from atlas.errors import BadInput, NotThere


@dataclass(frozen=True)
class Library:
    """Where the team's records lie. The folders come into being with the first record."""

    root: Path

    @property
    def patterns(self) -> Path:
        """The team's patterns, by zone."""
        return self.root / "patterns"

    @property
    def cases(self) -> Path:
        """One file a case."""
        return self.root / "cases"

    @property
    def photos(self) -> Path:
        """Photos that came with a case from elsewhere, named by their content."""
        return self.root / "photos"

    @property
    def vehicles(self) -> Path:
        """The team's vehicles."""
        return self.root / "vehicles"


def open_library(folder: str | None = None) -> Library:
    """The library that was asked for, else that of ``ATLAS_LIBRARY``, else the platform's own.

    Raises:
        NotThere: a folder was named that does not exist (a slip of the pen would else start an
            empty library beside the real one).
        BadInput: what was named is no folder.
    """
    where, named = "--library", folder
    if not named:
        where, named = "ATLAS_LIBRARY", os.environ.get("ATLAS_LIBRARY")
    if not named:
        from platformdirs import user_data_path

        return Library(user_data_path("atlas", appauthor=False))
    if "\0" in named:
        raise BadInput("a folder name cannot hold NUL", where)
    root = Path(named).expanduser()
    if not root.exists():
        raise NotThere(f"no library folder {named}", where, f"make it first: mkdir -p {named}")
    if not root.is_dir():
        raise BadInput(f"{named} is a file", where, "name the library's folder")
    return Library(root.resolve())


def cache_folder() -> Path:
    """Where derived data may be kept; it can be deleted at any time."""
    from platformdirs import user_cache_path

    return user_cache_path("atlas", appauthor=False)
