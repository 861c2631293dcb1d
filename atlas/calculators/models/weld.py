"""What a seam carries, and what welding cost the alloy."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Bar, Figure
from atlas.mechanics.welds import (
    effective_length,
    fillet_per_length,
    long_joint,
    softened_width,
    throat,
)

# Proof and tensile strength of parent and softened zone: EN 1999-1-1:2007, Tables 3.2a, 3.2b;
# filler strength of fillets: Table 8.8 with 5xxx filler wire (from memory) [Pa].
ALLOYS: dict[str, tuple[float, float, float, float, float]] = {
    "6060-t5": (120e6, 160e6, 50e6, 80e6, 160e6),
    "6060-t6": (140e6, 170e6, 60e6, 100e6, 160e6),
    "6060-t66": (160e6, 215e6, 65e6, 110e6, 160e6),
    "6061-t6": (240e6, 260e6, 115e6, 175e6, 190e6),
    "6063-t6": (160e6, 195e6, 65e6, 110e6, 160e6),
    "6063-t66": (200e6, 245e6, 75e6, 130e6, 160e6),
    "6005a-t6": (215e6, 255e6, 115e6, 165e6, 180e6),
    "6005a-t6-open": (225e6, 270e6, 115e6, 165e6, 180e6),
    "6005a-t6-thick": (200e6, 250e6, 115e6, 165e6, 180e6),
    "6106-t6": (200e6, 250e6, 95e6, 160e6, 180e6),
    "6082-t5": (230e6, 270e6, 125e6, 185e6, 210e6),
    "6082-t6": (260e6, 310e6, 125e6, 185e6, 210e6),
    "5083-h12": (200e6, 280e6, 135e6, 270e6, 240e6),
    "5083-o": (110e6, 270e6, 110e6, 270e6, 240e6),
}
MODES = ("throat tears", "softened zone tears", "parent yields first")
PARTNERS = {
    "same": "the same metal and grade",
    "other-grade": "same metal, much stronger or softer grade",
    "other-metal": "another metal (steel to aluminium)",
}


def _evaluate(
    alloy: str,
    seam: str,
    process: str,
    partner: str,
    gauge: Any,
    leg: Any,
    length: Any,
    sides: Any,
    angle: Any,
    yield_strength: Any,
    tensile_strength: Any,
    steel_retained: Any,
    stir_factor: Any,
    load: Any,
    bolt_capacity: Any,
) -> dict[str, Any]:
    if np.any(leg > 3 * gauge):
        raise ValueError("leg must be at most three times the gauge: the sheet would burn through")
    if np.any(tensile_strength < yield_strength):
        raise ValueError("tensile_strength must be at least the yield_strength")
    if alloy == "steel":
        fo, fu = yield_strength, tensile_strength
        zone = fu * steel_retained
        # beta_w rises with the grade: EN 1993-1-8, Table 4.1 by tensile strength.
        beta = np.interp(fu / 1e6, [360, 430, 490, 520], [0.8, 0.85, 0.9, 1.0])
        fused = fillet_per_length(throat(leg), fu, beta, angle)
    else:
        fo, fu, _, zone, filler = (np.float64(v) for v in ALLOYS[alloy])
        fused = fillet_per_length(throat(leg), filler, 1.0, angle)
    if process == "friction-stir":
        zone = stir_factor * fu
    # Along the seam the zone shears, across it it pulls.
    turn = np.sqrt(np.cos(angle) ** 2 * 3 + np.sin(angle) ** 2)
    parent = gauge * fo / turn
    beside = gauge * zone / turn
    if seam == "butt":
        line = gauge * np.minimum(fu, zone) / turn if process == "friction-stir" else beside
        seams, counted = line, length
    else:
        seams = fused * sides
        counted = effective_length(length, throat(leg)) * long_joint(length, throat(leg))
        # Each seam of a lap has its own fusion line along the leg.
        beside = np.minimum(beside, sides * leg * zone / turn)
    weakest = np.minimum(seams, beside)
    capacity = weakest * counted
    mode = np.where(parent < weakest, 2, np.where(beside <= seams, 1, 0))
    reach = softened_width(gauge, "tig" if process == "tig" else "mig")
    return {
        "capacity": capacity, "per_length": weakest, "throat_per_length": seams, "zone_per_length": beside,
        "parent_per_length": parent, "zone_over_parent": zone / fu,
        "joint_over_parent": weakest / parent,
        "gauge_needed": gauge * np.maximum(fo / zone, 1.0),
        "length_needed": load / np.maximum(weakest, 1.0),
        "bolts_equal": capacity / bolt_capacity,
        "softened_width": reach if alloy != "steel" else 0.5 * reach,
        "utilisation": load / np.maximum(capacity, 1.0), "mode": mode,
    }  # fmt: skip


def _findings(s: Sampled) -> list[str]:
    mode = np.bincount(np.rint(s["mode"]).astype(int), minlength=3) / len(s["mode"])
    most = MODES[int(mode.argmax())]
    found = [
        f"The seam carries {s.span('capacity')} kN ({s.span('per_length')} kN/mm); {most}"
        + ("." if mode.max() > 0.97 else f" in {mode.max():.0%} of samples.")
    ]
    kept = s.median("zone_over_parent")
    if kept < 0.9:
        found.append(
            f"Welding leaves {kept:.0%} of the tensile strength within {s.median('softened_width'):.0f} mm of the seam: to "
            f"use the parent's yield the wall there must be {s.span('gauge_needed')} mm thick, or the seam moved to where "
            "stress is low."
        )
    found.append(
        f"{s.median('bolts_equal'):.1f} bolts of {float(np.median(s.inputs['bolt_capacity'])):.0f} kN would carry the same, and "
        "would come apart again."
    )
    if float(np.max(s.inputs["load"])) > 0:
        over = s.share(s["utilisation"] > 1)
        found.append(
            f"Under the load given it fails in {over:.0%} of samples; {s.span('length_needed')} mm of full seam are needed."
        )
    if s.inputs["partner"] == "other-metal":
        found.append(
            "Steel fuses with aluminium only into a brittle layer: these figures hold for the same metal on both sides, "
            "so expect bolts, rivets or adhesive. A fastened bar may also just arrive later on the line: look for a "
            "module boundary, access and bolt direction before taking the metal as the reason."
        )
    elif s.inputs["partner"] == "other-grade":
        found.append(
            "Between unlike grades the softer side and its zone decide, and hot-stamped steel softens beside a seam: a "
            "fastened joint would keep the strong side's grade. Later arrival would look the same: check for access."
        )
    return found


def _figure(s: Sampled) -> Figure:
    load = np.asarray(s.inputs["load"])
    need = float(np.median(load)) / max(float(np.median(s.inputs["length"])), 1.0)
    bars = []
    for name, label in (
        ("parent_per_length", "parent yields"), ("zone_per_length", "softened zone tears"), ("throat_per_length", "throat tears"),
    ):  # fmt: skip
        low, middle, high = (float(v) for v in np.percentile(s[name], (5, 50, 95)))
        bars.append(Bar(label, middle, low, high, need if need > 0 else None))
    return Figure(
        "What each millimetre of the joint stands", Axis("capacity", "kN/mm", low=0.0), Axis(""),
        bars=tuple(bars), note="The shortest bar decides; the gap to the top one is what welding cost.",
    )  # fmt: skip


CALCULATOR = Calculator(
    id="weld",
    title="Weld seam and softened zone",
    question="What does this seam carry, and what did welding cost the alloy?",
    inputs=(
        Choice("alloy", "steel", {"steel": "steel of the strengths given", **{k: f"EN AW-{k.upper()}" for k in ALLOYS}}, "metal of the weaker part"),
        Choice("seam", "fillet", {"fillet": "fillet on a lap or T", "butt": "butt seam through the wall"}, "kind of seam"),
        Choice("process", "mig", {"mig": "MIG or MAG, even scaly bead", "tig": "TIG, fine bead", "friction-stir": "friction stir: flat, ringed track with an exit hole"}, "how it was welded"),
        Choice("partner", "same", PARTNERS, "what it is welded to"),
        Number("gauge", "mm", "2.3..2.7", 0.5, 30, "thinner part"),
        Number("leg", "mm", "3..4", 1, 25, "leg of the fillet"),
        Number("length", "mm", "76..84", 8, 3000, "length of one seam"),
        Number("sides", "", "1", 1, 2, "seams that share the force: one or both sides", whole=True),
        Number("angle", "deg", "90", 0, 90, "force against the seam: 0 along, 90 across"),
        Number("yield_strength", "MPa", "340..420", 100, 1500, "yield strength (steel)"),
        Number("tensile_strength", "MPa", "440..500", 200, 1800, "tensile strength (steel)"),
        Number("steel_retained", "", "0.95..1", 0.4, 1, "tensile strength beside the seam over the parent's (steel); press-hardened 0.6"),
        Number("stir_factor", "", "0.65..0.8", 0.4, 1, "friction-stir joint over parent tensile strength (aluminium)"),
        Number("load", "kN", "0", 0, 3000, "force to hold it against; 0 for none"),
        Number("bolt_capacity", "kN", "30", 1, 300, "what one bolt would carry, for comparison"),
    ),
    outputs=(
        Output("capacity", "kN", "force that the seam stands"),
        Output("per_length", "kN/mm", "force a millimetre of joint"),
        Output("throat_per_length", "kN/mm", "of the throat"),
        Output("zone_per_length", "kN/mm", "of the softened zone beside it"),
        Output("parent_per_length", "kN/mm", "of the parent wall at yield"),
        Output("zone_over_parent", "", "tensile strength of the zone over the parent's"),
        Output("joint_over_parent", "", "joint over the parent wall's yield"),
        Output("gauge_needed", "mm", "wall that would let the joint use the parent's yield"),
        Output("length_needed", "mm", "seam that the load needs"),
        Output("bolts_equal", "", "bolts that would carry the same"),
        Output("softened_width", "mm", "reach of the softened zone from the seam"),
        Output("utilisation", "", "load over capacity"),
        Output("mode", "", "what gives way", labels=MODES),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="partial factors, fatigue (which usually decides in a cradle), porosity, start and end craters, residual stress, spot and laser seams",
    cautions=(
        "Welding near high-voltage parts, airbags or fuel lines is work for trained people under the maker's procedure.",
        "Grinding a seam open makes sparks and sharp edges: eyes and hands first.",
        "Screening only: no partial factors are applied.",
    ),
    sources=(
        "EN 1993-1-8:2005, 4.5.1, 4.5.3, 4.11 and Table 4.1",
        "EN 1999-1-1:2007, Tables 3.2a, 3.2b and 8.8, 6.1.6.3 (heat-affected zone)",
        "friction stir: ISO 25239-4 asks for 0.6 to 0.7 of the tensile strength in T6 alloys; joints reach 0.7 to 0.8 (from memory)",
    ),
    leading="leg",
    also={"material": "alloy", "thickness": "gauge", "size": "leg", "fy": "yield_strength", "fu": "tensile_strength",
          "force": "load", "fsw_factor": "stir_factor", "both_sides": "sides"},
)  # fmt: skip
