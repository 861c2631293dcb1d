"""What is wrong with a vehicle file: one line that names node, member, mount or tie."""

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

import msgspec

from atlas.calculators.shapes import SHAPES
from atlas.catalogue.model import path_of
from atlas.catalogue.nearest import suggestion
from atlas.catalogue.reading import read_table
from atlas.errors import BadInput
from atlas.vehicles.model import Instead, Member, Mount, Point3, Profile, Tie, Vehicle

_FARTHEST = 20e3  # of any coordinate [mm]; the longest road vehicles have less
_APART = 1e-3  # nodes that a tie joins may lie so far apart [mm]
_TABLES: dict[str, Any] = {
    "sections": Profile,
    "nodes": Point3,
    "members": Member,
    "mounts": Mount,
    "ties": Tie,
}
_SHAPES = sorted(set(SHAPES) - {"outline"})
_NEEDED = ("rail-tip-l", "rail-tip-r")  # between which the rails' parallelism is read


def read_file(path: Path) -> Vehicle:
    """A vehicle as it stands in its file, not yet mirrored.

    Raises:
        NotThere, Refused: there is no file, or it cannot be read.
        BadInput: it is not what the model asks for; the message names the entry and its field.
    """
    table = read_table(path)
    try:
        return msgspec.convert(table, Vehicle)
    except msgspec.ValidationError as error:
        fault = _entry_fault(table) or (*path_of(error), "")
        what, field, remedy = fault
        raise BadInput(what, f"{path}: {field}" if field else str(path), remedy) from None


def _entry_fault(table: Mapping[str, Any]) -> tuple[str, str, str] | None:
    """What is wrong with the first entry that is, its path by name, and what would be right."""
    for label, kind in _TABLES.items():
        rows = table.get(label)
        for name, row in rows.items() if isinstance(rows, dict) else ():
            try:
                msgspec.convert(row, kind)
            except msgspec.ValidationError as error:
                what, field = path_of(error)
                dot = "" if not field or field.startswith("[") else "."
                return what, f"{label}.{name}{dot}{field}", _remedy(kind, what, field)
    return None


def _remedy(kind: Any, what: str, field: str) -> str:
    if kind is Point3:
        return "write [x, y, z] in millimetres"
    types = {one.name: one.type for one in msgspec.structs.fields(kind)}
    if "unknown field" in what:
        return suggestion(what.split()[-1], types, f"it may have {', '.join(types)}")
    wanted = types.get(field)
    if get_origin(wanted) is Literal:
        return f"choose {', '.join(get_args(wanted))}"
    return ""


def check(vehicle: Vehicle, path: Path) -> None:
    """Refuse names that stand for nothing, and geometry from which no frame can be built.

    Raises:
        BadInput: names the entry.
    """
    _check_places(vehicle, path)
    _check_members(vehicle, path)
    _check_met(vehicle, path)
    held: dict[str, str] = {}
    for name, mount in vehicle.mounts.items():
        _is_node(vehicle, mount.node, f"{path}: mounts.{name}.node")
        _check_stiffness(mount, f"{path}: mounts.{name}")
        if held.setdefault(mount.node, name) != name:
            raise BadInput(
                f"holds {mount.node}, as {held[mount.node]} does", f"{path}: mounts.{name}",
                "add their stiffnesses in one mount, so that its force can be told",
            )  # fmt: skip
    for name, tie in vehicle.ties.items():
        where = f"{path}: ties.{name}"
        _is_node(vehicle, tie.first, f"{where}.first")
        _is_node(vehicle, tie.second, f"{where}.second")
        _check_stiffness(tie, where)
        for pattern, other in tie.instead.items():
            if pattern not in tie.patterns:
                remedy = suggestion(pattern, tie.patterns, "name one of the tie's patterns")
                raise BadInput(f"no pattern {pattern!r} here", f"{where}.instead", remedy)
            _check_stiffness(other, f"{where}.instead.{pattern}")
        if tie.first == tie.second:
            raise BadInput("joins a node to itself", where, "name the two nodes that it joins")
        gap = math.dist(vehicle.nodes[tie.first], vehicle.nodes[tie.second])
        if gap > _APART:
            raise BadInput(
                f"{tie.first} and {tie.second} lie {gap:.4g} mm apart", where,
                "give both nodes one place, or join them by a member",
            )  # fmt: skip
    for name, target in vehicle.points.items():
        _is_node(vehicle, target, f"{path}: points.{name}")
    for name in _NEEDED:
        if name not in vehicle.points:
            raise BadInput(
                f"no point {name!r}", f"{path}: points",
                "name the node at that rail's front end: the rails' parallelism is read there",
            )  # fmt: skip
    if vehicle.front_bar and vehicle.front_bar not in vehicle.members:
        remedy = suggestion(vehicle.front_bar, vehicle.members, "name a member, or leave it out")
        raise BadInput(f"no member {vehicle.front_bar!r}", f"{path}: front_bar", remedy)


def _check_places(vehicle: Vehicle, path: Path) -> None:
    for name, place in vehicle.nodes.items():
        if not all(abs(one) <= _FARTHEST for one in place):  # a NaN is not either
            raise BadInput(
                f"{list(place)} is no place on a vehicle", f"{path}: nodes.{name}",
                f"give millimetres within {_FARTHEST:,.0f} of the front wheel's centre",
            )  # fmt: skip


def _check_met(vehicle: Vehicle, path: Path) -> None:
    met = {end for member in vehicle.members.values() for end in (member.start, member.end)}
    for name in vehicle.nodes:
        if name not in met:
            raise BadInput(
                "no member meets it", f"{path}: nodes.{name}", "join it by a member, or take it out"
            )


def _check_members(vehicle: Vehicle, path: Path) -> None:
    for name, member in vehicle.members.items():
        where = f"{path}: members.{name}"
        _is_node(vehicle, member.start, f"{where}.start")
        _is_node(vehicle, member.end, f"{where}.end")
        if member.start == member.end:
            raise BadInput("starts and ends at one node", where, "name the node at its other end")
        if math.dist(vehicle.nodes[member.start], vehicle.nodes[member.end]) < 1:
            raise BadInput(
                f"{member.start} and {member.end} lie at one place", where,
                "a bolted or rubber joint between them is a tie",
            )  # fmt: skip
        if member.section not in vehicle.sections:
            remedy = suggestion(member.section, vehicle.sections, "add it under sections")
            raise BadInput(f"no section {member.section!r}", f"{where}.section", remedy)
    for label, profile in vehicle.sections.items():
        if profile.shape not in _SHAPES:
            raise BadInput(
                f"no shape {profile.shape[:40]!r}", f"{path}: sections.{label}.shape",
                suggestion(profile.shape[:40], _SHAPES, f"choose {', '.join(_SHAPES)}"),
            )  # fmt: skip


def _check_stiffness(part: Mount | Tie | Instead, where: str) -> None:
    for value in (*part.stiffness, part.turning):
        if not 0 <= value <= 1e6:  # a NaN is not either
            raise BadInput(
                f"a stiffness of {value:g}", where,
                "give 0 to 1,000,000 kN/mm along x, y, z, and kN m/rad for turning",
            )  # fmt: skip


def _is_node(vehicle: Vehicle, name: str, where: str) -> None:
    if name not in vehicle.nodes:
        remedy = suggestion(name, vehicle.nodes, "add it under nodes")
        raise BadInput(f"no node {name!r}", where, remedy)
