"""Loads as arrows and mounts as signs on a structure."""

import numpy as np
from numpy.typing import NDArray

from atlas.catalogue.model import Point
from atlas.drawing.geometry import angle_of, arc
from atlas.drawing.picture import Item, Note, Path, Symbol, SymbolKind
from atlas.drawing.structure_views import View, on_sheet
from atlas.vehicles.carrying import Carried
from atlas.vehicles.framing import Framed

Floats = NDArray[np.float64]
_LONGEST, _SHORTEST = 0.17, 0.07  # lengths of arrows, as shares of the structure's size
_SOFT = 20.0  # [kN/mm]; a tie softer than this is drawn as rubber (common practice, no source)


def mount_items(framed: Framed, at: Floats, view: View) -> list[Item]:
    """Where the body goes on, where rubber holds, and where two parts are bolted together."""
    signs: dict[int, SymbolKind] = {}
    for name in framed.ties:
        tie = framed.vehicle.ties[name]
        soft = max(tie.stiffness) <= _SOFT
        signs[framed.node(tie.first)] = "rubber" if soft else "bolt"
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


def load_items(
    carried: Carried, at: Floats, view: View, size: float, labels: bool = True
) -> list[Item]:
    """The case's forces as arrows that end where they push, and its torques as turned arrows."""
    nodal = carried.placed.nodal * carried.placed.size
    items: list[Item] = []
    largest = max(float(np.linalg.norm(nodal[:, :3], axis=1).max()), 1e-9)
    middle = on_sheet(at, view).mean(axis=0)
    said: set[str] = set()
    for node in np.flatnonzero(np.any(nodal, axis=1)):
        spot, force, moment = (on_sheet(v, view) for v in (at[node], nodal[node, :3],
                                                           nodal[node, 3:]))  # fmt: skip
        words = []
        if np.any(force):
            whole = float(np.linalg.norm(force))
            length = max(_LONGEST * whole / largest, _SHORTEST) * size
            tail = spot - length * force / whole
            # A force that would lie over the structure is drawn pulling from its far side.
            if np.hypot(*(tail - middle)[:2]) < np.hypot(*(spot - middle)[:2]) and not np.allclose(
                force[:2], 0, atol=0.05 * whole
            ):
                tail, end = spot, spot + length * force / whole
            else:
                end = spot
            items += _arrow(tail, end, force, size)
            words.append(f"{whole / 1e3:.3g} kN")
        else:
            tail = spot
        if np.any(moment):
            items += _turn(spot, moment, size)
            words.append(f"{float(np.linalg.norm(moment)):,.0f} N m")
        text = ", ".join(words)
        if labels and text not in said:  # equal loads are named once
            said.add(text)
            items.append(Note(_point(tail), text, None, "load"))
    return items


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
