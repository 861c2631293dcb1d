"""A structure with its load: where nodes and members are drawn, and how far each is used."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from atlas.mechanics.frames_members import local_axes
from atlas.vehicles.carrying import Carried
from atlas.vehicles.framing import Framed

Floats = NDArray[np.float64]
_SHARE = 0.05  # of the structure's size: how large the largest movement is drawn
_STEPS = 9  # points along a bent member


@dataclass(frozen=True)
class Shown:
    """What of a structure is drawn.

    Args:
        framed: the structure as it is, what was taken away being gone.
        carried: what a load does to it; None shows the structure alone.
        whole: the structure with nothing taken away, so that what is missing can be drawn.
        chosen: names of members that are brought out.
        deformed: draw the moved shape over the one as built.
        times: draw movements so many times larger; a factor of its own where left out.
    """

    framed: Framed
    carried: Carried | None = None
    whole: Framed | None = None
    chosen: Collection[str] = field(default_factory=frozenset)
    deformed: bool = True
    times: float | None = None

    @cached_property
    def at(self) -> Floats:
        """Nodes as built, (nodes, 3) [mm]."""
        return np.asarray(self.framed.frame.nodes) * 1e3

    @cached_property
    def moved(self) -> Floats:
        """Median displacements, (nodes, 6) [mm, rad]; zeros where nothing is shown moved."""
        if self.carried is None or not self.deformed:
            return np.zeros((len(self.at), 6))
        return np.median(self.carried.moved, axis=0) * [1e3, 1e3, 1e3, 1.0, 1.0, 1.0]

    @cached_property
    def use(self) -> dict[str, float]:
        """Median use of each member; empty without a load."""
        return {} if self.carried is None else self.carried.uses

    @property
    def size(self) -> float:
        """Largest overall dimension of the structure [mm]."""
        return float(np.ptp(self.at, axis=0).max())

    @cached_property
    def largest(self) -> float:
        """Largest movement of a node [mm]."""
        return float(np.linalg.norm(self.moved[:, :3], axis=1).max(initial=0.0))

    @cached_property
    def factor(self) -> float:
        """How many times movements are drawn larger than they are."""
        return self.times or magnified(self.size, self.largest)

    @cached_property
    def drawn_at(self) -> Floats:
        """Nodes where they are drawn, (nodes, 3) [mm]."""
        return np.asarray(self.at + self.factor * self.moved[:, :3])

    @cached_property
    def lines(self) -> dict[str, Floats]:
        """Every member as it is drawn."""
        return {name: self.line(name) for name in self.framed.member_names}

    def choosing(self, chosen: Collection[str]) -> "Shown":
        """The same with other members brought out; what was worked out stays."""
        other = replace(self, chosen=chosen)
        known = {name for name in self.__dict__ if name not in self.__dataclass_fields__}
        other.__dict__.update({name: self.__dict__[name] for name in known})
        return other

    def line(self, name: str) -> Floats:
        """A member as it is drawn, (points, 3) [mm]: bent by its end moments and what stands on it.

        Exact for the solved frame, whatever holds the member's ends.
        """
        index = self.framed.member(name)
        first, second = self._ends(name)
        if self.carried is None or not self.largest:
            return np.asarray(self.drawn_at[[first, second]])
        placed = self.carried.placed
        length, axes = float(self._axes[0][index, 0]), self._axes[1][index, :, :, 0]
        ends = self._end_forces[index]
        on = [
            (float(np.asarray(point.at)) * length, axes @ np.asarray(point.force) * placed.size)
            for point in placed.points if point.member == index
        ]  # fmt: skip
        x = np.unique([*np.linspace(0.0, length, _STEPS), *(a for a, _ in on)])
        about_y, about_z = (float(part[index]) for part in self._bending)
        bowed = [
            deflected(x, m1, m2, [(a, float(push[axis])) for a, push in on]) / stiffness
            for axis, m1, m2, stiffness in (
                (1, ends[5], ends[11], about_z), (2, -ends[4], -ends[10], about_y),
            )
        ]  # fmt: skip
        share = (x / length)[:, None]
        moved = (1 - share) * self.moved[first, :3] + share * self.moved[second, :3]
        moved = moved + 1e3 * (bowed[0][:, None] * axes[1] + bowed[1][:, None] * axes[2])
        straight = (1 - share) * self.at[first] + share * self.at[second]
        return np.asarray(straight + self.factor * moved)

    @cached_property
    def _end_forces(self) -> Floats:
        assert self.carried is not None
        return np.asarray(np.median(self.carried.response.end_forces, axis=0))

    @cached_property
    def _bending(self) -> tuple[Floats, Floats]:
        """Bending stiffness of the members about their y and z [N m2]."""
        about_y, about_z = (
            np.median(np.atleast_2d(part), axis=0)
            for part in (self.framed.frame.EIy, self.framed.frame.EIz)
        )
        return np.asarray(about_y), np.asarray(about_z)

    @cached_property
    def _axes(self) -> tuple[Floats, Floats]:
        """Lengths [m] and own axes of the members."""
        frame = self.framed.frame
        nodes = np.asarray(frame.nodes, dtype=np.float64)[..., None]
        ends = np.asarray(frame.members)
        up = None if frame.up is None else np.broadcast_to(frame.up, (len(ends), 3))
        return local_axes(nodes, ends[:, 0], ends[:, 1], up, frame.member_name)

    def as_built(self, name: str) -> Floats:
        """Both ends of a member as built, (2, 3) [mm]."""
        return np.asarray(self.at[list(self._ends(name))])

    def _ends(self, name: str) -> tuple[int, int]:
        first, second = np.asarray(self.framed.frame.members)[self.framed.member(name)]
        return int(first), int(second)

    @property
    def worst(self) -> str:
        """The member most used; empty without a load."""
        return max(self.use, key=lambda name: self.use[name], default="")


def magnified(size: float, largest: float) -> float:
    """A round factor that draws the largest movement at about a twentieth of the size.

    >>> magnified(2000.0, 7.0), magnified(2000.0, 0.013), magnified(2000.0, 0.0)
    (15.0, 7000.0, 1.0)
    """
    if largest < 1e-9 or size <= 0:
        return 1.0
    exact = _SHARE * size / largest
    power = 10.0 ** np.floor(np.log10(exact))
    steps = power * np.array([1.0, 1.5, 2.0, 3.0, 5.0, 7.0, 10.0])
    return float(steps[np.argmin(np.abs(np.log(steps / exact)))])


def deflected(
    x: ArrayLike, first: float, second: float, loads: Sequence[tuple[float, float]] = ()
) -> Floats:
    """How far a beam on two supports bows at each ``x``, times its bending stiffness [N m3].

    Args:
        x: places in order, from the first end (0) to the second [m]; loads stand at some of them.
        first: moment on the beam at its first end, turning it towards the second's bow [N m].
        second: moment at its second end, in the same sense of turning.
        loads: place [m] and force [N] of what stands on it.

    Integrated twice over moments that run straight between the places, which is exact.

    >>> deflected([0.0, 1.0, 2.0], 0.0, 0.0, [(1.0, 6.0)]).tolist()
    [0.0, 1.0, 0.0]
    """
    x = np.asarray(x, dtype=np.float64)
    length = x[-1]
    curved = np.interp(x, [0.0, length], [-first, second])
    for a, force in loads:
        curved -= np.interp(x, [0.0, a, length], [0.0, force * a * (length - a) / length, 0.0])
    step = np.diff(x)
    turn = np.concatenate([[0.0], np.cumsum(step * (curved[:-1] + curved[1:]) / 2)])
    rise = step * turn[:-1] + step**2 * (2 * curved[:-1] + curved[1:]) / 6
    bow = np.concatenate([[0.0], np.cumsum(rise)])
    return np.asarray(bow - bow[-1] * x / length)
