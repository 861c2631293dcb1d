"""How soft a long curved leg is, and what a tie at its crown does."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Curve, Figure
from atlas.calculators.response import response, setting
from atlas.calculators.shapes import section_of
from atlas.mechanics.columns import reduction
from atlas.mechanics.curved import Arc, arc, best_tie, tied
from atlas.mechanics.materials import DENSITY, ELASTIC_MODULUS, STRUCTURAL, shear_modulus

LOADS = {
    "chord": "ends pulled apart or pressed together along the chord: the curve opens",
    "sideways": "push at load_at in the plane of the curve, across the chord",
    "vertical": "push at load_at out of the plane of the curve: the leg bends and twists",
}
LEGS = {"box": "rectangular tube", "round-tube": "round tube: width is the diameter",
        "channel": "channel, web upright"}  # fmt: skip
TIES = {
    "flat": "flat bar: tie_width by tie_gauge",
    "round-tube": "round tube: tie_width is the diameter",
}
MODES = ("tie yields", "tie buckles when pushed", "hardly loaded")
_MOST = 200  # samples in which the best place is searched for; its spread needs no more


def _parts(v: dict[str, Any]) -> tuple[Arc, Any, Any, Any]:
    leg = section_of(v["leg_shape"], v["leg_width"], v["leg_height"], v["leg_gauge"], flange=0.0)
    e, g = ELASTIC_MODULUS[v["material"]], shear_modulus(v["material"])
    run = arc(v["chord"], v["rise"], e * leg.area, e * leg.iz, e * leg.iy, g * leg.j)
    tie = (
        section_of("flat", v["tie_width"], v["tie_gauge"], v["tie_gauge"])
        if v["tie_shape"] == "flat"
        else section_of("round-tube", v["tie_width"], v["tie_width"], v["tie_gauge"])
    )
    own = ELASTIC_MODULUS[v["tie_material"]]
    give = v["tie_length"] / (own * tie.area) + 2 / v["foot_stiffness"]
    plan, up = v["tie_angle"], v["tie_slope"]
    aim = np.stack([np.cos(up) * np.cos(plan), np.cos(up) * np.sin(plan), np.sin(up)], axis=1)
    return run, tie, give, aim


def _evaluate(**v: Any) -> dict[str, Any]:
    run, tie, give, aim = _parts(v)
    found = tied(run, v["load"], v["load_at"], v["tie_at"], aim, give, v["mount_fixity"])
    count = len(found.give)
    pick = np.linspace(0, count - 1, min(count, _MOST)).astype(int)
    few = Arc(*(getattr(run, name)[pick] for name in
                ("chord", "rise", "axial", "in_plane", "out_of_plane", "torsion")))  # fmt: skip
    place = best_tie(
        few, v["load"], v["load_at"][pick], aim[pick], give[pick], v["mount_fixity"][pick]
    )
    best = tied(few, v["load"], v["load_at"][pick], np.clip(place, 0.02, 0.98), aim[pick], give[pick],
                v["mount_fixity"][pick])  # fmt: skip
    spread = np.arange(count) * len(pick) // count  # each stands for its neighbours
    force = found.tie_force * v["force"]
    squash = tie.area * v["tie_strength"]
    own = ELASTIC_MODULUS[v["tie_material"]]
    slender = v["tie_length"] / np.pi * np.sqrt(squash / (own * np.minimum(tie.iy, tie.iz)))
    buckling = squash * reduction(np.minimum(slender, 30), "c")
    # Loads of this kind come in both directions, so the tie is pushed as hard as it is pulled.
    use = np.abs(force) / np.minimum(squash, buckling)
    before, after = 1 / found.give, 1 / found.give_tied
    length = 2 * run.half_angle * run.radius
    straight = _straight(run, v)
    mass = v["tie_length"] * tie.area * DENSITY[v["tie_material"]] + v["feet_mass"]
    return {
        "stiffness_without": before, "stiffness_with": after, "gain": after / before,
        "gain_per_kilogram": (after - before) / mass, "softness": straight / before,
        "movement_without": v["force"] / before, "movement": v["force"] / after,
        "tie_force": force, "tie_buckling": buckling, "tie_yield": squash, "tie_use": use,
        "best_place": place[spread], "gain_at_best": (best.give / best.give_tied)[spread],
        "tie_part": give / (give + _leg_give(found, give)), "length": length,
        "mass": mass, "mode": np.where(use < 0.05, 2, np.where(buckling < squash, 1, 0)),
    }  # fmt: skip


def _leg_give(found: Any, give: Any) -> Any:
    """The leg's own give where the tie is fixed, seen from the tie."""
    across = (found.give - found.give_tied) / np.where(found.tie_force == 0, 1, found.tie_force)
    return np.maximum(np.abs(across / np.where(found.tie_force == 0, 1, found.tie_force)) - give, 0)


def _straight(run: Arc, v: dict[str, Any]) -> Any:
    """Stiffness of a straight leg of the same section over the same chord, same mounts."""
    if v["load"] == "chord":
        return run.axial / run.chord
    bending = run.in_plane if v["load"] == "sideways" else run.out_of_plane
    rise = 0.006 * run.chord
    flat = arc(run.chord, rise, run.axial * 1e-3, bending, bending, run.torsion)
    found = tied(flat, "vertical", v["load_at"], 0.5, [[0.0, 0, 1]], 1e9, v["mount_fixity"])
    return 1 / found.give


def _findings(s: Sampled) -> list[str]:
    load = s.inputs["load"]
    gain = s.median("gain")
    found = []
    if load == "chord":
        found.append(
            f"Along its chord the curved leg is {s.span('softness')} times as soft as a straight one: its axial strength reaches the mounts only through bending."
        )
    found.append(
        f"The tie makes it {s.span('gain')} times as stiff, from {s.span('stiffness_without')} to {s.span('stiffness_with')} kN/mm: "
        + ("it stabilises the leg." if gain > 1.5 else "for this load it hardly matters; try another load, place or angle.")
    )  # fmt: skip
    here, best = float(np.median(s.inputs["tie_at"])), s.median("best_place")
    if s.median("gain_at_best") > 1.05 * gain:
        found.append(
            f"The tie sits at {here:.0%} of the run; at {best:.0%} the gain would be {s.median('gain_at_best'):.2f} instead of {gain:.2f}."
        )
    else:
        found.append(
            f"At {here:.0%} of the run the tie sits within 5 % of the best gain that any place gives ({best:.0%})."
        )
    over = s.share(s["tie_use"] > 1)
    if over > 0:
        found.append(f"The tie passes its limit in {over:.0%} of samples.")
    elif s.median("tie_use") > 0.05:
        found.append(
            f"The tie carries {s.span('tie_force')} kN, {s.median('tie_use'):.0%} of what it can take when pushed or pulled."
        )
    if s.median("tie_part") > 0.6 and gain < 3:
        found.append(
            f"{s.median('tie_part'):.0%} of the give at the tie's point lies in tie and feet: stiffer feet first."
        )
    return found


def _figure(s: Sampled) -> Figure:
    with_ = response(
        CALCULATOR,
        s,
        "tie_at",
        "stiffness_with",
        span=(0.05, 0.95),
        points=25,
        others=40,
        title="with tie",
    )
    bare = s.median("stiffness_without")
    return Figure(
        "Stiffness against the place of the tie",
        Axis("place on the leg, share of its run"),
        Axis("stiffness", "kN/mm", low=0.0),
        curves=(with_, Curve("no tie", np.array([0.05, 0.95]), np.array([bare, bare]), style="other")),
        points=(setting(s, "tie_at", "stiffness_with"),),
        note="The flatter the top, the freer the choice of place.",
    )  # fmt: skip


CALCULATOR = Calculator(
    id="curved-run",
    title="Long curved leg and its tie",
    question="How soft is a long curved leg, and what does a tie at its crown do?",
    inputs=(
        Choice("load", "chord", LOADS, "which way the leg is loaded"),
        Choice("leg_shape", "box", LEGS, "section of the leg"),
        Choice("tie_shape", "round-tube", TIES, "section of the tie"),
        Choice("material", "steel", {name: name for name in STRUCTURAL}, "metal of the leg"),
        Choice("tie_material", "steel", {name: name for name in STRUCTURAL}, "metal of the tie"),
        Number("chord", "mm", "880..920", 50, 4000, "straight distance between the leg's mounts"),
        Number("rise", "mm", "110..140", 5, 2000, "height of the bow over that line"),
        Number("leg_width", "mm", "58..62", 8, 300, "leg, in the plane of its curve"),
        Number("leg_height", "mm", "70", 8, 300, "leg, out of that plane"),
        Number("leg_gauge", "mm", "2.3..2.7", 0.5, 20, "wall of the leg"),
        Number("mount_fixity", "", "0.2..0.6", 0, 1, "mounts in bending: 0 hinge, 0.5 bolted, 1 clamped"),
        Number("load_at", "", "0.5", 0.05, 0.95, "where a sideways or vertical load acts, share of the run"),
        Number("force", "kN", "4..8", 0.01, 500, "load"),
        Number("tie_at", "", "0.45..0.55", 0.05, 0.95, "where the tie is fixed, share of the run from the first mount"),
        Number("tie_angle", "deg", "80..110", 0, 360, "direction of the tie in the plane, from the line of the mounts; 90 straight out of the bow, 270 across the chord"),
        Number("tie_slope", "deg", "5..15", -85, 85, "direction of the tie out of that plane"),
        Number("tie_length", "mm", "280..320", 20, 2000, "between the tie's bolts"),
        Number("tie_width", "mm", "24..26", 4, 200, "tie across; diameter of a tube"),
        Number("tie_gauge", "mm", "1.9..2.1", 0.5, 30, "wall or thickness of the tie"),
        Number("foot_stiffness", "kN/mm", "15..50", 0.1, 10000, "each end fastening of the tie: bracket on thin sheet 5, doubler 20, torque box 50"),
        Number("feet_mass", "kg", "0.2..0.4", 0, 20, "feet and bolts of the tie"),
        Number("tie_strength", "MPa", "300..360", 50, 1800, "yield strength of the tie"),
    ),
    outputs=(
        Output("gain", "", "stiffness with the tie over without"),
        Output("stiffness_without", "kN/mm", "load over movement under it, no tie"),
        Output("stiffness_with", "kN/mm", "the same with the tie"),
        Output("gain_per_kilogram", "kN/mm/kg", "stiffness gained for each kilogram of tie"),
        Output("softness", "", "stiffness of a straight leg of the same section over this leg's"),
        Output("movement_without", "mm", "movement under the load, no tie"),
        Output("movement", "mm", "movement under the load, with the tie"),
        Output("tie_force", "kN", "force in the tie under the load, pull positive"),
        Output("tie_buckling", "kN", "push at which the tie buckles"),
        Output("tie_yield", "kN", "pull at which the tie yields"),
        Output("tie_use", "", "tie force over the smaller of the two"),
        Output("best_place", "", "where the tie would help most, share of the run"),
        Output("gain_at_best", "", "gain with the tie there"),
        Output("tie_part", "", "part of the give at the tie's point that lies in tie and feet"),
        Output("length", "mm", "length along the leg"),
        Output("mass", "kg", "mass of the tie with its feet"),
        Output("mode", "", "what limits the tie", labels=MODES),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="shear, warping, flattening of thin-walled bends, legs that are not a circle's arc, second-order effects",
    cautions=(
        "A bowed leg may be sprung between its mounts: hold it before the last bolt is out.",
        "Support the drive unit before a tie or leg comes off.",
    ),
    sources=(
        "unit load theorem on the arc: S. P. Timoshenko, Strength of Materials, Part I",
        "tie under push: EN 1993-1-1:2005, 6.3.1, curve c",
        "stiffness of feet and mounts: common practice, no source",
    ),
    leading="tie_at",
    also={"width": "leg_width", "height": "leg_height", "gauge": "leg_gauge", "bow": "rise",
          "span": "chord", "tie_position": "tie_at", "position": "tie_at", "foot": "foot_stiffness"},
)  # fmt: skip
