"""What the application remembers of its user from one day to the next: never of the library."""

from pathlib import Path

import msgspec
from msgspec import Struct

from atlas.errors import AtlasError
from atlas.ui.places import Place


class Remembered(Struct):
    """Theme, how photos are drawn, marks, last place, and whether the tour was offered."""

    theme: str = "dusk"
    photos: str = "auto"
    marks: list[str] = []
    words: str = ""
    pattern: str = ""
    toured: bool = False

    def toggle(self, pattern_id: str) -> bool:
        """Mark or forget a pattern; whether it is marked now."""
        if pattern_id in self.marks:
            self.marks.remove(pattern_id)
            return False
        self.marks.append(pattern_id)
        return True


class Memory:
    """One small file; what cannot be read is begun anew, what cannot be written is let go.

    Args:
        path: the file, or None to remember nothing.
    """

    def __init__(self, path: Path | None) -> None:
        self.path = path
        self.now = self._read()

    def _read(self) -> Remembered:
        if self.path is None:
            return Remembered(toured=True)
        try:
            return msgspec.json.decode(self.path.read_bytes(), type=Remembered)
        except (OSError, msgspec.DecodeError):
            return Remembered()

    def save(self, place: Place | None = None) -> None:
        """Write it, with the place to come back to."""
        if place is not None and place.kind == "find":
            self.now.words, self.now.pattern = place.text, place.id
        if self.path is None:
            return
        from atlas.catalogue.writing import write_durably

        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            write_durably(self.path, msgspec.json.encode(self.now))
        except (OSError, AtlasError):
            return  # a convenience only: nothing of anybody's work is in it


def own_memory() -> Memory:
    """The memory of the person who is logged in."""
    from platformdirs import user_state_path

    return Memory(user_state_path("atlas", appauthor=False) / "ui.json")
