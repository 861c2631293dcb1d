"""A drawing as terminal cells: one character and one style name each."""

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Grid:
    """Rows of characters with rows of style names of the same shape.

    ``key`` explains the numbers that stand where a label found no room.
    """

    chars: tuple[str, ...]
    styles: tuple[tuple[str, ...], ...]
    key: tuple[str, ...] = ()

    @property
    def width(self) -> int:
        """Columns."""
        return len(self.chars[0]) if self.chars else 0

    @property
    def height(self) -> int:
        """Rows, without the key."""
        return len(self.chars)

    def runs(self, row: int) -> Iterator[tuple[str, str]]:
        """Yield the row as stretches of text of one style."""
        text, styles = self.chars[row], self.styles[row]
        start = 0
        for column in range(1, len(text) + 1):
            if column == len(text) or styles[column] != styles[start]:
                yield text[start:column], styles[start]
                start = column

    def text(self) -> str:
        """Return the drawing as plain lines, with its key below."""
        lines = [row.rstrip() for row in self.chars]
        return "\n".join([*lines, *self.key])
