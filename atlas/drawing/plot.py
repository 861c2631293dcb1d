"""A calculator's figure as a picture, laid out for a given number of cells.

One unit across is a column and one unit up is a row, so that words fall on whole cells.
"""

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from atlas.calculators.figure import Axis, Curve, Figure, SignMap
from atlas.catalogue.model import Point
from atlas.drawing.axes import Scale, scale, tick_text
from atlas.drawing.picture import Dash, Item, Note, Path, Picture, Symbol, Text

Floats = NDArray[np.float64]

_LOOKS: dict[str, tuple[str, Dash]] = {
    "main": ("series-1", "solid"),
    "other": ("series-2", "dashed"),
    "limit": ("series-3", "dotted"),
    "path": ("series-4", "chain"),
}
_ORDER = ("main", "other", "path", "limit")


@dataclass(frozen=True, slots=True)
class _Frame:
    """The plot's own box in cells, and the scales that fill it."""

    left: float
    bottom: float
    right: float
    top: float
    x: Scale
    y: Scale

    def at(self, x: Floats, y: Floats) -> Floats:
        return np.stack(
            [
                self.left + self.x.share(x) * (self.right - self.left),
                self.bottom + self.y.share(y) * (self.top - self.bottom),
            ],
            axis=-1,
        )


def plot(figure: Figure, columns: int, rows: int) -> Picture:
    """Lay a figure out in ``columns`` by ``rows`` cells."""
    columns, rows = max(columns, 16), max(rows, 6)
    if figure.bars and not figure.curves and figure.sign_map is None:
        items = _bars(figure, columns, rows)
    else:
        frame, items = _framed(figure, columns, rows)
        if figure.sign_map is not None:
            items += _sign_map(figure.sign_map, frame, len(_axis_title(figure.x)))
        for curve in figure.curves:
            items += _band(curve, frame)
        for curve, look in zip(figure.curves, _looks(figure), strict=True):
            items += _curve(curve, frame, look, named=len(figure.curves) > 1)
        for points in figure.points:
            spots = [p for p in frame.at(points.x, points.y) if np.all(np.isfinite(p))]
            items += [Symbol("point", _pair(p), "mark") for p in spots if _held(p, frame)]
            if spots and points.name and _held(spots[-1], frame):
                items.append(Note(_pair(spots[-1]), points.name, _pair(spots[-1]), "mark"))
    return Picture(float(columns), float(rows), tuple(items), figure.title, stretch=True)


def overlay(figure: Figure, other: Figure, name: str) -> Figure:
    """Lay the curves of a second run over the first, to compare two settings."""
    second = tuple(
        replace(curve, name=f"{curve.name}, {name}", style="other")
        for curve in other.curves
        if curve.style != "limit"
    )
    bars = tuple(replace(bar, name=f"{bar.name}, {name}") for bar in other.bars)
    mixed = tuple(bar for pair in zip(figure.bars, bars, strict=False) for bar in pair)
    return replace(figure, curves=figure.curves + second, bars=mixed or figure.bars)


def _looks(figure: Figure) -> list[tuple[str, Dash]]:
    """One look a curve; curves of the same kind take the next free look."""
    used: set[str] = set()
    looks = []
    for curve in figure.curves:
        kind = curve.style if curve.style in _LOOKS else "main"
        if kind in used and kind != "limit":
            kind = next((k for k in _ORDER if k not in used), kind)
        used.add(kind)
        looks.append(_LOOKS[kind])
    return looks


def _framed(figure: Figure, columns: int, rows: int) -> tuple[_Frame, list[Item]]:
    xs = [c.x for c in figure.curves] + [p.x for p in figure.points]
    ys = [c.y for c in figure.curves] + [p.y for p in figure.points]
    ys += [b for c in figure.curves for b in (c.low, c.high) if b is not None]
    if figure.sign_map is not None:
        xs.append(figure.sign_map.x)
        ys.append(figure.sign_map.y)
    x = scale(figure.x, xs) if not figure.sign_map else _exact(figure.x, xs)
    y = scale(figure.y, ys) if not figure.sign_map else _exact(figure.y, ys)
    y_ticks = y.ticks(max(2, (rows - 4) // 3))
    words = [tick_text(t, _step(y_ticks, t, y)) for t in y_ticks]
    left = min(max([len(w) for w in words], default=1) + 1, columns // 3)
    frame = _Frame(left + 0.5, 2.5, columns - 1.0, rows - 1.5, x, y)
    if figure.equal:
        frame = _squared(frame)
        y_ticks = frame.y.ticks(max(2, (rows - 4) // 3))
        words = [tick_text(t, _step(y_ticks, t, frame.y)) for t in y_ticks]
    items: list[Item] = []
    for value, word in zip(y_ticks, words, strict=True):
        (spot,) = frame.at(np.array([frame.x.low]), np.array([value]))
        level = float(spot[1])
        items.append(Path(((frame.left, level), (frame.right, level)), "grid", "sparse"))
        items.append(Text((left - 0.5, level), word, "axis", "end"))
    items += _x_axis(figure.x, frame)
    items.append(
        Path(
            ((frame.left, frame.top), (frame.left, frame.bottom), (frame.right, frame.bottom)),
            "axis",
        )
    )
    items.append(Text((0.5, rows - 0.5), _axis_title(figure.y), "axis", "start"))
    items.append(Text((columns - 0.5, 0.5), _axis_title(figure.x), "axis", "end"))
    return frame, items


def _x_axis(axis: Axis, frame: _Frame) -> list[Item]:
    width = frame.right - frame.left
    ticks = frame.x.ticks(max(2, int(width // 11)))
    items: list[Item] = []
    for value in ticks:
        word = tick_text(value, _step(ticks, value, frame.x))
        (spot,) = frame.at(np.array([value]), np.array([frame.y.low]))
        x = float(spot[0])
        items.append(Path(((x, frame.bottom), (x, frame.bottom - 0.4)), "axis"))
        room = frame.right + 0.4 - len(word) / 2
        items.append(Text((min(x, room), frame.bottom - 1.0), word, "axis"))
    return items


def _step(ticks: list[float], value: float, along: Scale) -> float:
    """Distance to the next tick; on a log axis each tick has its own."""
    if along.log or len(ticks) < 2:
        return abs(value) or 1.0
    return ticks[1] - ticks[0]


def _axis_title(axis: Axis) -> str:
    return f"{axis.title}, {axis.unit}" if axis.unit else axis.title


def _exact(axis: Axis, values: list[Floats]) -> Scale:
    flat = np.concatenate([np.ravel(v) for v in values])
    low = float(flat.min()) if axis.low is None else axis.low
    high = float(flat.max()) if axis.high is None else axis.high
    return Scale(low, high if high > low else low + 1.0, axis.log)


def _squared(frame: _Frame) -> _Frame:
    """Widen one scale until a length looks the same both ways (a cell is two high, one wide)."""
    wide, tall = (frame.right - frame.left) / 2, frame.top - frame.bottom
    need = max((frame.x.high - frame.x.low) / wide, (frame.y.high - frame.y.low) / tall)
    spans = []
    for along, room in ((frame.x, wide), (frame.y, tall)):
        middle, half = (along.low + along.high) / 2, need * room / 2
        spans.append(Scale(middle - half, middle + half))
    return replace(frame, x=spans[0], y=spans[1])


def _band(curve: Curve, frame: _Frame) -> list[Item]:
    if curve.low is None or curve.high is None or np.allclose(curve.low, curve.high, rtol=1e-9):
        return []
    lower, upper = frame.at(curve.x, curve.low), frame.at(curve.x, curve.high)
    keep = np.all(np.isfinite(lower), axis=1) & np.all(np.isfinite(upper), axis=1)
    ring = np.vstack([lower[keep], upper[keep][::-1]])
    if len(ring) < 4:
        return []
    ring[:, 1] = np.clip(ring[:, 1], frame.bottom, frame.top)
    ring[:, 0] = np.clip(ring[:, 0], frame.left, frame.right)
    points = tuple(_pair(p) for p in ring)
    return [Path(points, "band", closed=True, fill="shade", outline=False)]


def _curve(curve: Curve, frame: _Frame, look: tuple[str, Dash], named: bool) -> list[Item]:
    style, dash = look
    items: list[Item] = []
    last: Point | None = None
    for piece in _pieces(frame.at(curve.x, curve.y), frame):
        items.append(Path(tuple(piece), style, dash, wide=True))
        last = piece[len(piece) * 3 // 4] if len(piece) > 2 else piece[-1]
    if named and last is not None and curve.name:
        items.append(Note(last, curve.name, last, style))
    return items


def _pieces(points: Floats, frame: _Frame) -> list[list[Point]]:
    """Cut a line at gaps and at the frame's edge."""
    pieces: list[list[Point]] = []
    for a, b in pairwise(points):
        cut = _clip(a, b, frame)
        if cut is None:
            continue
        start, end = cut
        if pieces and math.dist(pieces[-1][-1], start) < 1e-9:
            pieces[-1].append(end)
        else:
            pieces.append([start, end])
    return pieces


def _clip(a: Floats, b: Floats, frame: _Frame) -> tuple[Point, Point] | None:
    """Return the part of a segment inside the frame (Liang and Barsky's parametric clipping)."""
    if not (np.all(np.isfinite(a)) and np.all(np.isfinite(b))):
        return None
    dx, dy = float(b[0] - a[0]), float(b[1] - a[1])
    first, last = 0.0, 1.0
    for step, room in (
        (-dx, a[0] - frame.left),
        (dx, frame.right - a[0]),
        (-dy, a[1] - frame.bottom),
        (dy, frame.top - a[1]),
    ):
        if step == 0:
            if room < -1e-9:
                return None
            continue
        t = float(room / step)
        if step < 0:
            first = max(first, t)
        else:
            last = min(last, t)
    if first > last:
        return None
    x, y = float(a[0]), float(a[1])
    return (x + first * dx, y + first * dy), (x + last * dx, y + last * dy)


def _sign_map(field: SignMap, frame: _Frame, title: int) -> list[Item]:
    """Plus and minus signs on a lattice of cells, with the line where the sign turns."""
    items: list[Item] = []
    for row, y in enumerate(np.arange(math.ceil(frame.bottom), frame.top, 1.0)):
        for x in np.arange(math.ceil(frame.left) + 0.5 + 2 * (row % 2), frame.right, 4.0):
            value = _sample(field, frame, x, y)
            if np.isfinite(value) and value != 0:
                kind, style = ("plus", "series-1") if value > 0 else ("minus", "series-2")
                items.append(Symbol(kind, (float(x), float(y)), style))  # type: ignore[arg-type]
    items += [Path(segment, "own", wide=True) for segment in _turning(field, frame)]
    legend = f"+ {field.positive}   − {field.negative}"
    if frame.left + len(legend) + title < frame.right:
        items.append(Text((frame.left, 0.5), legend, "label", "start"))
    else:  # no room beside the title of the axis below: over the corner of the map
        items.append(Text((frame.right, frame.top - 0.5), legend, "label", "end"))
    return items


def _sample(field: SignMap, frame: _Frame, x: float, y: float) -> float:
    across = (x - frame.left) / (frame.right - frame.left)
    up = (y - frame.bottom) / (frame.top - frame.bottom)
    column = int(np.argmin(np.abs(frame.x.share(field.x) - across)))
    row = int(np.argmin(np.abs(frame.y.share(field.y) - up)))
    return float(field.z[row, column])


def _turning(field: SignMap, frame: _Frame) -> list[tuple[Point, Point]]:
    """Segments of the zero line, cell by cell of the field (marching squares)."""
    segments: list[tuple[Point, Point]] = []
    spots = frame.at(*np.meshgrid(field.x, field.y))
    z = field.z
    for row, column in zip(*np.nonzero(_mixed(z)), strict=True):
        corners = [(row, column), (row, column + 1), (row + 1, column + 1), (row + 1, column)]
        crossings: list[Point] = []
        for one, two in zip(corners, corners[1:] + corners[:1], strict=True):
            a, b = float(z[one]), float(z[two])
            if (a > 0) != (b > 0):
                t = a / (a - b)
                crossings.append(_pair(spots[one] + t * (spots[two] - spots[one])))
        segments += list(zip(crossings[::2], crossings[1::2], strict=False))
    return segments


def _mixed(z: Floats) -> NDArray[np.bool_]:
    sign = z > 0
    corners = np.stack([sign[:-1, :-1], sign[:-1, 1:], sign[1:, 1:], sign[1:, :-1]])
    finite = np.isfinite(z)
    whole = finite[:-1, :-1] & finite[:-1, 1:] & finite[1:, 1:] & finite[1:, :-1]
    return np.asarray(corners.any(axis=0) & ~corners.all(axis=0) & whole, dtype=bool)


def _bars(figure: Figure, columns: int, rows: int) -> list[Item]:
    """One bar a name, its range as a whisker, its limit as an upright stroke."""
    bars = figure.bars
    names = min(max(len(bar.name) for bar in bars), columns // 3)
    ends = [np.array([bar.value, bar.low, bar.high]) for bar in bars]
    ends += [np.array([bar.limit]) for bar in bars if bar.limit is not None]
    x = scale(figure.x, ends, zero=True)
    frame = _Frame(names + 1.5, 2.5, columns - 1.0, rows - 0.5, x, Scale(0.0, 1.0))
    items = _x_axis(figure.x, frame)
    items.append(Path(((frame.left, frame.bottom), (frame.right, frame.bottom)), "axis"))
    (origin,) = frame.at(np.array([0.0]), np.array([0.0]))
    room = (frame.top - frame.bottom) / len(bars)
    for index, bar in enumerate(bars):
        middle = math.floor(frame.top - (index + 0.5) * room) + 0.5
        spots = frame.at(np.array([bar.value, bar.low, bar.high]), np.zeros(3))[:, 0]
        value, low, high = (float(v) for v in spots)
        zero = float(origin[0])
        half = 0.34 if room >= 1.5 else 0.24
        box = (
            (zero, middle - half),
            (value, middle - half),
            (value, middle + half),
            (zero, middle + half),
        )
        items.append(Path(box, "series-1", closed=True, fill="solid"))
        if high - low > 0.2:
            items.append(Path(((low, middle), (high, middle)), "mark", wide=True))
            items += [
                Path(((end, middle - 0.4), (end, middle + 0.4)), "mark") for end in (low, high)
            ]
        if bar.limit is not None:
            (spot,) = frame.at(np.array([bar.limit]), np.array([0.0]))
            at = float(spot[0])
            items.append(Path(((at, middle - 0.5), (at, middle + 0.5)), "load", wide=True))
        items.append(Text((names - 0.5, middle), bar.name[:names], "label", "end"))
        words = f"{bar.value:.3g}"
        marks = [value, high, zero]
        if bar.limit is not None:
            marks.append(float(frame.at(np.array([bar.limit]), np.array([0.0]))[0, 0]))
        end = max(marks) + 1.5
        if end + len(words) < columns:
            items.append(Text((end, middle), words, "axis", "start"))
    items.append(Path(((float(origin[0]), frame.top), (float(origin[0]), frame.bottom)), "axis"))
    items.append(Text((columns - 0.5, 0.5), _axis_title(figure.x), "axis", "end"))
    return items


def _held(point: Floats, frame: _Frame) -> bool:
    x, y = float(point[0]), float(point[1])
    return frame.left <= x <= frame.right and frame.bottom <= y <= frame.top


def _pair(point: Floats) -> Point:
    return float(point[0]), float(point[1])
