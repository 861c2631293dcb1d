"""Loads on a straight member between its nodes, as forces on its held ends.

Arrays carry the samples last, as in ``frames_members``.
"""

import numpy as np
from numpy.typing import NDArray

from .frames_members import Member

Floats = NDArray[np.float64]
PointOn = tuple[int, Floats, Floats]  # member, share of its length, force in global axes


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

    >>> from .frames_members import stiffnesses
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
