"""Vehicles from files: shipped ones and the library's own, mirrored and checked for names."""

from pathlib import Path

from msgspec.structs import replace

from atlas.catalogue.library import Library
from atlas.catalogue.nearest import suggestion
from atlas.catalogue.shipped import shipped
from atlas.errors import AtlasError, BadInput, NotThere
from atlas.vehicles.checking import check, read_file
from atlas.vehicles.model import Vehicle

_SHARED = ("loads.toml",)


def vehicle_files(library: Library | None = None) -> dict[str, Path]:
    """Files of all vehicles by id; the library's stand before the shipped ones."""
    folders = [shipped("demo_vehicles")]
    if library is not None and library.vehicles.is_dir():
        folders.append(library.vehicles)
    return {
        path.stem: path
        for folder in folders
        for path in sorted(folder.glob("*.toml"))
        if path.name not in _SHARED
    }


def load_vehicle(name: str, library: Library | None = None) -> Vehicle:
    """Read a vehicle, its right side made from the left where it is mirrored.

    Args:
        name: its id, or the path of its file (ends in .toml).
        library: the team's own.

    Raises:
        NotThere: there is none of that id, or no such file; the message offers the nearest id.
        BadInput: the file is not what the model asks for; the message names node or member.
    """
    if name.endswith(".toml"):
        return read_vehicle(Path(name).expanduser())
    files = vehicle_files(library)
    if name not in files:
        remedy = suggestion(name[:100], files, "'atlas vehicle' lists them")
        raise NotThere(f"no vehicle {name[:60]!r}", remedy=remedy)
    return read_vehicle(files[name])


def read_vehicle(path: Path) -> Vehicle:
    """Read a vehicle file, whichever folder it lies in.

    Raises:
        BadInput: as ``load_vehicle``.
    """
    raw = read_file(path)
    if raw.id != path.stem:
        raise BadInput(f"holds the vehicle {raw.id!r}", str(path), f"name it {raw.id}.toml")
    vehicle = mirrored(raw) if raw.mirror else raw
    check(vehicle, path)
    return vehicle


def all_vehicles(
    library: Library | None = None,
) -> tuple[dict[str, Vehicle], tuple[AtlasError, ...]]:
    """Every vehicle that can be read, and why any other cannot."""
    found: dict[str, Vehicle] = {}
    problems = []
    for name, path in vehicle_files(library).items():
        try:
            found[name] = read_vehicle(path)
        except AtlasError as error:
            problems.append(error)
    return found, tuple(problems)


def mirrored(vehicle: Vehicle) -> Vehicle:
    """The vehicle with a right twin for each left node, member, mount, tie and point."""
    nodes = dict(vehicle.nodes)
    for name, (x, y, z) in vehicle.nodes.items():
        if name.endswith("-l"):
            nodes.setdefault(other(name), (x, -y, z))
    members = dict(vehicle.members)
    for name, member in vehicle.members.items():
        if name.endswith("-l"):
            twin = replace(member, start=other(member.start), end=other(member.end))
            members.setdefault(other(name), twin)
    mounts = dict(vehicle.mounts)
    for name, mount in vehicle.mounts.items():
        if name.endswith("-l"):
            mounts.setdefault(other(name), replace(mount, node=other(mount.node)))
    ties = dict(vehicle.ties)
    for name, tie in vehicle.ties.items():
        if name.endswith("-l"):
            twin_tie = replace(tie, first=other(tie.first), second=other(tie.second))
            ties.setdefault(other(name), twin_tie)
    points = dict(vehicle.points)
    for name, node in vehicle.points.items():
        if name.endswith("-l"):
            points.setdefault(other(name), other(node))
    return replace(
        vehicle, nodes=nodes, members=members, mounts=mounts, ties=ties, points=points, mirror=False
    )


def other(name: str) -> str:
    """The name of the twin on the other side; names without a side are their own.

    >>> other("leg-l"), other("bar")
    ('leg-r', 'bar')
    """
    if name.endswith("-l"):
        return f"{name[:-2]}-r"
    if name.endswith("-r"):
        return f"{name[:-2]}-l"
    return name
