"""The two halves of a mirrored frame: their equations, eliminated node by node.

Every array carries the like half and the opposite half side by side, (..., 2, samples), so that
both are one operation.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from .frames_aligned import Entry, Ways, entries
from .frames_members import Member, blocks, demands

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

Block = list[Entry] | Floats  # what is not zero of six by six, or all of it (6, 6, samples)
Share = tuple[Block, Block, Block]  # first end, first on second, second end
End = tuple[int, bool, int, bool]  # left node and whether it stands for the right one; twice

# What mirroring at the plane y = 0 does to the six freedoms.
TURN = np.array([1.0, -1.0, 1.0, -1.0, 1.0, -1.0])
_SLACK = 1e-12  # a pivot that elimination has brought below this share of itself holds nothing


@dataclass(frozen=True)
class Plan:
    """Which half nodes are eliminated in which order, and which members stand for both sides."""

    order: tuple[int, ...]  # left nodes
    near: dict[int, tuple[int, ...]]  # of each: those eliminated later whose equations it touches
    late: int  # how many at the end of the order see the change
    chosen: tuple[int, ...]  # members that stand for themselves and their mirror image
    mirrored: tuple[int, ...]  # of each chosen member: its image, itself where it crosses over
    ends: tuple[End, ...]
    gone: tuple[bool, ...]  # of each chosen member: whether it belongs to the change

    def columns(self, node: int, other: int) -> int:
        """Where the equations of a node hold the other one's freedoms."""
        return 0 if node == other else 6 + 6 * self.near[node].index(other)


@lru_cache(maxsize=64)
def planned(
    pairs: tuple[tuple[int, int], ...],
    image: tuple[int, ...],
    held: tuple[bool, ...],
    change: tuple[bool, ...],
) -> Plan | int:
    """The plan of a frame's members; or the index of a member that has no image of its own."""
    where: dict[tuple[int, int], int] = {}
    for index, (a, b) in enumerate(pairs):
        where[min(a, b), max(a, b)] = index
    chosen, mirrored, ends = [], [], []
    for index, (a, b) in enumerate(pairs):
        one, other = sorted((image[a], image[b]))
        twin = where.get((one, other))
        if twin is None or change[twin] != change[index]:
            return index
        if index <= twin:
            chosen.append(index)
            mirrored.append(twin)
            ends.append((min(a, image[a]), a > image[a], min(b, image[b]), b > image[b]))
    gone = tuple(change[index] for index in chosen)
    free = [n for n in range(len(image)) if n < image[n] and not held[n]]
    touched = {n for (a, _, b, _), out in zip(ends, gone, strict=True) if out for n in (a, b)}
    late = touched & set(free)
    order, near = _order(
        free, late, [(a, b) for a, _, b, _ in ends if a != b and a in free and b in free]
    )
    return Plan(order, near, len(late), tuple(chosen), tuple(mirrored), tuple(ends), gone)


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


@dataclass(frozen=True)
class Halves:
    """The members of one side, ready for assembly: those along an axis apart from the others."""

    plan: Plan
    aligned: Ints  # places among the plan's chosen members
    skew: Ints
    ways: Ways
    straight: Member
    turned: Member

    def solve(
        self, springs: Floats | None, loads: dict[int, Floats], count: int
    ) -> list[Floats] | None:
        """Movement of the left nodes: whole, and without the change.

        Row 0 is what is held, row 1 and on the nodes in the plan's order: (rows, 6, 2, samples).
        ``springs`` (nodes, 6, samples or 1) to ground; ``loads`` of each left node, (6, 2). None
        where a pivot vanishes.
        """
        plan = self.plan
        panels = {
            node: np.zeros((6, 7 + 6 * len(plan.near[node]), 2, count)) for node in plan.order
        }
        shares = self._shares()
        self._assemble(panels, shares, changed=False)
        for node, panel in panels.items():
            if springs is not None:
                panel[range(6), range(6)] += springs[node][:, None]
            panel[:, -1] = loads[node][:, :, None]
        turn = len(plan.order) - plan.late
        early, late = plan.order[:turn], plan.order[turn:]
        flat = {node: panel.reshape(6, panel.shape[1], -1) for node, panel in panels.items()}
        if not all(_eliminate(node, plan, flat) for node in early):
            return None
        sets = [flat]
        if plan.late:
            whole = {**panels, **{node: panels[node].copy() for node in late}}
            self._assemble(whole, shares, changed=True)
            sets.insert(0, {n: p.reshape(6, p.shape[1], -1) for n, p in whole.items()})
        for panel_set in sets:
            if not all(_eliminate(node, plan, panel_set) for node in late):
                return None
        return [_back(plan, panel_set) for panel_set in sets]

    def _shares(self) -> list[Share]:
        """Of each chosen member its three blocks: as entries where few are not zero, else whole."""
        shares: list[Share] = [([], [], [])] * len(self.plan.chosen)
        if len(self.aligned):
            for index, one in zip(self.aligned, entries(self.straight, self.ways), strict=True):
                shares[index] = one
        if len(self.skew):
            first, cross, second = blocks(self.turned)
            for row, index in enumerate(self.skew):
                shares[index] = first[row], cross[row], second[row]
        return shares

    def _assemble(
        self,
        panels: dict[int, Floats],
        shares: list[Share],
        changed: bool,
    ) -> None:
        plan = self.plan
        rank = {node: i for i, node in enumerate(plan.order)}
        for share, (a, a_right, b, b_right), gone in zip(shares, plan.ends, plan.gone, strict=True):
            if gone != changed:
                continue
            first, cross, second = share
            # A member across from a node to its own image enters by its left end.
            if a in rank and not (a == b and a_right):
                _put(panels[a][:, :6], first, a_right, a_right)
            if b in rank and not (a == b and b_right):
                _put(panels[b][:, :6], second, b_right, b_right)
            if a not in rank or b not in rank:
                continue
            if rank[a] > rank[b]:
                a, a_right, b, b_right = b, b_right, a, a_right
                cross = _flipped(cross)
            start = plan.columns(a, b)
            # Seen from the left: what lies on the right enters mirrored, and turned over once more
            # where the two sides move opposite ways.
            place = panels[a][:, start : start + 6]
            if a_right == b_right:
                _put(place, cross, a_right, b_right)
            else:
                _put(place[:, :, 0], cross, a_right, b_right)
                _put(place[:, :, 1], cross, a_right, b_right, less=True)

    def carried(self, moved: Floats) -> Floats:
        """Pull and end moments of the chosen members as ``demands``, (5, chosen, 2, samples).

        ``moved`` as ``solve`` gives it.
        """
        rows = {node: row for row, node in enumerate(self.plan.order, start=1)}
        ends = self.plan.ends
        at = [np.array([rows.get(end[k], 0) for end in ends]) for k in (0, 2)]
        # Mirrored for what lies on the right, and turned over in the opposite half.
        turn = TURN[:, None] * np.array([1.0, -1.0])
        turns = [np.where(np.array([end[k] for end in ends])[:, None, None], turn, 1.0)
                 for k in (1, 3)]  # fmt: skip
        out = np.empty((5, len(ends), 2, moved.shape[-1]))
        if len(own := self.aligned):
            every = np.arange(len(own))

            def local(end: int, k: int, about: int) -> Floats:
                freedom = self.ways.axis[:, k] + about
                sign = turns[end][own][every, freedom] * self.ways.sign[:, k, None]
                return np.asarray(moved[at[end][own], freedom] * sign[:, :, None])

            step = tuple(local(1, k, 0) - local(0, k, 0) for k in range(3))
            out[:, own] = demands(
                self.straight, step, (local(0, 1, 3), local(0, 2, 3)),
                (local(1, 1, 3), local(1, 2, 3)),
            )  # fmt: skip
        if len(own := self.skew):
            axes = self.turned.axes
            sides = [moved[at[end][own]] * turns[end][own, :, :, None] for end in (0, 1)]
            first, second = (
                np.einsum("mkis,mihs->kmhs", axes[:, 1:], side[:, 3:]) for side in sides
            )
            step = tuple(np.einsum("mkis,mihs->kmhs", axes, sides[1][:, :3] - sides[0][:, :3]))
            out[:, own] = demands(self.turned, step, tuple(first), tuple(second))
        return out


def _flipped(block: Block) -> Block:
    if isinstance(block, list):
        return [(j, i, values) for i, j, values in block]
    return block.swapaxes(0, 1)


def _put(place: Floats, block: Block, over: bool, across: bool, less: bool = False) -> None:
    """Add a block to (6, 6, ..., samples), rows and columns mirrored where wanted."""
    if isinstance(block, list):
        for i, j, values in block:
            target = place[i, j]
            back = (over and i % 2) ^ (across and j % 2) ^ less
            (np.subtract if back else np.add)(target, values, out=target)
        return
    whole = np.asarray(block)
    if over or across:
        sign = (TURN[:, None] if over else np.ones((6, 1))) * (TURN if across else 1.0)
        whole = whole * sign[:, :, None]
    if place.ndim > 3:
        whole = whole[:, :, None]
    (np.subtract if less else np.add)(place, whole, out=place)


def _eliminate(node: int, plan: Plan, panels: dict[int, Floats]) -> bool:
    """Gaussian elimination of one node's six freedoms; false where a pivot vanishes."""
    panel = panels[node]
    before = panel[range(6), range(6)].copy()
    scaled = np.empty((6, panel.shape[1] - 1, panel.shape[2]))  # rows over their pivots
    # Each row takes what those above it leave, in one sweep; of the six by six it needs no more
    # than the upper half.
    for k in range(6):
        row = panel[k, k:]
        if k == 1:
            row -= scaled[0, 1] * panel[0, 1:]
        elif k:
            row -= np.einsum("js,jcs->cs", scaled[:k, k], panel[:k, k:])
        np.divide(row[:-1], row[0], out=scaled[k, k:])
    if not np.all(panel[range(6), range(6)] > _SLACK * before):
        return False
    near = plan.near[node]
    for i, a in enumerate(near):
        left = scaled[:, 6 + 6 * i : 12 + 6 * i]
        target = panels[a]
        right = panel[:, 6 + 6 * i : 12 + 6 * i]
        # Of its own block a node reads the upper half only.
        target[:3, :6] -= np.einsum("kis,kjs->ijs", left[:, :3], right)
        target[3:, 3:6] -= np.einsum("kis,kjs->ijs", left[:, 3:], right[:, 3:])
        for j, b in enumerate(near[i + 1 :], start=i + 1):
            right = panel[:, 6 + 6 * j : 12 + 6 * j]
            start = plan.columns(a, b)
            target[:, start : start + 6] -= np.einsum("kis,kjs->ijs", left, right)
        target[:, -1] -= np.einsum("kis,ks->is", left, panel[:, -1])
    return True


def _back(plan: Plan, panels: dict[int, Floats]) -> Floats:
    """Displacements of the two halves, as ``Halves.solve``."""
    count = next(iter(panels.values())).shape[-1]
    moved = np.zeros((1 + len(plan.order), 6, count))
    rows = {node: row for row, node in enumerate(plan.order, start=1)}
    for node in reversed(plan.order):
        panel, side = panels[node], moved[rows[node]]
        side += panel[:, -1]
        for index, other in enumerate(plan.near[node]):
            part = panel[:, 6 + 6 * index : 12 + 6 * index]
            side -= np.einsum("kjs,js->ks", part, moved[rows[other]])
        for k in range(5, -1, -1):
            side[k] /= panel[k, k]
            side[:k] -= panel[:k, k] * side[k]
    return moved.reshape(len(moved), 6, 2, -1)
