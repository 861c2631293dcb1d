"""The front bar inside a whole structure: what a unit hit on the struck corner does to it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .frames import Loads, Response, node_loads, solve_cases
from .front_bars import Hit
from .front_frames import KINDS, Structure, without

Floats = NDArray[np.float64]

_BAR = KINDS.index("front bar")
_HITS = ([-1.0, 0.0, 0.0], [0.0, -1.0, 0.0])  # rearward, inboard


@dataclass(frozen=True)
class BarInStructure:
    """A bar's response, as for the plan frame, with what is read off the structure."""

    hit: Hit
    without: dict[str, Floats]
    half_span: float  # from the bar's joint to the centreline [m]
    part: str


def bar_part(structure: Structure) -> str:
    """Part that is the front bar: the one that is named so, else the one most like it.

    Args:
        structure: the structure [SI].

    Returns:
        Name of the part [-].

    Raises:
        ValueError: the structure has no front bar, or no load case at a corner.

    Leaves out: nothing.
    Source: bookkeeping.

    >>> from .front_frames import simple_structure
    >>> bar_part(simple_structure())
    Traceback (most recent call last):
    ValueError: this vehicle has no part that is a front bar
    """
    named = [structure.bar] if structure.bar in structure.patterns else []
    named += [part for part in structure.patterns if "front-bar" in part]
    named += [
        part
        for part, kind in zip(structure.parts, structure.kinds, strict=True)
        if part and kind == _BAR
    ]
    if not named:
        raise ValueError("this vehicle has no part that is a front bar")
    if "corner" not in structure.watch:
        raise ValueError("this vehicle names no point for a corner hit")
    return named[0]


def bar_in_structure(structure: Structure) -> BarInStructure:
    """Axial force and end moments of the front bar under unit hits on the struck corner.

    Args:
        structure: the structure [SI]; the corner is the point of its load case ``corner``.

    Returns:
        The response, per unit rearward and per unit inboard force [SI].

    Raises:
        ValueError: there is no front bar or no corner, or the frame is a mechanism.

    Leaves out: as ``atlas.mechanics.frames``; a load between the bar's ends.
    Source: see ``atlas.mechanics.frames``; superposition.

    >>> from .front_frames import simple_structure
    >>> bar_in_structure(simple_structure())
    Traceback (most recent call last):
    ValueError: this vehicle has no part that is a front bar
    """
    part = bar_part(structure)
    frame = structure.frame
    node = structure.watch["corner"][0]
    places = np.asarray(frame.nodes).reshape(-1, frame.node_count, 3)[0]
    members = np.asarray(frame.members)
    bar = np.flatnonzero([one == part for one in structure.parts])
    rest = set(np.delete(members, bar, axis=0).ravel().tolist())
    middle = bar[np.argmin(np.abs(places[members[bar], 1].mean(axis=1)))]
    left, right = (_joint(places, members, bar, rest, side) for side in (1, -1))
    found = _struck(structure, node)
    forces = np.stack([one.end_forces for one in found])
    axial = forces[..., middle, 6]
    near, far = (forces[..., member, 5 + 6 * end] for member, end in (left, right))
    moved = np.stack([one.displacements for one in found])
    bare = np.stack(
        [one.displacements for one in _struck(without(structure, part, "corner"), node)]
    )
    other = int(np.argmin(np.linalg.norm(places - places[node] * [1, -1, 1], axis=1)))
    return BarInStructure(
        hit=Hit(
            axial=axial, near_axial=axial, near=near, far=far, under=near,
            **_apart(moved, structure.ends), **_apart(moved, (node, other), "tip_"),
        ),
        without={**_apart(bare, structure.ends), **_apart(bare, (node, other), "tip_")},
        half_span=float(abs(places[members[left[0], left[1]], 1])),
        part=part,
    )  # fmt: skip


def _struck(structure: Structure, node: int) -> list[Response]:
    frame = structure.frame
    return solve_cases(frame, [Loads(node_loads(frame, {node: force})) for force in _HITS])


def _joint(
    places: Floats, members: NDArray[np.intp], bar: NDArray[np.intp], rest: set[int], side: int
) -> tuple[int, int]:
    """Member and end where the bar meets the rest of the structure, outermost on one side."""
    ends = [(int(m), e) for m in bar for e in (0, 1)]
    held = [(m, e) for m, e in ends if int(members[m, e]) in rest] or ends
    return max(held, key=lambda one: side * places[members[one[0], one[1]], 1])


def _apart(moved: Floats, pair: tuple[int, int], prefix: str = "") -> dict[str, Floats]:
    a, b = (moved[:, :, node] for node in pair)
    return {f"{prefix}spread": a[..., 1] - b[..., 1], f"{prefix}shift": b[..., 0] - a[..., 0]}
