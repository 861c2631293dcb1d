"""What a brace adds to an open frame against racking."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled, figures
from atlas.calculators.figure import Axis, Curve, Figure
from atlas.calculators.response import response, setting
from atlas.calculators.shapes import section_of
from atlas.mechanics.braces import bay, diagonals, panel, panel_buckling, rack
from atlas.mechanics.columns import reduction
from atlas.mechanics.materials import DENSITY, ELASTIC_MODULUS, POISSON, STRUCTURAL, shear_modulus
from atlas.mechanics.sections import box

FORMS = {
    "x-plate": "two arms that cross and are joined there: half the free length when pushed",
    "x-straps": "two separate arms, corner to corner",
    "v": "two arms from the corners to one foot midway on the body",
    "panel": "sheet fastened all round",
}
ARMS = {
    "flat": "flat bar or sheet arm: arm_width by gauge",
    "flanged": "arm with turned edges arm_height high",
    "round-tube": "round tube: arm_width is the diameter",
    "box": "rectangular tube: arm_width by arm_height",
}
ACTION = {
    "by-load": "a pushed arm drops out once the side force makes it buckle",
    "tension-only": "only the pulled arm is counted (slotted or slack straps)",
    "both-ways": "both arms are counted",
}
LIMITS = ("pushed arm buckles", "arm yields", "sheet buckles", "sheet yields")


def _evaluate(
    form: str,
    arm: str,
    action: str,
    leg_material: str,
    material: str,
    bay_width: Any,
    bay_length: Any,
    leg_width: Any,
    leg_height: Any,
    leg_gauge: Any,
    cross_ratio: Any,
    corner_fixity: Any,
    mount_fixity: Any,
    mount_stiffness: Any,
    arm_width: Any,
    arm_height: Any,
    gauge: Any,
    foot_stiffness: Any,
    pitch: Any,
    feet_mass: Any,
    yield_strength: Any,
    load: Any,
) -> dict[str, Any]:
    leg = box(leg_width, leg_height, leg_gauge)
    e = ELASTIC_MODULUS[leg_material]
    frame = bay(
        bay_width, bay_length, e * leg.area, e * leg.iz, cross_ratio, corner_fixity,
        mount_fixity, mount_stiffness,
    )  # fmt: skip
    metal, rho = ELASTIC_MODULUS[material], DENSITY[material]
    if form == "panel":
        brace = panel(frame, shear_modulus(material), gauge, pitch, foot_stiffness)
        bare, (braced,) = rack(frame, brace)
        force = braced.forces[:, 0]
        critical = panel_buckling(bay_width, bay_length, gauge, metal, POISSON[material])
        buckling = critical * gauge * bay_width
        strength = yield_strength / np.sqrt(3) * gauge * bay_width
        mass = bay_width * bay_length * gauge * rho + feet_mass
        limit = np.minimum(buckling, strength) / force
        mode = np.where(buckling < strength, 2, 3)
        return {
            **_common(bare, braced, force, mass, load),
            "arm_force": force * load, "buckling_load": buckling, "yield_load": strength,
            "limit": limit, "slack_share": (load > limit) * 1.0, "mode": mode,
            "foot_part": 1 - bay_length / (shear_modulus(material) * gauge * bay_width) / brace.give[:, 0, 0],
        }  # fmt: skip
    section = _arm(arm, arm_width, arm_height, gauge)
    brace = diagonals(frame, metal * section.area, foot_stiffness, form == "v")
    half = bay_width / 2 if form == "v" else bay_width
    length = np.hypot(half, bay_length)
    # A side force to the left pulls the arm at the left corner and pushes the other.
    bare, (both, single) = rack(frame, brace, ((True, True), (True, False)))
    free = length / 2 if form == "x-plate" else length
    squash = section.area * yield_strength
    weak = np.minimum(section.iy, section.iz)
    slenderness = free / np.pi * np.sqrt(squash / (metal * weak))
    buckling = squash * reduction(np.minimum(slenderness, 30), "c")
    drops = buckling / np.maximum(-both.forces[:, 1], 1e-30)
    slack = {"tension-only": np.full(len(drops), True), "both-ways": np.zeros(len(drops), bool)}
    alone = slack.get(action, load > drops)
    forces = np.where(alone[:, None], single.forces, both.forces)
    chosen = type(both)(np.where(alone, single.give, both.give), forces)
    pulled = np.maximum(forces[:, 0], 1e-30)
    limit = np.where(alone, squash / pulled, np.minimum(drops, squash / pulled))
    across = np.abs(brace.pattern.sum(axis=2)[:, :, 1])
    share = np.sum(np.abs(forces) * across, axis=1)
    mass = 2 * length * section.area * rho + feet_mass
    own = brace.give[:, 0, 0]
    return {
        **_common(bare, chosen, share, mass, load),
        "arm_force": pulled * load, "buckling_load": buckling, "yield_load": squash,
        "limit": limit, "slack_share": alone * 1.0,
        "mode": np.where(~alone & (drops < squash / pulled), 0, 1),
        "foot_part": 1 - length / (metal * section.area) / own,
    }  # fmt: skip


def _arm(arm: str, width: Any, height: Any, gauge: Any) -> Any:
    if arm == "flat":
        return section_of("flat", width, gauge, gauge)
    if arm == "flanged":  # a channel on its back: the arm is its web, the turned edges its flanges
        return section_of("channel", height, width, gauge)
    return section_of(arm, width, height, gauge)


def _common(bare: Any, braced: Any, share: Any, mass: Any, load: Any) -> dict[str, Any]:
    before, after = 1 / bare, 1 / braced.give
    return {
        "stiffness_without": before, "stiffness_with": after, "gain": after / before,
        "gain_per_kilogram": (after - before) / mass, "load_share": share, "mass": mass,
        "shift": load * braced.give, "shift_without": load * bare,
    }  # fmt: skip


def _findings(s: Sampled) -> list[str]:
    panel_ = s.inputs["form"] == "panel"
    what = "sheet" if panel_ else "brace"
    gain, share = s.median("gain"), s.median("load_share")
    verdict = (
        "it is a brace"
        if gain > 1.3
        else "it hardly braces: look for another purpose (shield, skid, bracket)"
    )
    found = [
        f"Sideways {s.span('gain')} times as stiff with the {what}: from {s.span('stiffness_without')} to "
        f"{s.span('stiffness_with')} kN/mm, {s.span('gain_per_kilogram')} kN/mm for each kilogram; {verdict}."
    ]
    found.append(
        f"It takes {share:.0%} of the side force; "
        + ("undone bolts would show at once as sideways give." if share > 0.6 else "the legs still do most of it.")
    )  # fmt: skip
    slack = s.share(s["slack_share"] > 0.5)
    load = float(np.median(s.inputs["load"]))
    if panel_:
        found.append(
            f"The sheet {'buckles' if s.share(s['mode'] == 2) > 0.5 else 'yields'} first, at a side force of {s.span('limit')} kN"
            + (f"; at {figures(load)} kN it has buckled in {slack:.0%} of samples and keeps only part of this stiffness." if slack > 0 else ".")
        )  # fmt: skip
    elif s.inputs["action"] == "tension-only":
        found.append(
            f"Only the pulled arm counts; it yields at a side force of {s.span('limit')} kN."
        )
    else:
        buckles = s.share(s["buckling_load"] < 0.98 * s["yield_load"])
        found.append(
            f"A pushed arm carries {s.span('buckling_load')} kN and a pulled one {s.span('yield_load')} kN: "
            f"it buckles before it yields in {buckles:.0%} of samples."
        )
        if slack > 0:
            found.append(
                f"At {figures(load)} kN the pushed arm has gone slack in {slack:.0%} of samples, which leaves one arm at work there."
            )
    feet = s.median("foot_part")
    if feet > 0.4:
        found.append(
            f"{feet:.0%} of the {what}'s own give lies in its fastenings: stiffer feet buy more than thicker metal."
        )
    soft = float(np.median(s.inputs["mount_stiffness"]))
    if soft < 5 and gain > 1.3:
        found.append(
            f"Mounts of {figures(soft)} kN/mm are rubber: the {what} passes them by and lets road noise through."
        )
    return found


def _figure(s: Sampled) -> Figure:
    span = (1.0, 200.0)
    braced = response(
        CALCULATOR, s, "foot_stiffness", "stiffness_with", span=span, title="with brace"
    )
    bare = s.median("stiffness_without")
    return Figure(
        "Racking stiffness against stiffness of the feet",
        Axis("stiffness of one foot", "kN/mm"),
        Axis("racking stiffness", "kN/mm", low=0.0),
        curves=(
            braced,
            Curve("open frame", np.array(span), np.array([bare, bare]), style="other"),
        ),
        points=(setting(s, "foot_stiffness", "stiffness_with"),),
        note="Where the curve is flat the arms decide, where it is steep the feet do.",
    )


CALCULATOR = Calculator(
    id="brace",
    title="Brace on an open frame",
    question="What does an X plate, V, strap pair or shear panel add to an open frame?",
    inputs=(
        Choice("form", "x-plate", FORMS, "how the brace is built"),
        Choice("arm", "flanged", ARMS, "section of an arm (not for a panel)"),
        Choice("action", "by-load", ACTION, "whether a pushed arm counts"),
        Choice("leg_material", "steel", {name: name for name in STRUCTURAL}, "metal of the open frame"),
        Choice("material", "steel", {name: name for name in STRUCTURAL}, "metal of the brace"),
        Number("bay_width", "mm", "780..820", 100, 2500, "between the legs, centre to centre"),
        Number("bay_length", "mm", "480..520", 50, 2500, "from the mounts on the body to the cross member"),
        Number("leg_width", "mm", "58..62", 10, 300, "leg, across the vehicle"),
        Number("leg_height", "mm", "80", 10, 300, "leg, upright"),
        Number("leg_gauge", "mm", "2.3..2.7", 0.5, 20, "wall of the leg"),
        Number("cross_ratio", "", "0.8..1.5", 0.01, 50, "stiffness of the cross member over a leg's"),
        Number("corner_fixity", "", "0.7..0.95", 0, 1, "corner of leg and cross member: 0 hinge, 0.8 usual weldment, 1 rigid"),
        Number("mount_fixity", "", "0.1..0.5", 0, 1, "leg's end on the body: 0 one bolt, turns; 0.5 two bolts apart; 1 clamped"),
        Number("mount_stiffness", "kN/mm", "30..100", 0.05, 10000, "one mount, sideways: rubber 0.3 to 3, metal to metal 30 and more"),
        Number("arm_width", "mm", "58..62", 5, 400, "width of an arm; diameter of a tube"),
        Number("arm_height", "mm", "12..15", 2, 200, "height of turned edges or of a box arm"),
        Number("gauge", "mm", "2.4..2.6", 0.4, 20, "sheet or wall of the brace"),
        Number("foot_stiffness", "kN/mm", "15..60", 0.1, 10000, "one foot or fastener along its force: bracket on thin sheet 5, doubler 20, casting 100"),
        Number("pitch", "mm", "100..150", 10, 1000, "pitch of the fasteners round a panel"),
        Number("feet_mass", "kg", "0.2..0.5", 0, 20, "feet, bolts and what else comes with the brace"),
        Number("yield_strength", "MPa", "355..420", 50, 1500, "yield strength of the brace"),
        Number("load", "kN", "6..9", 0.01, 500, "side force on the cross member: 6 to 9 in hard cornering"),
    ),
    outputs=(
        Output("gain", "", "racking stiffness with the brace over without"),
        Output("stiffness_without", "kN/mm", "side force for a unit sideways shift, open"),
        Output("stiffness_with", "kN/mm", "the same, braced"),
        Output("gain_per_kilogram", "kN/mm/kg", "stiffness gained for each kilogram of brace"),
        Output("load_share", "", "part of the side force that the brace takes"),
        Output("mass", "kg", "mass of the brace"),
        Output("arm_force", "kN", "pull in an arm, or side force on the sheet, under the load"),
        Output("buckling_load", "kN", "push at which an arm buckles; side force on the sheet where it does"),
        Output("yield_load", "kN", "pull at which an arm yields; side force on the sheet where it does"),
        Output("limit", "kN", "side force on the frame at the brace's first limit"),
        Output("shift", "mm", "sideways shift under the load, braced"),
        Output("shift_without", "mm", "the same, open"),
        Output("slack_share", "", "1 where the pushed arm or the sheet has buckled under the load, else 0"),
        Output("foot_part", "", "part of the brace's own give that lies in its fastenings"),
        Output("mode", "", "first limit", labels=LIMITS),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="offset of the brace below the legs, bending of arms, slip, stiffness of a buckled sheet, the body's own give beyond the feet",
    cautions=(
        "Support cradle and drive unit before a brace comes off: it may be holding them.",
        "A vehicle on a lift shifts when a brace is loosened; follow the workshop manual.",
    ),
    sources=(
        "frame analysis: McGuire, Gallagher, Ziemian, Matrix Structural Analysis, 2nd ed.",
        "arms under push: EN 1993-1-1:2005, 6.3.1, curve c",
        "sheet in shear: EN 1993-1-5:2006, Annex A.3",
        "stiffness of feet and corners: common practice, no source",
    ),
    leading="foot_stiffness",
    also={"width": "bay_width", "length": "bay_length", "type": "form", "thickness": "gauge",
          "plate_gauge": "gauge", "foot": "foot_stiffness", "side_force": "load",
          "brace_material": "material"},
)  # fmt: skip
