"""Dots, two across and four down in a cell, and the characters laid over them."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from atlas.drawing.geometry import dots_along, inside
from atlas.drawing.grid import Grid
from atlas.drawing.picture import RANK, STYLES, Dash

# Bit of each dot of a braille cell, by row and column (Unicode 15, ch. 21.1, block 2800..28FF).
BRAILLE = np.array([[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]], dtype=np.int64)
# Dots on, of a repeating run; a centre line is long, gap, short, gap.
_DASHES: dict[Dash, tuple[int, ...]] = {
    "solid": (1,),
    "dotted": (1, 0),
    "sparse": (1, 0, 0),
    "dashed": (1, 1, 1, 0, 0),
    "broken": (1, 1, 1, 0),
    "chain": (1, 1, 1, 1, 1, 0, 0, 1, 0, 0),
}
# Where dots cannot tell weights apart, a letter does; the others show the stroke's direction.
_PLAIN = {
    RANK[style]: letter
    for style, letter in (
        ("ghost", "."), ("use-2", "="), ("use-3", "%"), ("use-4", "#"), ("use-5", "!"),
    )
}  # fmt: skip


class Over(NamedTuple):
    """A character that stands in a cell in place of its dots."""

    char: str
    style: str


class Canvas:
    """A raster of dots, each with the rank of its style and the direction of its stroke."""

    def __init__(self, columns: int, rows: int) -> None:
        self.columns, self.rows = columns, rows
        self.rank = np.zeros((rows * 4, columns * 2), dtype=np.int16)
        self.way = np.full((rows * 4, columns * 2), -1, dtype=np.int8)
        self.over: dict[tuple[int, int], Over] = {}

    def stroke(
        self, path: NDArray[np.float64], style: str, dash: Dash = "solid", width: int = 1
    ) -> None:
        """Draw along a path given in dots, y down, so many dots wide."""
        dots = dots_along(path)
        way = _ways(dots)
        pattern = np.array(_DASHES[dash], dtype=bool)
        on = pattern[np.arange(len(dots)) % len(pattern)]
        beside = np.where((way == 2)[:, None], [1, 0], [0, 1])
        for number in range(width):  # to both sides in turn, across the stroke
            reach = (number + 1) // 2 * (1 if number % 2 else -1)
            self._set((dots + reach * beside)[on], way[on], style)

    def ticks(self, path: NDArray[np.float64], style: str, every: int = 3) -> None:
        """Short strokes to one side along a path, as a seam is drawn."""
        dots = dots_along(path)
        way = _ways(dots)
        beside = np.where((way == 2)[:, None], [1, 0], [0, 1])
        chosen = slice(1, None, every)
        for reach in (1, 2):
            self._set((dots + reach * beside)[chosen], way[chosen], style)

    def fill(self, path: NDArray[np.float64], style: str, kind: str) -> None:
        """Shade the inside of a closed path; what lay there before is covered."""
        height, width = self.rank.shape
        mask = inside(path, width, height)
        ys, xs = np.nonzero(mask)
        if kind != "shade":
            self.rank[ys, xs] = 0
            self.way[ys, xs] = -1
        if kind == "blank":
            return
        if kind == "stipple":
            keep = ((xs + 2 * (ys // 2)) % 4 == 0) & (ys % 2 == 0)
        elif kind == "shade":
            keep = (xs + ys) % 2 == 0
        else:
            keep = np.ones(len(xs), dtype=bool)
        dots = np.stack([xs[keep], ys[keep]], axis=1)
        self._set(dots, np.full(len(dots), 4, dtype=np.int8), style)

    def put(self, column: int, row: int, text: str, style: str) -> None:
        """Lay characters over the dots, from a cell to the right; outside is cut off."""
        if 0 <= row < self.rows:
            for offset, char in enumerate(text):
                if 0 <= column + offset < self.columns:
                    self.over[column + offset, row] = Over(char, style)

    def cell_at(self, dot: NDArray[np.float64]) -> tuple[int, int]:
        """Column and row of the cell that holds a dot."""
        return int(np.floor((dot[0] + 0.5) / 2)), int(np.floor((dot[1] + 0.5) / 4))

    def ink(self) -> NDArray[np.float64]:
        """How much each cell already shows; what may not be covered weighs most."""
        shown = self.rank > RANK["leader"]
        strong = self.rank >= RANK["own"]
        cells = (shown + 2.0 * strong).reshape(self.rows, 4, self.columns, 2).sum(axis=(1, 3))
        for (column, row), over in self.over.items():
            cells[row, column] += 60 if over.style == "label" else 20
        return np.asarray(cells, dtype=np.float64)

    def grid(self, ascii_only: bool = False, key: tuple[str, ...] = ()) -> Grid:
        """Read the canvas off as characters and style names."""
        blocks = self.rank.reshape(self.rows, 4, self.columns, 2)
        top = blocks.max(axis=(1, 3))
        # A cell has one colour: shading would take that of the line that runs over it.
        line = (top >= RANK["own"])[:, None, :, None]
        blocks = np.where(line & (blocks <= RANK["band"]), 0, blocks)
        if ascii_only:
            chars = _letters(self.way.reshape(self.rows, 4, self.columns, 2))
            for row, column in zip(*np.nonzero(np.isin(top, list(_PLAIN))), strict=True):
                chars[row][column] = _PLAIN[int(top[row, column])]
        else:
            bits = ((blocks > 0) * BRAILLE[None, :, None, :]).sum(axis=(1, 3))
            chars = [[chr(0x2800 + int(b)) if b else " " for b in row] for row in bits]
        styles = [[STYLES[int(rank)] for rank in row] for row in top]
        for (column, row), over in self.over.items():
            chars[row][column], styles[row][column] = over
        return Grid(tuple("".join(row) for row in chars), tuple(map(tuple, styles)), key)

    def _set(self, dots: NDArray[np.int64], way: NDArray[np.int8], style: str) -> None:
        height, width = self.rank.shape
        x, y = dots[:, 0], dots[:, 1]
        within = (x >= 0) & (x < width) & (y >= 0) & (y < height)
        x, y, way = x[within], y[within], way[within]
        rank = RANK[style]
        above = self.rank[y, x] <= rank
        self.rank[y[above], x[above]] = rank
        self.way[y[above], x[above]] = way[above]


def _ways(dots: NDArray[np.int64]) -> NDArray[np.int8]:
    """Direction at each dot: 0 across, 1 rising, 2 upright, 3 falling (y is down)."""
    if len(dots) < 2:
        return np.zeros(len(dots), dtype=np.int8)
    span = 3  # a few dots either side, so that a stair of dots reads as a slope
    ahead = dots[np.minimum(np.arange(len(dots)) + span, len(dots) - 1)]
    behind = dots[np.maximum(np.arange(len(dots)) - span, 0)]
    step = ahead - behind
    angle = np.degrees(np.arctan2(-step[:, 1], step[:, 0])) % 180.0
    # Cells are twice as tall as wide: "/" stands for slopes well off both axes.
    way = np.select([(angle < 24) | (angle > 156), angle < 76, angle <= 104], [0, 1, 2], default=3)
    return way.astype(np.int8)


def _letters(way: NDArray[np.int8]) -> list[list[str]]:
    """ASCII stand-ins for cells: the stroke's direction, or a cross where strokes meet."""
    rows, _, columns, _ = way.shape
    letters = [[" "] * columns for _ in range(rows)]
    counts = np.stack([(way == kind).sum(axis=(1, 3)) for kind in range(5)])
    low = (way[:, 3] == 0).sum(axis=2)
    for row, column in zip(*np.nonzero(counts.sum(axis=0)), strict=True):
        strokes = counts[:4, row, column]
        best = int(strokes.argmax())
        if not strokes.any():
            letters[row][column] = ":" if counts[4, row, column] > 2 else "."
        elif (strokes >= 2).sum() > 1:
            letters[row][column] = "+"
        elif best == 0:
            letters[row][column] = "_" if low[row, column] == strokes[0] else "-"
        else:
            letters[row][column] = " /|\\"[best]
    return letters
