"""A catalogue sketch as a picture: each role to its line, each fastener to its sign."""

from atlas.catalogue.model import Shape, Sketch
from atlas.drawing.geometry import angle_of, arc, smooth, towards
from atlas.drawing.picture import Dash, Item, Note, Path, Picture, Symbol

# Drawn in this order, so that a filled member covers what lies behind it and no more.
_LAYER = {"context": 0, "own": 1, "hidden": 2, "centre": 3, "load": 5}
_DASH: dict[str, Dash] = {"context": "dotted", "hidden": "dashed", "centre": "chain"}
_SIGNS = ("bolt", "rivet", "spot-weld", "weld")


def picture_of(sketch: Sketch) -> Picture:
    """Turn one view of a pattern's sketch into a picture in its own millimetres."""
    size = max(sketch.width, sketch.height)
    ordered = sorted(sketch.shapes, key=_layer)
    items = [item for shape in ordered for item in _items(shape, size)]
    return Picture(
        sketch.width,
        sketch.height,
        tuple(items),
        title=sketch.title,
        scale_bar=sketch.scale_bar,
        marks=frozenset(shape.mark for shape in sketch.shapes if shape.mark),
    )


def _layer(shape: Shape) -> int:
    if shape.kind in ("label", "dimension"):
        return 6
    return 4 if shape.kind in _SIGNS else _LAYER[shape.role]


def _items(shape: Shape, size: float) -> list[Item]:
    dash = _DASH.get(shape.role, "solid")
    wide = shape.role in ("own", "load")
    mark = shape.mark
    match shape.kind:
        case "line" | "curve" | "polygon":
            points = smooth(shape.points) if shape.kind == "curve" else shape.points
            closed = shape.kind == "polygon"
            fill = "stipple" if shape.fill and closed else ""
            return [
                Path(
                    tuple(points),
                    shape.role,
                    dash,
                    wide=wide,
                    closed=closed,
                    fill=fill,  # type: ignore[arg-type]
                    mark=mark,
                )
            ]
        case "circle" | "arc" if shape.at is not None and shape.radius is not None:
            whole = shape.kind == "circle"
            ends = (0.0, 360.0) if whole else (shape.start, shape.end)
            points = arc(shape.at, shape.radius, *ends)
            return [
                Path(
                    tuple(points),
                    shape.role,
                    dash,
                    wide=wide,
                    closed=whole,
                    fill="stipple" if whole and shape.fill else "",
                    mark=mark,
                )
            ]
        case "bolt" if shape.at is not None:
            return _bolt(shape, size)
        case "rivet" | "spot-weld" if shape.at is not None:
            return [Symbol(shape.kind, shape.at, "bolt", size=size / 55, mark=mark)]
        case "weld":
            return [Path(shape.points, "weld", wide=True, ticks=True, mark=mark)]
        case "arrow" if len(shape.points) > 1:
            *_, tail, head = shape.points
            style = "load" if shape.role in ("own", "load") else shape.role
            return [
                Path(shape.points, style, wide=True, mark=mark),
                Symbol("head", head, style, angle_of(tail, head), size / 40, mark),
            ]
        case "dimension" if len(shape.points) > 1:
            return _dimension(shape, size)
        case "label" if shape.at is not None:
            return [Note(shape.at, shape.text, shape.to, mark=mark)]
    return []


def _bolt(shape: Shape, size: float) -> list[Item]:
    """End-on: one sign. From the side: a head across the axis, then the shank."""
    assert shape.at is not None
    if shape.angle is None:
        return [Symbol("bolt", shape.at, "bolt", size=size / 40, mark=shape.mark)]
    length = shape.length or size / 12
    half = max(size / 45, min(length / 4, size / 28))
    neck = towards(shape.at, shape.angle, half * 0.7)
    tip = towards(shape.at, shape.angle, length)
    across = shape.angle + 90
    head = (
        towards(shape.at, across, half),
        towards(shape.at, across, -half),
        towards(neck, across, -half),
        towards(neck, across, half),
    )
    return [
        Path((neck, tip), "bolt", wide=True, mark=shape.mark, ticks=False),
        Path(head, "bolt", closed=True, fill="solid", mark=shape.mark),
    ]


def _dimension(shape: Shape, size: float) -> list[Item]:
    a, b = shape.points[0], shape.points[-1]
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    along = angle_of(a, b)
    items: list[Item] = [
        Path((a, b), "scale"),
        Symbol("head", a, "scale", along + 180, size / 60),
        Symbol("head", b, "scale", along, size / 60),
    ]
    if shape.text:
        items.append(Note(middle, shape.text, None, "scale"))
    return items
