"""What sketches and plots become before they are drawn: paths, symbols and texts in one plane.

Styles are names, never colours; themes and SVG decide how a name looks.
"""

from dataclasses import dataclass, field, replace
from typing import Literal

from atlas.catalogue.model import Point

Dash = Literal["solid", "dotted", "dashed", "chain", "sparse", "broken"]
Fill = Literal["", "stipple", "shade", "solid", "blank"]
Anchor = Literal["start", "middle", "end"]
SymbolKind = Literal[
    "bolt", "rivet", "spot-weld", "head", "point", "cross", "plus", "minus",
    "body", "rubber", "towards", "away",
]  # fmt: skip

# Names of styles, from the one that gives way to the one that shows where they share a cell.
STYLES = (
    "",
    "grid",
    "fill",
    "band",
    "leader",
    "context",
    "ghost",
    "axis",
    "hidden",
    "centre",
    "scale",
    "own",
    "use-1",
    "use-2",
    "use-3",
    "use-4",
    "use-5",
    "series-4",
    "series-3",
    "series-2",
    "series-1",
    "weld",
    "bolt",
    "load",
    "mark",
    "label",
    "chosen",
    "lit",
)
RANK = {name: rank for rank, name in enumerate(STYLES)}


@dataclass(frozen=True, slots=True)
class Path:
    """A line through points; closed and filled where asked."""

    points: tuple[Point, ...]
    style: str = "own"
    dash: Dash = "solid"
    wide: bool = False
    closed: bool = False
    fill: Fill = ""
    outline: bool = True
    mark: str = ""
    ticks: bool = False  # short strokes across, as on a weld seam
    weight: int = 1  # dots across in a terminal; from 2 on it rules the width in SVG too


@dataclass(frozen=True, slots=True)
class Symbol:
    """A small sign that keeps its size at every scale."""

    kind: SymbolKind
    at: Point
    style: str = "own"
    angle: float = 0.0
    size: float = 0.0  # true size in the picture's unit, for SVG; 0 where it has none
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Text:
    """Words at a fixed place."""

    at: Point
    text: str
    style: str = "label"
    anchor: Anchor = "middle"


@dataclass(frozen=True, slots=True)
class Note:
    """Words that may move to a free place near ``at``; ``to`` is what they speak of."""

    at: Point
    text: str
    to: Point | None = None
    style: str = "label"
    mark: str = ""


Item = Path | Symbol | Text | Note


def moved(item: Item, shift: Point, scale: float = 1.0) -> Item:
    """An item made larger about the origin, then moved."""

    def there(point: Point) -> Point:
        return (point[0] * scale + shift[0], point[1] * scale + shift[1])

    if isinstance(item, Path):
        return replace(item, points=tuple(there(p) for p in item.points))
    if isinstance(item, Symbol):
        return replace(item, at=there(item.at), size=item.size * scale)
    if isinstance(item, Note):
        return replace(item, at=there(item.at), to=there(item.to) if item.to else None)
    return replace(item, at=there(item.at))


@dataclass(frozen=True, slots=True)
class Picture:
    """A sheet of ``width`` by ``height``, origin lower left, y up.

    ``stretch`` lets x and y be scaled apart, so that a plot fills the room it is given.
    """

    width: float
    height: float
    items: tuple[Item, ...]
    title: str = ""
    stretch: bool = False
    scale_bar: float = 0.0
    marks: frozenset[str] = field(default_factory=frozenset)
