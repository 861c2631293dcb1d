"""Marks, lengths and the cursor in pixels, to be laid over a photo: dark with light upon it."""

from typing import TYPE_CHECKING

import numpy as np

from atlas.casework.marks import Marks, ends
from atlas.drawing.photo import Bytes
from atlas.drawing.viewport import Viewport

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw

NOTHING, DARK, LIGHT = 0, 1, 2  # of the raster
COLOURS = ((16, 18, 22), (250, 250, 244))  # of dark and light
Box = tuple[float, float, float, float]


def inked(
    view: Viewport,
    marks: Marks,
    current: str,
    cursor: tuple[float, float],
    cell: tuple[int, int],
) -> Bytes:
    """What lies over the picture: nothing, dark or light, shape (rows, columns).

    Known points are crosses in a square, ends of lengths crosses in a ring; the mark that is
    meant has a double outline. Dark and light together stand out on any picture.

    Args:
        view: the part of the picture in sight, in pixels of the screen.
        marks: on the photo.
        current: label of the mark that is meant.
        cursor: the picture's point where the cursor is [px].
        cell: width and height of a cell, for the size of signs [px].
    """
    from PIL import Image
    from PIL.ImageDraw import Draw

    sheet = Image.new("L", (view.columns, view.rows), NOTHING)
    draw = Draw(sheet)
    draw.fontmode = "1"  # no shades
    thick = max(1, round(cell[0] / 9))
    places = {name: _at(view, mark.x, mark.y) for name, mark in marks.labels.items()}
    for i, one in enumerate(marks.wanted):
        if one.end is not None:
            first, second = ends(i)
            _length(draw, places[first], places[second], thick, current in (first, second))
    taken: list[Box] = []
    for name, place in places.items():
        _mark(draw, place, cell[0] * 0.7, thick, name.isdigit(), name == current)
    _cross(draw, _at(view, *cursor), cell[0], thick)
    for name, place in places.items():
        _label(draw, place, name, name == current, cell, taken, sheet.size)
    return np.asarray(sheet)


def _at(view: Viewport, x: float, y: float) -> tuple[float, float]:
    """The screen's pixel; what is far out of sight is drawn no farther than need be."""
    column, row = view.dot(x, y)
    return min(max(column, -1e6), 1e6), min(max(row, -1e6), 1e6)


def _strokes(draw: "ImageDraw", lines: list[Box], thick: int) -> None:
    for line in lines:
        draw.line(line, fill=DARK, width=3 * thick)
    for line in lines:
        draw.line(line, fill=LIGHT, width=thick)


def _length(
    draw: "ImageDraw", start: tuple[float, float], end: tuple[float, float], thick: int, lit: bool
) -> None:
    """A line between the ends: of dashes, and in one piece if its length is meant."""
    part = _in_sight(start, end, draw.im.size)
    if part is None:
        return
    (x, y), (x2, y2) = part
    draw.line((x, y, x2, y2), fill=DARK, width=3 * thick)
    far = float(np.hypot(x2 - x, y2 - y))
    dash = far if lit else 6.0 * thick
    steps = np.arange(0.0, far, 2 * dash) if far else ()
    for step in steps:
        a, b = step / far, min(step + dash, far) / far
        draw.line((x + (x2 - x) * a, y + (y2 - y) * a, x + (x2 - x) * b, y + (y2 - y) * b),
                  fill=LIGHT, width=thick)  # fmt: skip


def _in_sight(
    start: tuple[float, float], end: tuple[float, float], size: tuple[int, int]
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """The part of a line that lies in the window: at high zoom its ends may be far away.

    Source: Y.-D. Liang and B. A. Barsky, ACM Trans. Graphics 3(1), 1984, 1-22 (from memory).
    """
    low, high = 0.0, 1.0
    for a, b, most in zip(start, end, size, strict=True):
        step = b - a
        for by, room in ((-step, a + 8), (step, most + 8 - a)):
            if by == 0:
                if room < 0:
                    return None
            elif by < 0:
                low = max(low, room / by)
            else:
                high = min(high, room / by)
    if low > high:
        return None
    (x, y), (x2, y2) = start, end
    return (x + (x2 - x) * low, y + (y2 - y) * low), (x + (x2 - x) * high, y + (y2 - y) * high)


def _mark(
    draw: "ImageDraw", at: tuple[float, float], half: float, thick: int, known: bool, meant: bool
) -> None:
    x, y = at
    inner = half if known else half * 0.75
    if known:
        crossing: list[Box] = [(x - inner, y, x + inner, y), (x, y - inner, x, y + inner)]
    else:
        crossing = [(x - inner, y - inner, x + inner, y + inner),
                    (x - inner, y + inner, x + inner, y - inner)]  # fmt: skip
    outline = draw.rectangle if known else draw.ellipse
    for out in (half, half + 4 * thick) if meant else (half,):
        for colour, width, more in ((DARK, 3 * thick, thick), (LIGHT, thick, 0)):
            edge = out + more
            outline((x - edge, y - edge, x + edge, y + edge), outline=colour, width=width)
    _strokes(draw, crossing, thick)


def _cross(draw: "ImageDraw", at: tuple[float, float], wide: int, thick: int) -> None:
    """The cursor: four arms, and the pixel between them left free."""
    x, y = at
    near, far = 0.35 * wide, 2.6 * wide
    arms: list[Box] = [
        (x - far, y, x - near, y), (x + near, y, x + far, y),
        (x, y - far, x, y - near), (x, y + near, x, y + far),
    ]  # fmt: skip
    _strokes(draw, arms, thick)


def _label(
    draw: "ImageDraw",
    at: tuple[float, float],
    name: str,
    meant: bool,
    cell: tuple[int, int],
    taken: list[Box],
    size: tuple[int, int],
) -> None:
    """Beside the mark, where no other label is and the window does not end."""
    from PIL.ImageFont import load_default

    font = load_default(max(9, round(cell[1] * 0.8)))
    text = f">{name}" if meant else name
    wide, tall = draw.textlength(text, font=font) + 6, cell[1] * 0.95
    away = cell[0] * 1.3
    x, y = at
    box: Box = (0, 0, 0, 0)
    for left, top in ((x + away, y - away - tall), (x - away - wide, y - away - tall),
                      (x + away, y + away), (x - away - wide, y + away)):  # fmt: skip
        box = (left, top, left + wide, top + tall)
        inside = left >= 0 and top >= 0 and box[2] < size[0] and box[3] < size[1]
        if inside and not any(_meet(box, other) for other in taken):
            break
    if not _meet(box, (0, 0, *size)):
        return
    taken.append(box)
    ground, letters = (LIGHT, DARK) if meant else (DARK, LIGHT)
    draw.rectangle(box, fill=ground, outline=letters)
    draw.text(((box[0] + box[2]) / 2, (box[1] + box[3]) / 2), text, fill=letters, font=font,
              anchor="mm")  # fmt: skip


def _meet(one: Box, other: Box) -> bool:
    return (one[0] < other[2] and other[0] < one[2]) and (one[1] < other[3] and other[1] < one[3])
