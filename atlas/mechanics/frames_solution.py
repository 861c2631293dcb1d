"""Elimination of frame equations: nodes in levels, so that the matrix is block tridiagonal."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .frames_members import Member, blocks

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

# Scaled response to a random load beyond which the model counts as a mechanism: sound frames stay
# below 1e9 (a hundred members in a row), rounding leaves a true mechanism above 1e13.
_MECHANISM = 1e12
_SMALLEST_BLOCK = 18  # freedoms; smaller ones cost more in calls than they save in arithmetic
_FREEDOMS = ("move along x", "move along y", "move along z", "turn about x", "turn about y",
             "turn about z")  # fmt: skip


@dataclass(frozen=True)
class Grid:
    """Where each node's equations stand; made once for all samples."""

    held: Bools  # (nodes, 6)
    freedoms: Ints  # those of the six that any node has free; three of them for a plane frame
    first: Ints
    second: Ints
    links: Ints
    levels: tuple[tuple[int, ...], ...]  # nodes of each block, in order
    place: Ints  # (nodes, 2): level and offset of its first freedom; -1 where all are held
    free: tuple[Ints, ...]  # of each level: which of its freedoms are free

    @classmethod
    def of(cls, nodes: int, members: Ints, held: Bools, links: Ints) -> "Grid":
        """The arrangement of a frame's free nodes in levels."""
        pairs = {(int(a), int(b)) if a < b else (int(b), int(a)) for a, b in (*members, *links)}
        open_nodes = tuple(int(n) for n in np.flatnonzero(~held.all(axis=1)))
        freedoms = np.flatnonzero(~held.all(axis=0))
        stride = len(freedoms)
        levels = _levels(open_nodes, frozenset(pairs), stride)
        place = np.full((nodes, 2), -1)
        for index, level in enumerate(levels):
            for offset, node in enumerate(level):
                place[node] = index, stride * offset
        free = tuple(
            np.flatnonzero(~held[np.array(level)[:, None], freedoms].ravel()) for level in levels
        )
        first, second = np.asarray(members).T
        return cls(held, freedoms, first, second, links, levels, place, free)

    def gather(
        self, nodal: Floats, member: Member, ends: Floats, only: Bools | None = None
    ) -> None:
        """Add members' end forces, local (cases, members, 12, samples), to nodal forces.

        ``only`` (nodes,) leaves out the nodes whose forces nobody asks for.
        """
        for start, nodes in ((0, self.first), (6, self.second)):
            wanted = np.arange(len(nodes)) if only is None else np.flatnonzero(only[nodes])
            if not len(wanted):
                continue
            for turn in (0, 3):
                part = member.to_global(ends[:, wanted, start + turn : start + turn + 3], wanted)
                for index, node in enumerate(nodes[wanted]):
                    nodal[:, node, turn : turn + 3] += part[:, index]

    @property
    def doubles(self) -> int:
        """Doubles that one sample's blocks take."""
        sizes = [len(self.freedoms) * len(level) for level in self.levels]
        return sum(s * s for s in sizes) + sum(a * b for a, b in pairwise(sizes))


@lru_cache(maxsize=64)
def _levels(
    nodes: tuple[int, ...], pairs: frozenset[tuple[int, int]], stride: int
) -> tuple[tuple[int, ...], ...]:
    """Nodes in breadth-first levels from the root that makes elimination cheapest.

    Source: E. Cuthill, J. McKee, Proc. 24th Nat. Conf. ACM (1969), 157-172.
    """
    near: dict[int, list[int]] = {node: [] for node in nodes}
    for a, b in sorted(pairs):
        if a in near and b in near:
            near[a].append(b)
            near[b].append(a)

    def cost(levels: Iterable[list[int]]) -> float:
        return _cost([stride * len(level) for level in levels])

    remaining: set[int] = set(nodes)
    found: list[list[int]] = []
    while remaining:
        piece = {n for level in _breadth_first(min(remaining), near) for n in level}
        roots = sorted(piece, key=lambda n: (len(near[n]), n))[:40]
        found += min((_merged(_breadth_first(root, near), stride) for root in roots), key=cost)
        remaining -= piece
    whole = _merged(found, stride)
    if cost(whole) > cost([list(nodes)]):
        whole = [list(nodes)]
    return tuple(tuple(level) for level in whole if level)


def _breadth_first(root: int, near: dict[int, list[int]]) -> list[list[int]]:
    seen, levels = {root}, [[root]]
    while levels[-1]:
        following = []
        for node in levels[-1]:
            for other in sorted(near[node], key=lambda n: len(near[n])):
                if other not in seen:
                    seen.add(other)
                    following.append(other)
        levels.append(following)
    return levels[:-1]


def _merged(levels: list[list[int]], stride: int) -> list[list[int]]:
    out: list[list[int]] = []
    for level in levels:
        if out and stride * (len(out[-1]) + len(level)) <= _SMALLEST_BLOCK:
            out[-1] = out[-1] + level
        else:
            out.append(list(level))
    return out


def _cost(sizes: list[int]) -> float:
    """Arithmetic of the elimination, counted in the cube of freedoms; the dense one counts less."""
    if len(sizes) == 1:
        return 0.67 * sizes[0] ** 3
    return (
        sum(
            0.67 * a**3 + 2 * a * a * b + 2 * b * b * a
            for a, b in zip(sizes, [*sizes[1:], 0], strict=True)
        )
        * 1.4
    )


def resolve(
    grid: Grid,
    member: Member,
    springs: Floats | None,
    link_stiffness: Floats | None,
    loads: Floats,
    name: Callable[[int], str],
) -> Floats:
    """Displacements under nodal loads; held freedoms are zero.

    Args:
        grid: arrangement of the equations.
        member: as ``frames_members.stiffnesses`` makes it [SI].
        springs: node to ground, (nodes, 6, samples) [N/m, N m/rad].
        link_stiffness: between linked nodes, (links, 6, samples) [N/m, N m/rad].
        loads: (cases, nodes, 6, samples) [N, N m].
        name: of a node, for messages.

    Returns:
        (cases, nodes, 6, samples) [m, rad].

    Raises:
        ValueError: a mechanism; the message names the free node and direction.

    Leaves out: second-order effects.
    Source: G. H. Golub, C. F. Van Loan, Matrix Computations, block tridiagonal systems.

    >>> from .frames_members import stiffnesses
    >>> one = np.ones((1, 1))
    >>> sections = {key: 3 * one for key in ("EA", "EIy", "EIz", "GJ")}
    >>> member = stiffnesses(one, np.eye(3)[None, :, :, None], sections, None)
    >>> held = np.array([[True] * 6, [False] * 6])
    >>> grid = Grid.of(2, np.array([[0, 1]]), held, np.zeros((0, 2), int))
    >>> load = np.zeros((1, 2, 6, 1))
    >>> load[0, 1, 1] = 9
    >>> float(resolve(grid, member, None, None, load, str)[0, 1, 1, 0])  # PL3/3EI
    1.0
    """
    cases, nodes, _, count = loads.shape
    if not grid.levels:
        return np.zeros(loads.shape)
    diagonal, below = _assemble(grid, member, springs, link_stiffness, count)
    matrices, couplings, sides, scales = _for_solver(grid, diagonal, below, loads, name)
    try:
        solved = _eliminate(matrices, couplings, sides)
    except np.linalg.LinAlgError:
        solved = []
    if not solved or not _sound(solved, scales):
        _explain(grid, diagonal, below, name)
    u = np.zeros((cases, nodes, 6, count))
    kept = grid.freedoms
    for level, free, part in zip(grid.levels, grid.free, solved, strict=True):
        full = np.zeros((len(kept) * len(level), cases, count))
        full[free] = part[:, :, :cases].transpose(1, 2, 0)
        shaped = full.reshape(len(level), len(kept), cases, count).transpose(2, 0, 1, 3)
        u[:, np.array(level)[:, None], kept] = shaped
    return u


def _assemble(
    grid: Grid,
    member: Member,
    springs: Floats | None,
    link_stiffness: Floats | None,
    count: int,
) -> tuple[list[Floats], list[Floats]]:
    kept, stride = grid.freedoms, len(grid.freedoms)
    sizes = [stride * len(level) for level in grid.levels]
    diagonal = [np.zeros((size, size, count)) for size in sizes]
    below = [np.zeros((b, a, count)) for a, b in pairwise(sizes)]

    def add(a: int, b: int, block: Floats) -> None:
        (level, row), (other, column) = grid.place[a], grid.place[b]
        if level < 0 or other < 0:
            return
        if level < other:
            level, row, other, column, block = other, column, level, row, block.swapaxes(0, 1)
        if level == other:
            diagonal[level][row : row + stride, column : column + stride] += block
            if a != b:
                diagonal[level][column : column + stride, row : row + stride] += block.swapaxes(
                    0, 1
                )
        else:
            below[other][row : row + stride, column : column + stride] += block

    first, cross, second = blocks(member)
    if stride < 6:
        first, cross, second = (b[:, kept[:, None], kept] for b in (first, cross, second))
    for index, (a, b) in enumerate(zip(grid.first, grid.second, strict=True)):
        add(a, a, first[index])
        add(a, b, cross[index])
        add(b, b, second[index])
    every = np.arange(stride)
    if springs is not None:
        for node, (level, row) in enumerate(grid.place):
            if level >= 0:
                diagonal[level][row + every, row + every] += springs[node, kept]
    if link_stiffness is not None:
        for (a, b), stiffness in zip(grid.links, link_stiffness, strict=True):
            block = np.zeros((stride, stride, stiffness.shape[-1]))
            block[every, every] = stiffness[kept]
            add(a, a, block)
            add(a, b, -block)
            add(b, b, block)
    return diagonal, below


def _for_solver(
    grid: Grid,
    diagonal: list[Floats],
    below: list[Floats],
    loads: Floats,
    name: Callable[[int], str],
) -> tuple[list[Floats], list[Floats], list[Floats], list[Floats]]:
    """Free parts with the samples first, as LAPACK wants them; one more column probes for slack."""
    matrices, couplings, sides, scales = [], [], [], []
    cases, count = loads.shape[0], loads.shape[-1]
    kept = grid.freedoms
    rng = np.random.default_rng(7)
    for index, (level, free) in enumerate(zip(grid.levels, grid.free, strict=True)):
        block = diagonal[index]
        whole = len(free) == len(block)
        pivots = block[free, free]
        if np.any(pivots <= 0):
            row = int(np.argmax(np.any(pivots <= 0, axis=1)))
            node, freedom = divmod(int(free[row]), len(kept))
            _say(name(level[node]), int(kept[freedom]), [])
        scale = np.sqrt(pivots)
        scales.append(scale)
        matrices.append(_samples_first(block if whole else block[np.ix_(free, free)]))
        side = np.empty((count, len(free), cases + 1))
        nodal = loads[:, np.array(level)[:, None], kept].reshape(cases, -1, count)
        side[:, :, :cases] = nodal[:, free].transpose(2, 1, 0)
        side[:, :, cases] = (scale * rng.choice([-1.0, 1.0], len(free))[:, None]).T
        sides.append(side)
        if index:
            other, rows = grid.free[index - 1], below[index - 1]
            full = whole and len(other) == rows.shape[1]
            couplings.append(_samples_first(rows if full else rows[np.ix_(free, other)]))
    return matrices, couplings, sides, scales


def _samples_first(block: Floats) -> Floats:
    """A copy, even of one sample: elimination overwrites it, and the explanation needs the old."""
    rows, columns, count = block.shape
    return np.array(block.reshape(rows * columns, count).T, order="C").reshape(count, rows, columns)


def _eliminate(
    matrices: list[Floats], couplings: list[Floats], sides: list[Floats]
) -> list[Floats]:
    """Solve the symmetric block-tridiagonal systems of all samples."""
    carried: list[Floats] = []
    for index, matrix in enumerate(matrices):
        if index == len(matrices) - 1:
            carried.append(np.asarray(np.linalg.solve(matrix, sides[index]), dtype=np.float64))
            break
        coupling = couplings[index]
        wide = coupling.shape[1]
        right = np.concatenate([coupling.swapaxes(1, 2), sides[index]], axis=2)
        solved = np.linalg.solve(matrix, right)
        change = coupling @ solved
        matrices[index + 1] -= change[:, :, :wide]
        sides[index + 1] -= change[:, :, wide:]
        carried.append(solved)
    out = [carried[-1]]
    for index in range(len(matrices) - 2, -1, -1):
        wide = couplings[index].shape[1]
        out.append(carried[index][:, :, wide:] - carried[index][:, :, :wide] @ out[-1])
    return out[::-1]


def _sound(solved: list[Floats], scales: list[Floats]) -> bool:
    return all(
        bool(np.all(np.abs(part[:, :, -1].T * scale) < _MECHANISM))  # NaN fails as well
        for part, scale in zip(solved, scales, strict=True)
    )


def _explain(
    grid: Grid, diagonal: list[Floats], below: list[Floats], name: Callable[[int], str]
) -> None:
    """Raise for the first sample whose matrix has a slack direction, and name it."""
    count = diagonal[0].shape[-1]
    sizes = [len(block) for block in diagonal]
    starts = np.concatenate([[0], np.cumsum(sizes)])
    free = np.concatenate([start + f for start, f in zip(starts, grid.free, strict=False)])
    order = [node for level in grid.levels for node in level]
    worst: tuple[float, Floats, Floats] | None = None
    for sample in range(count):
        whole = np.zeros((starts[-1], starts[-1]))
        for i, block in enumerate(diagonal):
            whole[starts[i] : starts[i + 1], starts[i] : starts[i + 1]] = block[..., sample]
        for i, block in enumerate(below):
            rows, columns = slice(starts[i + 1], starts[i + 2]), slice(starts[i], starts[i + 1])
            whole[rows, columns] = block[..., sample]
            whole[columns, rows] = block[..., sample].T
        part = whole[np.ix_(free, free)]
        scale = 1 / np.sqrt(np.diag(part))
        values, vectors = np.linalg.eigh(scale[:, None] * part * scale)
        if worst is None or values[0] < worst[0]:
            worst = (float(values[0]), vectors[:, 0] * scale, scale)
        if values[0] < 1e-12:
            break
    assert worst is not None
    shape = worst[1]
    stride = len(grid.freedoms)
    where, which = free // stride, grid.freedoms[free % stride]
    moves = which < 3
    # A direction in which nodes move says more than one in which they only turn.
    reach = np.where(moves, np.abs(shape), 0.0)
    if reach.max(initial=0.0) < 1e-6 * np.abs(shape).max():
        reach = np.abs(shape)
    strongest = int(np.argmax(reach))
    others = {
        name(order[where[i]])
        for i in np.flatnonzero(reach > 0.3 * reach.max())
        if where[i] != where[strongest]
    }
    _say(name(order[where[strongest]]), int(which[strongest]), sorted(others))


def _say(node: str, freedom: int, others: list[str]) -> None:
    company = f", together with {', '.join(others[:4])}" if others else ""
    raise ValueError(
        f"the frame is a mechanism: node {node} is free to {_FREEDOMS[freedom]}{company}; "
        "support it, brace it or take out a release"
    )
