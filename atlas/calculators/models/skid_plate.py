"""Whether a plate takes a ground strike, or is only a cover."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Curve, Figure
from atlas.calculators.response import response, setting
from atlas.mechanics.materials import DENSITY, ELASTIC_MODULUS
from atlas.mechanics.plates import dished, hinge_load, punch_load, struck_plate, tear_travel

MATERIALS = {
    "steel": "steel",
    "aluminium": "aluminium",
    "polyamide-GF": "glass-filled polyamide",
    "polypropylene": "polypropylene",
    "CFRP": "carbon laminate",
}
STATES = (
    "springs back",
    "dents, part above stays clear",
    "touches the part above",
    "is pierced or tears",
)


def _evaluate(
    material: str,
    edges: str,
    long_side: Any,
    short_side: Any,
    gauge: Any,
    yield_strength: Any,
    tensile_strength: Any,
    elongation: Any,
    force: Any,
    stone: Any,
    clearance: Any,
    strike_energy: Any,
) -> dict[str, Any]:
    if np.any(tensile_strength < yield_strength):
        raise ValueError("tensile_strength must be at least the yield_strength")
    if np.any(long_side < short_side):
        raise ValueError("long_side must be at least the short_side")
    if np.any(stone > 0.95 * short_side):
        raise ValueError("stone must be smaller than the short_side")
    if np.any(gauge > short_side / 8):
        raise ValueError("gauge must be at most an eighth of the short_side for thin-plate theory")
    radius = stone / 2
    modulus = ELASTIC_MODULUS[material]
    stress, linear = struck_plate(long_side, short_side, gauge, modulus, force, radius, edges)
    folds = hinge_load(gauge, yield_strength, edges)
    first = force * yield_strength / np.maximum(stress, 1.0)
    flow = (yield_strength + tensile_strength) / 2
    # Past the hinges the plate hangs as a membrane between patch and rim: P = P_f + 2 pi N w / ln.
    hang = 2 * np.pi * flow * gauge / np.log(np.maximum(short_side / 2 / radius, 1.2))
    spring = dished(linear, gauge, edges)
    at_fold = dished(linear * folds / np.maximum(force, 1.0), gauge, edges)
    travel = np.where(
        force <= folds,
        spring,
        np.maximum(at_fold + (force - folds) / hang, spring),
    )
    pierced = punch_load(radius, gauge, tensile_strength)
    tears = tear_travel(short_side, radius, elongation)
    free = np.minimum(clearance, tears)
    room = np.maximum(free - at_fold, 0.0)
    to_gap = 0.5 * folds * np.minimum(at_fold, free) + folds * room + 0.5 * hang * room**2
    state = np.where(force <= first, 0, 1)
    state = np.where(travel > clearance, 2, state)
    state = np.where((force > pierced) | (travel > tears), 3, state)
    return {
        "deflection": travel, "clearance_left": clearance - travel,
        "stress": stress, "utilisation": stress / yield_strength, "first_yield": first,
        "hinge_load": folds, "pierce_load": np.minimum(pierced, folds + hang * np.maximum(tears - at_fold, 0.0)), "tear_deflection": tears, "contact_load": np.minimum(folds + hang * room, pierced),
        "energy_to_contact": to_gap, "energy_margin": to_gap / np.maximum(strike_energy, 1e-3),
        "mass": long_side * short_side * gauge * DENSITY[material], "state": state,
    }  # fmt: skip


def _findings(s: Sampled) -> list[str]:
    touches = s.share(s["clearance_left"] < 0)
    short = s.share(s["energy_margin"] < 1)
    counts = np.bincount(np.rint(s["state"]).astype(int), minlength=4) / len(s["state"])
    found = []
    if counts[3] > 0.05:
        found.append(
            f"In {counts[3]:.0%} of samples the stone goes through: it is pierced, or tears, at {s.span('pierce_load')} kN."
        )
    if touches > 0.5:
        found.append(
            f"Only a cover: under this force it bulges {s.span('deflection')} mm and touches the part above in {touches:.0%} of "
            f"samples; it carries {s.span('contact_load')} kN before that."
        )
    elif counts[0] > 0.5:
        found.append(
            f"It takes the strike and springs back, {s.span('clearance_left')} mm still free: built as a skid plate."
        )
    else:
        found.append(
            f"It takes the strike with a dent and keeps {s.span('clearance_left')} mm free"
            + (f"; touches in {touches:.0%} of samples." if touches > 0.02 else ".")
        )
    if short > 0.05:
        found.append(
            f"A blow of the energy given reaches the part above in {short:.0%} of samples: it swallows {s.span('energy_to_contact')} J."
        )
    else:
        found.append(
            f"It swallows {s.span('energy_to_contact')} J before anything above is touched."
        )
    if s.median("first_yield") < 0.25 * s.median("contact_load"):
        found.append(
            f"It marks early: the first dent comes at {s.span('first_yield')} kN, so old dents tell little about its strength."
        )
    return found


def _figure(s: Sampled) -> Figure:
    top = 1.6 * float(np.max(np.asarray(s.inputs["force"])))
    curve = response(
        CALCULATOR, s, "force", "deflection", span=(0.0, min(top, 200.0)), title="bulge"
    )
    gap = float(np.median(np.asarray(s.inputs["clearance"])))
    return Figure(
        "Bulge against the force on the stone", Axis("force", "kN", low=0.0), Axis("bulge", "mm", low=0.0),
        curves=(curve, Curve("part above", curve.x[[0, -1]], np.full(2, gap), style="limit")),
        points=(setting(s, "force", "deflection"),),
        note="Where the bulge meets the line, the plate hands the blow on.",
    )  # fmt: skip


CALCULATOR = Calculator(
    id="skid-plate",
    title="Skid plate or cover",
    question="Can this plate take a ground strike, or is it only a cover?",
    inputs=(
        Choice("material", "steel", MATERIALS, "what it is made of"),
        Choice("edges", "supported", {"supported": "few bolts, edge may turn", "clamped": "close bolts or bent-up edge on a stiff frame"}, "how its edge is held"),
        Number("long_side", "mm", "580..620", 50, 2500, "longer distance between the bolt rows or beads"),
        Number("short_side", "mm", "380..420", 40, 2500, "shorter distance between them"),
        Number("gauge", "mm", "2.3..2.7", 0.3, 20, "thickness"),
        Number("yield_strength", "MPa", "260..340", 5, 1500, "yield strength; polymers 40 to 120"),
        Number("tensile_strength", "MPa", "360..440", 8, 1800, "tensile strength"),
        Number("elongation", "", "0.12..0.25", 0.005, 2, "elongation at break: steel 0.2, hard aluminium 0.1, filled polymer 0.03"),
        Number("force", "kN", "6..12", 0.01, 200, "force on the stone or kerb: a share of the front axle's load"),
        Number("stone", "mm", "40..80", 5, 300, "diameter of the patch that is struck"),
        Number("clearance", "mm", "20..30", 0.5, 300, "free height to the part that it guards"),
        Number("strike_energy", "J", "80..200", 0.1, 20000, "energy of the blow, across the plate"),
    ),
    outputs=(
        Output("deflection", "mm", "bulge under the force"),
        Output("clearance_left", "mm", "free height left; negative where it touches"),
        Output("stress", "MPa", "elastic stress under the patch or at the edge"),
        Output("utilisation", "", "that stress over yield"),
        Output("first_yield", "kN", "force of the first dent"),
        Output("hinge_load", "kN", "force at which it folds"),
        Output("pierce_load", "kN", "force at which the stone goes through or the plate tears"),
        Output("tear_deflection", "mm", "bulge at which it tears beside the stone"),
        Output("contact_load", "kN", "force at which it touches the part above, or is pierced"),
        Output("energy_to_contact", "J", "energy that it swallows until it touches or tears"),
        Output("energy_margin", "", "that over the blow's energy"),
        Output("mass", "kg", "mass of the plate"),
        Output("state", "", "what the strike does", labels=STATES),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="beads and flanges (they stiffen it), bolts that pull through, holes, strikes off the centre, sliding along the ground, tearing, aged or cold polymer",
    cautions=(
        "Never jack or support a car on a plate: use the jacking points.",
        "A struck plate under a battery is a high-voltage matter: do not drive, lift or open it without trained people.",
    ),
    sources=(
        "Roark's Formulas for Stress and Strain, Table 11.4, cases 1b and 8b",
        "S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., Table 82 (dishing; from memory)",
        "K. W. Johansen, yield lines (from memory); EN 1993-1-8:2005, Table 3.4 (punching)",
    ),
    leading="force",
    also={"length": "long_side", "width": "short_side", "thickness": "gauge", "load": "force", "gap": "clearance",
          "patch": "stone", "energy": "strike_energy", "fixity": "edges", "fy": "yield_strength", "fu": "tensile_strength"},
)  # fmt: skip
