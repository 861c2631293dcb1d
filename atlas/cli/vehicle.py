"""``atlas vehicle``: a vehicle's front structure under a load, and what each pattern buys."""

import re
from pathlib import Path
from typing import Any

import click
import numpy as np

from atlas.calculators.declare import figures
from atlas.catalogue.library import Library
from atlas.cli.common import heading, print_json, say, shared, table, warn
from atlas.cli.completion import Known
from atlas.errors import BadInput
from atlas.vehicles.carrying import Carried
from atlas.vehicles.worth import Worth


@click.command(epilog="Example: atlas vehicle demo-pickup --load corner --without rear-x-plate")
@click.argument("vehicle_id", metavar="[ID|new]", required=False, type=Known("vehicle"))
@click.argument("readings", nargs=-1, metavar="[NAME=VALUE]...")
@click.option("--output", metavar="FILE", default="", help="With new: the file to write.")
@click.option("--cradle", default="perimeter", show_default=True, help="With new: its type.")
@click.option("--kind", default="hatchback", show_default=True, help="With new: of vehicle.")
@click.option("--load", "load_id", default="corner", show_default=True, help="Load case.")
@click.option("--without", multiple=True, metavar="PATTERN", help="Take a pattern away.")
@click.option("--worth/--no-worth", default=True, help="Table of what each pattern buys.")
@click.option("--samples", type=click.IntRange(1, 20_000), default=200, show_default=True)
@shared
def vehicle(
    vehicle_id: str | None,
    readings: tuple[str, ...],
    output: str,
    cradle: str,
    kind: str,
    load_id: str,
    without: tuple[str, ...],
    worth: bool,
    samples: int,
    as_json: bool,
    library: Library,
) -> None:
    """Solve a vehicle's frame for a load case, with and without patterns; without ID, list them.

    'new' writes a commented file to start from, by up to ten tape readings in millimetres (width,
    wheelbase, nose, rail_spacing, rail_height, beam_width, cradle_spacing, cradle_front,
    cradle_rear, cradle_height).
    """
    if vehicle_id == "new":
        _new(readings, output, cradle, kind, as_json)
        return
    if readings:
        raise BadInput(f"{readings[0][:40]!r} is too much", "NAME=VALUE", "readings go with 'new'")
    from atlas.vehicles.carrying import carry
    from atlas.vehicles.framing import frame_of
    from atlas.vehicles.loading import all_vehicles, load_vehicle
    from atlas.vehicles.loads import load_case, load_cases
    from atlas.vehicles.worth import worths

    if vehicle_id is None:
        found, problems = all_vehicles(library)
        warn(problems)
        if as_json:
            rows = [{"id": v.id, "title": v.title, "kind": v.kind} for v in found.values()]
            loads = [{"id": c.id, "title": c.title} for c in load_cases().values()]
            print_json({"vehicles": rows, "loads": loads})
            return
        table((v.id, v.title, v.kind, f"{v.dimensions.mass:,.0f} kg") for v in found.values())
        heading("Load cases")
        table((case.id, case.title) for case in load_cases().values())
        return
    one = load_vehicle(vehicle_id, library)
    case = load_case(load_id)
    framed = frame_of(one, without, samples)
    (carried,) = carry(framed, [case], samples)
    bought = list(worths(one, [case], samples)) if worth and not without else []
    if as_json:
        print_json(
            {
                "vehicle": one.id,
                "load": case.id,
                "without": list(without),
                "results": _results(carried),
                "notes": list(carried.placed.notes),
                "mounts": {name: _span(np.linalg.norm(f, axis=-1), 1e-3, "kN")
                           for name, f in carried.mounts().items()},
                "used": _most_used(carried),
                "patterns": [_row(row, case.id) for row in bought],
                "leaves_out": case.leaves_out,
            }
        )  # fmt: skip
        return
    say(f"{one.title} [{one.id}]: {case.title}" + _taken(without))
    say(case.why)
    for note in carried.placed.notes:
        say(f"Note: {note}", hang=2)
    heading(f"Results (median, 5 to 95 % over {samples} draws of gauges and joints)")
    table(
        (name.replace("_", " "), figures(r["value"], 3), r["unit"],
         f"{figures(r['low'], 3)} to {figures(r['high'], 3)}")
        for name, r in _results(carried).items()
    )  # fmt: skip
    heading("Members most used (1 is the elastic limit)")
    table((m["member"], f"{m['use']:.2f}", ", ".join(m["patterns"])) for m in _most_used(carried))
    if bought:
        heading("What each pattern buys in this load case")
        table(
            (_worth_words(row, case.id) for row in bought),
            ("pattern", "mass, kg", "stiffness, with/without", "peak use, with", "without", ""),
        )
    say(f"Left out: {case.leaves_out}", hang=2)
    say("Elastic screening of an invented vehicle; crash performance is proven by test.")


def _new(readings: tuple[str, ...], output: str, cradle: str, kind: str, as_json: bool) -> None:
    from atlas.catalogue.writing import write_durably
    from atlas.cli.calc import split
    from atlas.vehicles.skeleton import parse_tape, skeleton

    path = Path(output or "my-vehicle.toml").expanduser()
    if path.exists():
        raise BadInput("exists already", str(path), "name a new file with --output")
    if path.suffix != ".toml" or not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", path.stem):
        raise BadInput(f"{path.name} is no name", "--output", "name it like my-vehicle.toml")
    if readings and "=" not in readings[0]:
        raise BadInput(
            f"cannot read {readings[0][:40]!r}", "NAME=VALUE",
            "write width=1850; the file is named by --output",
        )  # fmt: skip
    text = skeleton(path.stem, cradle, parse_tape(split(readings)), kind)
    write_durably(path, text.encode())
    if as_json:
        print_json({"file": str(path)})
    else:
        say(f"{path}: change what you measured; in the library's vehicles folder it has the id "
            f"{path.stem}.")  # fmt: skip


def _taken(without: tuple[str, ...]) -> str:
    return f", without {', '.join(without)}" if without else ""


def _span(values: Any, factor: float, unit: str) -> dict[str, Any]:
    low, middle, high = (float(v) * factor for v in np.percentile(values, (5, 50, 95)))
    return {"value": middle, "unit": unit, "low": low, "high": high}


def _results(carried: Carried) -> dict[str, dict[str, Any]]:
    spacing, shift = carried.rails()
    found = {
        "movement": _span(carried.movement, 1e3, "mm"),
        "stiffness": _span(carried.stiffness, 1e-6, "kN/mm"),
        "peak_use": _span(carried.peak, 1.0, ""),
        "rail_spacing_growth": _span(spacing, 1e3, "mm"),
        "rail_fore_aft_shift": _span(shift, 1e3, "mm"),
    }
    bar = carried.bar()
    if bar is not None:
        found["front_bar_force"] = _span(bar, 1e-3, "kN")
    return found


def _most_used(carried: Carried, count: int = 6) -> list[dict[str, Any]]:
    use = np.median(carried.use, axis=0)
    names = carried.framed.member_names
    members = carried.framed.vehicle.members
    return [
        {"member": names[i], "use": float(use[i]), "patterns": list(members[names[i]].patterns)}
        for i in np.argsort(-use)[:count]
    ]


def _row(row: Worth, case: str) -> dict[str, Any]:
    document: dict[str, Any] = {
        "pattern": row.pattern,
        "goes_with": list(row.along),
        "members": list(row.members),
        "mass": _span(row.mass, 1.0, "kg"),
        "fault": row.fault,
    }
    gain = row.gains.get(case)
    if gain is not None:
        document |= {
            "stiffness_ratio": _span(gain.ratio, 1.0, ""),
            "peak_use": _span(gain.peak, 1.0, ""),
            "peak_use_without": _span(gain.peak_without, 1.0, ""),
            "comparable": gain.comparable,
            "notes": list(gain.notes),
        }
        if row.members:
            document["per_kilogram"] = _span(row.per_kilogram(case), 1e-6, "kN/mm/kg")
    return document


def _worth_words(row: Worth, case: str) -> tuple[str, ...]:
    mass = f"{float(np.median(row.mass)):.1f}"
    gain = row.gains.get(case)
    if gain is None:
        return row.pattern, mass, "a mechanism without it", "", "", row.fault[:60]
    along = f"goes with {', '.join(row.along)}" if row.along else ""
    ratio = f"{float(np.median(gain.ratio)):.2f}" if gain.comparable else "load moved"
    peak, bare = (f"{float(np.median(v)):.2f}" for v in (gain.peak, gain.peak_without))
    return row.pattern, mass, ratio, peak, bare, along
