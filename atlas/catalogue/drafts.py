"""Patterns that somebody is still writing: any of their fields may be missing or wrong.

A draft is the table of a pattern's file, as far as it is written. It lies in the library's folder
``drafts/`` until it is complete enough to be appended, and stays out of what a team exchanges.
"""

import contextlib
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import rtoml

from atlas.catalogue.appending import as_toml, filled
from atlas.catalogue.library import Library
from atlas.catalogue.model import Pattern
from atlas.catalogue.reading import MOST_RECORD, read_bytes, read_record, read_table
from atlas.catalogue.visible import storable, texts
from atlas.catalogue.writing import locked, sync_folder, write_durably
from atlas.errors import AtlasError, BadInput, Conflict, NotThere

Content = dict[str, Any]


def id_from(title: str) -> str:
    """An id for a title: its letters and digits in ASCII, joined by hyphens.

    >>> id_from("Bar of 2 tubes, à la carte")
    'bar-of-2-tubes-a-la-carte'
    """
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    words = "".join(sign if sign.isalnum() else " " for sign in plain).split()
    name = "-".join(words)
    return name if len(name) <= 60 else name[:60].rsplit("-", 1)[0]


def undecided(content: Mapping[str, Any]) -> bool:
    """Whether nobody has said yet if it is a new pattern, a variant, or one that is there."""
    provenance = content.get("provenance")
    return not (isinstance(provenance, Mapping) and provenance.get("status"))


@dataclass(frozen=True)
class Drafts:
    """The drafts of one library."""

    library: Library

    @property
    def folder(self) -> Path:
        """Where they lie."""
        return self.library.root / "drafts"

    def path(self, name: str) -> Path:
        """File of a draft."""
        return self.folder / f"{name}.toml"

    def names(self) -> list[str]:
        """Ids of the drafts, in order."""
        return sorted(path.stem for path in self.folder.glob("*.toml"))

    def read(self, name: str) -> Content:
        """A draft.

        Raises:
            NotThere: there is none of that name.
            BadInput: its file is no TOML, or cannot be read; the message gives the line.
        """
        return read_table(self.path(name), MOST_RECORD)

    def text(self, name: str) -> str:
        """A draft's file as it stands, whether it is TOML or not."""
        return read_bytes(self.path(name), MOST_RECORD).decode(errors="replace")

    def before(self, name: str) -> Pattern | None:
        """The pattern that a draft changes, as it was when the work began; None for a new one."""
        with contextlib.suppress(NotThere):
            return read_record(self._was(name), Pattern)
        return None

    def begin(self, content: Content, before: Pattern | None = None) -> str:
        """Put a new draft down; its id.

        Raises:
            BadInput: there is a draft of that id, or the id is none.
        """
        name = str(content.get("id", ""))
        if not name or id_from(name) != name:
            raise BadInput("the title gives no id", "title", "use a few letters or digits in it")
        path = self.path(name)
        with locked(path):
            if path.exists():
                raise BadInput(f"{name} is in work already", "title", "choose another title")
            draft = bytes_of(content, name)
            self._was(name).unlink(missing_ok=True)  # of a draft whose dropping was cut short
            if before is not None:
                write_durably(self._was(name), as_toml(before).encode())
            write_durably(path, draft)
        return name

    def change(self, name: str, before: Content, after: Content) -> Content:
        """Write a draft, if nobody changed it since ``before`` was read; as it now stands.

        Raises:
            Conflict: somebody did; nothing was written.
            NotThere: it is no longer there.
        """
        path = self.path(name)
        content = bytes_of(after, name)
        with locked(path):
            self._refuse_changed(name, before)
            write_durably(path, content)
            return self.read(name)

    def rewrite(self, name: str, before: str, text: str) -> Content:
        """Replace a draft's text by what somebody made of it; the draft that it is.

        Raises:
            BadInput: it is no TOML; the message gives the line, and nothing was written.
            Conflict: the file no longer holds ``before``.
            NotThere: it is no longer there.
        """
        storable(text, name, MOST_RECORD)
        try:
            content = dict(rtoml.loads(text))
        except rtoml.TomlParsingError as error:
            raise BadInput(f"not TOML: {error}", name) from None
        draft = bytes_of(content, name)
        with locked(self.path(name)):
            if self.text(name) != before:
                raise _changed(self.path(name))
            write_durably(self.path(name), draft)
            return self.read(name)

    def catch_up(self, name: str, before: Content, after: Content, was: Pattern) -> Content:
        """Write a draft that took over what its pattern has become, ``was`` from now on.

        Raises:
            Conflict, NotThere: as ``change``.
        """
        # In this order: one that was killed in between takes the same over once more.
        now = self.change(name, before, after)
        with locked(self.path(name)):
            write_durably(self._was(name), as_toml(was).encode())
        return now

    @contextlib.contextmanager
    def finishing(self, name: str, content: Content) -> Iterator[None]:
        """Hold a draft while what becomes of it is written; take it away if that went well.

        Raises:
            Conflict: it is no longer what was read; it stays.
            NotThere: it is no longer there.
        """
        with locked(self.path(name)):
            self._refuse_changed(name, content)
            yield
            self._unlink(name)

    def drop(self, name: str) -> None:
        """Take a draft away that is given up."""
        with locked(self.path(name)):
            self._unlink(name)

    def _unlink(self, name: str) -> None:
        for path in (self.path(name), self._was(name)):
            path.unlink(missing_ok=True)
        sync_folder(self.folder)

    def _refuse_changed(self, name: str, before: Content) -> None:
        # As they are written: a number that is none differs from itself.
        if bytes_of(self.read(name), name) != bytes_of(before, name):
            raise _changed(self.path(name))

    def _was(self, name: str) -> Path:
        return self.folder / f"{name}.was"

    def every(self) -> Iterator[tuple[str, Content | AtlasError]]:
        """Each draft by name, or why it cannot be read."""
        for name in self.names():
            try:
                yield name, self.read(name)
            except NotThere:
                continue  # dropped by somebody meanwhile
            except AtlasError as error:
                yield name, error


def _changed(path: Path) -> Conflict:
    return Conflict(
        "somebody else changed this draft", str(path), "copy your words, open it again, repeat"
    )


def bytes_of(content: Content, where: str) -> bytes:
    """A draft as its file holds it.

    Raises:
        BadInput: it holds what no record may, or too much of it.
    """
    for text in texts(content):
        storable(text, where)
    written: bytes = rtoml.dumps(filled(content), pretty=True).encode()
    if len(written) > MOST_RECORD:  # it could be written, and never read again
        raise BadInput(
            f"{len(written) / 1e6:.1f} MB of text", where, f"at most {MOST_RECORD / 1e6:g} MB fit"
        )
    return written
