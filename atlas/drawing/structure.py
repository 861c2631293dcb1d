"""A vehicle's structure as a picture: members by their use, movement, loads and mounts."""

import numpy as np
from numpy.typing import NDArray

from atlas.catalogue.model import Point
from atlas.drawing.geometry import arc
from atlas.drawing.picture import Item, Note, Path, Picture, Symbol, moved
from atlas.drawing.structure_bands import band_of
from atlas.drawing.structure_picking import halfway
from atlas.drawing.structure_shape import Shown
from atlas.drawing.structure_signs import load_items, mount_items
from atlas.drawing.structure_views import WORDS, View, on_sheet

Floats = NDArray[np.float64]
_ROOM = 0.06  # of the size, left free round the structure


def structure_picture(shown: Shown, view: View, *, labels: bool = True) -> Picture:
    """Draw a structure in one view, in millimetres; each member's shapes carry its name as mark.

    Args:
        shown: structure, load and what is brought out.
        view: ``plan``, ``side`` or ``front``.
        labels: write sizes of loads, and names and use of the members that stand out.
    """
    lines = shown.lines
    items: list[Item] = [*_wheels(shown, view), *_gone(shown, view)]
    if shown.factor * shown.largest > 0:
        items += [
            Path(_flat(line, view), "ghost", "sparse")
            for line in (shown.as_built(name) for name in lines)
        ]
    # What is nearest to the eye is drawn last, and stands before what lies behind.
    depth = {name: float(on_sheet(line, view)[:, 2].mean()) for name, line in lines.items()}
    for name in sorted(lines, key=lambda one: (one in shown.chosen, depth[one])):
        items.append(_member(shown, name, _flat(lines[name], view)))
    items += mount_items(shown.framed, shown.drawn_at, view)
    items += _ends(shown, lines, view)
    if shown.carried is not None:
        items += load_items(shown, view, labels)
    if labels:
        items += _names(shown, lines, view)
    return _framed(items, shown, view, frozenset(lines), labels)


def _flat(line: Floats, view: View) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in on_sheet(line, view)[:, :2])


def _member(shown: Shown, name: str, points: tuple[Point, ...]) -> Path:
    if shown.carried is None:
        return Path(points, "own", wide=True, mark=name, weight=2)
    band = band_of(shown.use[name])
    return Path(points, band.style, band.dash, mark=name, weight=band.weight)


def _gone(shown: Shown, view: View) -> list[Item]:
    """Members that were taken away, dashed."""
    if shown.whole is None:
        return []
    at = np.asarray(shown.whole.frame.nodes) * 1e3
    return [
        Path(_flat(at[list(ends)], view), "hidden", "dashed")
        for name, ends in zip(
            shown.whole.member_names, np.asarray(shown.whole.frame.members).tolist(), strict=True
        )
        if name not in shown.framed.member_names
    ]


def _ends(shown: Shown, lines: dict[str, Floats], view: View) -> list[Item]:
    """A point at each end of what is brought out, for those who see no colour."""
    return [
        Symbol("point", spot, "chosen")
        for name in shown.chosen
        if name in lines
        for spot in (_flat(lines[name], view)[0], _flat(lines[name], view)[-1])
    ]


def _names(shown: Shown, lines: dict[str, Floats], view: View) -> list[Item]:
    named = [name for name in shown.chosen if name in lines]
    if len(named) > 1:  # the members of a pattern: one label each would bury it
        named = [max(named, key=lambda name: shown.use.get(name, 0.0))]
    if shown.worst and shown.worst not in named:
        named.append(shown.worst)
    items: list[Item] = []
    for name in named:
        spot = halfway(on_sheet(lines[name], view)[:, :2])
        words = f"{name} {shown.use[name]:.2f}" if shown.use else name
        style = "chosen" if name in shown.chosen else "label"
        items.append(Note(spot, words, spot, style, mark=""))
    return items


def _wheels(shown: Shown, view: View) -> list[Item]:
    """The front wheels and the ground, to find one's way."""
    size = shown.framed.vehicle.dimensions
    radius, half = size.tyre_diameter / 2, size.tyre_width / 2
    items: list[Item] = []
    for side in (1.0, -1.0):
        middle = np.array([0.0, side * size.track / 2, radius])
        if view == "side":
            if side > 0:
                items.append(
                    Path(tuple(arc(_flat(middle[None], view)[0], radius)), "context", "dotted")
                )
            continue
        reach = np.array([radius, half, radius])
        corners = [middle + reach * [a, b, c] for a, b, c in _CORNERS[view]]
        items.append(Path(_flat(np.array(corners), view), "context", "dotted", closed=True))
    return items


_WAY: dict[View, str] = {
    "plan": "▲ forward",
    "side": "◀ forward",
    "front": "vehicle's left ▶",
}
_CORNERS: dict[View, tuple[tuple[int, int, int], ...]] = {
    "plan": ((1, 1, 0), (1, -1, 0), (-1, -1, 0), (-1, 1, 0)),
    "front": ((0, 1, 1), (0, -1, 1), (0, -1, -1), (0, 1, -1)),
}


def _framed(
    items: list[Item], shown: Shown, view: View, marks: frozenset[str], labels: bool
) -> Picture:
    """Move everything to a sheet that holds it, with room for words round it."""
    spots = [spot for item in items for spot in (
        item.points if isinstance(item, Path) else (item.at,)
    )]  # fmt: skip
    low, high = np.min(spots, axis=0), np.max(spots, axis=0)
    room = _ROOM * shown.size
    shift = (float(room - low[0]), float(room - low[1]))
    vehicle = shown.framed.vehicle
    if labels:
        items = [*items, Note((float(low[0]), float(high[1])), _WAY[view], None, "scale")]
    return Picture(
        float(high[0] - low[0] + 2 * room),
        float(high[1] - low[1] + 2 * room),
        tuple(moved(item, shift) for item in items),
        title=f"{vehicle.title}: {WORDS[view]}",
        scale_bar=500.0,
        marks=marks,
    )
