"""How much of a cross member a housing can replace."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Curve, Figure
from atlas.calculators.response import response, setting
from atlas.mechanics.braces import end_spring
from atlas.mechanics.housings import corner_spring, foot_joint, jointed_bending, sway
from atlas.mechanics.materials import DENSITY, ELASTIC_MODULUS
from atlas.mechanics.sections import box, round_tube

ROLES = {
    "instead": "housing in place of the cross member",
    "beside": "housing bolted to a cross member that stays",
}
METALS = ("steel", "aluminium", "magnesium", "cast iron")
MODES = ("housing holds the frame", "housing shares", "housing is a passenger")


def _evaluate(**v: Any) -> dict[str, Any]:
    e_frame, e_own = ELASTIC_MODULUS[v["frame_material"]], ELASTIC_MODULUS[v["housing_material"]]
    leg = box(v["leg_width"], v["leg_height"], v["leg_gauge"])
    member = box(v["member_width"], v["member_height"], v["member_gauge"])
    body = round_tube(v["housing_diameter"], v["housing_gauge"])
    # A housing is a tube with ribs, covers and cut-outs: one factor stands for them.
    bending = e_own * body.iz * v["rib_factor"]
    span, run = v["bay_width"], v["bay_length"]
    weld = end_spring(v["member_fixity"], e_frame * member.iz, span)
    joint = foot_joint(v["bolts"], v["bolt_stiffness"], v["bolt_spread"])
    by_member = corner_spring(e_frame * member.iz, span, weld)
    by_housing = corner_spring(bending, span, np.maximum(joint, 1e-3))
    legs = (e_frame * leg.iz, run)
    none = sway(*legs, 1e-3 + 0 * span, np.maximum(v["foot_fixity"], 1e-4))
    old = sway(*legs, by_member, v["foot_fixity"])
    new = sway(*legs, by_housing, v["foot_fixity"])
    both = sway(*legs, by_member + by_housing, v["foot_fixity"])
    instead = v["role"] == "instead"
    now = new if instead else both
    share = 1.0 + 0 * span if instead else by_housing / (by_member + by_housing)
    moment = now.corner_moment * share * v["side_force"]
    # Each foot holds its moment by the outermost bolts, and half of the push along the housing.
    n = np.maximum(v["bolts"], 2)
    worst = moment / v["bolt_spread"] * 6 * (n - 1) / (n * (n + 1))
    worst = np.hypot(np.where(v["bolts"] < 1.5, 0.0, worst), v["arm_force"] / v["bolts"])
    alone = e_frame * member.iz
    joined = jointed_bending(
        (e_frame * member.area, e_frame * member.iz), (e_own * body.area, bending),
        v["offset"], span, v["pitch"], v["bolt_stiffness"],
    )  # fmt: skip
    bent = bending if instead else joined
    member_mass = member.area * span * DENSITY[v["frame_material"]]
    lost = old.stiffness - none.stiffness
    kept = (now.stiffness - none.stiffness) / lost
    return {
        "racking_open": none.stiffness, "racking_member": old.stiffness, "racking_now": now.stiffness,
        "replaced": kept, "racking_ratio": now.stiffness / old.stiffness,
        "bending_member": 48 * alone / span**3, "bending_now": 48 * bent / span**3,
        "bending_ratio": bent / alone, "joint_moment": moment, "bolt_force": worst,
        "slip_margin": v["bolt_slip"] / worst, "joint_part": 1 - by_housing / corner_spring(bending, span, np.inf),
        "mass_saved": member_mass * instead - v["foot_mass"],
        "mode": np.where(kept > 0.8, 0, np.where(kept > 0.3, 1, 2)) if instead
        else np.where(share > 0.5, 0, np.where(share > 0.1, 1, 2)),
    }  # fmt: skip


def _findings(s: Sampled) -> list[str]:
    instead = s.inputs["role"] == "instead"
    kept = s.median("replaced")
    found = []
    if instead:
        found.append(
            f"The housing gives back {kept:.0%} of what the cross member added to racking, now {s.span('racking_now')} kN/mm after {s.span('racking_member')}: "
            + ("it can stand in for the member." if kept > 0.8 else ("it carries, yet something else must help." if kept > 0.3 else "it cannot replace the member; look for another part that closes the frame."))
        )  # fmt: skip
    else:
        found.append(
            f"With the housing bolted on, racking is {s.span('racking_ratio')} and bending {s.span('bending_ratio')} times that of the member alone: "
            + ("part of the structure." if s.median("racking_ratio") > 1.15 or s.median("bending_ratio") > 1.3 else "a passenger on the member.")
        )  # fmt: skip
    part = s.median("joint_part")
    if part > 0.3:
        found.append(
            f"Its feet lose {part:.0%} of the housing's own stiffness: bolts farther apart buy more than a stiffer casting."
        )
    slips = s.share(s["slip_margin"] < 1)
    found.append(
        f"The worst bolt sees {s.span('bolt_force')} kN against {float(np.median(s.inputs['bolt_slip'])):.3g} kN at which it slides"
        + (f": it slides in {slips:.0%} of samples, the frame then loosens and creaks; dowels or knurls are a sign of such a joint." if slips > 0.005 else ": it holds by friction.")
    )  # fmt: skip
    saved = s.median("mass_saved")
    if instead and saved > 0:
        found.append(f"Deleting the member saves {s.span('mass_saved')} kg after the heavier feet.")
    elif instead:
        found.append("No mass is saved: the feet weigh as much as the member did.")
    return found


def _figure(s: Sampled) -> Figure:
    curve = response(
        CALCULATOR, s, "bolt_spread", "racking_now", span=(10.0, 250.0), title="with the housing"
    )
    lines = [curve]
    for name, key in (("cross member only", "racking_member"), ("neither", "racking_open")):
        value = s.median(key)
        lines.append(Curve(name, np.array([10.0, 250.0]), np.array([value, value]), style="other"))
    return Figure(
        "Racking stiffness against bolt spread of the feet",
        Axis("between the outer bolts of a foot", "mm"),
        Axis("racking stiffness", "kN/mm", low=0.0),
        curves=tuple(lines),
        points=(setting(s, "bolt_spread", "racking_now"),),
        note="Where the curve meets the line, the housing replaces the member.",
    )


CALCULATOR = Calculator(
    id="housing-beam",
    title="Housing as a cross member",
    question="How much of a cross member can the steering housing replace?",
    inputs=(
        Choice("role", "instead", ROLES, "what the housing does"),
        Choice("frame_material", "steel", {n: n for n in METALS}, "metal of legs and cross member"),
        Choice("housing_material", "aluminium", {n: n for n in METALS}, "metal of the housing"),
        Number("bay_width", "mm", "780..820", 100, 2500, "between the legs"),
        Number("bay_length", "mm", "380..420", 50, 2500, "legs, from their mounts to the cross member"),
        Number("leg_width", "mm", "60", 8, 300, "leg, across the vehicle"),
        Number("leg_height", "mm", "70", 8, 300, "leg, upright"),
        Number("leg_gauge", "mm", "2.3..2.7", 0.5, 30, "leg wall"),
        Number("foot_fixity", "", "0.2..0.5", 0, 1, "legs' ends on the body in plan: 0 one bolt, 0.5 two, 1 clamped"),
        Number("member_width", "mm", "50", 8, 300, "cross member fore and aft (the one deleted, or kept)"),
        Number("member_height", "mm", "60", 8, 300, "cross member, upright"),
        Number("member_gauge", "mm", "1.9..2.2", 0.5, 30, "cross member's wall"),
        Number("member_fixity", "", "0.7..0.95", 0, 1, "cross member's ends: 0 hinge, 0.8 usual weldment, 1 rigid"),
        Number("housing_diameter", "mm", "58..64", 10, 400, "housing's tube, outside"),
        Number("housing_gauge", "mm", "4..5", 1, 60, "housing's wall"),
        Number("rib_factor", "", "0.9..1.4", 0.1, 10, "stiffness with ribs, bosses and cut-outs over the plain tube"),
        Number("bolts", "", "2", 1, 8, "bolts in each foot", whole=True),
        Number("bolt_spread", "mm", "70..90", 5, 600, "between the outermost bolts of a foot"),
        Number("bolt_stiffness", "kN/mm", "40..100", 0.1, 10000, "one bolt in shear with the metal round it: sheet 20, thick casting 100; rubber 1"),
        Number("bolt_slip", "kN", "8..12", 0.1, 500, "force at which one bolt slides (see bolted-joint)"),
        Number("offset", "mm", "50..60", 0, 400, "housing's axis from the member's (beside)"),
        Number("pitch", "mm", "250..350", 10, 2500, "bolts along the member (beside)"),
        Number("side_force", "kN", "4..7", 0, 300, "side force that racks the frame: cornering"),
        Number("arm_force", "kN", "5..9", 0, 300, "rack or arm force along the housing"),
        Number("foot_mass", "kg", "0.3..0.6", 0, 20, "extra mass of stronger feet and bolts"),
    ),
    outputs=(
        Output("replaced", "", "part of the member's contribution to racking that is there now"),
        Output("racking_open", "kN/mm", "racking stiffness with neither"),
        Output("racking_member", "kN/mm", "with the cross member only"),
        Output("racking_now", "kN/mm", "with the housing in its role"),
        Output("racking_ratio", "", "now over cross member only"),
        Output("bending_member", "kN/mm", "cross member in fore-aft bending, centre load on simple supports"),
        Output("bending_now", "kN/mm", "the same now"),
        Output("bending_ratio", "", "now over cross member only"),
        Output("joint_moment", "kN m", "moment that a foot of the housing carries"),
        Output("bolt_force", "kN", "shear on the worst bolt of a foot"),
        Output("slip_margin", "", "force at which a bolt slides over that"),
        Output("joint_part", "", "part of the housing's own stiffness that its feet lose"),
        Output("mass_saved", "kg", "member deleted less stronger feet"),
        Output("mode", "", "what the housing is", labels=MODES),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="stretching of legs and cross parts, out-of-plane action, clearance and friction in the feet, fatigue of castings, effect of frame twist on the steering",
    cautions=(
        "Steering: never loosen or refit a housing on a vehicle to be driven except by the workshop manual.",
        "Prop the cradle before a housing that closes it comes out: legs may spring.",
    ),
    sources=(
        "slope deflection with end springs: McGuire, Gallagher, Ziemian, Matrix Structural Analysis, 2nd ed.",
        "bolted composite: EN 1995-1-1:2004, Annex B; bolt group: EN 1993-1-8:2005, 3.12",
        "stiffness of bolts in sheet and casting: common practice, no source",
    ),
    leading="bolt_spread",
    also={"width": "bay_width", "length": "bay_length", "diameter": "housing_diameter",
          "gauge": "housing_gauge", "spread": "bolt_spread", "spacing": "bolt_spread"},
)  # fmt: skip
