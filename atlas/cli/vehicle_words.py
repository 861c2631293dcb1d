"""A vehicle's results as documents and as table rows, for ``atlas vehicle``."""

from collections.abc import Sequence
from typing import Any

from atlas.calculators.declare import figures
from atlas.cli.common import quantity
from atlas.vehicles.carrying import Carried, Sweep
from atlas.vehicles.figures import bought, mount_forces, results_of
from atlas.vehicles.figures import quantity as figure
from atlas.vehicles.worth import Worth

# Names in the document -> names on screens and in reports.
_RESULTS = {
    "load": "load",
    "movement": "movement",
    "stiffness": "stiffness",
    "peak_use": "peak use",
    "rail_spacing_growth": "rails apart",
    "rail_fore_aft_shift": "left rail back",
    "front_bar_force": "front bar",
}


def taken(without: Sequence[str]) -> str:
    """What was taken away, as the end of a title."""
    return f", without {', '.join(without)}" if without else ""


def results(carried: Carried) -> dict[str, dict[str, Any]]:
    """A load case's figures by name."""
    found = results_of(carried)
    return {name: quantity(found[own]) for name, own in _RESULTS.items() if own in found}


def most_used(carried: Carried, count: int = 6) -> list[dict[str, Any]]:
    """The members nearest to their elastic limit."""
    members = carried.framed.vehicle.members
    return [
        {"member": name, "use": use, "patterns": list(members[name].patterns)}
        for name, use in list(carried.uses.items())[:count]
    ]


def solved(carried: Carried) -> dict[str, Any]:
    """One load case as a document."""
    return {
        "results": results(carried),
        "stands": [spot.words for spot in carried.placed.stands],
        "notes": list(carried.notes),
        "mounts": {name: quantity(force) for name, force in mount_forces(carried).items()},
        "used": most_used(carried),
        "leaves_out": carried.case.leaves_out,
    }


def worth(row: Worth) -> dict[str, Any]:
    """What goes when a pattern is taken away, as a document."""
    return {
        "pattern": row.pattern,
        "goes_with": list(row.along),
        "members": list(row.members),
        "mass": quantity(figure(row.mass, 1.0, "kg")),
        "fault": row.fault,
    }


def gained(row: Worth, case: str) -> dict[str, Any]:
    """What a pattern buys in one load case; no factor where the load path is lost or moved."""
    one = bought(row, case)
    if one.peak is None or one.peak_without is None:
        return {}
    document: dict[str, Any] = {
        "peak_use": quantity(one.peak),
        "peak_use_without": quantity(one.peak_without),
        "load_path": one.state,
        "comparable": one.state != "moved",
        "notes": list(one.notes),
    }
    if one.ratio is not None:
        document["stiffness_ratio"] = quantity(one.ratio)
    if one.per_kilogram is not None:
        document["per_kilogram"] = quantity(one.per_kilogram)
    return document


WORTH_HEAD = ("pattern", "kg", "with/without", "more per kg", "peak use", "without")


def worth_words(row: Worth, case: str) -> tuple[str, ...]:
    """A pattern's row in the table of one load case: stiffness and peak use."""
    one = bought(row, case)
    each = one.per_kilogram
    more = f"{figures(float(each.value), 2)} {each.unit.removesuffix('/kg')}" if each else ""
    peaks = [f"{float(p.value):.2f}" if p else "" for p in (one.peak, one.peak_without)]
    return row.pattern, f"{float(one.mass.value):.1f}", cell(row, case), more, *peaks


def worth_notes(row: Worth, case: str) -> list[str]:
    """What a reader should know of a row, in sentences."""
    return belongs(row) + list(bought(row, case).notes)


def belongs(row: Worth) -> list[str]:
    """That what goes with a pattern is also part of others, where it is."""
    return [f"what goes belongs to {', '.join(row.along)} as well"] if row.along else []


def cell(row: Worth, case: str) -> str:
    """Stiffness with over without, or why there is no such figure."""
    one = bought(row, case)
    if one.ratio is not None:
        return f"{float(one.ratio.value):.2f}"
    return {"moved": "load moved", "lost": "load path lost"}.get(one.state, one.state)


def swept(one: Sweep, bar: str) -> dict[str, Any]:
    """A sweep as a document; ``front_bar`` is what the force is in, pull positive."""
    rows = []
    for index, stands in enumerate(one.stands):
        row: dict[str, Any] = {
            "share_of_width": one.positions[index], "out_mm": one.out[index], "stands": stands,
        }  # fmt: skip
        if stands:
            row |= {
                "front_bar_kn": [float(v) * 1e-3 for v in one.bar[index]],
                "rails_mm": [float(v) * 1e3 for v in one.spread[index]],
                "aside_mm": [float(v) * 1e3 for v in one.aside[index]],
            }
        rows.append(row)
    return {"front_bar": bar, "angles_deg": list(one.angles), "rows": rows}


def sweep_rows(one: Sweep, bar: str) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Head and rows of the sign map: pull or push in the bar [kN], else the way inboard [mm]."""
    head = ("mm out", "stands on", *(f"{angle:g} deg" for angle in one.angles))
    values = one.bar * 1e-3 if bar else one.aside * 1e3
    rows = []
    for index, stands in enumerate(one.stands):
        cells = ["passes by", *[""] * (len(one.angles) - 1)]
        if stands:
            cells = [_signed(float(v), bool(bar)) for v in values[index]]
        rows.append((f"{one.out[index]:.0f}", stands or "nothing", *cells))
    return head, rows


def _signed(value: float, force: bool) -> str:
    if not force:
        return figures(value, 2)
    if abs(value) < 0.05:
        return "0"
    return f"{'pull' if value > 0 else 'push'} {figures(abs(value), 2)}"
