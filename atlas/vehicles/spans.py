"""What a member does between its nodes under a point load on it: movement and moments there.

Exact for a straight member, whatever holds its ends: the chord between the nodes, and on it a
beam on two supports with the end moments and the point load (superposition; from memory, any
textbook on strength of materials).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from atlas.mechanics.frames import Frame, PointLoad, Response
from atlas.mechanics.frames_members import local_axes

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Between:
    """One place on a member; arrays have a leading axis of samples."""

    moved: Floats  # (samples, 3), global axes [m]
    axial: Floats  # the larger pull and the larger push beside it, (samples, 2) [N]
    about_y: Floats  # moments about the member's own axes, (samples,) [N m]
    about_z: Floats


def between(frame: Frame, response: Response, load: PointLoad, force: ArrayLike) -> Between:
    """Movement and moments at a loaded place.

    Args:
        frame: with one set of nodes [SI].
        response: of the whole load case, this load among it [SI].
        load: says which place; its own force is not read.
        force: the point load there in that load case, global axes (3,) [N].
    """
    index, share = load.member, float(np.asarray(load.at))
    first, second = (int(n) for n in np.asarray(frame.members)[index])
    nodes = np.asarray(frame.nodes, dtype=float)[[first, second]][..., None]
    up = None if frame.up is None else np.broadcast_to(frame.up, (len(frame.members), 3))[[index]]
    lengths, turned = local_axes(nodes, np.array([0]), np.array([1]), up, frame.member_name)
    length, axes = float(lengths[0, 0]), turned[0, :, :, 0]
    push = axes @ np.asarray(force, dtype=float)
    ends = response.end_forces[:, index]
    a, b = share * length, (1 - share) * length
    moved = response.displacements @ np.vstack([axes.T, np.zeros((3, 3))])
    place = (1 - share) * moved[:, first] + share * moved[:, second]

    def bow(load: float, moment: Floats, far: Floats, stiffness: Floats) -> Floats:
        sag = load * a**2 * b**2 / 3 + (moment * (length + b) - far * (length + a)) * a * b / 6
        return np.asarray(sag / (stiffness * length))

    about_y, about_z = (np.asarray(getattr(frame, key))[..., index] for key in ("EIy", "EIz"))
    stretch = np.asarray(frame.EA)[..., index]
    place[:, 0] = moved[:, first, 0] - ends[:, 0] * a / stretch
    place[:, 1] += bow(float(push[1]), ends[:, 5], ends[:, 11], about_z)
    place[:, 2] += bow(float(push[2]), -ends[:, 4], -ends[:, 10], about_y)
    return Between(
        place @ axes,
        np.stack([np.maximum(-ends[:, 0], ends[:, 6]), np.minimum(-ends[:, 0], ends[:, 6])], -1),
        ends[:, 4] + ends[:, 2] * a,
        -ends[:, 5] + ends[:, 1] * a,
    )
