"""Space frames that are their own mirror image: half the unknowns, twice, and a change for little.

A frame that is the same left and right splits exactly into two half frames, one for the part of a
load that is alike on both sides and one for the part that is opposite. Each half is eliminated node
by node, the nodes that a changed member touches last, so that the frame without the member and the
frame with it share all of the elimination but the end.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .frames import Frame, solve_cases
from .frames import Loads as Case
from .frames_aligned import Ways
from .frames_halves import TURN, Halves, Plan, planned
from .frames_members import Member, local_axes, stiffnesses
from .frames_parts import Parts

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Sides:
    """What one load does to the whole frame.

    Attributes:
        moved: displacements, (nodes, 6, samples) [m, rad].
        axial: pull in each member, (members, samples) [N].
        about_y: larger end moment of each member about its y, (members, samples) [N m].
        about_z: the same about its z.
    """

    moved: Floats
    axial: Floats
    about_y: Floats
    about_z: Floats


def solve_mirrored(
    frame: Frame,
    nodal: Floats,
    mirror: Sequence[int],
    change: Bools,
    seen: Sequence[int] | None = None,
) -> tuple[Sides, Sides]:
    """A mirrored frame under nodal loads, with and without some of its members.

    Exact: static condensation of everything that the change does not touch, once for both, on the
    like and the opposite half. Agrees with ``frames.solve`` to rounding.

    Args:
        frame: the model, the same on both sides of the plane y = 0 [SI].
        nodal: loads, (nodes, 6) [N, N m]; any, not only mirrored ones.
        mirror: each node's image on the other side [-].
        change: members taken away in the second answer, (members,); images go together [-].
        seen: nodes whose movement is wanted, all where None; that of others is left at 0 [-].

    Returns:
        The frame with and without the change [SI].

    Raises:
        ValueError: the frame is no mirror image of itself, has nodes on the plane or partly held,
            links, or is a mechanism.

    Leaves out: loads between nodes, prescribed movement, second-order effects.
    Source: symmetric and antisymmetric load components, W. McGuire, R. H. Gallagher, R. D. Ziemian,
    Matrix Structural Analysis, 2nd ed. (from memory); static condensation, R. J. Guyan, AIAA
    Journal 3 (1965), 380 (from memory).

    >>> stiff = np.full(3, 1e3)
    >>> held, loose = [True] * 6, [False] * 6
    >>> goal = Frame(np.array([[0, 1.0, 0], [0, -1, 0], [1, 1, 0], [1, -1, 0]]),
    ...              np.array([[0, 2], [1, 3], [2, 3]]), 1e6 * stiff, stiff, stiff, stiff,
    ...              np.array([held, held, loose, loose]))
    >>> load = np.zeros((4, 6))
    >>> load[2:, 2] = 3.0  # both posts alike: the bar across does nothing
    >>> with_, bare = solve_mirrored(goal, load, (1, 0, 3, 2), np.array([False, False, True]))
    >>> with_.moved[2, 2].round(6), bare.moved[2, 2].round(6)
    (array([0.001]), array([0.001]))
    """
    parts = Parts.of(frame, [Case(nodal)])
    count = parts.samples(0)
    plan = _plan(frame, parts, mirror, change)
    image = np.asarray(mirror)
    load = parts.nodal[0, :, :, 0]
    other = TURN * load[image]
    split = np.stack([load + other, load - other], axis=-1) / 2
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):  # pivots are looked at
        halves = _halves(frame, parts, plan)
        found = halves.solve(parts.springs, {node: split[node] for node in plan.order}, count)
        if found is not None:
            wanted = range(frame.node_count) if seen is None else seen
            whole, *rest = (_sides(halves, one, image, wanted) for one in found)
            for sides in rest:  # members that are gone carry nothing
                for part in (sides.axial, sides.about_y, sides.about_z):
                    part[change] = 0.0
            return whole, rest[0] if rest else whole
    solve_cases(frame, [Case(nodal)])  # names the free node
    gone = [frame.member_name(int(index)) for index in np.flatnonzero(change)]
    raise ValueError(f"the frame is a mechanism without {', '.join(gone)}")


def _plan(frame: Frame, parts: Parts, mirror: Sequence[int], change: Bools) -> Plan:
    image = np.asarray(mirror)
    nodes = parts.nodes
    flip = np.array([1.0, -1.0, 1.0])[:, None]
    if np.any(np.abs(nodes[image] - nodes * flip) > 1e-9) or np.any(image == np.arange(len(image))):
        raise ValueError("the frame's nodes are no mirror image of each other")
    held = np.asarray(frame.supports, dtype=bool)
    if np.any(held.any(axis=1) != held.all(axis=1)) or len(parts.links):
        raise ValueError(
            "a mirrored frame has no links, and its nodes are held wholly or not at all"
        )
    if frame.up is not None and np.any(np.asarray(frame.up)[..., 1] != 0):
        raise ValueError("a mirrored frame's members have their up in the plane of the mirror")
    pairs = tuple((a, b) for a, b in parts.members.tolist())
    seen: set[frozenset[int]] = set()
    for index, pair in enumerate(pairs):
        if frozenset(pair) in seen:
            raise ValueError(f"member {frame.member_name(index)} lies along another one")
        seen.add(frozenset(pair))
    wholly = tuple(bool(row.all()) for row in held)
    plan = planned(pairs, tuple(mirror), wholly, tuple(bool(one) for one in change))
    if isinstance(plan, int):
        raise ValueError(f"member {frame.member_name(plan)} has no mirror image")
    _same(frame, parts, np.array(plan.chosen), np.array(plan.mirrored), image)
    return plan


def _same(frame: Frame, parts: Parts, chosen: Ints, twins: Ints, image: Ints) -> None:
    def refuse(index: int) -> None:
        raise ValueError(f"member {frame.member_name(index)} differs from its mirror image")

    apart = chosen != twins
    ones, others = chosen[apart], twins[apart]
    for values in parts.sections.values():
        same = values[ones] == values[others]
        if not np.all(same):
            close = np.isclose(values[ones], values[others], 1e-9, 0).all(axis=1)
            if not np.all(close):
                refuse(int(ones[np.argmin(close)]))
    if parts.ends is not None:
        rows = {int(m): row for row, m in enumerate(parts.sprung)}
        for one, other in zip(ones.tolist(), others.tolist(), strict=True):
            if one not in rows and other not in rows:
                continue
            # A twin that runs the other way has its ends the other way round.
            turned = parts.members[other, 0] != image[parts.members[one, 0]]
            if (one in rows) != (other in rows) or not np.allclose(
                parts.ends[rows[one]], parts.ends[rows[other]][:: -1 if turned else 1], 1e-9, 0
            ):
                refuse(one)
    if parts.springs is not None and np.any(parts.springs != parts.springs[image]):
        raise ValueError("springs differ left and right")


def _halves(frame: Frame, parts: Parts, plan: Plan) -> Halves:
    """The members that stand for both sides, sorted into those along an axis and the others."""
    chosen = np.array(plan.chosen)
    first, second = parts.members[chosen].T
    up = frame.up if frame.up is None or np.ndim(frame.up) == 1 else np.asarray(frame.up)[chosen]

    def axes(nodes: Floats, which: Ints) -> tuple[Floats, Floats]:
        own = up if up is None or np.ndim(up) == 1 else up[which]
        return local_axes(
            nodes, first[which], second[which], own, lambda i: frame.member_name(chosen[which[i]])
        )

    _, in_one = axes(parts.nodes[..., :1], np.arange(len(chosen)))
    along = parts.nodes[second] - parts.nodes[first]
    plain, ways = Ways.of(along, in_one)
    aligned, skew = np.flatnonzero(plain), np.flatnonzero(~plain)
    length = np.abs(along[aligned, ways.axis[:, 0]])
    straight = _stiff(length, in_one[aligned], parts, chosen[aligned])
    turned = _stiff(*axes(parts.nodes, skew), parts, chosen[skew])
    return Halves(plan, aligned, skew, ways, straight, turned)


def _stiff(length: Floats, axes: Floats, parts: Parts, members: Ints) -> Member:
    sections = {key: values[members] for key, values in parts.sections.items()}
    if parts.ends is None:
        return stiffnesses(length, axes, sections, None)
    places, rows = np.nonzero(members[:, None] == parts.sprung)
    return stiffnesses(length, axes, sections, parts.ends[rows], places)


def _sides(halves: Halves, moved: Floats, image: Ints, wanted: Sequence[int]) -> Sides:
    """From the two halves to both sides: movements, and what the members carry."""
    plan = halves.plan
    out = np.zeros((len(image), 6, moved.shape[-1]))
    for node in wanted:
        left = min(node, int(image[node]))
        if left in plan.order:
            like, opposite = moved[1 + plan.order.index(left)].swapaxes(0, 1)
            out[node] = like + opposite if node == left else TURN[:, None] * (like - opposite)
    carried = halves.carried(moved)
    mine, twins = list(plan.chosen), list(plan.mirrored)
    rows = np.empty((3, len({*mine, *twins}), moved.shape[-1]))
    for which, combine in ((twins, np.subtract), (mine, np.add)):
        pull, y1, y2, z1, z2 = combine(carried[:, :, 0], carried[:, :, 1])
        rows[0, which] = pull
        rows[1, which] = np.maximum(np.abs(y1), np.abs(y2))
        rows[2, which] = np.maximum(np.abs(z1), np.abs(z2))
    return Sides(out, *rows)
