"""What lies over a photo: marks with their labels, lengths between them, and the cursor."""

from dataclasses import dataclass

from atlas.casework.marks import Mark, Marks, ends
from atlas.drawing.tones import DOTS, Mode
from atlas.drawing.viewport import Viewport


@dataclass(frozen=True)
class Sign:
    """One cell's overlay: a sign drawn on the picture, or on a ground of its own if ``filled``."""

    sign: str
    filled: bool = False
    bold: bool = False


Over = dict[tuple[int, int], Sign]
# Known points and ends of lengths differ in shape, not only in their labels.
_KNOWN, _END, _DOT = "╋", "╳", "·"
_KNOWN_ASCII, _END_ASCII, _DOT_ASCII = "#", "x", "."


def overlay(
    view: Viewport,
    mode: Mode,
    marks: Marks,
    current: str,
    cursor: tuple[float, float],
    width: int,
    height: int,
) -> Over:
    """Signs by row and column of the cell.

    Args:
        view: the part of the picture in sight.
        mode: how it is drawn; letters take ASCII signs only.
        marks: on the photo.
        current: label of the mark that is meant.
        cursor: the picture's point where the cursor is [px].
        width, height: of the window [cells].
    """
    ascii_only = mode == "letters"
    over: Over = {}
    for i, one in enumerate(marks.wanted):
        if one.end is not None:
            lit = current in ends(i)
            _line(over, view, mode, one.start, one.end,
                  Sign(_DOT_ASCII if ascii_only else _DOT, bold=lit))  # fmt: skip
    _cross(over, view, mode, cursor)
    taken: set[tuple[int, int]] = set()
    for label, mark in marks.labels.items():
        row, column = _cell(view, mode, mark.x, mark.y)
        plain, drawn = (_KNOWN_ASCII, _KNOWN) if label.isdigit() else (_END_ASCII, _END)
        over[row, column] = Sign(plain if ascii_only else drawn, bold=label == current)
        _label(over, taken, row, column, f">{label}" if label == current else label,
               label == current, width, height)  # fmt: skip
    return {place: sign for place, sign in over.items()
            if 0 <= place[0] < height and 0 <= place[1] < width}  # fmt: skip


def _cell(view: Viewport, mode: Mode, x: float, y: float) -> tuple[int, int]:
    across, down, _ = DOTS[mode]
    column, row = view.dot(x, y)
    # The picture's right and lower edges belong to its last cells.
    return int((row - 1e-9) // down), int((column - 1e-9) // across)


def _cross(over: Over, view: Viewport, mode: Mode, cursor: tuple[float, float]) -> None:
    row, column = _cell(view, mode, *cursor)
    flat, tall = ("-", "|") if mode == "letters" else ("─", "│")
    for away in range(1, 5):
        over[row, column - away] = over[row, column + away] = Sign(flat)
    for away in range(1, 3):
        over[row - away, column] = over[row + away, column] = Sign(tall)
    if mode == "colour":  # the half of the cell in which the cursor is
        upper = view.dot(*cursor)[1] % 2 < 1
        over[row, column] = Sign("▀" if upper else "▄")
    else:
        over[row, column] = Sign("+" if mode == "letters" else "┼", filled=True)


def _line(over: Over, view: Viewport, mode: Mode, start: Mark, end: Mark, sign: Sign) -> None:
    row0, column0 = _cell(view, mode, start.x, start.y)
    row1, column1 = _cell(view, mode, end.x, end.y)
    steps = max(abs(row1 - row0), abs(column1 - column0) // 2, 1)
    if steps > 4000:  # far beyond the window at high zoom: only what is near is worth drawing
        return
    for i in range(1, steps):
        part = i / steps
        at = round(row0 + (row1 - row0) * part), round(column0 + (column1 - column0) * part)
        over[at] = sign


def _label(
    over: Over,
    taken: set[tuple[int, int]],
    row: int,
    column: int,
    text: str,
    bold: bool,
    width: int,
    height: int,
) -> None:
    """Beside the mark, where no other label is and the window does not end."""
    for down, across in ((-1, 1), (-1, -len(text)), (1, 1), (1, -len(text)), (0, 2)):
        cells = [(row + down, column + across + i) for i in range(len(text))]
        inside = all(0 <= r < height and 0 <= c < width for r, c in cells)
        if inside and not taken & set(cells):
            break
    for cell, sign in zip(cells, text, strict=True):
        over[cell] = Sign(sign, filled=True, bold=bold)
    taken |= {*cells, (row, column)}
