"""A structure with its load: where nodes and members are drawn, and how far each is used."""

from collections.abc import Collection
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

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
    """

    framed: Framed
    carried: Carried | None = None
    whole: Framed | None = None
    chosen: Collection[str] = field(default_factory=frozenset)
    deformed: bool = True

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
        if self.carried is None:
            return {}
        middle = np.median(self.carried.use, axis=0)
        return dict(zip(self.framed.member_names, middle.tolist(), strict=True))

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
        return magnified(self.size, self.largest)

    @cached_property
    def drawn_at(self) -> Floats:
        """Nodes where they are drawn, (nodes, 3) [mm]."""
        return np.asarray(self.at + self.factor * self.moved[:, :3])

    def line(self, name: str) -> Floats:
        """A member as it is drawn, (points, 3) [mm]; the chord where an end is pinned or yields."""
        first, second = self._ends(name)
        if self.framed.members[self.framed.member(name)].ends != "rigid" or not np.any(self.moved):
            return np.asarray(self.drawn_at[[first, second]])
        moved = bent(
            self.at[second] - self.at[first], self.moved[first] * self.factor,
            self.moved[second] * self.factor,
        )  # fmt: skip
        return np.asarray(self.at[first] + moved)

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


def bent(along: Floats, first: Floats, second: Floats) -> Floats:
    """A member's axis from its first node on, when its ends move and turn, (points, 3).

    Args:
        along: from the first node to the second as built, (3,) [mm].
        first: movement and turn of the first node, (6,) [mm, rad].
        second: those of the second node.

    The cubic of a beam with no load between its ends (textbook knowledge, from memory).

    >>> bent(np.array([1.0, 0, 0]), np.zeros(6), np.array([0, 0, 1.0, 0, -1.5, 0]))[4].round(4)
    array([0.5   , 0.    , 0.3125])
    """
    s = np.linspace(0.0, 1.0, _STEPS)[:, None]
    unit = along / np.linalg.norm(along)
    u1, u2 = first[:3], second[:3]
    across1, across2 = u1 - (u1 @ unit) * unit, u2 - (u2 @ unit) * unit
    moved = (
        (1 - 3 * s**2 + 2 * s**3) * across1
        + (s - 2 * s**2 + s**3) * np.cross(first[3:], along)
        + (3 * s**2 - 2 * s**3) * across2
        + (s**3 - s**2) * np.cross(second[3:], along)
        + ((1 - s) * (u1 @ unit) + s * (u2 @ unit)) * unit
    )
    return np.asarray(s * along + moved)
