"""Whether the front bar is pulled or pushed in a corner hit, and whether it holds."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled, figures
from atlas.calculators.figure import Axis, Curve, Figure, Points, SignMap
from atlas.calculators.response import setting
from atlas.calculators.shapes import section_of
from atlas.calculators.units import factor
from atlas.mechanics.bar_in_structure import bar_in_structure
from atlas.mechanics.columns import reduction
from atlas.mechanics.front_bars import Hit, front_plan, hit, hit_without_bar, sign_turns_at
from atlas.mechanics.front_frames import Structure
from atlas.mechanics.joints import shear_capacity
from atlas.mechanics.materials import DENSITY, ELASTIC_MODULUS, STRUCTURAL
from atlas.mechanics.sections import box
from atlas.mechanics.threads import CLASSES, THREADS, class_strength, stress_area

SHAPES = {
    "box": "rectangular tube: bar_width fore and aft, bar_height upright",
    "round-tube": "round tube: bar_width is the diameter",
    "multi-cell": "extrusion with one inner web, all walls of bar_gauge",
    "flat": "flat strap: bar_width by bar_gauge",
}
JOINTS = {
    "welded": "fillet weld all round the bar's end, throat weld_throat",
    "bolted": "bolts in shear at each end",
}
MODELS = {
    "template": "plan frame from the readings below",
    "vehicle": "the vehicle's own frame in space; bar and joint as read below",
}
LIMITS = ("bar yields", "bar buckles", "welds give way", "bolts shear")
SENSES = ("pushed", "pulled")


def _plan(v: dict[str, Any]) -> tuple[Any, Any]:
    rail = box(v["rail_width"], v["rail_height"], v["rail_gauge"])
    wing = box(v["wing_width"], v["wing_height"], v["wing_gauge"])
    bar = _bar(v["bar_shape"], v["bar_width"], v["bar_height"], v["bar_gauge"])
    e, own = ELASTIC_MODULUS[v["frame_material"]], ELASTIC_MODULUS[v["material"]]
    plan = front_plan(
        v["rail_spacing"], v["rail_length"], v["reach"], v["forward"],
        {
            "rail": (e * rail.area, e * rail.iz),
            "wing": (e * wing.area, e * wing.iz),
            "cross": (e * wing.area * v["cross_ratio"], e * wing.iz * v["cross_ratio"]),
            "bar": (own * bar.area, own * bar.iz),
        },
        v["end_fixity"],
    )  # fmt: skip
    return plan, bar


def _bar(shape: str, width: Any, height: Any, gauge: Any) -> Any:
    if shape == "flat":
        return section_of("flat", width, gauge, gauge)
    return section_of(shape, width, height, gauge, 0.0, 0.0, gauge, 1, 2)


def _responses(v: dict[str, Any], subject: Structure | None) -> tuple[Hit, Any, Any, Any]:
    """Unit responses with and without the bar, half the bar's span, and the bar's section."""
    if v["model"] == "vehicle":
        if subject is None:
            raise ValueError(
                "model 'vehicle' needs a vehicle: add vehicle=ID, or take model template"
            )
        inside = bar_in_structure(subject)
        bar = _bar(v["bar_shape"], v["bar_width"], v["bar_height"], v["bar_gauge"])
        return inside.hit, inside.without, inside.half_span + 0 * v["load"], bar
    plan, bar = _plan(v)
    outer = plan.half_span + v["overhang"]
    if np.any(v["load_offset"] > outer + 1e-9):
        raise ValueError(
            f"load_offset reaches {float(np.max(v['load_offset'] - outer)) * 1e3:.0f} mm past the bar's outer end"
        )
    return hit(plan, v["load_offset"]), hit_without_bar(plan, v["load_offset"]), plan.half_span, bar


def _evaluate(subject: Structure | None = None, **v: Any) -> dict[str, Any]:
    one, without, half_span, bar = _responses(v, subject)
    angle, force = v["load_angle"], v["load"]
    mix = np.stack([np.cos(angle), np.sin(angle)]) * force

    def total(parts: Any) -> Any:
        return np.sum(parts * mix, axis=0)

    axial = total(one.axial)
    near = total(one.near_axial)
    moment = np.maximum(np.abs(total(one.near)), np.abs(total(one.far)))
    under = np.abs(total(one.under))
    strength = v["yield_strength"]
    squash = bar.area * strength
    weak = np.minimum(bar.iy, bar.iz)
    # Ends that hold the bar shorten its buckling length from 1 (pinned) towards 0.5 (clamped).
    length = 2 * half_span
    free = length * (1 - 0.35 * v["end_fixity"])
    slenderness = free / np.pi * np.sqrt(squash / (ELASTIC_MODULUS[v["material"]] * weak))
    buckling = squash * reduction(np.minimum(slenderness, 30), "c")
    worst_pull, worst_push = np.maximum(axial, near), np.maximum(-axial, -near)
    bending = np.maximum(moment, under) / (bar.wpl_z * strength)
    in_pull = np.maximum(worst_pull, 0) / squash + bending
    in_push = np.where(worst_push > 0, worst_push / buckling, 0) + bending
    joint_force, lever = np.maximum(np.abs(axial), np.abs(near)), 0.6 * v["bar_width"]
    if v["joint"] == "welded":
        girth = _girth(v)
        capacity = v["weld_throat"] * girth * v["weld_strength"] / np.sqrt(3)
        # The moment goes into the two seams across the bar, a width apart.
        in_joint = joint_force / capacity + moment / (capacity / 2 * v["bar_width"])
        joint = 2
    else:
        diameter, pitch = THREADS[v["bolt_size"]]
        one_bolt = shear_capacity(
            stress_area(diameter, pitch), class_strength(v["bolt_class"], diameter)[0], 1
        )
        capacity = np.asarray(one_bolt) * v["bolts"]
        in_joint = joint_force / capacity + moment / (capacity / 2 * lever)
        in_joint = np.where(v["bolts"] == 1, joint_force / capacity, in_joint)
        joint = 3
    uses = np.stack([in_pull, in_push, in_joint])
    mode = np.array([0, 1, joint])[np.argmax(uses, axis=0)]
    spread, shift = total(one.tip_spread), total(one.tip_shift)
    spread_open, shift_open = total(without["tip_spread"]), total(without["tip_shift"])
    rails = np.hypot(total(one.spread), total(one.shift))
    rails_open = np.hypot(total(without["spread"]), total(without["shift"]))
    return {
        "axial": axial, "sense": (axial > 0) * 1.0,
        "turn_angle": sign_turns_at(one.axial[0], one.axial[1]),
        "axial_share": axial / force, "joint_force": joint_force, "joint_moment": moment,
        "tension_capacity": squash, "buckling_capacity": buckling,
        "joint_capacity": capacity + 0 * axial, "bar_in_tension": in_pull,
        "bar_in_compression": in_push, "joint_use": in_joint, "utilisation": uses.max(axis=0),
        "load_at_limit": force / uses.max(axis=0), "spread": spread, "shift": shift,
        "spread_without": spread_open, "shift_without": shift_open,
        "parallelism_gain": np.hypot(spread_open, shift_open) / np.hypot(spread, shift),
        "rail_shift": total(one.shift), "rail_spread": total(one.spread),
        "rail_gain": rails_open / rails,
        "mass": bar.area * length * DENSITY[v["material"]], "mode": mode,
    }  # fmt: skip


def _girth(v: dict[str, Any]) -> Any:
    if v["bar_shape"] == "round-tube":
        return np.pi * v["bar_width"]
    height = v["bar_gauge"] if v["bar_shape"] == "flat" else v["bar_height"]
    return 2 * (v["bar_width"] + height)


def _findings(s: Sampled) -> list[str]:
    pulled = s.share(s["axial"] > 0)
    angle = float(np.median(s.inputs["load_angle"]))
    turn = s.median("turn_angle")
    sure = max(pulled, 1 - pulled)
    word = "pulled" if pulled >= 0.5 else "pushed"
    found = [
        f"The bar is {word} in {sure:.0%} of samples, with {s.span('axial')} kN (pull positive)"
        + ("." if sure > 0.8 else "; the readings do not settle which.")
    ]
    reach = float(np.median(s.inputs["reach"]))
    found.append(
        f"The sign turns at {s.span('turn_angle')} deg from straight rearward (load read at {figures(angle)} deg): "
        + (f"straighter than {turn:.0f} deg it is pulled, more inboard it is pushed." if reach > 0 else "with wings that do not reach outboard the bar is mostly pushed.")
    )  # fmt: skip
    mode = np.bincount(np.rint(s["mode"]).astype(int), minlength=4)
    first = LIMITS[int(np.argmax(mode))]
    holds = s.share(s["utilisation"] <= 1)
    found.append(
        f"Elastic limit at {s.span('load_at_limit')} kN on the corner, where the {first} ({mode.max() / mode.sum():.0%} of samples); "
        f"it holds the load given in {holds:.0%}."
    )
    if s.inputs["joint"] == "bolted":
        found.append(
            f"Bolts of one end shear at {s.span('joint_capacity')} kN; they slide into the hole's clearance long before unless friction holds."
        )
    found.append(
        f"Front ends stay truer by a factor of {s.span('parallelism_gain')} with the bar: their spacing changes by {figures(s.median('spread'))} mm "
        f"instead of {figures(s.median('spread_without'))}, their fore-aft shift is {figures(s.median('shift'))} mm instead of "
        f"{figures(s.median('shift_without'))}; at the rail ends the factor is {s.span('rail_gain')}"
        + (": there the cross member already does it." if s.median("rail_gain") < 1.2 else ".")
    )
    return found


def _along_angle(s: Sampled) -> Figure:
    """With a vehicle's own frame the place is fixed: force over the angle, by its turning point."""
    angles = np.linspace(-30.0, 75.0, 64)
    turn, share = s["turn_angle"], s["axial_share"]
    # A response to cos and sin is a sine about its turning point; the run gives its size.
    read = s.inputs["load_angle"]
    size = share / np.where(
        np.abs(np.sin(np.radians(turn - read))) < 1e-6, np.nan, np.sin(np.radians(turn - read))
    )
    lines = (
        np.nanmedian(size)
        * np.sin(np.radians(np.median(turn) - angles))
        * float(np.median(s.inputs["load"]))
    )
    return Figure(
        "Force in the bar over the angle of the hit",
        Axis("angle, straight rearward is 0, inboard positive", "deg"),
        Axis("axial force, pull positive", "kN"),
        curves=(Curve("bar in the vehicle's frame", angles, lines),
                Curve("neither", angles[[0, -1]], np.zeros(2), style="limit")),
        points=(setting(s, "load_angle", "axial"),),
    )  # fmt: skip


def _figure(s: Sampled) -> Figure:
    if s.inputs["model"] == "vehicle":
        return _along_angle(s)
    middle: dict[str, Any] = {}
    for one in CALCULATOR.inputs:
        value = s.inputs[one.name]
        if isinstance(one, Number):
            centre = np.array([float(np.median(value))])
            middle[one.name] = (np.rint(centre) if one.whole else centre) * factor(one.unit)
        else:
            middle[one.name] = value
    plan, _ = _plan(middle)
    outer = float((plan.half_span + middle["overhang"])[0])
    offsets = np.linspace(0.15 * outer, outer, 24)
    angles = np.linspace(-30.0, 75.0, 36)
    repeated = {
        k: np.repeat(v, len(offsets)) if isinstance(v, np.ndarray) else v for k, v in middle.items()
    }
    many, _ = _plan(repeated)
    along = hit(many, offsets).axial
    turned = np.radians(angles)[:, None]
    load = float(middle["load"][0]) / 1e3
    field = load * (np.cos(turned) * along[0] + np.sin(turned) * along[1])
    return Figure(
        "Bar pulled or pushed over load position and angle",
        Axis("load, from centreline", "mm"),
        Axis("angle, straight rearward is 0, inboard positive", "deg"),
        sign_map=SignMap(offsets * 1e3, angles, field, "pulled", "pushed"),
        points=(
            Points(
                "as read",
                np.array([float(np.median(s.inputs["load_offset"]))]),
                np.array([float(np.median(s.inputs["load_angle"]))]),
            ),
        ),
        note=f"Wing tips stand {float(plan.half_span[0]) * 1e3:.0f} mm from the centreline.",
    )


CALCULATOR = Calculator(
    id="front-bar",
    title="Front bar in a corner hit",
    question="In a corner hit, is the front bar pulled or pushed, and does it hold?",
    inputs=(
        Choice("model", "template", MODELS, "what carries the bar; a vehicle's own frame is hit at its corner point"),
        Choice("frame_material", "steel", {name: name for name in STRUCTURAL}, "metal of rails, wings and cross member"),
        Choice("material", "steel", {name: name for name in STRUCTURAL}, "metal of the bar"),
        Choice("bar_shape", "box", SHAPES, "section of the bar"),
        Choice("joint", "bolted", JOINTS, "how the bar's ends are held"),
        Choice("bolt_size", "M10", {name: f"{name} thread" for name in THREADS}, "bolts at each end (bolted)"),
        Choice("bolt_class", "8.8", {name: f"class {name}" for name in CLASSES}, "class of the bolts (bolted)"),
        Number("rail_spacing", "mm", "880..920", 200, 2000, "between the rails, centre to centre"),
        Number("rail_length", "mm", "580..640", 50, 2500, "from the dash to the roots of the wings"),
        Number("reach", "mm", "120..180", -400, 700, "wing tip outboard of its rail; negative if it leans inboard"),
        Number("forward", "mm", "230..270", 0, 1200, "bar ahead of the wings' roots"),
        Number("overhang", "mm", "80..120", 0, 500, "wing or bar beyond the bar's joint"),
        Number("rail_width", "mm", "60", 10, 300, "rail, across the vehicle"),
        Number("rail_height", "mm", "110", 10, 400, "rail, upright"),
        Number("rail_gauge", "mm", "1.8..2.2", 0.5, 12, "wall of the rail"),
        Number("wing_width", "mm", "50", 8, 300, "wing, in plan"),
        Number("wing_height", "mm", "60", 8, 300, "wing, upright"),
        Number("wing_gauge", "mm", "2.3..2.7", 0.5, 20, "wall of the wing"),
        Number("cross_ratio", "", "0.8..1.2", 0, 50, "cross member between the wings' roots, stiffness over the wing's; 0 for none"),
        Number("bar_width", "mm", "48..52", 5, 300, "bar, fore and aft"),
        Number("bar_height", "mm", "50", 5, 300, "bar, upright"),
        Number("bar_gauge", "mm", "1.8..2.2", 0.5, 30, "wall of the bar"),
        Number("end_fixity", "", "0.3..0.7", 0, 1, "bar's ends in plan: 0 pinned (one bolt), 0.5 bolted pair, 0.9 welded, 1 rigid"),
        Number("yield_strength", "MPa", "320..380", 40, 1800, "yield strength of the bar"),
        Number("weld_throat", "mm", "2.5", 0.5, 15, "throat of the seam (welded)"),
        Number("weld_strength", "MPa", "420..480", 50, 1200, "tensile strength of the weaker of seam and zone (welded)"),
        Number("bolts", "", "2", 1, 12, "bolts at each end (bolted)", whole=True),
        Number("load_offset", "mm", "560..630", 0, 1500, "where the barrier pushes, from the centreline"),
        Number("load_angle", "deg", "0..25", -60, 85, "direction of the push: 0 straight rearward, positive inboard"),
        Number("load", "kN", "20..30", 0.01, 1000, "force on the corner"),
    ),
    outputs=(
        Output("axial", "kN", "axial force in the bar, pull positive"),
        Output("sense", "", "whether the bar is pulled or pushed", labels=SENSES),
        Output("turn_angle", "deg", "angle of the load at which the sign turns"),
        Output("axial_share", "", "axial force over the load"),
        Output("joint_force", "kN", "axial demand on the worse end joint"),
        Output("joint_moment", "kN m", "bending demand on the worse end joint, in plan"),
        Output("tension_capacity", "kN", "pull at which the bar yields"),
        Output("buckling_capacity", "kN", "push at which the bar buckles"),
        Output("joint_capacity", "kN", "axial force that an end joint carries"),
        Output("bar_in_tension", "", "use of the bar by pull and bending"),
        Output("bar_in_compression", "", "use of the bar by push and bending"),
        Output("joint_use", "", "use of the worse end joint"),
        Output("utilisation", "", "the greatest of these uses"),
        Output("load_at_limit", "kN", "corner force at which the first of them reaches its limit"),
        Output("spread", "mm", "growth of the spacing between the wing tips"),
        Output("shift", "mm", "struck wing tip's fore-aft shift against the other, rearward positive"),
        Output("spread_without", "mm", "growth of that spacing with the bar out"),
        Output("shift_without", "mm", "that fore-aft shift with the bar out"),
        Output("parallelism_gain", "", "both together, without the bar over with it"),
        Output("rail_spread", "mm", "growth of the spacing between the rail ends"),
        Output("rail_shift", "mm", "fore-aft shift between the rail ends"),
        Output("rail_gain", "", "both together at the rail ends, without the bar over with it"),
        Output("mass", "kg", "mass of the bar"),
        Output("mode", "", "what reaches its limit first", labels=LIMITS),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="anything out of plan, plastic collapse, movement of the barrier during the hit, a dash that gives, the overhang's own give, slip of bolts",
    cautions=(
        "Elastic screening of the first moments of a hit; it says nothing on crash safety.",
        "Airbag sensors sit near the front bar: disable the system by the workshop manual before hitting or cutting here.",
        "A bent front frame holds spring energy; stand clear of the line of a cut.",
    ),
    sources=(
        "frame analysis: McGuire, Gallagher, Ziemian, Matrix Structural Analysis, 2nd ed.",
        "bar under push: EN 1993-1-1:2005, 6.3.1, curve c; joints: EN 1993-1-8:2005, 4.5.3.3 and Table 3.4, partial factors 1",
        "end fixities: common practice, no source",
    ),
    leading="load_angle",
    subject="structure",
    also={"angle": "load_angle", "position": "load_offset", "offset": "load_offset",
          "spacing": "rail_spacing", "fixity": "end_fixity", "bar_material": "material",
          "thread": "bolt_size", "throat": "weld_throat"},
)  # fmt: skip
