"""Space frames of straight members, many samples at once: the model, and its public door ``solve``.

Axes are right-handed. A member's local x runs from its first node to its second, local z is the
part of ``up`` square to x, local y is z cross x. ``EIy`` resists bending in the x-z plane (``up``
and down for a member that lies flat), ``EIz`` bending in the x-y plane.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .frames_between import fixed_ends
from .frames_members import Member, end_forces, local_axes, stiffnesses
from .frames_parts import Parts
from .frames_solution import Grid, resolve

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

AXIAL, TORSION, ABOUT_Y, ABOUT_Z = range(4)  # columns of Frame.ends
RIGID, RELEASED = np.inf, 0.0
# Doubles that one chunk of samples may hold, so that it stays near the processor's cache.
_CHUNK_DOUBLES = 4_000_000


@dataclass(frozen=True)
class Frame:
    """Nodes, members and what holds them. Any array may carry a leading axis of samples.

    Attributes:
        nodes: coordinates, (nodes, 3) or (samples, nodes, 3) [m].
        members: index of the first and second node of each, (members, 2) [-].
        EA, EIy, EIz, GJ: section stiffnesses, (members,) or (samples, members) [N], [N m2];
            zero bending or torsional stiffness is allowed (a bar or a strap).
        supports: which of the six freedoms of each node are held, (nodes, 6) [-].
        up: (members, 3) or (3,) [-]; members along it take global x instead.
        ends: springs between member end and node: axial, torsion, about local y, about local z;
            (members, 2, 4) or (samples, members, 2, 4) [N/m], [N m/rad]; RIGID where not given.
        sprung: the members that ``ends`` speaks of, in its order; all where not given [-].
        springs: from node to ground, global axes, (nodes, 6) or (samples, nodes, 6) [N/m, N m/rad].
        links: pairs of nodes at one place that springs join, (links, 2) [-].
        link_stiffness: global axes, (links, 6) or (samples, links, 6) [N/m, N m/rad].
        GAy, GAz: shear stiffnesses, as EA [N]; infinite (slender members) where not given.
        node_names, member_names: for messages; numbers where not given.
    """

    nodes: Floats
    members: Ints
    EA: Floats
    EIy: Floats
    EIz: Floats
    GJ: Floats
    supports: Bools
    up: Floats | None = None
    ends: Floats | None = None
    sprung: Ints | None = None
    springs: Floats | None = None
    links: Ints | None = None
    link_stiffness: Floats | None = None
    GAy: Floats | None = None
    GAz: Floats | None = None
    node_names: tuple[str, ...] = ()
    member_names: tuple[str, ...] = ()

    @property
    def node_count(self) -> int:
        """Number of nodes [-]."""
        return int(np.shape(self.nodes)[-2])

    def node_name(self, index: int) -> str:
        """What messages call the node."""
        return self.node_names[index] if self.node_names else str(index)

    def member_name(self, index: int) -> str:
        """What messages call the member."""
        return self.member_names[index] if self.member_names else str(index)


@dataclass(frozen=True)
class PointLoad:
    """A force on a member at a share ``at`` of its length, global axes (3,) or (samples, 3) [N]."""

    member: int
    at: ArrayLike
    force: ArrayLike


@dataclass(frozen=True)
class Loads:
    """One load case. Arrays may carry a leading axis of samples; what is None is absent.

    Attributes:
        nodal: force and moment at each node, global axes, (nodes, 6) [N, N m].
        uniform: force per length on each member, global axes, (members, 3) [N/m].
        points: forces on members between their nodes.
        prescribed: displacement of held freedoms, (nodes, 6) [m, rad].
    """

    nodal: ArrayLike | None = None
    uniform: ArrayLike | None = None
    points: tuple[PointLoad, ...] = field(default_factory=tuple)
    prescribed: ArrayLike | None = None


@dataclass(frozen=True)
class Response:
    """What a load case does.

    Attributes:
        displacements: (samples, nodes, 6), global axes [m, rad].
        end_forces: on the member by its nodes, (samples, members, 12), local axes: forces and
            moments at the first end, then at the second [N, N m].
        reactions: on the frame by its supports and ground springs, (samples, nodes, 6) [N, N m].
    """

    displacements: Floats
    end_forces: Floats
    reactions: Floats

    @property
    def axial(self) -> Floats:
        """Axial force at the second end, tension positive, (samples, members) [N]."""
        return self.end_forces[..., 6]

    def bending(self) -> Floats:
        """Largest resultant bending moment of each member's two ends, (samples, members) [N m]."""
        first = np.hypot(self.end_forces[..., 4], self.end_forces[..., 5])
        second = np.hypot(self.end_forces[..., 10], self.end_forces[..., 11])
        return np.asarray(np.maximum(first, second))


def node_loads(frame: Frame, at: dict[str | int, ArrayLike]) -> Floats:
    """Nodal load array from forces by node; give (3,) forces or (6,) forces and moments.

    Args:
        frame: the model.
        at: load by node name or index [N, N m]; entries may be (samples, 3) or (samples, 6).

    Returns:
        (nodes, 6) or (samples, nodes, 6) [N, N m].

    Raises:
        ValueError: a name is not a node.

    Leaves out: loads between nodes (see ``PointLoad``).
    Source: bookkeeping.

    >>> node_loads(cantilever(1.0, 1e9, 1e3), {1: [0, 0, -5]})[1]
    array([ 0.,  0., -5.,  0.,  0.,  0.])
    """
    parts = {node_index(frame, key): np.asarray(load, dtype=np.float64) for key, load in at.items()}
    samples = max((part.shape[0] for part in parts.values() if part.ndim == 2), default=0)
    loads = np.zeros((samples, frame.node_count, 6) if samples else (frame.node_count, 6))
    for index, part in parts.items():
        loads[..., index, : part.shape[-1]] += part
    return loads


def node_index(frame: Frame, name: str | int) -> int:
    """Index of a node by its name.

    Args:
        frame: the model.
        name: its name, or its index itself [-].

    Returns:
        The index [-].

    Raises:
        ValueError: there is no such node.

    Leaves out: nothing.
    Source: bookkeeping.

    >>> node_index(cantilever(1.0, 1e9, 1e3), "tip")
    1
    """
    if isinstance(name, str):
        if name not in frame.node_names:
            raise ValueError(f"no node {name!r}; nodes are {', '.join(frame.node_names)}")
        return frame.node_names.index(name)
    if not 0 <= name < frame.node_count:
        raise ValueError(f"no node {name}; there are {frame.node_count}")
    return int(name)


def cantilever(length: float, axial: float, bending: float) -> Frame:
    """The smallest frame: one member along x, held at its first node.

    Args:
        length: of the member [m].
        axial: EA [N].
        bending: EIy, EIz and GJ alike [N m2].

    Returns:
        A frame with nodes ``root`` and ``tip``.

    Leaves out: anything but one member.
    Source: bookkeeping.

    >>> cantilever(2.0, 1e9, 1e3).node_count
    2
    """
    stiff = np.array([bending])
    return Frame(
        nodes=np.array([[0.0, 0, 0], [length, 0, 0]]),
        members=np.array([[0, 1]]),
        EA=np.array([axial]),
        EIy=stiff,
        EIz=stiff,
        GJ=stiff,
        supports=np.array([[True] * 6, [False] * 6]),
        node_names=("root", "tip"),
    )


def solve(frame: Frame, loads: Loads, samples: int = 0) -> Response:
    """Displacements, member end forces and reactions of one load case.

    Args:
        frame: the model [SI].
        loads: the load case [SI].
        samples: how many, where it cannot be told from the arrays; else 0 [-].

    Returns:
        The response; every array has a leading axis of samples (1 where nothing varies) [SI].

    Raises:
        ValueError: shapes disagree, a value is not finite or negative, a member has no length, or
            the frame is a mechanism; then the message names the free node and direction.

    Leaves out: geometric stiffness (second-order effects), plasticity, warping torsion.
    Source: W. McGuire, R. H. Gallagher, R. D. Ziemian, Matrix Structural Analysis, 2nd ed., ch. 4-5
    and 13 (end springs); block elimination after G. H. Golub, C. F. Van Loan, Matrix
    Computations, section on block tridiagonal systems.

    >>> beam = cantilever(2.0, 1e9, 1e3)
    >>> tip = solve(beam, Loads(nodal=node_loads(beam, {"tip": [0, 0, -3]}))).displacements[0, 1]
    >>> float(tip[2])
    -0.008
    """
    return solve_cases(frame, [loads], samples)[0]


def solve_cases(frame: Frame, cases: Sequence[Loads], samples: int = 0) -> list[Response]:
    """Several load cases on one frame, with one elimination for all of them.

    Args:
        frame: the model [SI].
        cases: the load cases [SI].
        samples: how many, where it cannot be told from the arrays; else 0 [-].

    Returns:
        One response for each case [SI].

    Raises:
        ValueError: as ``solve``.

    Leaves out: as ``solve``.
    Source: as ``solve``.

    >>> beam = cantilever(2.0, 1e9, 1e3)
    >>> loads = [Loads(node_loads(beam, {1: force})) for force in ([0, 0, 3], [5, 0, 0])]
    >>> down, along = solve_cases(beam, loads)
    >>> float(down.displacements[0, 1, 2]), float(along.axial[0, 0])
    (0.008, 5.0)
    """
    parts = Parts.of(frame, cases)
    count = parts.samples(samples)
    nodes, members, rhs = frame.node_count, len(frame.members), len(cases)
    grid = Grid.of(nodes, parts.members, np.asarray(frame.supports, dtype=bool), parts.links)
    moved = np.empty((rhs, nodes, 6, count))
    forces = np.empty((rhs, members, 12, count))
    reactions = np.empty((rhs, nodes, 6, count))
    # Sized by the blocks of the elimination, the members' matrices and the results.
    width = 2 * grid.doubles + 200 * members + rhs * (12 * nodes + 24 * members)
    step = int(np.clip(_CHUNK_DOUBLES // max(width, 1), 1, 768))
    for start in range(0, count, step):
        out = slice(start, min(start + step, count))
        found = _solve_chunk(frame, grid, parts.chunk(out), out.stop - start)
        moved[..., out], forces[..., out], reactions[..., out] = found
    return [
        Response(np.moveaxis(u, -1, 0), np.moveaxis(f, -1, 0), np.moveaxis(r, -1, 0))
        for u, f, r in zip(moved, forces, reactions, strict=True)
    ]


def _solve_chunk(
    frame: Frame, grid: Grid, part: Parts, count: int
) -> tuple[Floats, Floats, Floats]:
    first, second = grid.first, grid.second
    length, axes = local_axes(part.nodes, first, second, frame.up, frame.member_name)
    member = stiffnesses(length, axes, part.sections, part.ends, part.sprung)
    held = fixed_ends(member, part.uniform, part.points, len(part.nodal))
    applied = np.array(np.broadcast_to(part.nodal, (*part.nodal.shape[:3], count)))
    if held is not None:
        grid.gather(applied, member, -held)
    wanted = applied
    if part.prescribed is not None:
        shape = np.broadcast_to(part.prescribed, applied.shape)
        wanted = applied - _internal(
            grid, part, end_forces(member, shape[:, first], shape[:, second]), member, shape
        )
    u = resolve(grid, member, part.springs, part.link_stiffness, wanted, frame.node_name)
    if part.prescribed is not None:
        u += part.prescribed
    ends = end_forces(member, u[:, first], u[:, second])
    # The forces inside matter only where something outside holds a node.
    internal = _internal(grid, part, ends, member, u, np.any(grid.held, axis=1))
    reactions = np.where(grid.held[:, :, None], internal - applied, 0.0)
    if part.springs is not None:
        reactions -= part.springs * np.where(grid.held[:, :, None], 0.0, u)
    return u, ends if held is None else ends + held, reactions


def _internal(
    grid: Grid,
    part: Parts,
    ends: Floats,
    member: Member,
    u: Floats,
    only: NDArray[np.bool_] | None = None,
) -> Floats:
    """Nodal forces that hold the frame in the shape ``u``; of ``only`` some nodes' members."""
    forces = np.zeros(u.shape)
    grid.gather(forces, member, ends, only)
    if part.springs is not None:
        forces += part.springs * u
    if part.link_stiffness is not None:
        for (a, b), stiffness in zip(part.links, part.link_stiffness, strict=True):
            pull = stiffness * (u[:, a] - u[:, b])
            forces[:, a] += pull
            forces[:, b] -= pull
    return forces
