"""One straight member: stiffness with springs at its ends, loads between them, end forces.

Arrays carry the samples last, so that each operation runs over contiguous memory.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
PointOn = tuple[int, Floats, Floats]  # member, share of its length, force in global axes


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
    wanted = np.zeros_like(x)
    wanted[:] = np.array([0.0, 0.0, 1.0])[:, None] if up is None else _turned(up)
    wanted /= np.maximum(np.sqrt(np.sum(wanted**2, axis=1)), 1e-300)[:, None]
    parallel = np.abs(np.sum(wanted * x, axis=1)) > 1 - 1e-10
    wanted = np.where(parallel[:, None], np.array([1.0, 0.0, 0.0])[:, None], wanted)
    z = wanted - np.sum(wanted * x, axis=1)[:, None] * x
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
    length: Floats, axes: Floats, sections: dict[str, Floats], ends: Floats | None
) -> Member:
    """Stiffness of every member with springs at its ends.

    Args:
        length: (members, samples) [m].
        axes: as ``local_axes`` makes them [-].
        sections: EA, EIy, EIz, GJ and where wanted GAy, GAz, (members, samples) [N], [N m2].
        ends: end springs, (members, 2, 4, samples) [N/m], [N m/rad]; rigid where None.

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
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        soft = None if ends is None else 1.0 / ends
        spring = (lambda end, kind: 0.0) if soft is None else (lambda end, kind: soft[:, end, kind])
        parts = (
            np.asarray(spring(0, 0) + 0 * length),
            length / sections["EA"],
            np.asarray(spring(1, 0) + 0 * length),
        )
        axial = 1.0 / (parts[0] + parts[1] + parts[2])
        torsion = 1.0 / (spring(0, 1) + length / sections["GJ"] + spring(1, 1))
        planes = []
        for kind, key, shear in ((2, "EIy", "GAz"), (3, "EIz", "GAy")):
            planes.append(
                _bending(
                    length, sections[key], sections.get(shear), spring(0, kind), spring(1, kind)
                )
            )
        inverse = tuple(
            np.where(sections[key] > 0, 1.0 / sections[key], 0.0) for key in ("EIy", "EIz")
        )
    return Member(
        length, axes, axial, torsion, planes[0], planes[1], parts, (inverse[0], inverse[1])
    )


def _bending(
    length: Floats,
    stiffness: Floats,
    shear: Floats | None,
    soft_first: Floats | float,
    soft_second: Floats | float,
) -> Bending:
    """Inverse of the flexibility of beam, shear and end springs in series."""
    slip = 0.0 if shear is None else 1.0 / (shear * length)
    # A bar without bending stiffness has infinite flexibility; the cross term must stay finite.
    bent = np.where(stiffness > 0, length / (3 * stiffness), np.inf)
    cross = np.where(stiffness > 0, -length / (6 * stiffness) + slip, 0.0)
    first, second = bent + slip + soft_first, bent + slip + soft_second
    return Bending(
        1.0 / (first - cross**2 / second),
        -cross / (first * second - cross**2),
        1.0 / (second - cross**2 / first),
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
    a = member.axes
    x, y, z = a[:, 0], a[:, 1], a[:, 2]
    xx, yy, zz = (v[:, :, None] * v[:, None, :] for v in (x, y, z))
    yz = y[:, :, None] * z[:, None, :]
    by, bz = member.about_y, member.about_z

    def on(figure: Floats, tensor: Floats) -> Floats:
        return figure[:, None, None] * tensor

    push = on(member.axial, xx)
    push = push + on((bz.shear_first + bz.shear_second) / member.length, yy)
    push += on((by.shear_first + by.shear_second) / member.length, zz)
    zy = yz.swapaxes(1, 2)
    by_first = on(bz.shear_first, yz) - on(by.shear_first, zy)
    by_second = on(bz.shear_second, yz) - on(by.shear_second, zy)
    twist = on(member.torsion, xx)
    turn = [
        sign * twist + on(p, yy) + on(q, zz)
        for sign, p, q in (
            (1.0, by.first, bz.first),
            (-1.0, by.cross, bz.cross),
            (1.0, by.second, bz.second),
        )
    ]
    shape = (len(push), 6, 6, max(part.shape[-1] for part in (push, by_first, turn[0])))
    first, cross, second = np.empty(shape), np.empty(shape), np.empty(shape)
    first[:, :3, :3] = second[:, :3, :3] = push
    np.negative(push, out=cross[:, :3, :3])
    first[:, :3, 3:], first[:, 3:, :3] = by_first, by_first.swapaxes(1, 2)
    second[:, :3, 3:], second[:, 3:, :3] = -by_second, -by_second.swapaxes(1, 2)
    cross[:, :3, 3:], cross[:, 3:, :3] = by_second, -by_first.swapaxes(1, 2)
    first[:, 3:, 3:], cross[:, 3:, 3:], second[:, 3:, 3:] = turn
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


def fixed_ends(
    member: Member,
    uniform: Floats | None,
    points: tuple[tuple[PointOn, ...], ...],
    cases: int,
) -> Floats | None:
    """End forces with both nodes held, from loads between them.

    Args:
        member: as ``stiffnesses`` makes it [SI].
        uniform: global, (cases, members, 3, samples) [N/m].
        points: for each case: member, share of its length, global force (3, samples) [N].
        cases: how many [-].

    Returns:
        Local, (cases, members, 12, samples) [N, N m]; None where there is no such load.

    Leaves out: moments applied between the nodes.
    Source: end rotations of the simply supported beam (any table of beams) against the end
    stiffnesses, which holds for springs and releases alike.

    >>> one = np.ones((1, 1))
    >>> sections = {key: one for key in ("EA", "EIy", "EIz", "GJ")}
    >>> member = stiffnesses(one, np.eye(3)[None, :, :, None], sections, None)
    >>> load = np.array([0.0, -12, 0]).reshape(1, 1, 3, 1)
    >>> fixed_ends(member, load, ((),), 1)[0, 0, [1, 5, 11], 0]  # wL/2, wL2/12
    array([ 6.,  1., -1.])
    """
    if uniform is None and not any(points):
        return None
    samples = [member.axial.shape[-1], member.axes.shape[-1]]
    samples += [member.about_y.first.shape[-1], member.about_z.first.shape[-1]]
    samples += [] if uniform is None else [uniform.shape[-1]]
    samples += [a.shape[-1] for case in points for _, at, force in case for a in (at, force)]
    out = np.zeros((cases, len(member.length), 12, max(samples)))
    if uniform is not None:
        load = member.to_local(uniform) * member.length[:, None]
        out += _held(member, slice(None), load, None)
    for index, case in enumerate(points):
        for which, at, force in case:
            one = slice(which, which + 1)
            axes = member.axes[one]
            local = np.sum(axes * force[None, None], axis=2)[None]
            out[index, one] += _held(member, one, local, at)[0]
    return out


def _held(member: Member, which: slice, load: Floats, at: Floats | None) -> Floats:
    """Fixed-end forces for a resultant ``load`` at the share ``at``, or spread evenly (None)."""
    length = member.length[which]
    share = np.asarray(0.5 if at is None else at)
    before, bar, after = (part[which] for part in member.axial_parts)
    widths = [load.shape[-1], share.size, *(part.shape[-1] for part in (before, bar, after))]
    widths += [plane.first.shape[-1] for plane in (member.about_y, member.about_z)]
    out = np.zeros((*load.shape[:2], 12, max(widths)))
    rest = (1 - share) * bar + after
    with np.errstate(invalid="ignore", divide="ignore"):
        # A released second end leaves all of the load with the first one, and the other way round.
        first = np.where(np.isinf(after), 1.0, rest / (before + bar + after))
        first = np.where(np.isinf(before), 0.0, first)
    out[:, :, 0] = -load[:, :, 0] * first
    out[:, :, 6] = -load[:, :, 0] * (1 - first)
    for direction, bending, inverse, sign, shear, turn in (
        (1, member.about_z, member.rotations[1], 1.0, 1, 5),
        (2, member.about_y, member.rotations[0], -1.0, 2, 4),
    ):
        force = load[:, :, direction]
        factor = force * length**2 * inverse[which]
        # End rotations of the same beam on simple supports.
        if at is None:
            one = factor / 24
            two = -one
        else:
            one = factor * share * (1 - share) * (2 - share) / 6
            two = -factor * share * (1 - share) * (1 + share) / 6
        moment = -(bending.first[which] * one + bending.cross[which] * two)
        other = -(bending.cross[which] * one + bending.second[which] * two)
        out[:, :, turn], out[:, :, turn + 6] = sign * moment, sign * other
        out[:, :, shear] = (moment + other) / length - force * (1 - share)
        out[:, :, shear + 6] = -force - out[:, :, shear]
    return out
