"""``atlas compare``: vehicles side by side."""

import csv
import io
from typing import Any

import click
import numpy as np

from atlas.catalogue.library import Library
from atlas.cli.common import heading, print_json, say, shared, table
from atlas.cli.completion import Known
from atlas.errors import BadInput


@click.command(epilog="Example: atlas compare demo-pickup my-van --format csv")
@click.argument("vehicle_ids", nargs=-1, required=True, metavar="ID...", type=Known("vehicle"))
@click.option("--format", "form", type=click.Choice(["table", "csv", "json"]), default="table")
@shared
def compare(vehicle_ids: tuple[str, ...], form: str, as_json: bool, library: Library) -> None:
    """Compare vehicles: patterns, masses, stiffness, joints and materials."""
    if len(set(vehicle_ids)) < 2:
        raise BadInput("fewer than two vehicles", "ID", "name two or more")
    rows = {name: _row(name, library) for name in dict.fromkeys(vehicle_ids)}
    every = [set(row["patterns"]) for row in rows.values()]
    shared_ones = set.intersection(*every)
    for name, row in rows.items():
        others: set[str] = set().union(*(set(r["patterns"]) for n, r in rows.items() if n != name))
        row["only_here"] = sorted(set(row["patterns"]) - others)
    if as_json or form == "json":
        print_json({"vehicles": rows, "shared": sorted(shared_ones)})
        return
    fields = [field for field in next(iter(rows.values())) if field != "title"]
    lines = [
        (field.replace("_", " "), *(_text(row[field]) for row in rows.values())) for field in fields
    ]
    if form == "csv":
        out = io.StringIO()
        writer = csv.writer(out)
        writer.writerow(["", *rows])
        # A cell that a spreadsheet would take for a formula is quoted as text.
        for line in lines:
            writer.writerow([f"'{c}" if c[:1] in "=+-@\t\r" and c[:1] else c for c in line])
        print(out.getvalue(), end="")
        return
    table([line for line in lines if len(line[1]) < 40], ("", *rows))
    for name, row in rows.items():
        heading(f"Only {name}")
        say(", ".join(row["only_here"]) or "nothing")
    heading("All of them")
    say(", ".join(sorted(shared_ones)) or "nothing")


def _row(name: str, library: Library) -> dict[str, Any]:
    from atlas.vehicles.carrying import carry
    from atlas.vehicles.framing import frame_of, patterns_of
    from atlas.vehicles.loading import load_vehicle
    from atlas.vehicles.loads import load_case

    one = load_vehicle(name, library)
    framed = frame_of(one)
    (carried,) = carry(framed, [load_case("corner")])
    metals: dict[str, float] = {}
    joints: dict[str, int] = {}
    masses = np.median(np.atleast_2d(framed.mass), axis=0)
    for member, mass in zip(framed.member_names, masses, strict=True):
        held = one.members[member]
        metals[held.material] = metals.get(held.material, 0.0) + float(mass)
        joints[held.joint] = joints.get(held.joint, 0) + 1
    return {
        "title": one.title,
        "kind": one.kind,
        "cradle": one.cradle,
        "mass_kg": one.dimensions.mass,
        "front_structure_kg": round(float(masses.sum()), 1),
        "corner_stiffness_kn_per_mm": round(float(np.median(carried.stiffness)) * 1e-6, 3),
        "metals_kg": {metal: round(kg, 1) for metal, kg in sorted(metals.items())},
        "joints": dict(sorted(joints.items())),
        "patterns": list(patterns_of(one)),
    }


def _text(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{k} {v}" for k, v in value.items())
    return ", ".join(value) if isinstance(value, list) else str(value)
