"""Comments on patterns under review, one TinyDB file a pattern."""

import msgspec
from msgspec import Struct

from atlas.casework.clock import Clock, stamp, utc_now
from atlas.casework.model import plain
from atlas.casework.storage import DurableStorage, Tables, next_key
from atlas.catalogue.library import Library
from atlas.catalogue.visible import accepted
from atlas.catalogue.writing import locked
from atlas.errors import BadInput, Damaged


class Comment(Struct, frozen=True):
    """What somebody said of a pattern."""

    by: str
    at: str
    text: str


class Reviews:
    """The comments of one library."""

    def __init__(self, library: Library, clock: Clock = utc_now) -> None:
        self._folder = library.root / "reviews"
        self._clock = clock

    def comments(self, pattern_id: str) -> tuple[Comment, ...]:
        """Comments on a pattern, oldest first.

        Raises:
            Damaged: the file cannot be read.
        """
        path = self._folder / f"{pattern_id}.json"
        rows = (DurableStorage(path).read() or {}).get("comment", {})
        try:
            found = [msgspec.convert(row, Comment) for row in rows.values()]
        except msgspec.ValidationError as error:
            raise Damaged(str(error), str(path)) from None
        return tuple(sorted(found, key=lambda one: one.at))

    def comment(self, pattern_id: str, by: str, text: str) -> None:
        """Add a comment.

        Raises:
            BadInput: no name or no text.
        """
        if not by:
            raise BadInput("no initials", "--by", "say who you are")
        who, said = accepted(by, "--by", most=40), accepted(text, "--comment")
        record = Comment(who, stamp(self._clock()), said)
        path = self._folder / f"{pattern_id}.json"
        with locked(path):
            tables: Tables = DurableStorage(path).read() or {}
            rows = tables.setdefault("comment", {})
            rows[str(next_key(tables))] = plain(record)
            DurableStorage(path).write(tables)
