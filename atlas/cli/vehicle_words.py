"""A vehicle's results as documents and as table rows, for ``atlas vehicle``."""

from typing import Any

import numpy as np

from atlas.calculators.declare import figures
from atlas.vehicles.carrying import Carried, Sweep
from atlas.vehicles.worth import LOST, Worth

LOST_WORDS = "load path lost"


def span(values: Any, factor: float, unit: str) -> dict[str, Any]:
    """Median and 5 to 95 % of samples."""
    low, middle, high = (float(v) * factor for v in np.percentile(values, (5, 50, 95)))
    return {"value": middle, "unit": unit, "low": low, "high": high}


def results(carried: Carried) -> dict[str, dict[str, Any]]:
    """A load case's figures by name."""
    spacing, shift = carried.rails()
    torque = carried.case.size.by == "torque"
    found = {
        "load": span(carried.placed.size, 1e-3, "kN m" if torque else "kN"),
        "movement": span(carried.movement, 1e3, "mm"),
        "stiffness": span(carried.stiffness, 1e-6, "kN m/mm" if torque else "kN/mm"),
        "peak_use": span(carried.peak, 1.0, ""),
        "rail_spacing_growth": span(spacing, 1e3, "mm"),
        "rail_fore_aft_shift": span(shift, 1e3, "mm"),
    }
    bar = carried.bar()
    if bar is not None:
        found["front_bar_force"] = span(bar, 1e-3, "kN")
    return found


def most_used(carried: Carried, count: int = 6) -> list[dict[str, Any]]:
    """The members nearest to their elastic limit."""
    use = np.median(carried.use, axis=0)
    names = carried.framed.member_names
    members = carried.framed.vehicle.members
    return [
        {"member": names[i], "use": float(use[i]), "patterns": list(members[names[i]].patterns)}
        for i in np.argsort(-use)[:count]
    ]


def solved(carried: Carried) -> dict[str, Any]:
    """One load case as a document."""
    return {
        "results": results(carried),
        "stands": [spot.words for spot in carried.placed.stands],
        "notes": list(carried.placed.notes),
        "mounts": {
            name: span(np.linalg.norm(force, axis=-1), 1e-3, "kN")
            for name, force in carried.mounts().items()
        },
        "used": most_used(carried),
        "leaves_out": carried.case.leaves_out,
    }


def worth(row: Worth) -> dict[str, Any]:
    """What goes with a pattern, as a document."""
    return {
        "pattern": row.pattern,
        "goes_with": list(row.along),
        "members": list(row.members),
        "mass": span(row.mass, 1.0, "kg"),
        "fault": row.fault,
    }


def gained(row: Worth, case: str) -> dict[str, Any]:
    """What a pattern buys in one load case; no factor where the load path is lost or moved."""
    gain = row.gains.get(case)
    if gain is None:
        return {}
    document: dict[str, Any] = {
        "peak_use": span(gain.peak, 1.0, ""),
        "peak_use_without": span(gain.peak_without, 1.0, ""),
        "load_path": "moved" if not gain.comparable else "lost" if gain.lost else "kept",
        "comparable": gain.comparable,
        "notes": [*gain.notes, *([_lost()] if gain.lost else [])],
    }
    if gain.comparable and not gain.lost:
        unit = "kN m/mm/kg" if gain.torque else "kN/mm/kg"
        document["stiffness_ratio"] = span(gain.ratio, 1.0, "")
        if float(np.median(row.mass)) > 0:
            document["per_kilogram"] = span(row.per_kilogram(case), 1e-6, unit)
    return document


def _lost() -> str:
    return (
        f"{LOST_WORDS}: at the same movement the rest takes less than a "
        f"{LOST:.0f}th of it, so a factor would say nothing"
    )


WORTH_HEAD = ("pattern", "kg", "with/without", "more per kg", "peak use", "without")


def worth_words(row: Worth, case: str) -> tuple[str, ...]:
    """A pattern's row in the table of one load case: stiffness and peak use."""
    mass = f"{float(np.median(row.mass)):.1f}"
    gain = row.gains.get(case)
    if gain is None:
        return row.pattern, mass, cell(row, case), "", "", ""
    each = gained(row, case).get("per_kilogram")
    bought = f"{figures(each['value'], 2)} {each['unit'].removesuffix('/kg')}" if each else ""
    peak, bare = (f"{float(np.median(v)):.2f}" for v in (gain.peak, gain.peak_without))
    return row.pattern, mass, cell(row, case), bought, peak, bare


def worth_notes(row: Worth, case: str) -> list[str]:
    """What a reader should know of a row, in sentences."""
    along = [f"goes together with {', '.join(row.along)}"] if row.along else []
    if row.fault:
        return [*along, row.fault]
    return along + list(gained(row, case).get("notes", []))


def cell(row: Worth, case: str) -> str:
    """Stiffness with over without, or why there is no such figure."""
    gain = row.gains.get(case)
    if gain is None:
        return "mechanism" if "mechanism" in row.fault else "no foothold"
    if not gain.comparable:
        return "load moved"
    return LOST_WORDS if gain.lost else f"{float(np.median(gain.ratio)):.2f}"


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
    """Head and rows of the sign map: P pushed, T pulled, with the force."""
    head = ("mm out", "of width", "stands on", *(f"{angle:g} deg" for angle in one.angles))
    values = one.bar if bar else one.aside * 1e6
    rows = []
    for index, stands in enumerate(one.stands):
        cells = [_signed(float(v) * 1e-3, bool(bar)) for v in values[index]] if stands else (
            ["passes by"] + [""] * (len(one.angles) - 1)
        )  # fmt: skip
        place = (f"{one.out[index]:.0f}", f"{one.positions[index]:.0%}", stands or "nothing")
        rows.append((*place, *cells))
    return head, rows


def _signed(value: float, force: bool) -> str:
    if not force:
        return f"{figures(value, 2)} mm"
    if abs(value) < 0.05:
        return "0 kN"
    return f"{'pulled' if value > 0 else 'pushed'} {figures(abs(value), 2)} kN"
