"""``atlas vehicle``: a vehicle's front structure under a load, and what each pattern buys."""

import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
import numpy as np

from atlas.calculators.declare import figures
from atlas.catalogue.library import Library
from atlas.catalogue.visible import visible
from atlas.cli.common import heading, is_plain, print_json, say, say_file, shared, table, warn
from atlas.cli.completion import Known
from atlas.errors import BadInput
from atlas.vehicles.carrying import Carried
from atlas.vehicles.loads import LoadCase
from atlas.vehicles.model import Vehicle
from atlas.vehicles.worth import Worth

if TYPE_CHECKING:
    from atlas.drawing.structure_views import View

_MOST_OF_ALL = 2000  # draws: all forces of all cases are held at once


@click.command(epilog="Example: atlas vehicle demo-pickup --load corner --without rear-x-plate")
@click.argument("vehicle_id", metavar="[ID|new]", required=False, type=Known("vehicle"))
@click.argument("readings", nargs=-1, metavar="[NAME=VALUE]...")
@click.option(
    "--output", "--out", "output", metavar="FILE", default="", help="With new: the file to write."
)
@click.option(
    "--cradle",
    type=Known("cradle"),
    metavar="TYPE",
    default="perimeter",
    show_default=True,
    help="With new: its type.",
)
@click.option("--kind", default="hatchback", show_default=True, help="With new: of vehicle.")
@click.option(
    "--load",
    "load_id",
    type=Known("load"),
    metavar="CASE",
    default="corner",
    show_default=True,
    help="Load case, or 'all'.",
)
@click.option(
    "--without", type=Known("part"), multiple=True, metavar="PATTERN", help="Take a pattern away."
)
@click.option("--worth/--no-worth", default=True, help="Table of what each pattern buys.")
@click.option(
    "--sweep", is_flag=True, help="The load at each position and angle: front bar's sign."
)
@click.option("--view", type=click.Choice(["plan", "side", "front"]), help="Draw the structure.")
@click.option("--svg", metavar="FILE", default="", help="Write the drawing there (plan).")
@click.option("--report", metavar="FILE", default="", help="Write a page: .html, .md or .pdf.")
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
    sweep: bool,
    view: "View | None",
    svg: str,
    report: str,
    samples: int,
    as_json: bool,
    library: Library,
) -> None:
    """Solve a vehicle's frame for a load case, with and without patterns; without ID, list them.

    ID may be the path of a vehicle file.
    'new' writes a commented file to start from, by up to ten tape readings in millimetres (width,
    wheelbase, nose, rail_spacing, rail_height, beam_width, cradle_spacing, cradle_front,
    cradle_rear, cradle_height).
    """
    if vehicle_id == "new":
        _new(readings, output, cradle, kind, as_json)
        return
    if readings:
        raise BadInput(f"{readings[0][:40]!r} is too much", "NAME=VALUE", "readings go with 'new'")
    from atlas.vehicles.loading import load_vehicle
    from atlas.vehicles.loads import load_case, load_cases

    if vehicle_id is None:
        _list(library, as_json)
        return
    one = load_vehicle(vehicle_id, library)
    without = tuple(dict.fromkeys(without))
    if sweep:
        _sweep(one, "corner" if load_id == "all" else load_id, without, as_json)
        return
    if view or svg or report:
        _draw(one, load_id, without, view, svg, report, as_json, library)
        return
    every = load_id == "all"
    if every and samples > _MOST_OF_ALL:
        raise BadInput(
            f"{samples:,} draws of all load cases", "--samples",
            f"give at most {_MOST_OF_ALL:,}, or one load case",
        )  # fmt: skip
    cases = list(load_cases().values()) if every else [load_case(load_id)]
    if every:
        cases = _standing(one, cases, without)
    carried, bought = _study(one, cases, without, worth and not without, samples)
    if as_json:
        _document(one, carried, bought, without, every)
    elif every:
        _all(one, carried, bought, without, samples)
    else:
        _one(one, carried[0], bought, without, samples)


def _draw(
    one: Vehicle,
    load_id: str,
    without: tuple[str, ...],
    view: "View | None",
    svg: str,
    report: str,
    as_json: bool,
    library: Library,
) -> None:
    from atlas.cli.vehicle_drawing import draw_vehicle, report_vehicle
    from atlas.vehicles.loads import load_case

    case = load_case("corner" if load_id == "all" else load_id)
    written = report_vehicle(one, case, without, report, library) if report else None
    if view or svg:
        draw_vehicle(one, case, without, view or "plan", svg, as_json, written)
    elif written and as_json:
        print_json({"vehicle": one.id, "report": str(written)})
    elif written:
        say_file(written)


def _list(library: Library, as_json: bool) -> None:
    from atlas.vehicles.loading import all_vehicles
    from atlas.vehicles.loads import load_cases

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


def _standing(one: Vehicle, cases: list[LoadCase], without: tuple[str, ...]) -> list[LoadCase]:
    """Those cases that have something to stand on; the others are named on stderr."""
    from atlas.errors import NotThere
    from atlas.vehicles.framing import frame_of
    from atlas.vehicles.worth import no_foothold

    framed = frame_of(one, without)
    reasons = {case.id: no_foothold(case, framed) for case in cases}
    for reason in filter(None, reasons.values()):
        print(f"atlas: left out: {visible(reason, lines=False)}", file=sys.stderr)
    if all(reasons.values()):
        raise NotThere("no load case has anything to stand on", f"{one.id}: points")
    return [case for case in cases if not reasons[case.id]]


def _study(
    one: Vehicle, cases: Sequence[LoadCase], without: tuple[str, ...], worth: bool, samples: int
) -> tuple[list[Carried], list[Worth]]:
    """The cases solved and each pattern taken away, with progress on stderr; Ctrl-C stops it."""
    from atlas.vehicles.carrying import carry
    from atlas.vehicles.framing import frame_of, patterns_of
    from atlas.vehicles.worth import worths

    rows: list[Worth] = []
    count = len(patterns_of(one))
    try:
        carried = carry(frame_of(one, without, samples), cases, samples)
        if worth:
            quiet = is_plain() or not sys.stderr.isatty()
            with click.progressbar(
                worths(one, cases, samples), length=count, label="patterns", file=sys.stderr,
                hidden=quiet,
            ) as steps:  # fmt: skip
                for row in steps:
                    rows.append(row)
    except KeyboardInterrupt:
        print(f"atlas: stopped after {len(rows)} of {count} patterns", file=sys.stderr)
        raise click.Abort from None
    return carried, rows


def _document(
    one: Vehicle,
    carried: list[Carried],
    bought: list[Worth],
    without: tuple[str, ...],
    every: bool,
) -> None:
    from atlas.cli.vehicle_words import gained, solved, worth

    head = {"vehicle": one.id, "load": "all" if every else carried[0].case.id}
    document: dict[str, Any] = {**head, "without": list(without)}
    if every:
        document["cases"] = {c.case.id: solved(c) for c in carried}
        document["patterns"] = [
            {**worth(row), "cases": {c.case.id: gained(row, c.case.id) for c in carried}}
            for row in bought
        ]
    else:
        document |= solved(carried[0])
        case = carried[0].case.id
        document["patterns"] = [{**worth(row), **gained(row, case)} for row in bought]
    print_json(document)


def _one(
    one: Vehicle, carried: Carried, bought: list[Worth], without: tuple[str, ...], samples: int
) -> None:
    from atlas.cli.vehicle_words import (
        WORTH_HEAD,
        most_used,
        results,
        taken,
        worth_notes,
        worth_words,
    )

    case = carried.case
    say(f"{one.title} [{one.id}]: {case.title}" + taken(without))
    say(case.why)
    say(f"The load stands on {'; '.join(spot.words for spot in carried.placed.stands)}.", hang=2)
    for note in carried.notes:
        say(f"Note: {note}", hang=2)
    heading(f"Results (median, 5 to 95 % over {samples} draws of gauges, mounts and joints)")
    table(
        (name.replace("_", " ") + (", pull +" if name == "front_bar_force" else ""),
         figures(r["value"], 3), r["unit"],
         f"{figures(r['low'], 3)} to {figures(r['high'], 3)}" if r["low"] is not None else "")
        for name, r in results(carried).items()
    )  # fmt: skip
    heading("Members most used (1 is the elastic limit)")
    table((m["member"], f"{m['use']:.2f}", ", ".join(m["patterns"])) for m in most_used(carried))
    if bought:
        heading("What each pattern buys in this load case")
        table((worth_words(row, case.id) for row in bought), WORTH_HEAD)
        for row in bought:
            for note in worth_notes(row, case.id):
                say(f"{row.pattern}: {note}", hang=2)
    say(f"Left out: {case.leaves_out}", hang=2)
    _closing()


def _all(
    one: Vehicle,
    carried: list[Carried],
    bought: list[Worth],
    without: tuple[str, ...],
    samples: int,
) -> None:
    from atlas.cli.vehicle_words import belongs, cell, results, taken

    say(f"{one.title} [{one.id}]: all load cases" + taken(without))
    heading(f"Results (medians over {samples} draws of gauges, mounts and joints)")
    rows = []
    for c in carried:
        said = results(c)
        middle = [f"{figures(said[k]['value'], 3)} {said[k]['unit']}"
                  for k in ("load", "movement", "stiffness")]  # fmt: skip
        worst = c.framed.member_names[c.worst]
        rows.append((c.case.id, *middle, f"{said['peak_use']['value']:.2f}", worst))
    table(rows, ("load case", "load", "movement", "stiffness", "peak use", "in"))
    for c in carried:
        for note in c.notes:
            say(f"Note on {c.case.id}: {note}", hang=2)
    if bought:
        heading("What each pattern buys: stiffness, with/without")
        # Patterns stand across in groups that fit the narrowest terminal; cases stand down.
        for start in range(0, len(bought), 3):
            some = bought[start : start + 3]
            table(
                (
                    ("mass", *(f"{float(np.median(row.mass)):.1f} kg" for row in some)),
                    *((c.case.id, *(cell(row, c.case.id) for row in some)) for c in carried),
                ),
                ("", *(row.pattern for row in some)),
            )
            if start + 3 < len(bought):
                print()
        for row in bought:
            for note in belongs(row):
                say(f"{row.pattern}: {note}", hang=2)
    _closing()


def _sweep(one: Vehicle, load_id: str, without: tuple[str, ...], as_json: bool) -> None:
    from atlas.cli.vehicle_words import sweep_rows, swept, taken
    from atlas.vehicles.carrying import sweep
    from atlas.vehicles.framing import frame_of
    from atlas.vehicles.loads import load_case, load_cases

    case = load_case(load_id)
    framed = frame_of(one, without)
    found = sweep(framed, case)
    if found is None:
        known = ", ".join(name for name, c in load_cases().items() if c.positions)
        raise BadInput(f"{case.id} has no sweep", "--sweep", f"choose --load {known}")
    bar = one.front_bar if one.front_bar in framed.member_names else ""
    if as_json:
        head = {"vehicle": one.id, "load": case.id, "without": list(without)}
        print_json({**head, **swept(found, bar), "leaves_out": case.leaves_out})
        return
    say(f"{one.title} [{one.id}]: {case.title}, position and angle" + taken(without))
    if bar:
        heading("Front bar by place and angle")
        say(f"Force in {bar}, kN; angles turn inboard from straight rearward.")
    else:
        heading("Way inboard by place and angle")
        say(
            "No front bar is there to read. How far the struck place goes inboard, mm; angles turn "
            "inboard from straight rearward."
        )
    head_, rows = sweep_rows(found, bar)
    table(rows, head_)
    say(f"Left out: {case.leaves_out}", hang=2)
    _closing()


def _closing() -> None:
    say("Elastic screening of a frame model; crash performance is proven by test.")


def _new(readings: tuple[str, ...], output: str, cradle: str, kind: str, as_json: bool) -> None:
    from atlas.catalogue.writing import write_durably
    from atlas.cli.calc import split
    from atlas.vehicles.skeleton import parse_tape, skeleton

    if readings and "=" not in readings[0]:
        named = re.sub(r"[^a-z0-9]+", "-", readings[0].lower().removesuffix(".toml")).strip("-")
        raise BadInput(
            f"{readings[0][:40]!r} is no reading", "NAME=VALUE",
            f"name the file with --output {named[:40] or 'my-vehicle'}.toml; readings are written "
            "width=1850",
        )  # fmt: skip
    path = Path(output or "my-vehicle.toml").expanduser()
    if path.suffix != ".toml" or not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", path.stem):
        raise BadInput(f"{path.name} is no name", "--output", "name it like my-vehicle.toml")
    text = skeleton(path.stem, cradle, parse_tape(split(readings)), kind)
    if path.exists():
        raise BadInput("exists already", str(path), "name a new file with --output")
    write_durably(path, text.encode())
    if as_json:
        print_json({"file": str(path)})
    else:
        say(f"{path}: change what you measured. 'atlas vehicle {path}' solves it; in the library's "
            f"vehicles folder it has the id {path.stem}.")  # fmt: skip
