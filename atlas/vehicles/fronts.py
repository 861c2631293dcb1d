"""Which part of a front a barrier meets at a distance from the middle, and where on it."""

from collections.abc import Mapping
from dataclasses import dataclass

from atlas.vehicles.model import Member, Vehicle

# A member lies across where more than this share of its length runs from side to side and less
# than this from top to bottom: bars and beams with swept ends do, rails, legs and posts don't.
_ACROSS = 0.5


@dataclass(frozen=True)
class Spot:
    """A place on a structure: a node, or a share of the length of a member from its first node."""

    node: str = ""
    member: str = ""
    at: float = 0.0
    out: float = 0.0  # distance from the middle [mm]

    @property
    def words(self) -> str:
        """What messages call it."""
        return f"{self.node or self.member}, {self.out:.0f} mm out"


@dataclass(frozen=True)
class Front:
    """What runs from side to side through one node, seen on that node's side of the vehicle."""

    vehicle: Vehicle
    node: str
    members: tuple[str, ...]  # none where the node is the end of a leg or rail
    reach: float  # how far out it comes [mm]
    half: float = 0.0  # half the width of what ends in the node [mm]

    def spot(self, out: float) -> Spot | None:
        """The place at a distance from the middle, the foremost where there are two."""
        side = 1.0 if self.vehicle.nodes[self.node][1] >= 0 else -1.0
        if not self.members:
            own = side * self.vehicle.nodes[self.node][1]
            return Spot(self.node, out=own) if abs(out - own) <= self.half + 1e-9 else None
        found: tuple[float, Spot] | None = None
        for name in self.members:
            member = self.vehicle.members[name]
            (ax, ay, _), (bx, by, _) = (self.vehicle.nodes[n] for n in (member.start, member.end))
            ay, by = side * ay, side * by
            if not min(ay, by) - 1e-9 <= out <= max(ay, by) + 1e-9:
                continue
            at = (out - ay) / (by - ay)
            ahead = ax + at * (bx - ax)
            if found is None or ahead > found[0]:
                end = member.start if at < 1e-6 else member.end if at > 1 - 1e-6 else ""
                found = ahead, Spot(end, "" if end else name, 0.0 if end else at, out)
        return found[1] if found else None


def front(vehicle: Vehicle, members: Mapping[str, Member], node: str) -> Front:
    """The bar or beam that a node belongs to, through all members that follow on across.

    Args:
        vehicle: for places and sections.
        members: those that are there.
        node: where to start.
    """
    across: dict[str, list[str]] = {}
    for name, member in members.items():
        a, b = vehicle.nodes[member.start], vehicle.nodes[member.end]
        length = sum((p - q) ** 2 for p, q in zip(a, b, strict=True)) ** 0.5
        if abs(a[1] - b[1]) > _ACROSS * length > abs(a[2] - b[2]):
            across.setdefault(member.start, []).append(name)
            across.setdefault(member.end, []).append(name)
    line: dict[str, None] = {}
    todo, seen = [node], {node}
    while todo:
        for name in across.get(todo.pop(), ()):
            line[name] = None
            for end in (members[name].start, members[name].end):
                # Not rearward into the cross members behind, which bars reach through pivots.
                if end not in seen and abs(vehicle.nodes[end][0] - vehicle.nodes[node][0]) < 300:
                    seen.add(end)
                    todo.append(end)
    side = 1.0 if vehicle.nodes[node][1] >= 0 else -1.0
    if line:
        reach = max(side * vehicle.nodes[end][1] for end in seen)
        return Front(vehicle, node, tuple(line), reach)
    half = max(
        (
            vehicle.sections[m.section].width / 2
            for m in members.values()
            if node in (m.start, m.end)
        ),
        default=0.0,
    )
    return Front(vehicle, node, (), side * vehicle.nodes[node][1] + half, half)


def meet(vehicle: Vehicle, members: Mapping[str, Member], node: str, edge: float) -> Spot | None:
    """Where a flat barrier that covers everything outboard of ``edge`` [mm] leans on a front.

    In the middle of what it covers: how the pressure lies is not known, and that is its mean
    (common practice, no source). None where the front ends inboard of the edge.
    """
    found = front(vehicle, members, node)
    if found.reach <= edge:
        return None
    if not found.members:
        return Spot(node, out=found.reach - found.half)
    return found.spot((edge + found.reach) / 2)
