"""Space frames that are their own mirror image: half the unknowns, twice, and a change for little.

A frame that is the same left and right splits exactly into two half frames, one for the part of a
load that is alike on both sides and one for the part that is opposite. Each half is eliminated node
by node, the nodes that a changed member touches last, so that the frame without the member and the
frame with it share all of the elimination but the end.
"""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .frames import Frame, solve_cases
from .frames import Loads as Case
from .frames_members import Member, blocks, demands, local_axes, stiffnesses
from .frames_parts import Parts

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

End = tuple[int, bool, int, bool]  # left node and whether it stands for the right one; twice

# What mirroring at the plane y = 0 does to the six freedoms.
_TURN = np.array([1.0, -1.0, 1.0, -1.0, 1.0, -1.0])
_SLACK = 1e-12  # a pivot that elimination has brought below this share of itself holds nothing
_THREADS = 2
# Samples at a time: enough for two threads to work beside each other, few enough for the panels
# to stay near the processor; powers of two would fall on the same lines of its cache.
_CHUNK = 900


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


@dataclass(frozen=True)
class _Plan:
    """Which half nodes are eliminated in which order, and which members stand for both sides."""

    order: tuple[int, ...]  # left nodes
    near: dict[int, tuple[int, ...]]  # of each: those eliminated later whose equations it touches
    late: int  # how many at the end of the order see the change
    chosen: tuple[int, ...]  # members that stand for themselves and their mirror image
    mirrored: tuple[int, ...]  # of each chosen member: its image, itself where it crosses over
    ends: tuple[End, ...]
    gone: Bools  # of each chosen member: whether it belongs to the change


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
    shape = (frame.node_count, 6, count)
    found = []
    for _ in range(2 if np.any(change) else 1):
        rows = np.zeros((3, len(parts.members), count))
        found.append(Sides(np.zeros(shape), *rows))
    image = np.asarray(mirror)
    wanted = list(range(frame.node_count) if seen is None else seen)

    def part(start: int) -> bool:
        out = slice(start, min(start + _CHUNK, count))
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):  # pivots are looked at
            return _solve_chunk(frame, parts.chunk(out), plan, image, out, found, wanted)

    starts = range(0, count, _CHUNK)
    if len(starts) > 2:  # numpy lets go of the interpreter's lock, and parts write apart
        with ThreadPoolExecutor(_THREADS) as pool:
            sound = all(pool.map(part, starts))
    else:
        sound = all(map(part, starts))
    if not sound:
        solve_cases(frame, [Case(nodal)])  # names the free node
        gone = [frame.member_name(int(index)) for index in np.flatnonzero(change)]
        raise ValueError(f"the frame is a mechanism without {', '.join(gone)}")
    return found[0], found[-1]


def _plan(frame: Frame, parts: Parts, mirror: Sequence[int], change: Bools) -> _Plan:
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
    chosen, mirrored, ends = _stand_ins(frame, parts, image, change)
    _same(frame, parts, np.array(chosen), np.array(mirrored), image)
    gone = np.asarray(change, dtype=bool)[list(chosen)]
    free = [n for n in range(len(image)) if n < image[n] and not held[n].all()]
    touched = {n for (a, _, b, _), out in zip(ends, gone, strict=True) if out for n in (a, b)}
    pairs = [(a, b) for a, _, b, _ in ends if a != b and a in free and b in free]
    late = touched & set(free)
    order, near = _order(free, late, pairs)
    return _Plan(order, near, len(late), chosen, mirrored, ends, gone)


def _stand_ins(
    frame: Frame, parts: Parts, image: NDArray[np.intp], change: Bools
) -> tuple[tuple[int, ...], tuple[int, ...], tuple[End, ...]]:
    """Members that stand for both sides, their images, and where they begin and end."""
    pairs = [(int(a), int(b)) for a, b in parts.members]
    where: dict[tuple[int, int], int] = {}
    for index, (a, b) in enumerate(pairs):
        if where.setdefault((min(a, b), max(a, b)), index) != index:
            raise ValueError(f"member {frame.member_name(index)} lies along another one")
    chosen, mirrored, ends = [], [], []
    for index, (a, b) in enumerate(pairs):
        other = sorted((int(image[a]), int(image[b])))
        twin = where.get((other[0], other[1]))
        if twin is None or change[twin] != change[index]:
            raise ValueError(f"member {frame.member_name(index)} has no mirror image")
        if index <= twin:
            chosen.append(index)
            mirrored.append(twin)
            ends.append((min(a, int(image[a])), a > image[a], min(b, int(image[b])), b > image[b]))
    return tuple(chosen), tuple(mirrored), tuple(ends)


def _order(
    free: Sequence[int], late: set[int], pairs: Sequence[tuple[int, int]]
) -> tuple[tuple[int, ...], dict[int, tuple[int, ...]]]:
    """Order of elimination, fewest neighbours first, and what each node touches later."""
    links: dict[int, set[int]] = {n: set() for n in free}
    for a, b in pairs:
        links[a].add(b)
        links[b].add(a)
    order: list[int] = []
    near: dict[int, set[int]] = {}
    for group in (set(free) - late, set(late)):
        while group:
            node = min(group, key=lambda n: (len(links[n]), n))
            group.remove(node)
            order.append(node)
            for other in links[node]:  # a node that goes joins those that it leaves
                links[other] |= links[node] - {other}
                links[other].discard(node)
            near[node] = links.pop(node)
    rank = {node: i for i, node in enumerate(order)}
    return tuple(order), {n: tuple(sorted(near[n], key=rank.__getitem__)) for n in order}


def _same(
    frame: Frame,
    parts: Parts,
    chosen: NDArray[np.intp],
    twins: NDArray[np.intp],
    image: NDArray[np.intp],
) -> None:
    # Pair by pair, so that nothing is copied: this reads every number of the model.
    for one, other in zip(chosen, twins, strict=True):
        if one == other:
            continue
        held = [(values[one], values[other]) for values in parts.sections.values()]
        if parts.ends is not None:
            # A twin that runs the other way has its ends the other way round.
            turned = parts.members[other, 0] != image[parts.members[one, 0]]
            held.append((parts.ends[one], parts.ends[other][:: -1 if turned else 1]))
        if not all(np.array_equal(a, b) or np.allclose(a, b, 1e-9, 0) for a, b in held):
            raise ValueError(f"member {frame.member_name(int(one))} differs from its mirror image")
    if parts.springs is not None and np.any(parts.springs != parts.springs[image]):
        raise ValueError("springs differ left and right")


def _solve_chunk(
    frame: Frame,
    piece: Parts,
    plan: _Plan,
    image: NDArray[np.intp],
    out: slice,
    found: list[Sides],
    wanted: list[int],
) -> bool:
    which = np.array(plan.chosen)
    first, second = piece.members[which].T
    up = frame.up
    length, axes = local_axes(
        piece.nodes, first, second, up if up is None or np.ndim(up) == 1 else up[which],
        lambda i: frame.member_name(int(which[i])),
    )  # fmt: skip
    sections = {key: value[which] for key, value in piece.sections.items()}
    member = stiffnesses(length, axes, sections, None if piece.ends is None else piece.ends[which])
    count = out.stop - out.start
    panels = _panels(plan, count)
    stiff = blocks(member)
    _assemble(plan, panels, stiff, ~plan.gone)
    for node in plan.order:
        panel = panels[node]
        if piece.springs is not None:
            panel[range(6), range(6)] += piece.springs[node][:, None]
        load, other = piece.nodal[0, node], _TURN[:, None] * piece.nodal[0, image[node]]
        panel[:, -1, 0] = (load + other) / 2
        panel[:, -1, 1] = (load - other) / 2
    turn = len(plan.order) - plan.late
    early, late = plan.order[:turn], plan.order[turn:]
    flat = {node: panel.reshape(6, panel.shape[1], -1) for node, panel in panels.items()}
    if not all(_eliminate(node, plan, flat) for node in early):
        return False
    whole = {**flat, **{node: flat[node].copy() for node in late}}
    _assemble(
        plan, {n: p.reshape(6, p.shape[1], 2, -1) for n, p in whole.items()}, stiff, plan.gone
    )
    for panel_set, sides in zip((whole, flat), found, strict=False):
        if not all(_eliminate(node, plan, panel_set) for node in late):
            return False
        _spread(plan, _back(plan, panel_set), member, image, out, sides, wanted)
    # Members that are gone carry nothing.
    for index in np.flatnonzero(plan.gone):
        for row in (plan.chosen[index], plan.mirrored[index]):
            for part in (found[1].axial, found[1].about_y, found[1].about_z):
                part[row, out] = 0.0
    return True


def _panels(plan: _Plan, count: int) -> dict[int, Floats]:
    """Of each node its own six rows: itself, the later ones it touches, the load; twice."""
    return {node: np.zeros((6, 7 + 6 * len(plan.near[node]), 2, count)) for node in plan.order}


def _column(plan: _Plan, node: int, other: int) -> slice:
    start = 0 if node == other else 6 + 6 * plan.near[node].index(other)
    return slice(start, start + 6)


def _assemble(
    plan: _Plan, panels: dict[int, Floats], stiff: tuple[Floats, Floats, Floats], wanted: Bools
) -> None:
    rank = {node: i for i, node in enumerate(plan.order)}
    turn = _TURN[:, None, None] * _TURN[None, :, None]
    own: dict[int, Floats] = {}
    chosen = np.flatnonzero(wanted)
    for index in chosen:
        a, a_right, b, b_right = plan.ends[index]
        for node, right, block in ((a, a_right, stiff[0][index]), (b, b_right, stiff[2][index])):
            if node not in rank or (a == b and right):
                continue
            if right:
                block = block * turn
            if node in own:
                own[node] += block
            else:
                own[node] = block.copy()
    for node, block in own.items():
        panels[node][:, :6] += block[:, :, None]
    for index in chosen:
        a, a_right, b, b_right = plan.ends[index]
        if a not in rank or b not in rank:
            continue
        # Seen from the left: what lies on the right enters mirrored, and turned over once more
        # where the two sides move opposite ways.
        block = stiff[1][index]
        if a_right:
            block = block * _TURN[:, None, None]
        if b_right:
            block = block * _TURN[None, :, None]
        if rank[a] > rank[b]:
            a, b, block = b, a, block.swapaxes(0, 1)
        place = panels[a][:, _column(plan, a, b)]
        place[:, :, 0] += block
        if a_right == b_right:
            place[:, :, 1] += block
        else:
            place[:, :, 1] -= block


def _eliminate(node: int, plan: _Plan, panels: dict[int, Floats]) -> bool:
    """Gaussian elimination of one node's six freedoms; false where a pivot vanishes."""
    panel = panels[node]
    before = panel[range(6), range(6)].copy()
    scratch = np.empty((5, panel.shape[1] - 1, panel.shape[2]))
    for k in range(5):
        share = panel[k, k + 1 : 6] / panel[k, k]
        part = scratch[: 5 - k, k:]
        np.multiply(share[:, None], panel[k, None, k + 1 :], out=part)
        panel[k + 1 :, k + 1 :] -= part
    pivots = panel[range(6), range(6)]
    if not np.all(pivots > _SLACK * before):
        return False
    scaled = panel[:, 6:-1] / pivots[:, None]
    near = plan.near[node]
    for i, a in enumerate(near):
        left = scaled[:, 6 * i : 6 * i + 6]
        target = panels[a]
        right = panel[:, 6 + 6 * i : 12 + 6 * i]
        # Of its own block a node reads the upper half only.
        target[:3, :6] -= np.einsum("kis,kjs->ijs", left[:, :3], right)
        target[3:, 3:6] -= np.einsum("kis,kjs->ijs", left[:, 3:], right[:, 3:])
        for b in near[i + 1 :]:
            right = panel[:, _column(plan, node, b)]
            target[:, _column(plan, a, b)] -= np.einsum("kis,kjs->ijs", left, right)
        target[:, -1] -= np.einsum("kis,ks->is", left, panel[:, -1])
    return True


def _back(plan: _Plan, panels: dict[int, Floats]) -> dict[int, Floats]:
    """Displacements of the two halves, (6, 2, samples) of each node."""
    moved: dict[int, Floats] = {}
    for node in reversed(plan.order):
        panel = panels[node]
        side = panel[:, -1].copy()
        for other in plan.near[node]:
            side -= np.einsum("kjs,js->ks", panel[:, _column(plan, node, other)], moved[other])
        for k in range(5, -1, -1):
            side[k] /= panel[k, k]
            side[:k] -= panel[:k, k] * side[k]
        moved[node] = side
    return moved


def _spread(
    plan: _Plan,
    halves: dict[int, Floats],
    member: Member,
    image: NDArray[np.intp],
    out: slice,
    sides: Sides,
    wanted: list[int],
) -> None:
    """From the two halves to both sides: movements, and what the members carry."""
    moved = np.zeros((len(image), 6, out.stop - out.start))
    for node, half in halves.items():
        like, opposite = half.reshape(6, 2, -1).transpose(1, 0, 2)
        moved[node] = like + opposite
        moved[image[node]] = _TURN[:, None] * (like - opposite)
    sides.moved[wanted, :, out] = moved[wanted]
    mirrored = _TURN[:, None] * moved[image]
    a = [node if not right else image[node] for node, right, _, _ in plan.ends]
    b = [node if not right else image[node] for _, _, node, right in plan.ends]
    for view, rows in ((mirrored, plan.mirrored), (moved, plan.chosen)):
        carried = demands(member, view[a], view[b])
        for target, values in zip(
            (sides.axial, sides.about_y, sides.about_z), carried, strict=True
        ):
            target[list(rows), out] = values
