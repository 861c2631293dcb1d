"""A picture as SVG for print: line widths, hatching and signs in the manner of ISO 128.

Wide lines are twice as wide as narrow ones; dashes and gaps are multiples of the line width
(ISO 128-2). Strokes take the page's own text colour, so that a drawing prints black.
"""

import math
from collections.abc import Collection, Sequence
from html import escape
from itertools import pairwise

import numpy as np

from atlas.catalogue.model import Point
from atlas.catalogue.visible import visible
from atlas.drawing.geometry import angle_of, towards
from atlas.drawing.labels import Wish, leader_start, place
from atlas.drawing.picture import Note, Path, Picture, Symbol, Text
from atlas.drawing.terminal import ink_of

SHEET = (170.0, 220.0)  # room on A4 between margins, width by height [mm]
WIDE, NARROW = 0.5, 0.25  # line widths [mm]
FONT = 3.0  # font size [mm]
CELL = (0.58 * FONT, 1.35 * FONT)  # room for one letter [mm]

_DASHES = {
    "dotted": f"{NARROW:g} {2.5 * NARROW:g}",
    "sparse": f"{NARROW:g} {5 * NARROW:g}",
    "dashed": f"{12 * NARROW:g} {3 * NARROW:g}",
    "broken": f"{9 * NARROW:g} {6 * NARROW:g}",
    "chain": f"{24 * NARROW:g} {3 * NARROW:g} {0.5 * NARROW:g} {3 * NARROW:g}",
}
# Thin and grey, so that the pattern's own members stand out of their surroundings on paper too.
_GREY = {"context", "leader", "grid", "axis", "scale", "ghost"}
_INK = "currentColor"
# Dark enough for print, told apart without red against green; dashes differ as well.
_SERIES = {
    "series-1": ("#0b5394", ""),
    "series-2": ("#b45f06", "3 1"),
    "series-3": ("#4b2e83", "1 0.8"),
    "series-4": ("#444444", "4 1 0.8 1"),
    "band": ("#0b5394", ""),
    "use-1": ("#6f8290", ""),
    "use-2": ("#2f6690", ""),
    "use-3": ("#16405f", ""),
    "use-4": ("#a35a00", ""),
    "use-5": ("#8c1d18", "2.2 1.6"),
}
_WEIGHTS = {2: WIDE, 3: 0.8, 4: 1.2}  # [mm]


class _Sheet:
    """Maps a picture's unit to millimetres on paper, y down."""

    def __init__(self, picture: Picture, room: tuple[float, float] = SHEET) -> None:
        if picture.stretch:
            # Twice as high as wide, as in a terminal, so that equal scales stay equal.
            self.across = min(0.65 * FONT, room[0] / picture.width)
            self.down = 2 * self.across
        else:
            self.across = min(room[0] / picture.width, room[1] / picture.height)
            self.down = self.across
        self.width = picture.width * self.across
        self.height = picture.height * self.down
        self.font = self.across / 0.65 if picture.stretch else FONT

    def at(self, point: Point) -> Point:
        return point[0] * self.across, self.height - point[1] * self.down

    def trace(self, points: Sequence[Point], closed: bool = False) -> str:
        spots = [f"{x:.2f},{y:.2f}" for x, y in map(self.at, points)]
        return "M" + " L".join(spots) + (" Z" if closed else "")


def to_svg(
    picture: Picture,
    *,
    lit: Collection[str] = (),
    title: bool = False,
    room: tuple[float, float] = SHEET,
) -> str:
    """Draw a picture as a self-contained SVG element that may stand in a file or in HTML.

    Args:
        picture: what to draw.
        lit: marks whose shapes are drawn extra wide.
        title: write the picture's title below it.
        room: width and height on paper that it is fitted into [mm].
    """
    sheet = _Sheet(picture, room)
    tall = sheet.height + (6.0 if picture.scale_bar else 0.0) + (6.0 if title else 0.0) + 1.0
    name = escape(_clean(picture.title), quote=True)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{sheet.width + 2:.1f}mm" '
        f'height="{tall + 1:.1f}mm" viewBox="-1 -1 {sheet.width + 2:.2f} {tall + 1:.2f}" '
        f'role="img" aria-label="{name}" font-family="Helvetica, Arial, sans-serif" '
        f'font-size="{sheet.font:.2f}" fill="{_INK}" stroke-linecap="round" '
        f'stroke-linejoin="round">',
        f"<title>{name}</title>",
        '<defs><pattern id="hatch" width="1.6" height="1.6" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)"><path d="M0,0 V1.6" stroke="{_INK}" '
        'stroke-width="0.22" stroke-opacity="0.7"/></pattern></defs>',
    ]
    wanted = frozenset(lit)
    for item in picture.items:
        bright = bool(getattr(item, "mark", "")) and getattr(item, "mark", "") in wanted
        if isinstance(item, Path):
            parts += _path(sheet, item, bright)
        elif isinstance(item, Symbol):
            parts += _symbol(sheet, item, bright)
        elif isinstance(item, Text):
            parts.append(_text(sheet, item))
    parts += _notes(sheet, picture)
    below = sheet.height + 4.5
    if picture.scale_bar:
        parts += _scale_bar(sheet, picture.scale_bar, below)
        below += 6.0
    if title:
        parts.append(_words(sheet.width / 2, below, picture.title, "middle"))
    return "\n".join([*parts, "</svg>"])


def _stroke(style: str, dash: str, wide: bool, bright: bool, weight: int = 1) -> str:
    colour, pattern = _SERIES.get(style, (_INK, _DASHES.get(dash, "")))
    width = _WEIGHTS.get(weight, WIDE if wide else NARROW)
    width = max(2 * WIDE, width + 0.4) if bright and weight > 1 else 2 * WIDE if bright else width
    faint = ' stroke-opacity="0.6"' if style in _GREY and not bright else ""
    dashes = f' stroke-dasharray="{pattern}"' if pattern and not bright else ""
    return f'stroke="{colour}" stroke-width="{width:g}"{dashes}{faint}'


def _path(sheet: _Sheet, item: Path, bright: bool) -> list[str]:
    trace = sheet.trace(item.points, item.closed)
    parts = []
    if item.closed and item.fill:
        if item.fill in ("stipple", "blank"):
            parts.append(f'<path d="{trace}" fill="#fff" stroke="none"/>')
        colour = _SERIES.get(item.style, (_INK, ""))[0]
        solid = f'fill="{colour}"' if item.style != "bolt" else 'fill="#fff"'  # a head in outline
        look = {
            "stipple": 'fill="url(#hatch)"',
            "shade": f'fill="{colour}" fill-opacity="0.2"',
            "solid": solid,
            "blank": 'fill="none"',
        }[item.fill]
        parts.append(f'<path d="{trace}" {look} stroke="none"/>')
    if item.outline:
        # Dots of the terminal's surroundings are a narrow full line on paper.
        dash = "solid" if item.dash == "dotted" and item.style == "context" else item.dash
        wide = item.wide or item.style == "bolt"
        line = _stroke(item.style, dash, wide, bright, item.weight)
        parts.append(f'<path d="{trace}" fill="none" {line}/>')
    if item.ticks:
        parts.append(_seam(sheet, item))
    return parts


def _seam(sheet: _Sheet, item: Path) -> str:
    """Short arcs across the seam, as a visible weld is drawn in ISO 2553 illustrations."""
    spots = np.array([sheet.at(p) for p in item.points])
    strokes = []
    for (x0, y0), (x1, y1) in pairwise(spots):
        length = math.hypot(x1 - x0, y1 - y0)
        if length < 1e-6:
            continue
        ux, uy = (x1 - x0) / length, (y1 - y0) / length
        for t in np.arange(0.5, length, 1.0):
            x, y = x0 + ux * t, y0 + uy * t
            strokes.append(
                f"M{x + uy * 0.9:.2f},{y - ux * 0.9:.2f} Q{x + ux * 0.6:.2f},{y + uy * 0.6:.2f} "
                f"{x - uy * 0.9:.2f},{y + ux * 0.9:.2f}"
            )
    return f'<path d="{" ".join(strokes)}" fill="none" stroke="{_INK}" stroke-width="{NARROW}"/>'


def _symbol(sheet: _Sheet, item: Symbol, bright: bool) -> list[str]:
    x, y = sheet.at(item.at)
    line = _stroke(item.style, "solid", False, bright)
    size = max(1.1, item.size * sheet.across)
    paper = 'fill="#fff"'

    def ring(radius: float, look: str) -> str:
        return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{radius:.2f}" {look} {line}/>'

    def cross(reach: float) -> str:
        d = f"M{x - reach:.2f},{y:.2f} h{2 * reach:.2f} M{x:.2f},{y - reach:.2f} v{2 * reach:.2f}"
        return f'<path d="{d}" fill="none" {line}/>'

    match item.kind:
        case "bolt":  # hexagon, thread circle and centre lines
            corners = [towards((x, y), a, size) for a in range(30, 390, 60)]
            trace = "M" + " L".join(f"{a:.2f},{b:.2f}" for a, b in corners) + " Z"
            return [
                f'<path d="{trace}" {paper} {line}/>',
                ring(size * 0.6, 'fill="none"'),
                cross(size * 1.5),
            ]
        case "rivet":
            return [ring(size * 0.8, paper), ring(size * 0.3, f'fill="{_INK}"')]
        case "spot-weld":
            return [ring(size * 0.7, paper), cross(size * 1.1)]
        case "head":
            # The angle is the picture's; on paper y runs down and the scales may differ.
            tip = sheet.at(towards(item.at, item.angle, 1.0))
            turn = angle_of((x, y), tip)
            reach = max(1.6, min(3.2, item.size * sheet.across * 1.6))
            left, right = towards((x, y), turn + 165, reach), towards((x, y), turn - 165, reach)
            trace = (
                f"M{x:.2f},{y:.2f} L{left[0]:.2f},{left[1]:.2f} L{right[0]:.2f},{right[1]:.2f} Z"
            )
            return [f'<path d="{trace}" fill="{_INK}" {line}/>']
        case "point":
            colour = _SERIES.get(item.style, (_INK, ""))[0]
            return [ring(0.7, f'fill="{colour}"')]
        case "body":  # the body goes on from here
            box = f'x="{x - 1.4:.2f}" y="{y - 1.4:.2f}" width="2.8" height="2.8"'
            return [f"<rect {box} {paper} {line}/>", f'<rect {box} fill="url(#hatch)" {line}/>']
        case "rubber":
            return [ring(1.5, paper), ring(0.7, 'fill="none"')]
        case "towards":
            return [ring(1.4, paper), ring(0.3, f'fill="{_INK}"')]
        case "away":
            reach = 1.0
            d = (f"M{x - reach:.2f},{y - reach:.2f} l{2 * reach},{2 * reach} "
                 f"m0,{-2 * reach} l{-2 * reach},{2 * reach}")  # fmt: skip
            return [ring(1.4, paper), f'<path d="{d}" fill="none" {line}/>']
        case "minus":
            return [f'<path d="M{x - 1:.2f},{y:.2f} h2" fill="none" {line}/>']
        case "cross":
            d = f"M{x - 0.8:.2f},{y - 0.8:.2f} l1.6,1.6 m0,-1.6 l-1.6,1.6"
            return [f'<path d="{d}" fill="none" {line}/>']
        case _:
            return [cross(1.0)]


def _text(sheet: _Sheet, item: Text) -> str:
    x, y = sheet.at(item.at)
    return _words(x, y + 0.35 * sheet.font, item.text, item.anchor)


def _notes(sheet: _Sheet, picture: Picture) -> list[str]:
    notes = [item for item in picture.items if isinstance(item, Note)]
    if not notes:
        return []
    columns, rows = int(sheet.width / CELL[0]), max(1, int(sheet.height / CELL[1]))

    def cell(point: Point) -> tuple[float, float]:
        x, y = sheet.at(point)
        return x / CELL[0] - 0.5, y / CELL[1] - 0.5

    wishes = [Wish(n.text, cell(n.at), cell(n.to) if n.to else None) for n in notes]
    parts = []
    for note, wish, placed in zip(
        notes, wishes, place(wishes, ink_of(picture, columns, rows)), strict=True
    ):
        if placed is None:  # on paper a label may overlap; it may not be missing
            x, y = sheet.at(note.at)
        else:
            x = (placed.column + len(note.text) / 2) * CELL[0]
            y = (placed.row + 0.5) * CELL[1]
        if note.to is not None:
            tx, ty = sheet.at(note.to)
            fx, fy = x, y
            if placed is not None and wish.to is not None:
                column, row = leader_start(placed, wish.to)
                fx, fy = (column + 0.5) * CELL[0], (row + 0.5) * CELL[1]
            line = _stroke("leader", "solid", False, False)
            parts.append(f'<path d="M{fx:.2f},{fy:.2f} L{tx:.2f},{ty:.2f}" fill="none" {line}/>')
            parts.append(f'<circle cx="{tx:.2f}" cy="{ty:.2f}" r="0.5"/>')
        for more in (_HALO, ""):
            parts.append(_words(x, y + 0.35 * FONT, note.text, "middle", more))
    return parts


# A rim of paper round letters keeps them legible on top of hatching. Drawn as text of its own below
# the letters, since not every PDF writer knows paint-order.
_HALO = ' stroke="#fff" stroke-width="0.9" fill="#fff" aria-hidden="true"'


def _scale_bar(sheet: _Sheet, length: float, y: float) -> list[str]:
    reach = length * sheet.across
    d = f"M0,{y - 1:.2f} v2 M0,{y:.2f} H{reach:.2f} M{reach:.2f},{y - 1:.2f} v2"
    line = f'stroke="{_INK}" stroke-width="{NARROW}"'
    return [
        f'<path d="{d}" fill="none" {line}/>',
        _words(reach + 2, y + 0.35 * FONT, f"{length:g} mm", "start"),
    ]


def _words(x: float, y: float, text: str, anchor: str, more: str = "") -> str:
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" text-anchor="{anchor}"{more}>{escape(_clean(text))}</text>'
    )


def _clean(text: str) -> str:
    """The text with what XML 1.0 does not allow and what would turn a line round made visible."""
    return "".join(c for c in visible(text) if c not in "\ufffe\uffff")
