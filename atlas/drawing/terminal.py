"""A picture drawn in terminal cells: dots for lines, characters for signs and words."""

import math
import unicodedata
from collections.abc import Collection
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from atlas.catalogue.model import Point
from atlas.drawing.canvas import Canvas
from atlas.drawing.grid import Grid
from atlas.drawing.labels import Wish, leader_start, place
from atlas.drawing.picture import Note, Path, Picture, Symbol, Text

Window = tuple[float, float, float, float]  # left, bottom, right, top in the picture's unit

_SIGNS = {
    "bolt": ("⊕", "@"),
    "rivet": ("◉", "o"),
    "spot-weld": ("×", "x"),
    "point": ("●", "*"),
    "cross": ("×", "x"),
    "plus": ("+", "+"),
    "minus": ("−", "-"),
    "body": ("▣", "M"),
    "rubber": ("◎", "o"),
    "towards": ("⊙", "O"),
    "away": ("⊗", "X"),
}
# ASCII for the few signs that titles, units and labels use.
_PLAIN = str.maketrans(
    {
        "−": "-",
        "–": "-",
        "·": ".",
        "°": "deg",
        "×": "x",
        "±": "+-",
        "²": "2",
        "³": "3",
        "µ": "u",
        "≤": "<=",
        "▲": "^",
        "◀": "<",
        "▶": ">",
    }
)
_HEADS = ("▶◥▲◤◀◣▼◢", ">/^\\</v\\")


@dataclass(frozen=True, slots=True)
class View:
    """How a part of a picture lies on a raster of dots."""

    left: float
    top: float
    across: float  # dots per unit
    down: float
    shift_x: float
    shift_y: float

    def dots(self, points: tuple[Point, ...]) -> NDArray[np.float64]:
        """Return points of the picture as dots, y down."""
        p = np.asarray(points, dtype=np.float64).reshape(-1, 2)
        x = (p[:, 0] - self.left) * self.across + self.shift_x
        y = (self.top - p[:, 1]) * self.down + self.shift_y
        return np.stack([x, y], axis=1)


def draw(
    picture: Picture,
    columns: int,
    rows: int,
    *,
    ascii_only: bool = False,
    lit: Collection[str] = (),
    window: Window | None = None,
) -> Grid:
    """Draw a picture in ``columns`` by ``rows`` cells.

    Args:
        picture: what to draw; fitted whole and centred unless a window is given.
        columns: width in cells, at least 1.
        rows: height in cells, at least 1.
        ascii_only: use no character beyond ASCII.
        lit: marks whose shapes are drawn in the style ``lit``.
        window: the part of the picture to show.
    """
    columns, rows = max(columns, 1), max(rows, 1)
    canvas = Canvas(columns, rows)
    view = _fit(picture, columns * 2, rows * 4, window)
    wanted = frozenset(lit)
    for item in picture.items:
        style = "lit" if getattr(item, "mark", "") in wanted and wanted else item.style
        if isinstance(item, Path):
            _path(canvas, view, item, style)
    for item in picture.items:
        style = "lit" if getattr(item, "mark", "") in wanted and wanted else item.style
        if isinstance(item, Symbol):
            _symbol(canvas, view, item, style, ascii_only)
        elif isinstance(item, Text):
            _text(canvas, view, item, ascii_only)
    if picture.scale_bar and not picture.stretch:
        _scale_bar(canvas, view, picture.scale_bar, ascii_only)
    key = _notes(canvas, view, picture, wanted, ascii_only)
    return canvas.grid(ascii_only, key)


def point_at(
    picture: Picture, columns: int, rows: int, cell: tuple[int, int], window: Window | None = None
) -> Point:
    """The point of the picture in the middle of a cell (column, row) of what ``draw`` returns.

    >>> sheet = Picture(190.0, 150.0, ())
    >>> point_at(sheet, 20, 10, (0, 9))[1] < point_at(sheet, 20, 10, (0, 0))[1]
    True
    """
    view = _fit(picture, max(columns, 1) * 2, max(rows, 1) * 4, window)
    x = (cell[0] * 2 + 0.5 - view.shift_x) / view.across + view.left
    y = view.top - (cell[1] * 4 + 1.5 - view.shift_y) / view.down
    return x, y


def ink_of(picture: Picture, columns: int, rows: int) -> NDArray[np.float64]:
    """How much each of ``columns`` by ``rows`` cells shows before labels are placed."""
    canvas = Canvas(columns, rows)
    view = View(
        0.0, picture.height, columns * 2 / picture.width, rows * 4 / picture.height, 0.0, 0.0
    )
    for item in picture.items:
        if isinstance(item, Path):
            _path(canvas, view, item, item.style)
        elif isinstance(item, Symbol):
            _symbol(canvas, view, item, item.style, False)
        elif isinstance(item, Text):
            _text(canvas, view, item, False)
    return canvas.ink()


def _fit(picture: Picture, width: int, height: int, window: Window | None) -> View:
    left, bottom, right, top = window or (0.0, 0.0, picture.width, picture.height)
    across = (width - 1) / max(right - left, 1e-9)
    down = (height - 1) / max(top - bottom, 1e-9)
    if picture.stretch:
        return View(left, top, across, down, 0.0, 0.0)
    scale = min(across, down)
    shift_x = (width - 1 - (right - left) * scale) / 2
    shift_y = (height - 1 - (top - bottom) * scale) / 2
    return View(left, top, scale, scale, shift_x, shift_y)


def _path(canvas: Canvas, view: View, item: Path, style: str) -> None:
    points = view.dots(item.points)
    if item.closed:
        if item.fill:
            shade = style if item.fill in ("solid", "shade") or style == "lit" else "fill"
            canvas.fill(points, shade, item.fill)
        points = np.vstack([points, points[:1]])
    if item.outline:
        # What is brought out is drawn full, unless its dashes say that a limit is passed.
        dash = "solid" if style == "lit" and item.style != "use-5" else item.dash
        canvas.stroke(points, style, dash, max(item.weight, 2) if style == "lit" else item.weight)
    if item.ticks:
        canvas.ticks(points, style)


def _symbol(canvas: Canvas, view: View, item: Symbol, style: str, ascii_only: bool) -> None:
    (dot,) = view.dots((item.at,))
    column, row = canvas.cell_at(dot)
    if item.kind == "head":
        # Angles are drawn as the dots run, which are square only where the scales agree.
        a = math.radians(item.angle)
        turned = math.degrees(math.atan2(math.sin(a) * view.down, math.cos(a) * view.across))
        char = _HEADS[ascii_only][round(turned / 45) % 8]
    else:
        char = _SIGNS[item.kind][ascii_only]
    canvas.put(column, row, char, style)


def plain_words(text: str, ascii_only: bool) -> str:
    """Text of one printable cell a character; what a terminal would obey or draw wide is ?."""
    shown = text.translate(_PLAIN) if ascii_only else text
    return "".join(c if _narrow(c) and (c.isascii() or not ascii_only) else "?" for c in shown)


def _narrow(char: str) -> bool:
    """Whether a character prints in one cell of its own (Unicode Standard Annex 11)."""
    return (
        char.isprintable()
        and not unicodedata.combining(char)
        and unicodedata.east_asian_width(char) not in "WF"
    )


def _text(canvas: Canvas, view: View, item: Text, ascii_only: bool) -> None:
    (dot,) = view.dots((item.at,))
    column, row = canvas.cell_at(dot)
    words = plain_words(item.text, ascii_only)
    shift = {"start": 0, "middle": len(words) // 2, "end": len(words) - 1}[item.anchor]
    canvas.put(column - shift, row, words, item.style)


def _scale_bar(canvas: Canvas, view: View, length: float, ascii_only: bool) -> None:
    cells = round(length * view.across / 2)
    text = f" {length:g} mm"
    if cells < 2 or cells + len(text) > canvas.columns:
        return
    ends, bar = (("|", "|"), "-") if ascii_only else (("├", "┤"), "─")
    drawn = ends[0] + bar * (cells - 2) + ends[1] + text
    canvas.put(0, canvas.rows - 1, drawn, "scale")


def _notes(
    canvas: Canvas, view: View, picture: Picture, lit: frozenset[str], ascii_only: bool
) -> tuple[str, ...]:
    """Place the labels; number those that find no room and return the key to the numbers."""
    notes = [
        replace(item, text=plain_words(item.text, ascii_only))
        for item in picture.items
        if isinstance(item, Note)
    ]
    if not notes:
        return ()

    def cell(point: Point) -> tuple[float, float]:
        (dot,) = view.dots((point,))
        return (dot[0] - 0.5) / 2, (dot[1] - 1.5) / 4

    wishes = [Wish(n.text, cell(n.at), cell(n.to) if n.to else None) for n in notes]
    ink = canvas.ink()
    narrow = canvas.columns < 40 and any(len(n.text) > canvas.columns // 4 for n in notes)
    places = [None] * len(notes) if narrow else place(wishes, ink)
    numbers = {i: n + 1 for n, i in enumerate(i for i, p in enumerate(places) if p is None)}
    if numbers:
        wishes = [
            Wish(str(numbers[i]), wish.to or wish.at, wish.to) if i in numbers else wish
            for i, wish in enumerate(wishes)
        ]
        places = place(wishes, ink)
    for note, wish, placed in zip(notes, wishes, places, strict=True):
        if placed is None:
            continue
        style = "lit" if note.mark and note.mark in lit else note.style
        if wish.to is not None:
            start = leader_start(placed, wish.to)
            path = np.array([_dot(start), _dot(wish.to)])
            canvas.stroke(path, "leader", "sparse")
        canvas.put(placed.column, placed.row, placed.text, style)
    return tuple(f"{number} {notes[i].text}" for i, number in numbers.items())


def _dot(cell: tuple[float, float]) -> tuple[float, float]:
    return (cell[0] * 2 + 0.5, cell[1] * 4 + 1.5)
