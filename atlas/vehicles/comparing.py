"""Vehicles side by side: size, mass, stiffness, arms, joints, materials, and who has what."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from atlas.calculators.running import Result
from atlas.errors import BadInput
from atlas.vehicles.carrying import Carried, carry
from atlas.vehicles.figures import quantity, stiffness_of
from atlas.vehicles.framing import Framed, frame_of, patterns_on
from atlas.vehicles.loads import LoadCase
from atlas.vehicles.model import Vehicle
from atlas.vehicles.worth import no_foothold

FEWEST, MOST = 2, 8
SAMPLES = 200


@dataclass(frozen=True)
class Side:
    """One of the vehicles, solved for every load case."""

    vehicle: Vehicle
    framed: Framed
    carried: tuple[Carried, ...]

    @cached_property
    def patterns(self) -> tuple[str, ...]:
        """Patterns of its members, mounts and ties, then those found on it besides."""
        return patterns_on(self.vehicle)

    @cached_property
    def member_mass(self) -> dict[str, float]:
        """Median mass of each member [kg]."""
        middle = np.median(np.atleast_2d(self.framed.mass), axis=0)
        return dict(zip(self.framed.member_names, middle.tolist(), strict=True))

    @property
    def mass(self) -> Result:
        """Mass of all members together."""
        return quantity(np.atleast_2d(self.framed.mass).sum(axis=-1), 1.0, "kg")

    @property
    def metals(self) -> dict[str, float]:
        """Mass of each material, heaviest first [kg]."""
        return self._sorted("material")

    @property
    def processes(self) -> dict[str, float]:
        """Mass of each process, heaviest first [kg]."""
        return self._sorted("process")

    @property
    def joints(self) -> dict[str, int]:
        """How many members are held by each kind of joint, most frequent first."""
        found: dict[str, int] = {}
        for member in self.vehicle.members.values():
            found[member.joint] = found.get(member.joint, 0) + 1
        return dict(sorted(found.items(), key=lambda pair: (-pair[1], pair[0])))

    def _sorted(self, field: str) -> dict[str, float]:
        found: dict[str, float] = {}
        for name, kilograms in self.member_mass.items():
            key = str(getattr(self.vehicle.members[name], field))
            found[key] = found.get(key, 0.0) + kilograms
        return dict(sorted(found.items(), key=lambda pair: -pair[1]))

    def pattern_mass(self, pattern: str) -> float:
        """Mass of the members that belong to a pattern [kg]; a member may count for several."""
        members = self.vehicle.members
        return sum(kg for name, kg in self.member_mass.items() if pattern in members[name].patterns)

    @property
    def arms(self) -> dict[str, Result]:
        """Where the lower arms' left pivots stand, read off the vehicle's points."""
        points, nodes = self.vehicle.points, self.vehicle.nodes
        if not {"pivot-front-l", "pivot-rear-l"} <= set(points):
            return {}
        front, rear = (np.array(nodes[points[f"pivot-{end}-l"]]) for end in ("front", "rear"))
        out = self.vehicle.dimensions.track / 2

        def read(value: float) -> Result:
            return Result(float(value), "mm", None, None)

        return {
            "pivots apart, fore and aft": read(abs(front[0] - rear[0])),
            "front pivot ahead of the wheel centre": read(front[0]),
            "rear pivot behind the wheel centre": read(-rear[0]),
            "pivots inboard of the wheel's middle": read(out - (front[1] + rear[1]) / 2),
            "pivots above the ground": read((front[2] + rear[2]) / 2),
        }

    @property
    def held(self) -> dict[str, int]:
        """How the cradle and other parts hang on the body: bolted through or in rubber."""
        found = {"bolted through": 0, "rubber": 0}
        for name in self.framed.ties:
            found["rubber" if self.framed.in_rubber(name) else "bolted through"] += 1
        for mount in self.vehicle.mounts.values():
            if mount.kind != "body":
                found["rubber" if mount.kind == "rubber" else "bolted through"] += 1
        return {name: count for name, count in found.items() if count}

    def of(self, case: str) -> Carried | None:
        """What a load case does to it; None where it has nowhere to stand."""
        return next((one for one in self.carried if one.case.id == case), None)


@dataclass(frozen=True)
class Comparison:
    """Vehicles side by side, in the order asked for."""

    sides: tuple[Side, ...]
    cases: tuple[LoadCase, ...]
    samples: int

    @cached_property
    def patterns(self) -> dict[str, tuple[str, ...]]:
        """Each pattern with the ids of the vehicles that have it, most shared first."""
        found: dict[str, list[str]] = {}
        for side in self.sides:
            for name in side.patterns:
                found.setdefault(name, []).append(side.vehicle.id)
        ordered = sorted(found.items(), key=lambda pair: -len(pair[1]))
        return {name: tuple(holders) for name, holders in ordered}

    @property
    def shared(self) -> tuple[str, ...]:
        """Patterns that all have."""
        return tuple(n for n, held in self.patterns.items() if len(held) == len(self.sides))

    def only(self, vehicle: str) -> tuple[str, ...]:
        """Patterns that this one has and no other."""
        return tuple(n for n, held in self.patterns.items() if held == (vehicle,))

    def lacks(self, vehicle: str) -> tuple[str, ...]:
        """Patterns that this one lacks and all others have."""
        rest = len(self.sides) - 1
        return tuple(
            n for n, held in self.patterns.items() if vehicle not in held and len(held) == rest
        )

    def stiffness(self, case: str) -> dict[str, Result]:
        """Stiffness in a load case of those that it stands on."""
        return {
            side.vehicle.id: stiffness_of(carried)
            for side in self.sides
            if (carried := side.of(case)) is not None
        }

    def told_apart(self, case: str) -> bool:
        """Whether the stiffest stands clear of the next: their 5 to 95 % ranges do not meet."""
        ranked = sorted(self.stiffness(case).values(), key=lambda r: -float(r.value))
        if len(ranked) < 2:
            return False
        first, second = ranked[:2]
        low = first.low if first.low is not None else float(first.value)
        high = second.high if second.high is not None else float(second.value)
        return low > high


def compare(
    vehicles: Sequence[Vehicle], cases: Sequence[LoadCase], samples: int = SAMPLES
) -> Comparison:
    """Solve vehicles for load cases and set them side by side.

    Raises:
        BadInput: fewer than two or more than eight vehicles, or one that cannot be solved.
    """
    known = {vehicle.id: vehicle for vehicle in vehicles}
    if not FEWEST <= len(known) <= MOST:
        raise BadInput(
            f"{len(known)} vehicle{'' if len(known) == 1 else 's'}", "ID",
            f"name {FEWEST} to {MOST} different ones",
        )  # fmt: skip
    sides = []
    for vehicle in known.values():
        framed = frame_of(vehicle, (), samples)
        sides.append(Side(vehicle, framed, tuple(carry_standing(framed, cases, samples))))
    return Comparison(tuple(sides), tuple(cases), samples)


def carry_standing(framed: Framed, cases: Sequence[LoadCase], samples: int = 0) -> list[Carried]:
    """The cases that find a place on the frame, solved together; the others are left out.

    Raises:
        BadInput: the frame is a mechanism; the message names node and direction.
    """
    return carry(framed, [case for case in cases if not no_foothold(case, framed)], samples)
