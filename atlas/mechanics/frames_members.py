"""One straight member: stiffness with springs at its ends, and the forces on them.

Arrays carry the samples last, so that each operation runs over contiguous memory.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True)
class Bending:
    """End moments by end rotations in one plane, (members, samples) each [N m/rad]."""

    first: Floats
    cross: Floats
    second: Floats
    length: Floats

    @property
    def shear_first(self) -> Floats:
        """Shear by the first end's rotation [N/rad]; the same figure is moment by sideways step."""
        return (self.first + self.cross) / self.length

    @property
    def shear_second(self) -> Floats:
        """Shear by the second end's rotation [N/rad]."""
        return (self.cross + self.second) / self.length


@dataclass(frozen=True)
class Member:
    """What the solution needs to know of all members."""

    length: Floats  # (members, samples)
    axes: Floats  # rows are local x, y, z: (members, 3, 3, samples)
    axial: Floats  # (members, samples), as are the rest
    torsion: Floats
    about_y: Bending
    about_z: Bending
    axial_parts: tuple[Floats, Floats, Floats]  # flexibility at first end, of the bar, at second
    rotations: tuple[Floats, Floats]  # 1/EIy, 1/EIz; 0 where there is none

    def to_local(self, vectors: Floats) -> Floats:
        """Global (cases, members, 3, samples) in local axes."""
        a = self.axes
        v = vectors[:, :, None]
        return a[:, :, 0] * v[..., 0, :] + a[:, :, 1] * v[..., 1, :] + a[:, :, 2] * v[..., 2, :]

    def to_global(self, vectors: Floats, which: Ints) -> Floats:
        """Local (cases, some members, 3, samples) in global axes."""
        a = self.axes[which]
        v = vectors[:, :, :, None]
        return np.asarray(a[:, 0] * v[:, :, 0] + a[:, 1] * v[:, :, 1] + a[:, 2] * v[:, :, 2])


def local_axes(
    nodes: Floats, first: Ints, second: Ints, up: Floats | None, name: Callable[[int], str]
) -> tuple[Floats, Floats]:
    """Length and local axes of the members.

    Args:
        nodes: coordinates, (nodes, 3, samples) [m].
        first: index of each member's first node [-].
        second: of its second node [-].
        up: directions, (members, 3) or (3,) [-].
        name: of a member, for messages.

    Returns:
        Lengths (members, samples) [m]; axes as rows, (members, 3, 3, samples) [-].

    Raises:
        ValueError: a member has no length, or no direction is left for its z axis.

    Leaves out: offsets of a member's axis from its nodes.
    Source: W. McGuire, R. H. Gallagher, R. D. Ziemian, Matrix Structural Analysis, 2nd ed., ch. 5.

    >>> nodes = np.array([[[0.0], [0], [0]], [[0], [2], [0]]])
    >>> length, axes = local_axes(nodes, np.array([0]), np.array([1]), None, str)
    >>> float(length[0, 0]), axes[0, 2, :, 0]  # local z is up
    (2.0, array([0., 0., 1.]))
    """
    along = nodes[second] - nodes[first]
    length = np.sqrt(np.sum(along**2, axis=1))
    scale = max(float(np.ptp(nodes, axis=0).max(initial=0.0)), 1e-9)
    short = np.flatnonzero(np.min(length, axis=1) < 1e-9 * scale)
    if len(short):
        raise ValueError(f"member {name(int(short[0]))} has no length: its nodes coincide")
    x = along / length[:, None]
    wanted = np.array([[[0.0], [0.0], [1.0]]]) if up is None else _turned(up)
    wanted = wanted / np.maximum(np.sqrt(np.sum(wanted**2, axis=1)), 1e-300)[:, None]
    share = np.sum(wanted * x, axis=1)
    parallel = np.abs(share) > 1 - 1e-10
    if np.any(parallel):
        wanted = np.where(parallel[:, None], np.array([1.0, 0.0, 0.0])[:, None], wanted)
        share = np.sum(wanted * x, axis=1)
    z = wanted - share[:, None] * x
    size = np.sqrt(np.sum(z**2, axis=1))
    if np.any(size < 1e-6):
        worst = int(np.argmin(np.min(size, axis=1)))
        raise ValueError(
            f"up of member {name(worst)} is zero, or both up and global x lie along it"
        )
    z /= size[:, None]
    y = np.stack(
        [
            z[:, 1] * x[:, 2] - z[:, 2] * x[:, 1],
            z[:, 2] * x[:, 0] - z[:, 0] * x[:, 2],
            z[:, 0] * x[:, 1] - z[:, 1] * x[:, 0],
        ],
        axis=1,
    )
    return length, np.stack([x, y, z], axis=1)


def _turned(up: ArrayLike) -> Floats:
    given = np.asarray(up, dtype=np.float64)
    return given[..., None] if given.ndim == 2 else given[None, :, None]


def stiffnesses(
    length: Floats,
    axes: Floats,
    sections: dict[str, Floats],
    ends: Floats | None,
    sprung: Ints | None = None,
) -> Member:
    """Stiffness of every member with springs at its ends.

    Args:
        length: (members, samples) [m].
        axes: as ``local_axes`` makes them [-].
        sections: EA, EIy, EIz, GJ and where wanted GAy, GAz, (members, samples) [N], [N m2].
        ends: end springs, (members, 2, 4, samples) [N/m], [N m/rad]; rigid where None.
        sprung: members that ``ends`` speaks of; all where None [-].

    Returns:
        What assembly and end forces need [SI].

    Leaves out: geometric stiffness, warping.
    Source: flexibilities in series; W. McGuire, R. H. Gallagher, R. D. Ziemian, Matrix Structural
    Analysis, 2nd ed., ch. 13.

    >>> one = np.ones((1, 1))
    >>> sections = {key: one for key in ("EA", "EIy", "EIz", "GJ")}
    >>> member = stiffnesses(one, np.eye(3)[None, :, :, None], sections, None)
    >>> float(member.about_z.first[0, 0]), float(member.about_z.cross[0, 0])  # 4EI/L, 2EI/L
    (4.0, 2.0)
    """
    which = np.arange(len(length)) if sprung is None else sprung
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        soft = None if ends is None else 1.0 / ends
        bar = length / sections["EA"]
        parts = (_soft(0 * length, soft, which, 0, 0), bar, _soft(0 * length, soft, which, 1, 0))
        axial = 1.0 / (parts[0] + bar + parts[2])
        twist = _soft(length / sections["GJ"], soft, which, 0, 1)
        torsion = 1.0 / _soft(twist, soft, which, 1, 1)
        planes = []
        for kind, key, shear in ((2, "EIy", "GAz"), (3, "EIz", "GAy")):
            planes.append(_bending(length, sections[key], sections.get(shear), soft, which, kind))
        inverse = tuple(
            np.where(sections[key] > 0, 1.0 / sections[key], 0.0) for key in ("EIy", "EIz")
        )
    return Member(
        length, axes, axial, torsion, planes[0], planes[1], parts, (inverse[0], inverse[1])
    )


def _soft(flexibility: Floats, soft: Floats | None, which: Ints, end: int, kind: int) -> Floats:
    """Flexibility of every member with that of its end's spring in series."""
    if soft is None or not len(which):
        return flexibility
    own = soft[:, end, kind]
    width = max(flexibility.shape[-1], own.shape[-1])
    out = np.array(np.broadcast_to(flexibility, (len(flexibility), width)))
    out[which] += own
    return out


def _bending(
    length: Floats,
    stiffness: Floats,
    shear: Floats | None,
    soft: Floats | None,
    which: Ints,
    kind: int,
) -> Bending:
    """Inverse of the flexibility of beam, shear and end springs in series."""
    slip = 0.0 if shear is None else 1.0 / (shear * length)
    # A bar without bending stiffness has infinite flexibility; the cross term must stay finite.
    bent = np.where(stiffness > 0, length / (3 * stiffness), np.inf)
    cross = np.where(stiffness > 0, -length / (6 * stiffness) + slip, 0.0)
    plain = bent + slip
    first, second = _soft(plain, soft, which, 0, kind), _soft(plain, soft, which, 1, kind)
    square = cross**2
    return Bending(
        1.0 / (first - square / second),
        -cross / (first * second - square),
        1.0 / (second - square / first),
        length,
    )


def blocks(member: Member) -> tuple[Floats, Floats, Floats]:
    """Stiffness blocks of every member in global axes.

    Args:
        member: as ``stiffnesses`` makes it [SI].

    Returns:
        First end on first, first on second, second on second, each (members, 6, 6, samples)
        [N/m, N, N m/rad]; the fourth block is the second one transposed.

    Leaves out: nothing beyond ``stiffnesses``.
    Source: as ``stiffnesses``; rotation of the local matrix, block by block.

    >>> one = np.ones((1, 1))
    >>> sections = {key: one for key in ("EA", "EIy", "EIz", "GJ")}
    >>> first, *_ = blocks(stiffnesses(one, np.eye(3)[None, :, :, None], sections, None))
    >>> first[0, 1, [1, 5], 0]  # 12EI/L3, 6EI/L2
    array([12.,  6.])
    """
    x, y, z = member.axes[:, 0], member.axes[:, 1], member.axes[:, 2]
    xx, yy = x[:, :, None] * x[:, None, :], y[:, :, None] * y[:, None, :]
    yz = y[:, :, None] * z[:, None, :]
    zy = yz.swapaxes(1, 2)
    by, bz = member.about_y, member.about_z
    sides = (bz.shear_first + bz.shear_second) / member.length
    upright = (by.shear_first + by.shear_second) / member.length
    parts = (x, member.axial, sides, upright, member.torsion, by.cross, bz.cross)
    shape = (len(x), 6, 6, max(part.shape[-1] for part in parts))
    first, cross, second = np.empty(shape), np.empty(shape), np.empty(shape)
    spare = np.empty((len(x), 3, 3, shape[-1]))
    every = np.arange(3)

    def fill(out: Floats, one: Floats, tensor: Floats, two: Floats, other: Floats) -> None:
        np.multiply(one[:, None, None], tensor, out=out)
        np.multiply(two[:, None, None], other, out=spare)
        out += spare

    def along(out: Floats, on_x: Floats, on_y: Floats, on_z: Floats) -> None:
        # The three axes' squares add up to one, which spares the third.
        fill(out, on_x - on_z, xx, on_y - on_z, yy)
        out[:, every, every] += on_z[:, None]

    push = first[:, :3, :3]
    along(push, member.axial, sides, upright)
    second[:, :3, :3] = push
    np.negative(push, out=cross[:, :3, :3])
    fill(first[:, :3, 3:], bz.shear_first, yz, -by.shear_first, zy)
    first[:, 3:, :3] = first[:, :3, 3:].swapaxes(1, 2)
    fill(cross[:, :3, 3:], bz.shear_second, yz, -by.shear_second, zy)
    np.negative(first[:, 3:, :3], out=cross[:, 3:, :3])
    np.negative(cross[:, :3, 3:], out=second[:, :3, 3:])
    second[:, 3:, :3] = second[:, :3, 3:].swapaxes(1, 2)
    along(first[:, 3:, 3:], member.torsion, by.first, bz.first)
    along(cross[:, 3:, 3:], -member.torsion, by.cross, bz.cross)
    along(second[:, 3:, 3:], member.torsion, by.second, bz.second)
    return first, cross, second


def end_forces(member: Member, first: Floats, second: Floats) -> Floats:
    """Forces on every member's ends, from the movement of its nodes.

    Args:
        member: as ``stiffnesses`` makes it [SI].
        first: movement of the first nodes, global, (cases, members, 6, samples) [m, rad].
        second: of the second nodes [m, rad].

    Returns:
        Local forces and moments, (cases, members, 12, samples) [N, N m].

    Leaves out: loads between the nodes (see ``fixed_ends``).
    Source: as ``stiffnesses``.

    >>> one = np.ones((1, 1))
    >>> sections = {key: one for key in ("EA", "EIy", "EIz", "GJ")}
    >>> member = stiffnesses(one, np.eye(3)[None, :, :, None], sections, None)
    >>> still, moved = np.zeros((2, 1, 1, 6, 1))
    >>> moved[0, 0, 0] = 0.5
    >>> float(end_forces(member, still, moved)[0, 0, 6, 0])  # pulled
    0.5
    """
    step = member.to_local(first[:, :, :3] - second[:, :, :3])
    turn, turned = member.to_local(first[:, :, 3:]), member.to_local(second[:, :, 3:])
    by, bz = member.about_y, member.about_z
    out = np.empty((*step.shape[:2], 12, step.shape[-1]))
    out[:, :, 0] = member.axial * step[:, :, 0]
    out[:, :, 3] = member.torsion * (turn[:, :, 0] - turned[:, :, 0])
    lean = step[:, :, 1] / member.length
    a, b = turn[:, :, 2] + lean, turned[:, :, 2] + lean
    out[:, :, 5] = bz.first * a + bz.cross * b
    out[:, :, 11] = bz.cross * a + bz.second * b
    lean = step[:, :, 2] / member.length
    a, b = turn[:, :, 1] - lean, turned[:, :, 1] - lean
    out[:, :, 4] = by.first * a + by.cross * b
    out[:, :, 10] = by.cross * a + by.second * b
    out[:, :, 1] = (out[:, :, 5] + out[:, :, 11]) / member.length
    out[:, :, 2] = -(out[:, :, 4] + out[:, :, 10]) / member.length
    np.negative(out[:, :, :4], out=out[:, :, 6:10])
    return out


def demands(
    member: Member, step: tuple[Floats, ...], first: tuple[Floats, ...], second: tuple[Floats, ...]
) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Pull and end moments, where shear and torsion are not wanted.

    Args:
        member: as ``stiffnesses`` makes it [SI].
        step: movement of the second end against the first, local x, y and z, each
            (members, ..., samples) [m].
        first: turn of the first end about local y and z [rad].
        second: of the second end [rad].

    Returns:
        Pull [N], moments about y at the first and the second end, about z likewise [N m].

    Leaves out: as ``end_forces``.
    Source: as ``stiffnesses``.

    >>> one = np.ones((1, 1))
    >>> sections = {key: one for key in ("EA", "EIy", "EIz", "GJ")}
    >>> member = stiffnesses(one, np.eye(3)[None, :, :, None], sections, None)
    >>> still, metre = np.zeros((1, 1)), np.ones((1, 1))
    >>> found = demands(member, (still, metre, still), (still, still), (still, still))
    >>> [float(part[0, 0]) for part in found]  # 6EI/L2 for each metre
    [0.0, 0.0, 0.0, -6.0, -6.0]
    """

    def over(values: Floats) -> Floats:  # the axes between members and samples
        return values.reshape(len(values), *[1] * (step[0].ndim - 2), values.shape[-1])

    found = [over(member.axial) * step[0]]
    length = over(member.length)
    for bending, across, about, sign in ((member.about_y, 2, 0, 1.0), (member.about_z, 1, 1, -1.0)):
        lean = sign * step[across] / length
        a, b = first[about] + lean, second[about] + lean
        cross = over(bending.cross)
        found += [over(bending.first) * a + cross * b, cross * a + over(bending.second) * b]
    return found[0], found[1], found[2], found[3], found[4]
