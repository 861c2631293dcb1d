"""What load cases do to a vehicle: movements, forces and how far each member is used."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from atlas.errors import BadInput
from atlas.mechanics.frames import Loads, Response, solve_cases
from atlas.vehicles.framing import Framed
from atlas.vehicles.loads import LoadCase, Placed, place

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
        """Movement of the watched node along its direction [m]."""
        return np.asarray(self.moved[:, self.placed.node, :3] @ self.placed.direction)

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
    def worst(self) -> int:
        """The member most used, at the median."""
        return int(np.argmax(np.median(self.use, axis=0)))

    def rails(self) -> tuple[Floats, Floats]:
        """Growth of the rails' spacing, and left rail tip rearward against the right one [m]."""
        points = self.framed.vehicle.points
        left, right = (self.framed.node(points[f"rail-tip-{side}"]) for side in "lr")
        return (
            self.moved[:, left, 1] - self.moved[:, right, 1],
            self.moved[:, right, 0] - self.moved[:, left, 0],
        )

    def bar(self) -> Floats | None:
        """Axial force in the front bar, pull positive [N]; None where there is none."""
        name = self.framed.vehicle.front_bar
        if name not in self.framed.member_names:
            return None
        return np.asarray(self.response.axial[:, self.framed.member(name)])

    def mounts(self) -> dict[str, Floats]:
        """Force through each mount and tie, x, y, z, (samples, 3) [N]."""
        found: dict[str, Floats] = {}
        frame, vehicle = self.framed.frame, self.framed.vehicle
        for name, tie in vehicle.ties.items():
            if name in self.framed.ties:
                gap = self._at(tie.first) - self._at(tie.second)
                found[name] = gap * np.array(tie.stiffness) * 1e6
        assert frame.springs is not None
        for name, mount in vehicle.mounts.items():
            if mount.node in self.framed.node_names:
                found[name] = -self._at(mount.node) * np.array(mount.stiffness) * 1e6
        return found

    def _at(self, node: str) -> Floats:
        return self.moved[:, self.framed.node(node), :3]


@dataclass(frozen=True)
class Sweep:
    """Front-bar force for a load of the case's size, by position and angle (pull positive)."""

    positions: tuple[str, ...]
    angles: tuple[float, ...]
    bar: Floats  # (positions, angles) [N]
    spread: Floats  # rails' spacing and fore-aft shift together [m]
    aside: Floats  # how far the vehicle's struck corner is pushed away from the barrier [m]


def carry(framed: Framed, cases: Sequence[LoadCase], samples: int = 0) -> list[Carried]:
    """Solve load cases on a frame, with one elimination for all.

    Raises:
        NotThere: a case has nothing to stand on.
        BadInput: the frame is a mechanism; the message names node and direction.
    """
    placed = [place(case, framed) for case in cases]
    loads = [Loads(one.nodal * one.size) for one in placed]
    try:
        found = solve_cases(framed.frame, loads, samples)
    except ValueError as error:
        raise BadInput(str(error), framed.vehicle.id) from None
    return [
        Carried(framed, one, response, used(framed, response))
        for one, response in zip(placed, found, strict=True)
    ]


def used(framed: Framed, response: Response) -> Floats:
    """Use of each member, (samples, members): N/N_R + M_y/M_yR + M_z/M_zR.

    Source: EN 1993-1-1:2005, 6.2.1 (7), eq. (6.2), with the buckling load where pushed.
    """
    forces, limits = response.end_forces, framed.limits
    axial = forces[..., 6]
    normal = np.where(axial > 0, axial / limits.squash, -axial / limits.buckling)
    about_y = np.maximum(np.abs(forces[..., 4]), np.abs(forces[..., 10])) / limits.about_y
    about_z = np.maximum(np.abs(forces[..., 5]), np.abs(forces[..., 11])) / limits.about_z
    return np.asarray(normal + about_y + about_z)


def sweep(framed: Framed, case: LoadCase) -> Sweep | None:
    """The case's load at each position and angle; None where the case has no sweep.

    Positions that the vehicle lacks are left out. Linear, so two solutions a position serve all
    angles.
    """
    points = framed.vehicle.points
    roles = [role for role in case.positions if points.get(role) in framed.node_names]
    if not roles or not case.angles:
        return None
    size = place(case, framed).size
    loads = []
    for role in roles:
        for axis in (0, 1):
            nodal = np.zeros((len(framed.node_names), 6))
            nodal[framed.node(points[role]), axis] = -size
            loads.append(Loads(nodal))
    try:
        found = solve_cases(framed.frame, loads)
    except ValueError as error:
        raise BadInput(str(error), framed.vehicle.id) from None
    turn = np.radians(case.angles)
    weights = np.stack([np.cos(turn), np.sin(turn)])
    moved = np.stack([one.displacements[0] for one in found]).reshape(len(roles), 2, -1, 6)
    axial = np.stack([one.axial[0] for one in found]).reshape(len(roles), 2, -1)
    left, right = (framed.node(points[f"rail-tip-{side}"]) for side in "lr")
    spacing = (moved[:, :, left, 1] - moved[:, :, right, 1]) @ weights
    shift = (moved[:, :, right, 0] - moved[:, :, left, 0]) @ weights
    struck = np.stack([moved[i, :, framed.node(points[role]), 1] for i, role in enumerate(roles)])
    name = framed.vehicle.front_bar
    bar = np.zeros((len(roles), len(turn)))
    if name in framed.member_names:
        bar = axial[:, :, framed.member(name)] @ weights
    return Sweep(tuple(roles), case.angles, bar, np.hypot(spacing, shift), -struck @ weights)
