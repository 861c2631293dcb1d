"""Plastic collapse of plane frames: the greatest load in balance that nowhere passes yield.

The static theorem makes this a linear programme. All samples share few hinge patterns, so that a
programme is solved for one sample of each pattern, and its basis is carried over to the others
and accepted only where it is feasible and optimal there as well.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

SURFACES = ("box", "rectangle", "tube", "bending only")
_TIGHT = 1e-7


@dataclass(frozen=True)
class Collapse:
    """The state at collapse.

    Attributes:
        factor: on the loads given, (samples,) [-].
        hinges: sections that yield and turn or stretch, (samples, members, 2) [-].
        axial: share of the squash load there, pull positive, (samples, members) [-].
        moments: share of the plastic moment at both ends, (samples, members, 2) [-].
        programmes: how many linear programmes were solved [-].
    """

    factor: Floats
    hinges: Bools
    axial: Floats
    moments: Floats
    programmes: int


def yield_facets(surface: str, web_share: ArrayLike = 0.5) -> Floats:
    """Flat facets a |n| + b |m| <= 1 inside the yield surface of axial force and moment.

    Args:
        surface: ``box`` (hollow section, EN 1993), ``rectangle`` (solid, m = 1 - n^2), ``tube``
            (m = 1 - n^1.7) or ``bending only`` [-].
        web_share: share of a box's area that lies in its webs, 0 to 0.5 [-].

    Returns:
        (facets, 2), or (samples, facets, 2) for a box with sampled web share [-].

    Raises:
        ValueError: there is no such surface.

    Leaves out: shear, torsion, bending about the other axis, buckling.
    Source: EN 1993-1-1:2005, 6.2.9.1 (5), for boxes and tubes; curves are cut by chords, which
    lies on the safe side.

    >>> yield_facets("box", 0.5)
    array([[0.  , 1.  ],
           [1.  , 0.75]])
    """
    if surface not in SURFACES:
        raise ValueError(f"surface must be one of {', '.join(SURFACES)}, got {surface!r}")
    if surface == "box":
        web = np.minimum(within("web_share", web_share, 0, 1), 0.5)
        zero, one = np.zeros_like(web), np.ones_like(web)
        return np.stack(
            [np.stack([zero, one], axis=-1), np.stack([one, 1 - web / 2], axis=-1)], axis=-2
        )
    if surface == "bending only":
        return np.array([[0.0, 1.0], [1.0, 0.0]])
    power = 2.0 if surface == "rectangle" else 1.7
    n = np.array([0.0, 0.15, 0.3, 0.45, 0.6, 0.8, 1.0])
    m = 1 - n**power
    # The chord through two points, scaled so that its right side is 1.
    cross = n[1:] * m[:-1] - n[:-1] * m[1:]
    return np.stack([(m[:-1] - m[1:]) / cross, (n[1:] - n[:-1]) / cross], axis=1)


def collapse(
    nodes: Floats,
    members: Sequence[tuple[int, int]],
    free: Bools,
    load: Floats,
    squash: Floats,
    plastic: Floats,
    facets: Sequence[Floats],
) -> Collapse:
    """Load factor and hinges at plastic collapse, by the static theorem.

    Args:
        nodes: plan coordinates, (samples, nodes, 2) [m].
        members: first and second node of each [-].
        free: freedoms x, y and turn of each node that are not held, (nodes, 3) [-].
        load: on the nodes, (samples, nodes, 3) [N, N m].
        squash: plastic axial force of each member, (samples, members) [N].
        plastic: plastic moment of each, (samples, members), or of both its ends,
            (samples, members, 2) [N m].
        facets: of the yield surface of each member [-].

    Returns:
        The state at collapse.

    Raises:
        ValueError: the frame is a mechanism before any hinge, or the load does nothing.

    Leaves out: change of geometry before collapse, buckling, shear, limited rotation of hinges.
    Source: M. R. Horne, Plastic Theory of Structures, static theorem; linear programme after
    A. Charnes and H. J. Greenberg (1951); solved by HiGHS through SciPy.

    >>> nodes = np.array([[[0.0, 0], [1, 0], [2, 0]]])
    >>> free = np.array([[False] * 3, [True] * 3, [False] * 3])
    >>> load = np.array([[[0.0, 0, 0], [0, -1, 0], [0, 0, 0]]])
    >>> flat = [yield_facets("bending only")] * 2
    >>> strong, weak = np.full((1, 2), 1e3), np.full((1, 2), 1.0)
    >>> found = collapse(nodes, [(0, 1), (1, 2)], free, load, strong, weak, flat)
    >>> float(found.factor[0])  # fixed beam of span 2 under a central load: 8 Mp / L
    4.0
    """
    states = _states(nodes, members, free, load)
    count, _, unknowns = states.shape
    shaped = states.reshape(count, len(members), 3, unknowns)
    axial = shaped[:, :, 0] / squash[:, :, None]
    ends = plastic if plastic.ndim == 3 else plastic[:, :, None]
    moments = shaped[:, :, 1:] / ends[..., None]
    rows, owner = [], []
    for index, one in enumerate(facets):
        table = np.broadcast_to(one, (count, *one.shape[-2:]))
        for end in (0, 1):
            for facet in range(table.shape[1]):
                a, b = table[:, facet, 0, None], table[:, facet, 1, None]
                for sign in (1, -1) if np.any(a) else (0,):
                    for turn in (1, -1) if np.any(b) else (0,):
                        rows.append(sign * a * axial[:, index] + turn * b * moments[:, index, end])
                        owner.append((index, end))
    walls = np.stack(rows, axis=1)
    solution, duals, solved = _programmes(walls)
    hinges = np.zeros((count, len(members), 2), bool)
    for row, (index, end) in enumerate(owner):
        hinges[:, index, end] |= duals[:, row] > 1e-6
    return Collapse(
        solution[:, 0],
        hinges,
        np.einsum("sia,sa->si", axial, solution),
        np.einsum("sija,sa->sij", moments, solution),
        solved,
    )


def _states(nodes: Floats, members: Sequence[tuple[int, int]], free: Bools, load: Floats) -> Floats:
    """Axial force and end moments by load factor and redundants, (samples, 3 members, unknowns)."""
    count, size, _ = nodes.shape
    balance = np.zeros((count, size * 3, 3 * len(members)))
    for index, (a, b) in enumerate(members):
        along = nodes[:, b] - nodes[:, a]
        length = np.hypot(along[:, 0], along[:, 1])
        if np.any(length < 1e-9):
            raise ValueError(f"member {index} has no length")
        c, s = along[:, 0] / length, along[:, 1] / length
        for node, sign in ((a, -1), (b, 1)):
            balance[:, 3 * node, 3 * index] += sign * c
            balance[:, 3 * node + 1, 3 * index] += sign * s
            for moment in (1, 2):  # shear (M1 + M2) / L, up at the first end, down at the second
                balance[:, 3 * node, 3 * index + moment] += sign * s / length
                balance[:, 3 * node + 1, 3 * index + moment] -= sign * c / length
        balance[:, 3 * a + 2, 3 * index + 1] += 1
        balance[:, 3 * b + 2, 3 * index + 2] += 1
    kept = np.flatnonzero(free.ravel())
    balance, force = balance[:, kept], load.reshape(count, -1)[:, kept]
    middle = balance[count // 2]
    scaled = middle / np.maximum(np.abs(middle).max(axis=1, keepdims=True), 1e-30)
    basic = _independent(scaled)
    if len(basic) < len(kept):
        raise ValueError("the frame is a mechanism before any hinge forms: support or stiffen it")
    rest = np.setdiff1d(np.arange(balance.shape[2]), basic)
    right = np.concatenate([force[:, :, None], -balance[:, :, rest]], axis=2)
    states = np.zeros((count, balance.shape[2], 1 + len(rest)))
    states[:, basic] = np.linalg.solve(balance[:, :, basic], right)
    states[:, rest, 1 + np.arange(len(rest))] = 1
    return states


def _independent(matrix: Floats) -> NDArray[np.intp]:
    """Columns that span the matrix, best pivot first (Gram-Schmidt with pivoting)."""
    left = matrix.copy()
    chosen: list[int] = []
    for _ in range(len(matrix)):
        sizes = np.linalg.norm(left, axis=0)
        best = int(np.argmax(sizes))
        if sizes[best] < 1e-9:
            break
        chosen.append(best)
        direction = left[:, best] / sizes[best]
        left -= np.outer(direction, direction @ left)
    return np.sort(np.array(chosen, dtype=np.intp))


def _programmes(walls: Floats) -> tuple[Floats, Floats, int]:
    """Maximise the first unknown with ``walls`` times the unknowns at most 1, for all samples."""
    count, rows, unknowns = walls.shape
    solution, duals = np.zeros((count, unknowns)), np.zeros((count, rows))
    open_ = np.ones(count, bool)
    goal = np.zeros(unknowns)
    goal[0] = 1.0
    solved = 0
    while np.any(open_):
        sample = int(np.argmax(open_))
        basis, x, y = _one_programme(walls[sample])
        solved += 1
        solution[sample], duals[sample], open_[sample] = x, y, False
        left = np.flatnonzero(open_)
        if not len(left) or basis is None:
            continue
        square = walls[left][:, basis]
        sound = np.abs(np.linalg.det(square)) > 1e-14 * np.prod(
            np.linalg.norm(square, axis=2), axis=1
        )
        left, square = left[sound], square[sound]
        if not len(left):
            continue
        x_all = np.linalg.solve(square, np.ones((len(left), unknowns, 1)))[:, :, 0]
        y_all = np.linalg.solve(
            square.swapaxes(1, 2), np.broadcast_to(goal[:, None], (len(left), unknowns, 1))
        )[:, :, 0]
        fits = np.all(y_all > -_TIGHT, axis=1)
        fits &= np.all(np.einsum("sra,sa->sr", walls[left], x_all) < 1 + 1e-9, axis=1)
        done = left[fits]
        solution[done] = x_all[fits]
        duals[done[:, None], basis] = y_all[fits]
        open_[done] = False
    return solution, duals, solved


def _one_programme(walls: Floats) -> tuple[NDArray[np.intp] | None, Floats, Floats]:
    """One linear programme; its basis where there is one, its solution and its duals."""
    from scipy.optimize import linprog  # 0.2 s to import, so only where a collapse is asked for

    rows, unknowns = walls.shape
    # Unknowns of one size let the solver's tolerances mean the same for all of them.
    scale = np.maximum(np.abs(walls).max(axis=0), 1e-30)
    goal = np.zeros(unknowns)
    goal[0] = -1 / scale[0]
    found = linprog(goal * scale[0], A_ub=walls / scale, b_ub=np.ones(rows), bounds=(None, None),
                    method="highs-ds")  # fmt: skip
    if found.status == 3:
        raise ValueError("the load does nothing that the frame could fail by: give a load")
    if found.status != 0:
        raise ValueError(f"no collapse state was found: {found.message}")
    x = np.asarray(found.x) / scale
    y = -np.asarray(found.ineqlin.marginals)
    tight = np.flatnonzero(1 - walls @ x < 1e-7)
    order = tight[np.argsort(-y[tight], kind="stable")]
    chosen: list[int] = []
    for row in order:
        trial = walls[[*chosen, int(row)]] / scale
        if np.linalg.matrix_rank(trial, tol=1e-9) == len(chosen) + 1:
            chosen.append(int(row))
        if len(chosen) == unknowns:
            square = walls[chosen]
            exact = np.asarray(np.linalg.solve(square, np.ones(unknowns)), dtype=np.float64)
            weights = np.zeros(rows)
            target = np.zeros(unknowns)
            target[0] = 1.0
            weights[chosen] = np.linalg.solve(square.T, target)
            return np.array(chosen, dtype=np.intp), exact, np.maximum(weights, 0)
    return None, x, y
