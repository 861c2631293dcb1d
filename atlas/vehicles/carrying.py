"""What load cases do to a vehicle: movements, forces and how far each member is used."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from atlas.errors import BadInput
from atlas.mechanics.frames import Loads, PointLoad, Response, solve_cases
from atlas.mechanics.noise import settled
from atlas.vehicles.framing import Framed
from atlas.vehicles.fronts import Spot
from atlas.vehicles.loads import LoadCase, Placed, place, spot_at
from atlas.vehicles.spans import between

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Carried:
    """A load case on a vehicle; arrays have a leading axis of samples."""

    framed: Framed
    placed: Placed
    response: Response  # under the case's full size
    use: Floats  # (samples, members); 1 is the elastic limit

    @property
    def case(self) -> LoadCase:
        """The load case."""
        return self.placed.case

    @property
    def movement(self) -> Floats:
        """Movement of the watched place along its direction, or the mean of several [m]."""
        placed = self.placed
        if placed.between is None:
            read = [self.moved[:, node, :3] @ along for node, along in placed.watched]
            return np.asarray(np.mean(read, axis=0))
        point = placed.points[placed.between]
        force = np.asarray(point.force) * placed.size
        found = between(self.framed.frame, self.response, point, force)
        return np.asarray(found.moved @ placed.watched[0][1])

    @property
    def moved(self) -> Floats:
        """Displacements, (samples, nodes, 6) [m, rad]."""
        return self.response.displacements

    @property
    def stiffness(self) -> Floats:
        """Size of the load over the movement [N/m]; [N m/m] under a torque."""
        return self.placed.size / np.maximum(np.abs(self.movement), 1e-12)

    @property
    def peak(self) -> Floats:
        """Use of the most used member [-]."""
        return np.asarray(self.use.max(axis=1))

    @property
    def uses(self) -> dict[str, float]:
        """Median use of each member that is there [-], most used first."""
        middle = np.median(self.use, axis=0)
        names = self.framed.member_names
        return {names[index]: float(middle[index]) for index in np.argsort(-middle)}

    @property
    def notes(self) -> tuple[str, ...]:
        """What a reader should know: where the load stands, and what it takes past its limit."""
        past = [name for name, use in self.uses.items() if use > 1]
        if not past:
            return self.placed.notes
        most = self.uses[past[0]]
        note = (
            f"past the elastic limit: {_some(past)}, used to {most:.2f} of it at most. It yields "
            "there before the load is at its full size, and moves further than stated"
        )
        return (*self.placed.notes, note)

    @property
    def worst(self) -> int:
        """The member most used, at the median."""
        return int(np.argmax(np.median(self.use, axis=0)))

    def rails(self) -> tuple[Floats, Floats]:
        """Growth of the rails' spacing, and left rail tip rearward against the right one [m].

        NaN where a rail tip went with what was taken away.
        """
        points = self.framed.vehicle.points
        if not {points["rail-tip-l"], points["rail-tip-r"]} <= set(self.framed.node_names):
            none = np.full(len(self.moved), np.nan)
            return none, none
        left, right = (self.framed.node(points[f"rail-tip-{side}"]) for side in "lr")
        tips = np.abs(self.moved[:, [left, right], :3]).max(axis=(1, 2))
        return (
            settled(self.moved[:, left, 1] - self.moved[:, right, 1], tips),
            settled(self.moved[:, right, 0] - self.moved[:, left, 0], tips),
        )

    def bar(self) -> Floats | None:
        """Axial force in the front bar, pull positive [N]; None where there is none."""
        name = self.framed.vehicle.front_bar
        if name not in self.framed.member_names:
            return None
        axial = self.response.axial
        return settled(axial[:, self.framed.member(name)], np.abs(axial).max(axis=1))

    def mounts(self) -> dict[str, Floats]:
        """Force through each mount and tie on the structure, x, y, z, (samples, 3) [N].

        Ties give the force that their first node gets from their second.
        """
        found: dict[str, Floats] = {}
        framed, frame = self.framed, self.framed.frame
        for index, name in enumerate(framed.ties):
            tie = framed.vehicle.ties[name]
            assert frame.link_stiffness is not None
            stiffness = frame.link_stiffness[..., index, :3]
            found[name] = (self._at(tie.second) - self._at(tie.first)) * stiffness
        for name in framed.mounts:
            node = framed.node(framed.vehicle.mounts[name].node)
            found[name] = self.response.reactions[:, node, :3]
        return found

    def _at(self, node: str) -> Floats:
        return self.moved[:, self.framed.node(node), :3]


@dataclass(frozen=True)
class Sweep:
    """Front-bar force for a load of the case's size, by position and angle.

    Rows whose ``stands`` is empty hold NaN: nothing is there, the load passes by.
    """

    positions: tuple[float, ...]  # from the middle, as shares of the overall width [-]
    out: tuple[float, ...]  # from the middle [mm]
    angles: tuple[float, ...]  # turned inboard from straight rearward [deg]
    stands: tuple[str, ...]  # node or member that takes the load
    bar: Floats  # pull positive, (positions, angles) [N]; zero where there is no front bar
    spread: Floats  # rails' spacing and fore-aft shift together [m]
    aside: Floats  # how far the struck place is pushed inboard, away from the barrier [m]


def carry(framed: Framed, cases: Sequence[LoadCase], samples: int = 0) -> list[Carried]:
    """Solve load cases on a frame, with one elimination for all.

    Raises:
        NotThere: a case has nothing to stand on.
        BadInput: the frame is a mechanism; the message names node and direction.
    """
    placed = [place(case, framed) for case in cases]
    loads = [one.loads for one in placed]
    try:
        found = solve_cases(framed.frame, loads, samples) if loads else []
    except ValueError as error:
        raise _unstable(framed, error) from None
    return [
        Carried(framed, one, response, used(framed, response, one))
        for one, response in zip(placed, found, strict=True)
    ]


def _unstable(framed: Framed, error: ValueError) -> BadInput:
    adrift = loose(framed)
    if not adrift:
        return BadInput(str(error), framed.vehicle.id)
    names = _some(adrift)
    hang = f"members {names} hang" if len(adrift) > 1 else f"member {names} hangs"
    return BadInput(
        f"the frame is a mechanism: {hang} on nothing",
        framed.vehicle.id,
        "tie them to what a mount holds",
    )


def _some(names: Sequence[str]) -> str:
    """Some of several names, and how many more there are.

    >>> _some("abcdef"), _some("ab")
    ('a, b, c, d and 2 more', 'a, b')
    """
    more = len(names) - 4
    return ", ".join(names[:4]) + (f" and {more} more" if more > 0 else "")


def loose(framed: Framed) -> tuple[str, ...]:
    """Members that no chain of members and ties joins to a mount."""
    vehicle = framed.vehicle
    pairs = [(m.start, m.end) for m in framed.members]
    pairs += [(vehicle.ties[name].first, vehicle.ties[name].second) for name in framed.ties]
    beside: dict[str, list[str]] = {}
    for a, b in pairs:
        beside.setdefault(a, []).append(b)
        beside.setdefault(b, []).append(a)
    todo = [vehicle.mounts[name].node for name in framed.mounts]
    held = set(todo)
    while todo:
        new = set(beside.get(todo.pop(), ())) - held
        held |= new
        todo += new
    rows = zip(framed.member_names, framed.members, strict=True)
    return tuple(name for name, member in rows if member.start not in held)


def used(framed: Framed, response: Response, placed: Placed | None = None) -> Floats:
    """Use of each member, (samples, members): N/N_R + M_y/M_yR + M_z/M_zR.

    Source: EN 1993-1-1:2005, 6.2.1 (7), eq. (6.2), with the buckling load where pushed.
    """
    forces, limits = response.end_forces, framed.limits
    pull = push = forces[..., 6]
    about_y = np.maximum(np.abs(forces[..., 4]), np.abs(forces[..., 10]))
    about_z = np.maximum(np.abs(forces[..., 5]), np.abs(forces[..., 11]))
    if placed is not None and placed.points:
        pull, push = pull.copy(), push.copy()
        for point in placed.points:
            m = point.member
            there = between(framed.frame, response, point, np.asarray(point.force) * placed.size)
            pull[:, m], push[:, m] = there.axial[:, 0], there.axial[:, 1]
            about_y[:, m] = np.maximum(about_y[:, m], np.abs(there.about_y))
            about_z[:, m] = np.maximum(about_z[:, m], np.abs(there.about_z))
    normal = np.maximum(np.maximum(pull, 0) / limits.squash, np.maximum(-push, 0) / limits.buckling)
    return np.asarray(normal + about_y / limits.about_y + about_z / limits.about_z)


def sweep(framed: Framed, case: LoadCase) -> Sweep | None:
    """The case's load at each position and angle, on the nominal structure.

    None where the case has no sweep. Linear, so two solutions a position serve all angles.

    Raises:
        NotThere: the case has nothing to stand on at all.
        BadInput: the frame is a mechanism.
    """
    if not case.positions or not case.angles:
        return None
    vehicle, frame = framed.vehicle, framed.frame
    size = place(case, framed).size
    outs = tuple(share * vehicle.dimensions.width for share in case.positions)
    spots = [spot_at(case, framed, out) for out in outs]
    loads: list[Loads] = []
    for spot in spots:
        for axis in (0, 1):
            if spot is not None:
                loads.append(_unit(framed, spot, axis, size))
    shape = (len(outs), len(case.angles))
    bar, spread, aside = (np.full(shape, np.nan) for _ in range(3))
    try:
        found = solve_cases(frame, loads) if loads else []
    except ValueError as error:
        raise _unstable(framed, error) from None
    turn = np.radians(case.angles)
    weights = np.stack([np.cos(turn), np.sin(turn)])
    tips = [vehicle.points[f"rail-tip-{side}"] for side in "lr"]
    there = all(tip in framed.node_names for tip in tips)
    left, right = (framed.node(tip) for tip in tips) if there else (0, 0)
    name = vehicle.front_bar
    pairs = iter(zip(loads[::2], loads[1::2], found[::2], found[1::2], strict=True))
    for row, spot in enumerate(spots):
        if spot is None:
            continue
        one, two, *both = next(pairs)
        moved = np.stack([part.displacements[0] for part in both])
        if there:
            apart = moved[:, left] - moved[:, right]
            spread[row] = np.hypot(apart[:, 1] @ weights, apart[:, 0] @ weights)
        struck = [_aside(framed, spot, *pair) for pair in zip((one, two), both, strict=True)]
        aside[row] = -np.array(struck) @ weights
        bar[row] = 0.0
        if name in framed.member_names:
            bar[row] = np.array([part.axial[0, framed.member(name)] for part in both]) @ weights
    stands = tuple("" if spot is None else spot.node or spot.member for spot in spots)
    return Sweep(case.positions, outs, case.angles, stands, bar, spread, aside)


def _unit(framed: Framed, spot: Spot, axis: int, size: float) -> Loads:
    """The whole size rearward, or to the right, on one place of the left side."""
    force = np.zeros(3)
    force[axis] = -size
    nodal = np.zeros((len(framed.node_names), 6))
    if spot.node:
        nodal[framed.node(spot.node), :3] = force
        return Loads(nodal)
    return Loads(nodal, points=(PointLoad(framed.member(spot.member), spot.at, force),))


def _aside(framed: Framed, spot: Spot, load: Loads, response: Response) -> float:
    if spot.node:
        return float(response.displacements[0, framed.node(spot.node), 1])
    (point,) = load.points
    return float(between(framed.frame, response, point, point.force).moved[0, 1])
