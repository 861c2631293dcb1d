"""A line of a photo: the picture's cells with the signs that lie over them, or placeholders."""

from rich.color import Color
from rich.segment import Segment
from rich.style import Style

from atlas.drawing.placeholders import colour_of, row_of
from atlas.drawing.tones import Cells
from atlas.ui.photo_looks import REVERSE, halves, label, plain, stroke
from atlas.ui.photo_overlay import Over
from atlas.ui.photo_pixels import Pixels


def line_of(cells: Cells, over: Over, y: int, base: Style) -> list[Segment]:
    """One line of a picture in cells.

    Args:
        cells: the picture.
        over: signs upon it, by row and column.
        y: which line.
        base: the look where no part of the picture is.
    """
    segments: list[Segment] = []
    signs, bright, beside = cells.signs[y], cells.bright[y], cells.beside[y]
    upper = None if cells.upper is None else (cells.upper[y] & 0xFC).tolist()
    lower = None if cells.lower is None else (cells.lower[y] & 0xFC).tolist()
    for x in range(len(signs)):
        one = over.get((y, x))
        if upper is None or lower is None or (beside[x] and one is None):
            sign, look = (
                (" " if beside[x] else signs[x], base)
                if one is None
                else (one.sign, plain(base, one.bold))
            )
            if one is not None and one.filled:
                look = look + REVERSE
        elif one is None:
            sign, look = signs[x], halves(*upper[x], *lower[x])
        elif one.filled:
            sign, look = one.sign, label(bool(bright[x] < 0.5), one.bold)
        elif one.sign in "▀▄":  # the very dot: the other half stays picture
            other = lower[x] if one.sign == "▀" else upper[x]
            sign, look = one.sign, stroke(bool(bright[x] < 0.5), *other, False)
        else:
            mean = [(a + b) // 2 for a, b in zip(upper[x], lower[x], strict=True)]
            sign, look = one.sign, stroke(bool(bright[x] < 0.5), *mean, one.bold)
        if segments and segments[-1].style is look:
            segments[-1] = Segment(segments[-1].text + sign, look)
        else:
            segments.append(Segment(sign, look))
    return segments


def with_pictures(line: list[Segment], pixels: Pixels, y: int) -> list[Segment]:
    """The line with placeholders where the terminal has a numbered picture to put there."""
    aim = pixels.aim
    if aim is None or pixels.graphics.way != "placeholders":
        return line
    across, down = pixels.tile
    starts = [x for x in range(0, aim.columns, across) if pixels.is_here(x, y)]
    if not starts:
        return line
    cells = [Segment(sign, segment.style) for segment in line for sign in segment.text]
    shown: list[Segment] = []
    for x in range(0, aim.columns, across):
        if x in starts:
            look = Style(color=Color.from_rgb(*colour_of(pixels.number(x, y))))
            shown.append(Segment(row_of(y % down, min(across, aim.columns - x)), look))
        else:
            shown += cells[x : x + across]
    return shown
