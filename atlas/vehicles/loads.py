"""Load cases as data, and what each is on a given vehicle: forces on nodes."""

from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np
from msgspec import Meta, Struct
from numpy.typing import NDArray

from atlas.catalogue.model import Id, Line, Text
from atlas.catalogue.nearest import suggestion
from atlas.catalogue.reading import read_record
from atlas.catalogue.shipped import shipped
from atlas.errors import NotThere
from atlas.vehicles.framing import Framed
from atlas.vehicles.model import Dimensions, Point3

Floats = NDArray[np.float64]
Places = Annotated[tuple[str, ...], Meta(min_length=1)]
GRAVITY = 9.81  # [m/s2]


class Size(Struct, frozen=True, forbid_unknown_fields=True):
    """How large a case is, as a multiple of something the vehicle has; kN where ``fixed``."""

    by: Literal["weight", "front-axle", "wheel", "torque", "fixed"]
    times: Annotated[float, Meta(gt=0)]


class Push(Struct, frozen=True, forbid_unknown_fields=True):
    """A share of the size on the first of its places that is there."""

    at: Places
    force: Point3 = (0.0, 0.0, 0.0)
    moment: Point3 = (0.0, 0.0, 0.0)


class Watch(Struct, frozen=True, forbid_unknown_fields=True):
    """Where and along which direction the movement is read."""

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
    watch: Watch | None = None
    positions: tuple[str, ...] = ()  # a sweep of the load: where, and
    angles: tuple[float, ...] = ()  # turned inboard from straight rearward [deg]


class _File(Struct, frozen=True, forbid_unknown_fields=True):
    cases: tuple[LoadCase, ...]


@dataclass(frozen=True)
class Placed:
    """A load case on a frame: unit nodal loads, where it is watched, and what had to move."""

    case: LoadCase
    size: float  # [N], [N m] for torque
    nodal: Floats  # (nodes, 6), shares of the size
    node: int
    direction: Floats
    notes: tuple[str, ...]


def load_cases() -> dict[str, LoadCase]:
    """All load cases by id."""
    found = read_record(shipped("demo_vehicles") / "loads.toml", _File)
    return {case.id: case for case in found.cases}


def load_case(name: str) -> LoadCase:
    """One load case.

    Raises:
        NotThere: there is none of that id; the message names all.
    """
    cases = load_cases()
    if name not in cases:
        remedy = suggestion(name[:100], cases, f"choose {', '.join(cases)}")
        raise NotThere(f"no load case {name[:60]!r}", "--load", remedy)
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
    nodal = np.zeros((len(framed.node_names), 6))
    notes: list[str] = []
    first: tuple[int, Floats] | None = None
    for push in case.pushes:
        node, role = _stand(case, push.at, framed)
        if role != push.at[0] and push.at[0] in framed.vehicle.points:
            notes.append(f"{push.at[0]} went with what was taken away: the load stands on {role}")
        load = np.array([*push.force, *push.moment])
        nodal[node] += load
        if first is None:
            whole = float(np.linalg.norm(load[:3]))
            first = node, load[:3] / whole if whole else np.array([0.0, 0.0, 1.0])
    assert first is not None
    node, direction = first
    if case.watch is not None:
        node = _stand(case, case.watch.at, framed)[0]
        direction = np.array(case.watch.direction)
    size = size_of(case.size, framed.vehicle.dimensions)
    return Placed(case, size, nodal, node, direction, tuple(notes))


def _stand(case: LoadCase, places: tuple[str, ...], framed: Framed) -> tuple[int, str]:
    for role in places:
        name = framed.vehicle.points.get(role)
        if name in framed.node_names:
            return framed.node(name), role
    raise NotThere(
        f"load case {case.id} has nothing to stand on",
        f"{framed.vehicle.id}: points",
        f"name a node for {' or '.join(places)}",
    )
