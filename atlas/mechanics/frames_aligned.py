"""Members along one of the model's axes: they touch few entries of the matrix.

Rails, cross members and torque boxes of a front structure lie along the vehicle's axes. Their local
axes are the model's own, in some order and with some signs, so that nothing has to be turned.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .frames_members import Member

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

Entry = tuple[int, int, Floats]  # row, column, values (samples,)


@dataclass(frozen=True)
class Ways:
    """How members lie: local x, y, z of each along which model axis, (members, 3), and its sign."""

    axis: Ints
    sign: Floats

    @classmethod
    def of(cls, along: Floats, axes: Floats) -> tuple[Bools, "Ways"]:
        """Which members lie along a model axis, the same way in all samples; and how those lie.

        ``along`` (members, 3, samples) from end to end, ``axes`` (members, 3, 3, 1) in one sample.
        """
        low, high = along.min(axis=2), along.max(axis=2)
        still = (low == 0) & (high == 0)
        ahead = (low > 0) | (high < 0)
        own = axes[..., 0]
        plain = np.all((own == 0) | (np.abs(own) == 1), axis=(1, 2))
        which = (still.sum(axis=1) == 2) & ahead.any(axis=1) & plain
        axis = np.argmax(np.abs(own[which]), axis=2)
        return which, cls(axis, np.take_along_axis(own[which], axis[..., None], axis=2)[..., 0])

    def local(self, vectors: Floats, k: int) -> Floats:
        """Local component ``k`` of global (members, 3, ...) vectors."""
        sign = self.sign[:, k].reshape(-1, *[1] * (vectors.ndim - 2))
        return np.asarray(vectors[np.arange(len(vectors)), self.axis[:, k]] * sign)


def entries(member: Member, ways: Ways) -> list[tuple[list[Entry], list[Entry], list[Entry]]]:
    """What is not zero in each member's blocks: first end, first on second, second end.

    Of the two blocks on the diagonal only the upper half is given, its mirror image being known.
    """
    by, bz = member.about_y, member.about_z
    push, turn = member.axial, member.torsion
    sides = (bz.shear_first + bz.shear_second) / member.length
    upright = (by.shear_first + by.shear_second) / member.length
    # y and z turn about each other's shear; where one of the two points back, so does the term.
    both = (ways.sign[:, 1] * ways.sign[:, 2])[:, None]
    y1, y2, z1, z2 = (
        both * part for part in (by.shear_first, by.shear_second, bz.shear_first, bz.shear_second)
    )
    less_push, less_turn, less_sides, less_upright = -push, -turn, -sides, -upright
    less_y1, less_y2, less_z1, less_z2 = -y1, -y2, -z1, -z2
    found = []
    for m, (p, q, r) in enumerate(ways.axis.tolist()):
        a, b, c = p + 3, q + 3, r + 3  # the turns that go with the three moves
        alike = [(p, p, push[m]), (q, q, sides[m]), (r, r, upright[m]), (a, a, turn[m])]
        first = [
            *alike, (b, b, by.first[m]), (c, c, bz.first[m]), (q, c, z1[m]), (r, b, less_y1[m]),
        ]  # fmt: skip
        second = [
            *alike, (b, b, by.second[m]), (c, c, bz.second[m]), (q, c, less_z2[m]), (r, b, y2[m]),
        ]  # fmt: skip
        cross = [
            (p, p, less_push[m]), (q, q, less_sides[m]), (r, r, less_upright[m]),
            (a, a, less_turn[m]), (b, b, by.cross[m]), (c, c, bz.cross[m]),
            (q, c, z2[m]), (r, b, less_y2[m]), (c, q, less_z1[m]), (b, r, y1[m]),
        ]  # fmt: skip
        found.append((first, cross, second))
    return found
