"""``atlas compare``: vehicles side by side."""

import csv
import io
from typing import Any

import click

from atlas.casework.sheets import harmless
from atlas.catalogue.library import Library
from atlas.cli.common import (
    file_to_write,
    heading,
    is_plain,
    print_json,
    quantity,
    say,
    say_file,
    shared,
    table,
    width,
    write_bytes,
)
from atlas.cli.completion import Known
from atlas.errors import BadInput
from atlas.vehicles.comparing import Comparison, Side

_FORMS = ["table", "csv", "json", "html", "md", "pdf"]
Lines = list[tuple[str, tuple[str, ...]]]


@click.command(
    epilog="Example: atlas compare demo-pickup demo-van --format html --output both.html"
)
@click.argument("vehicle_ids", nargs=-1, required=True, metavar="ID...", type=Known("vehicle"))
@click.option("--format", "form", type=click.Choice(_FORMS), default="table", show_default=True)
@click.option(
    "--output", "--out", "output", metavar="FILE", default="", help="Write there, not to stdout."
)
@click.option("--load", "load_id", default="corner", show_default=True,
              help="Load case that a page draws.")  # fmt: skip
@shared
def compare(
    vehicle_ids: tuple[str, ...],
    form: str,
    output: str,
    load_id: str,
    as_json: bool,
    library: Library,
) -> None:
    """Compare two to eight vehicles: patterns, masses, stiffness, arms, joints and materials.

    What one has that the others don't stands at the end; a page (html, md, pdf) also draws each
    structure under a load case.
    """
    from atlas.vehicles.comparing import compare as side_by_side
    from atlas.vehicles.loading import load_vehicle
    from atlas.vehicles.loads import load_case, load_cases

    form = "json" if as_json else form
    path = file_to_write(output, "--output") if output else None
    if form == "pdf" and path is None:
        raise BadInput("a PDF is no text", "--format pdf", "name a file with --output")
    case = load_case(load_id)
    vehicles = [load_vehicle(name, library) for name in dict.fromkeys(vehicle_ids)]
    found = side_by_side(vehicles, list(load_cases().values()))
    if form in ("html", "md", "pdf"):
        from atlas.catalogue.load import load
        from atlas.reports.comparison import comparison_report

        title_of = load(library).patterns.called
        content = comparison_report(found, title_of, form, case.id)
    elif form == "json" and path is None:
        print_json(_document(found))
        return
    elif form == "csv":
        content = _csv(found).encode()
    elif form == "json":
        import json

        content = (json.dumps(_document(found), indent=2) + "\n").encode()
    elif path is not None:
        raise BadInput("a table goes to stdout", "--output", "choose --format csv or html")
    else:
        _print(found)
        return
    if path is None:
        write_bytes(content)
        return
    from atlas.catalogue.writing import write_durably

    write_durably(path, content)
    say_file(path)


def _print(found: Comparison) -> None:
    from atlas.reports.comparison import tables

    heads = tuple(side.vehicle.id for side in found.sides)
    for one in tables(found):
        heading(one.title)
        if one.note:
            say(one.note)
        _columns(list(one.rows), heads)
    heading("Patterns")
    _columns([(name, _has(found, name)) for name in found.patterns], heads)
    for head in heads:
        heading(f"Only {head}")
        say(", ".join(found.only(head)) or "nothing")
        if lacking := found.lacks(head):
            say(f"All others have, it lacks: {', '.join(lacking)}")
    heading("All of them")
    say(", ".join(found.shared) or "nothing")


def _columns(rows: Lines, heads: tuple[str, ...]) -> None:
    """A table where it fits the window, else each row's vehicles below one another."""
    cells = [("", *heads), *((label, *row) for label, row in rows)]
    room = sum(max(len(row[i]) for row in cells) + 2 for i in range(len(heads) + 1)) - 2
    if is_plain() or room <= width():
        table([(label, *row) for label, row in rows], ("", *heads))
        return
    longest = max(len(head) for head in heads)
    for label, row in rows:
        say(label)
        for head, cell in zip(heads, row, strict=True):
            say(f"{head.ljust(longest)}  {cell or '-'}", indent=2, hang=longest + 2)


def _has(found: Comparison, pattern: str) -> tuple[str, ...]:
    cells = []
    for side in found.sides:
        mass = side.pattern_mass(pattern)
        known = f"{mass:.1f} kg" if mass > 0.05 else "yes"
        cells.append(known if pattern in side.patterns else "")
    return tuple(cells)


def _csv(found: Comparison) -> str:
    from atlas.reports.comparison import tables

    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["", *(harmless(side.vehicle.id) for side in found.sides)])
    rows = [row for one in tables(found) for row in _prefixed(one.title, one.rows)]
    rows += [(f"pattern: {name}", _has(found, name)) for name in found.patterns]
    for label, cells in rows:
        writer.writerow(map(harmless, (label, *cells)))
    return out.getvalue()


def _prefixed(title: str, rows: tuple[tuple[str, tuple[str, ...]], ...]) -> Lines:
    """Load cases stand in two tables: the label says which."""
    if "load case" not in title:
        return list(rows)
    kind = title.split(" in ")[0].lower()
    return [(f"{kind}: {label}", cells) for label, cells in rows]


def _document(found: Comparison) -> dict[str, Any]:
    return {
        "vehicles": {side.vehicle.id: _side(found, side) for side in found.sides},
        "shared": list(found.shared),
        "patterns": {name: list(holders) for name, holders in found.patterns.items()},
        "told_apart": [one.id for one in found.cases if found.told_apart(one.id)],
        "samples": found.samples,
    }


def _side(found: Comparison, side: Side) -> dict[str, Any]:
    from atlas.vehicles.figures import quantity as figure

    one, name = side.vehicle, side.vehicle.id
    stiffness = {
        case.id: quantity(found.stiffness(case.id)[name])
        for case in found.cases
        if name in found.stiffness(case.id)
    }
    corner = stiffness.get("corner")
    return {
        "title": one.title,
        "kind": one.kind,
        "cradle": one.cradle,
        "mass_kg": one.dimensions.mass,
        "front_structure_kg": round(float(side.mass.value), 1),
        "corner_stiffness_kn_per_mm": round(corner["value"], 3) if corner else None,
        "metals_kg": {metal: round(kg, 1) for metal, kg in side.metals.items()},
        "processes_kg": {process: round(kg, 1) for process, kg in side.processes.items()},
        "joints": side.joints,
        "held": side.held,
        "arms": {label: quantity(value) for label, value in side.arms.items()},
        "stiffness": stiffness,
        "peak_use": {
            carried.case.id: quantity(figure(carried.peak, 1.0, "")) for carried in side.carried
        },
        "patterns": list(side.patterns),
        "pattern_kg": {pattern: round(side.pattern_mass(pattern), 2) for pattern in side.patterns},
        "only_here": list(found.only(name)),
        "lacks": list(found.lacks(name)),
    }
