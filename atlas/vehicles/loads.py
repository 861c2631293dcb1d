"""Load cases as data, and what each is on a given vehicle: forces on nodes."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Literal

import numpy as np
from msgspec import Meta, Struct
from numpy.typing import NDArray

from atlas.catalogue.model import Id, Line, Text
from atlas.catalogue.nearest import suggestion
from atlas.catalogue.reading import read_record
from atlas.catalogue.shipped import shipped
from atlas.errors import BadInput, NotThere
from atlas.mechanics.frames import Loads, PointLoad
from atlas.vehicles.framing import Framed
from atlas.vehicles.fronts import Spot, front, meet
from atlas.vehicles.model import Dimensions, Member, Point3, Vehicle

Floats = NDArray[np.float64]
Places = Annotated[tuple[str, ...], Meta(min_length=1)]
GRAVITY = 9.81  # [m/s2]


class Size(Struct, frozen=True, forbid_unknown_fields=True):
    """How large a case is, as a multiple of something the vehicle has; kN where ``fixed``."""

    by: Literal["weight", "front-axle", "wheel", "torque", "fixed"]
    times: Annotated[float, Meta(gt=0)]


class Push(Struct, frozen=True, forbid_unknown_fields=True):
    """A share of the size on the first of its places that is there.

    With ``overlap``, a barrier covers that share of the overall width from the vehicle's side: the
    force stands on the bar or beam through the first place that reaches past the barrier's edge,
    in the middle of what is covered; a moment is then not allowed.
    """

    at: Places
    force: Point3 = (0.0, 0.0, 0.0)
    moment: Point3 = (0.0, 0.0, 0.0)
    overlap: Annotated[float, Meta(gt=0, lt=0.5)] | None = None


class Watch(Struct, frozen=True, forbid_unknown_fields=True):
    """Where and along which direction the movement is read; the mean, where there are several."""

    at: Places
    direction: Point3


class LoadCase(Struct, frozen=True, forbid_unknown_fields=True):
    """A load case with its reasoning."""

    id: Id
    title: Line
    why: Text
    leaves_out: Line
    size: Size
    pushes: Annotated[tuple[Push, ...], Meta(min_length=1)]
    watch: tuple[Watch, ...] = ()  # none: where the first push stands, along it
    # A sweep of the load over the first push's places: how far from the middle, as shares of the
    # overall width, and turned inboard from straight rearward [deg].
    positions: tuple[Annotated[float, Meta(ge=0, le=0.5)], ...] = ()
    angles: tuple[float, ...] = ()


class _File(Struct, frozen=True, forbid_unknown_fields=True):
    cases: tuple[LoadCase, ...]


@dataclass(frozen=True)
class Placed:
    """A load case on a frame: unit loads, where it is watched, and what had to move."""

    case: LoadCase
    size: float  # [N], [N m] for torque
    nodal: Floats  # (nodes, 6), shares of the size
    points: tuple[PointLoad, ...]  # forces between nodes, shares of the size
    watched: tuple[tuple[int, Floats], ...]  # nodes and directions; the mean is read
    stands: tuple[Spot, ...]  # where each push stands
    moved: tuple[str, ...]  # what stands elsewhere than on the whole vehicle
    passed: tuple[str, ...]  # what nothing reaches
    between: int | None = None  # index into points, where the case is watched between nodes

    @property
    def notes(self) -> tuple[str, ...]:
        """Everything that a reader should know of where the load stands."""
        return self.passed + self.moved

    @property
    def loads(self) -> Loads:
        """The case at its full size."""
        sized = (replace(p, force=np.asarray(p.force) * self.size) for p in self.points)
        return Loads(self.nodal * self.size, points=tuple(sized))


def load_cases() -> dict[str, LoadCase]:
    """All load cases by id."""
    found = read_record(shipped("demo_vehicles") / "loads.toml", _File)
    return {case.id: case for case in found.cases}


def load_case(name: str) -> LoadCase:
    """One load case.

    Raises:
        BadInput: there is none of that id; the message names all.
    """
    cases = load_cases()
    if name not in cases:
        remedy = suggestion(name[:100], cases, f"choose {', '.join(cases)} or all")
        raise BadInput(f"no load case {name[:60]!r}", "--load", remedy)
    return cases[name]


def size_of(size: Size, dimensions: Dimensions) -> float:
    """The case's size on a vehicle [N], or [N m] for a torque.

    >>> from atlas.vehicles.model import Dimensions
    >>> car = Dimensions(4000, 1750, 1500, 2500, 1500, 1000, front_share=0.6)
    >>> size_of(Size("wheel", 2.0), car)
    5886.0
    """
    weight = dimensions.mass * GRAVITY
    axle = weight * dimensions.front_share
    whole = {
        "weight": weight,
        "front-axle": axle,
        "wheel": axle / 2,
        "torque": axle * dimensions.tyre_diameter / 2e3,
        "fixed": 1e3,
    }[size.by]
    return whole * size.times


def place(case: LoadCase, framed: Framed) -> Placed:
    """Put a load case on a frame.

    Raises:
        NotThere: the vehicle has none of the places that a push or the reading asks for.
    """
    vehicle = framed.vehicle
    there = dict(zip(framed.member_names, framed.members, strict=True))
    nodal = np.zeros((len(framed.node_names), 6))
    points: list[PointLoad] = []
    moved: list[str] = []
    passed: list[str] = []
    stands: list[Spot] = []
    between = None
    for push in case.pushes:
        spot, short = _stand(case, push, vehicle, there)
        if short:
            passed.append(short)
        if len(there) < len(vehicle.members):
            before = _stand(case, push, vehicle, vehicle.members)[0]
            if before != spot:
                moved.append(f"{before.words}, is gone: the load stands on {spot.words}")
        if spot.member:
            if not stands:
                between = len(points)
            points.append(PointLoad(framed.member(spot.member), spot.at, np.array(push.force)))
        else:
            nodal[framed.node(spot.node)] += [*push.force, *push.moment]
        stands.append(spot)
    for watch in case.watch:
        before_at, now = (
            _first(case, watch.at, vehicle, members) for members in (vehicle.members, there)
        )
        if before_at != now:
            moved.append(f"{before_at} is gone: the movement is read at {now}")
    return Placed(
        case,
        size_of(case.size, vehicle.dimensions),
        nodal,
        tuple(points),
        _watched(case, stands[0], framed, there),
        tuple(stands),
        tuple(dict.fromkeys(moved)),
        tuple(dict.fromkeys(passed)),
        None if case.watch else between,
    )


def spot_at(case: LoadCase, framed: Framed, out: float) -> Spot | None:
    """Where the first push's load stands at a distance from the middle [mm]; None: it passes by.

    Raises:
        NotThere: the vehicle has none of its places.
    """
    there = dict(zip(framed.member_names, framed.members, strict=True))
    places = case.pushes[0].at
    _first(case, places, framed.vehicle, there)
    for role in _present(places, framed.vehicle, there):
        node = framed.vehicle.points[role]
        spot = front(framed.vehicle, there, node).spot(out)
        if spot is not None:
            return spot
    return None


def _watched(
    case: LoadCase, spot: Spot, framed: Framed, there: dict[str, Member]
) -> tuple[tuple[int, Floats], ...]:
    if case.watch:
        points = framed.vehicle.points
        roles = [_first(case, one.at, framed.vehicle, there) for one in case.watch]
        directions = [np.array(one.direction) for one in case.watch]
        nodes = [framed.node(points[role]) for role in roles]
        return tuple(zip(nodes, directions, strict=True))
    force = np.array(case.pushes[0].force)
    size = float(np.linalg.norm(force))
    direction = force / size if size else np.array([0.0, 0.0, 1.0])
    # Between nodes the movement is read where the load stands, and only its direction is taken.
    return ((framed.node(spot.node or there[spot.member].start), direction),)


def _stand(
    case: LoadCase, push: Push, vehicle: Vehicle, there: Mapping[str, Member]
) -> tuple[Spot, str]:
    """Where a push stands, and a word where nothing reaches the barrier's edge."""
    if push.overlap is None:
        node = vehicle.points[_first(case, push.at, vehicle, there)]
        return Spot(node, out=abs(vehicle.nodes[node][1])), ""
    edge = (0.5 - push.overlap) * vehicle.dimensions.width
    nodes = [vehicle.points[role] for role in _present(push.at, vehicle, there)]
    for node in nodes:
        spot = meet(vehicle, there, node, edge)
        if spot is not None:
            return spot, ""
    _first(case, push.at, vehicle, there)  # refuses where there is none at all
    widest = max((front(vehicle, there, node) for node in nodes), key=lambda one: one.reach)
    spot = widest.spot(widest.reach)
    assert spot is not None
    return spot, (
        f"nothing reaches the barrier's edge, {edge:.0f} mm from the middle: it would pass by; "
        f"the load stands on {spot.words}"
    )


def _present(places: tuple[str, ...], vehicle: Vehicle, there: Mapping[str, Member]) -> list[str]:
    used = {end for member in there.values() for end in (member.start, member.end)}
    return [role for role in places if vehicle.points.get(role) in used]


def _first(
    case: LoadCase, places: tuple[str, ...], vehicle: Vehicle, there: Mapping[str, Member]
) -> str:
    for role in _present(places, vehicle, there):
        return role
    raise NotThere(
        f"load case {case.id} has nothing to stand on",
        f"{vehicle.id}: points",
        f"name a node for {' or '.join(places)}",
    )
