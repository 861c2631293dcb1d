"""A vehicle as a PyNiteFEA model, built from its file through that library's own interface.

What is checked is the frame: constants of sections and materials, and where loads stand, are
taken from us, and have checks of their own.

Its vertical is Y: our x, y, z stand there as X, -Z, Y. It knows neither springs between two nodes
at one place nor half-stiff ends; both are put together from what it does know:

* a tie is three struts along the axes, hinged in bending, from its first node to the ends of
  stiff arms on its second;
* a member whose ends are equal springs is three members in parallel, one continuous and one
  hinged at either end, of those bending stiffnesses that give the same response to equal and to
  opposite end rotations.
"""

from collections.abc import Iterable

import numpy as np
from Pynite import FEModel3D

from atlas.calculators.shapes import section_of
from atlas.mechanics.materials import ELASTIC_MODULUS, shear_modulus
from atlas.vehicles.loads import Placed
from atlas.vehicles.model import Member, Vehicle
from atlas.vehicles.spreads import SEMI

TURN = np.array([[1.0, 0, 0], [0, 0, 1], [0, -1, 0]])  # ours -> theirs
FORCES, MOMENTS = ("FX", "FY", "FZ"), ("MX", "MY", "MZ")
FREEDOMS = ("DX", "DY", "DZ", "RX", "RY", "RZ")
ARM = 1e7  # stiffness of an arm beside the tie that it serves
NONE = 1e-12  # of a part that must not carry
REACH = 0.01  # length of an arm [m]
# That library joins a member to any node on its line, and both nodes of a tie lie on one: every
# node stands so far beside its place, each another way [m].
BESIDE = 1e-9


class Built:
    """The model, analysed for some load cases."""

    def __init__(self, vehicle: Vehicle, nodes: Iterable[str], cases: list[Placed]) -> None:
        self.vehicle, self.model, self.parts = vehicle, FEModel3D(), {}
        self.nodes, self.rng = tuple(nodes), np.random.default_rng(1)
        for name in self.nodes:
            self._node(name, np.array(vehicle.nodes[name]) / 1e3)
            self.model.def_support(name)
        for name, member in vehicle.members.items():
            self._member(name, member)
        for name, tie in vehicle.ties.items():
            turning = 3 * [tie.turning * 1e3]
            self._tie(name, tie.first, tie.second, np.array(tie.stiffness) * 1e6, turning)
        springs: dict[tuple[str, str], float] = {}
        for mount in vehicle.mounts.values():
            # Stiffness along our y stands along theirs Z, without a sign.
            x, y, z = (k * 1e6 for k in mount.stiffness)
            for freedom, value in zip(
                FREEDOMS, (x, z, y, *(3 * [mount.turning * 1e3])), strict=True
            ):
                key = (mount.node, freedom)
                springs[key] = springs.get(key, 0.0) + value
        for (node, freedom), value in springs.items():
            if value:
                self.model.def_support_spring(node, freedom, value)
        for placed in cases:
            self._load(placed)
        self.model.analyze_linear(check_stability=False)

    def moved(self, case: str) -> np.ndarray:
        """Displacements in our axes, (nodes, 6) [m, rad]."""
        theirs = np.array(
            [[getattr(self.model.nodes[n], f)[case] for f in FREEDOMS] for n in self.nodes]
        )
        return np.hstack([theirs[:, :3] @ TURN, theirs[:, 3:] @ TURN])

    def forces(self, case: str) -> np.ndarray:
        """Forces and moments on each member's first and second end, our global axes [N, N m]."""
        found = []
        for names in self.parts.values():
            total = np.zeros(12)
            for name in names:
                subs = list(self.model.members[name].sub_members.values())
                first, last = (np.ravel(s.F(case)) for s in (subs[0], subs[-1]))
                total += np.concatenate([first[:6], last[6:]])
            found.append(np.concatenate([part @ TURN for part in total.reshape(4, 3)]))
        return np.array(found)

    def _node(self, name: str, place: np.ndarray) -> None:
        beside = self.rng.uniform(-BESIDE, BESIDE, 3)
        self.model.add_node(name, *map(float, TURN @ place + beside))

    def _piece(self, name: str, ends: tuple[str, str], values, material: str, **loose) -> None:
        """A member of that area and those second moments, about theirs y, z and x."""
        self.model.add_section(name, *(np.asarray(value).item() for value in values))
        self.model.add_member(name, *ends, material, name)
        if ends[0] in self.vehicle.nodes and ends[1] in self.vehicle.nodes:
            self._upright(self.model.members[name])
        if loose:
            self.model.def_releases(name, **loose)

    def _upright(self, member) -> None:
        """Turn a member's own y to what is up for us: z, or x where it stands (2.6 deg at most)."""
        along, beside, across = member.T()[:3, :3]
        up = TURN @ ([1.0, 0, 0] if abs((along @ TURN)[2]) > 0.999 else [0, 0, 1.0])
        member.rotation = np.degrees(np.arctan2(across @ up, beside @ up))
        assert member.T()[1, :3] @ up > 0 and abs(member.T()[2, :3] @ up) < 1e-6

    def _member(self, name: str, member: Member) -> None:
        if member.material not in self.model.materials:
            modulus = ELASTIC_MODULUS[member.material]
            shear = shear_modulus(member.material)
            self.model.add_material(member.material, modulus, shear, 0.3, 0.0)
        p = self.vehicle.sections[member.section]
        section = section_of(
            p.shape, p.width / 1e3, p.height / 1e3, p.gauge / 1e3, 0.0, p.flange / 1e3,
            p.second_gauge / 1e3, p.cells_wide, p.cells_high,
        )  # fmt: skip
        # Their y is up, as our z: bending up and down is about their z and our y.
        area, flat, tall, twist = section.area, section.iz, section.iy, section.j
        ends = (member.start, member.end)
        self.parts[name] = [name]
        if member.ends == "rigid":
            self._piece(name, ends, (area, flat, tall, twist), member.material)
        elif member.ends == "pinned":
            loose = dict.fromkeys(("Ryi", "Rzi", "Ryj", "Rzj"), True)
            self._piece(name, ends, (area, flat, tall, twist), member.material, **loose)
        else:
            spring = 4 * SEMI  # in EI/L
            opposite, equal = 1 / (1 / 2 + 1 / spring), 1 / (1 / 6 + 1 / spring)
            through = (equal - opposite) / 4
            hinged = (opposite - 2 * through) / 3
            values = (area, through * flat, through * tall, twist)
            self._piece(name, ends, values, member.material)
            for end in "ij":
                self.parts[name].append(f"{name}/{end}")
                values = (area * NONE, hinged * flat, hinged * tall, twist * NONE)
                loose = {f"Ry{end}": True, f"Rz{end}": True}
                self._piece(f"{name}/{end}", ends, values, member.material, **loose)

    def _tie(self, name: str, first: str, second: str, straight, turning) -> None:
        if "unit" not in self.model.materials:
            self.model.add_material("unit", 1.0, 1.0, 0.3, 0.0)
        loose = dict.fromkeys(("Ryi", "Rzi", "Ryj", "Rzj"), True)
        place = np.array(self.vehicle.nodes[second]) / 1e3
        for axis in range(3):
            tip = f"{name}/{axis}"
            self._node(tip, place + REACH * np.eye(3)[axis])
            k, t = straight[axis] * REACH, max(turning[axis], 1.0) * REACH
            self._piece(f"{tip}/arm", (second, tip), (ARM * k, k, k, ARM * t), "unit")
            values = (k, REACH, REACH, turning[axis] * REACH)
            self._piece(f"{tip}/strut", (first, tip), values, "unit", **loose)

    def _load(self, placed: Placed) -> None:
        case = placed.case.id
        for node, row in zip(self.nodes, placed.nodal * placed.size, strict=True):
            turned = np.concatenate([TURN @ row[:3], TURN @ row[3:]])
            for direction, value in zip((*FORCES, *MOMENTS), turned, strict=True):
                if value:
                    self.model.add_node_load(node, direction, float(value), case)
        names = list(self.vehicle.members)
        for point in placed.points:
            name = names[point.member]
            assert self.vehicle.members[name].ends != "semi", f"{name}: no load between its nodes"
            reach = float(np.asarray(point.at)) * self.model.members[name].L()
            turned = TURN @ np.asarray(point.force) * placed.size
            for direction, value in zip(FORCES, turned, strict=True):
                self.model.add_member_pt_load(name, direction, float(value), reach, case)
        self.model.add_load_combo(case, {case: 1.0})
