"""Which part of a picture is in sight, at what size, and where a point of it stands."""

from dataclasses import dataclass, replace

NEAREST = 1 / 16  # picture pixels a dot: sixteen dots show one pixel


@dataclass(frozen=True)
class Viewport:
    """A window on a picture.

    Args:
        width, height: of the picture [px].
        columns, rows: dots of the window; a dot is what one can set apart on screen.
        scale: picture pixels to a dot's width; 0 stands for the whole picture.
        x, y: the picture's point in the middle of the window [px].
        tall: height of a dot over its width.
    """

    width: int
    height: int
    columns: int
    rows: int
    scale: float = 0.0
    x: float = 0.0
    y: float = 0.0
    tall: float = 1.0

    @property
    def farthest(self) -> float:
        """Pixels to a dot at which the whole picture is in sight."""
        return max(
            self.width / max(self.columns, 1),
            self.height / (max(self.rows, 1) * self.tall),
            NEAREST,
        )

    @property
    def down(self) -> float:
        """Picture pixels to a dot's height."""
        return self.scale * self.tall

    def placed(self) -> "Viewport":
        """The same within bounds: no nearer than can be told, no farther than the whole, no edge.

        >>> Viewport(100, 50, 20, 20).placed().scale
        5.0
        """
        whole = self.scale <= 0 or self.scale >= self.farthest
        scale = self.farthest if whole else max(self.scale, NEAREST)
        half_w, half_h = scale * self.columns / 2, scale * self.tall * self.rows / 2
        return replace(
            self, scale=scale, x=_between(self.x, half_w, self.width),
            y=_between(self.y, half_h, self.height),
        )  # fmt: skip

    def resized(self, columns: int, rows: int, tall: float) -> "Viewport":
        """The same middle in a window of another size; the whole stays the whole."""
        whole = self.scale <= 0 or self.scale >= self.farthest * (1 - 1e-9)
        changed = replace(self, columns=columns, rows=rows, tall=tall)
        return replace(changed, scale=0.0).placed() if whole else changed.placed()

    def nearer(self, factor: float, at: tuple[float, float]) -> "Viewport":
        """Nearer by a factor (farther below 1), with the picture's point ``at`` staying put."""
        scale = min(max(self.scale / factor, NEAREST), self.farthest)
        kept = scale / self.scale
        x = at[0] - (at[0] - self.x) * kept
        y = at[1] - (at[1] - self.y) * kept
        return replace(self, scale=scale, x=x, y=y).placed()

    def moved(self, right: float, down: float) -> "Viewport":
        """The window moved over the picture by so many dots."""
        return replace(self, x=self.x + right * self.scale, y=self.y + down * self.down).placed()

    def showing(self, x: float, y: float, margin: float = 0.0) -> "Viewport":
        """Moved as little as needed for a point to lie in sight, ``margin`` dots from the edge."""
        half_w = max(self.columns / 2 - margin, 0.5) * self.scale
        half_h = max(self.rows / 2 - margin, 0.5) * self.down
        return replace(
            self, x=min(max(self.x, x - half_w), x + half_w),
            y=min(max(self.y, y - half_h), y + half_h),
        ).placed()  # fmt: skip

    def dot(self, x: float, y: float) -> tuple[float, float]:
        """Where a point of the picture stands, in dots from the upper left."""
        return (
            (x - self.x) / self.scale + self.columns / 2,
            (y - self.y) / self.down + self.rows / 2,
        )

    def point(self, column: float, row: float) -> tuple[float, float]:
        """The picture's point at a place in the window, given in dots.

        >>> view = Viewport(100, 50, 20, 20).placed()
        >>> view.point(*view.dot(30.0, 40.0))
        (30.0, 40.0)
        """
        return (
            self.x + (column - self.columns / 2) * self.scale,
            self.y + (row - self.rows / 2) * self.down,
        )


def _between(value: float, half: float, size: float) -> float:
    """The middle of a window that does not reach past the picture; centred where it must."""
    return size / 2 if 2 * half >= size else min(max(value, half), size - half)
