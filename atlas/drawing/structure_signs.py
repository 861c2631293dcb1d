"""Loads as arrows and mounts as signs on a structure."""

import numpy as np
from numpy.typing import NDArray

from atlas.catalogue.model import Point
from atlas.drawing.geometry import angle_of, arc
from atlas.drawing.picture import Item, Note, Path, Symbol, SymbolKind
from atlas.drawing.structure_shape import Shown
from atlas.drawing.structure_views import View, on_sheet
from atlas.vehicles.framing import Framed

Floats = NDArray[np.float64]
_LONGEST, _SHORTEST = 0.17, 0.07  # lengths of arrows, as shares of the structure's size


def mount_items(framed: Framed, at: Floats, view: View) -> list[Item]:
    """Where the body goes on, where rubber holds, and where two parts are bolted together."""
    signs: dict[int, SymbolKind] = {}
    for name in framed.ties:
        node = framed.node(framed.vehicle.ties[name].first)
        signs[node] = "rubber" if framed.in_rubber(name) else "bolt"
    for mount in framed.vehicle.mounts.values():
        if mount.node in framed.node_names:
            kinds: dict[str, SymbolKind] = {"rubber": "rubber", "solid": "bolt", "body": "body"}
            signs[framed.node(mount.node)] = kinds[mount.kind]
    spots = on_sheet(at, view)
    # Nearest to the eye last, so that it is the one seen where several lie in line.
    order = sorted(signs, key=lambda node: float(spots[node, 2]))
    return [
        Symbol(signs[node], _point(spots[node]), "bolt", size=22.0 if signs[node] == "bolt" else 0)
        for node in order
    ]


def load_items(shown: Shown, view: View, labels: bool = True) -> list[Item]:
    """The case's forces as arrows that end where they push, and its torques as turned arrows."""
    items: list[Item] = []
    pushes = _pushes(shown)
    largest = max((float(np.linalg.norm(force)) for _, force, _ in pushes), default=0.0) or 1.0
    middle = on_sheet(shown.drawn_at, view).mean(axis=0)
    said: set[str] = set()
    for place, push, torque in pushes:
        spot, force, moment = (on_sheet(vector, view) for vector in (place, push, torque))
        words, tail = [], spot
        if np.any(force):
            tail, end = _reach(spot, force, middle, largest, shown.size)
            items += _arrow(tail, end, force, shown.size)
            words.append(f"{float(np.linalg.norm(force)) / 1e3:.3g} kN")
        if np.any(moment):
            items += _turn(spot, moment, shown.size)
            words.append(f"{float(np.linalg.norm(moment)):,.0f} N m")
        text = ", ".join(words)
        if labels and text not in said:  # equal loads are named once
            said.add(text)
            items.append(Note(_point(tail), text, _point(tail), "load"))
    return items


def _pushes(shown: Shown) -> list[tuple[Floats, Floats, Floats]]:
    """Place as drawn [mm], force [N] and moment [N m] of each load, on nodes and between them."""
    if shown.carried is None:
        return []
    placed = shown.carried.placed
    nodal = placed.nodal * placed.size
    found = [
        (shown.drawn_at[node], nodal[node, :3], nodal[node, 3:])
        for node in np.flatnonzero(np.any(nodal, axis=1))
    ]
    for point in placed.points:
        line = shown.lines[shown.framed.member_names[point.member]]
        share = np.linspace(0.0, 1.0, len(line))
        at = float(np.asarray(point.at))
        place = np.array([np.interp(at, share, line[:, axis]) for axis in range(3)])
        found.append((place, np.asarray(point.force) * placed.size, np.zeros(3)))
    return found


def _reach(
    spot: Floats, force: Floats, middle: Floats, largest: float, size: float
) -> tuple[Floats, Floats]:
    """Where an arrow begins and ends; one that would lie over the structure pulls from outside."""
    whole = float(np.linalg.norm(force))
    along = max(_LONGEST * whole / largest, _SHORTEST) * size * force / whole
    inward = np.hypot(*(spot - along - middle)[:2]) < np.hypot(*(spot - middle)[:2])
    if inward and np.hypot(*force[:2]) > 0.05 * whole:
        return spot, spot + along
    return spot - along, spot


def _arrow(tail: Floats, end: Floats, force: Floats, size: float) -> list[Item]:
    along = end - tail
    if np.hypot(*along[:2]) < 0.25 * np.linalg.norm(along):  # it points at the eye, or away
        kind: SymbolKind = "towards" if force[2] > 0 else "away"
        return [Symbol(kind, _point(end), "load")]
    a, b = _point(tail), _point(end)
    return [
        Path((a, b), "load", wide=True, weight=2),
        Symbol("head", b, "load", angle_of(a, b), size / 40),
    ]


def _turn(spot: Floats, moment: Floats, size: float) -> list[Item]:
    """A torque about the line of sight as three quarters of a circle, else as its axis."""
    radius = 0.05 * size
    if abs(moment[2]) > 0.5 * np.linalg.norm(moment):
        path = arc(_point(spot), radius, 0.0, 270.0)
        if moment[2] < 0:
            path = path[::-1]
        turn = angle_of(path[-2], path[-1])
        return [
            Path(tuple(path), "load", wide=True),
            Symbol("head", path[-1], "load", turn, size / 50),
        ]
    unit = moment / np.linalg.norm(moment)
    a, b = _point(spot), _point(spot + 2 * radius * unit)
    near = _point(spot + 1.4 * radius * unit)
    angle = angle_of(a, b)
    # Two heads mark the axis of a torque (right hand rule).
    return [
        Path((a, b), "load", wide=True),
        Symbol("head", b, "load", angle, size / 50),
        Symbol("head", near, "load", angle, size / 50),
    ]


def _point(spot: Floats) -> Point:
    return (float(spot[0]), float(spot[1]))
