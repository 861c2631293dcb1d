"""What a bolt sees in single and in double shear."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Bar, Figure
from atlas.mechanics.joints import (
    bearing_capacity,
    bending_capacity,
    bolt_lever,
    oversize_factors,
    shear_capacity,
    slip_load,
    tension_capacity,
)
from atlas.mechanics.materials import ELASTIC_MODULUS
from atlas.mechanics.threads import (
    CLASSES,
    HEADS,
    HOLES,
    THREADS,
    class_strength,
    preload_at,
    settling_loss,
    stress_area,
    torque_per_preload,
)

FAILURES = ("bolt is cut", "bolt bends", "hole bears out")
FITS = {
    "fine": "close hole, ISO 273 fine series",
    "medium": "usual hole, ISO 273 medium series",
    "coarse": "wide hole, ISO 273 coarse series",
    "measured": "hole as measured",
}
FIRST = ("slips, then takes up its clearance", "never slips before it fails")


def _evaluate(
    size: str,
    bolt_class: str,
    shear: str,
    plane_in: str,
    ply_material: str,
    fit: str,
    bolts: Any,
    torque: Any,
    thread_friction: Any,
    slip_factor: Any,
    embedding: Any,
    grip: Any,
    gauge: Any,
    inner_gauge: Any,
    gap: Any,
    ply_strength: Any,
    end_distance: Any,
    edge_distance: Any,
    hole: Any,
    load: Any,
) -> dict[str, Any]:
    d, pitch = THREADS[size]
    head, medium = HEADS[d]
    fine, coarse = HOLES[d]
    if fit != "measured":
        hole = {"fine": fine, "medium": medium, "coarse": coarse}[fit] + 0 * load
    if np.any(hole <= d):
        raise ValueError(f"hole must be larger than the bolt, {d * 1e3:g} mm")
    if np.any(hole >= head):
        raise ValueError(f"hole must be smaller than the head's bearing face, {head * 1e3:g} mm")
    slip_share, bearing_share = oversize_factors(d, hole)
    strength, proof, _ = class_strength(bolt_class, d)
    area = float(stress_area(d, pitch))
    lever = torque_per_preload(d, pitch, head, hole, thread_friction, thread_friction)
    tight = torque / lever
    limit = preload_at(1.0, d, pitch, proof, thread_friction)
    # Past yield the preload stays near the yield preload: the bolt stretches.
    settled = np.minimum(tight, limit) - settling_loss(
        embedding, grip, d, area, head, hole, ply_modulus=ELASTIC_MODULUS[ply_material]
    )
    preload = np.maximum(settled, 0.0)
    rest = (
        d,
        area,
        strength,
        proof,
        bolt_class,
        plane_in,
        hole,
        bearing_share,
        gauge,
        inner_gauge,
        gap,
        ply_strength,
        end_distance,
        edge_distance,
    )
    single, double = _strengths(1, *rest), _strengths(2, *rest)
    planes, mine = (2, double) if shear == "double" else (1, single)
    cut, bears, bent, arm, bending_diameter = mine
    fails = np.minimum(bent, bears)
    slips = bolts * slip_load(preload, slip_factor, planes) * slip_share
    total = bolts * fails
    share = load / bolts
    mode = np.where(bears <= bent, 2, np.where(bent < 0.85 * cut, 1, 0))
    return {
        "slip": slips, "failure": total, "shear": bolts * cut, "bearing": bolts * bears, "bent": bolts * bent,
        "preload": preload, "preload_share": tight / limit,
        "torque_at_yield": 0.9 * limit * lever,
        "bending_stress": share * arm / (np.pi * bending_diameter**3 / 32),
        "tension": bolts * tension_capacity(area, strength),
        "double_over_single": np.minimum(double[1], double[2]) / np.minimum(single[1], single[2]),
        "hole_travel": hole - d,
        "reserve_after_slip": total / np.maximum(slips, 1.0),
        "utilisation": load / np.minimum(total, 1e9),
        "oversize": np.where(slip_share < 1, 1, 0), "mode": mode, "first": np.where(slips < total, 0, 1),
    }  # fmt: skip


def _strengths(
    planes: int, d: float, area: float, strength: float, proof: float, bolt_class: str, plane_in: str,
    hole: Any, bearing_share: Any, gauge: Any, inner: Any, gap: Any, ply_strength: Any, end: Any, edge: Any,
) -> tuple[Any, Any, Any, Any, float]:  # fmt: skip
    """Shear, bearing and shear-with-bending capacity of one bolt, its lever and bending diameter."""
    thread = plane_in == "thread"
    resisting = area if thread else np.pi / 4 * d**2
    factor = 0.5 if thread and bolt_class in ("10.9", "12.9") else 0.6
    cut = shear_capacity(resisting, strength, planes, factor)
    weakest = np.minimum(planes * gauge, inner)
    bears = bearing_share * bearing_capacity(d, hole, weakest, ply_strength, strength, end, edge)
    lever = bolt_lever(gauge, inner, gap, planes)
    across = float(np.sqrt(4 * area / np.pi)) if thread else d
    return cut, bears, bending_capacity(lever, across, proof, cut), lever, across


def _findings(s: Sampled) -> list[str]:
    slips, fails = s.span("slip"), s.span("failure")
    how = {0: "the bolt is cut", 1: "the bolt bends", 2: "the hole bears out"}
    shares = [(s.share(np.rint(s["mode"]) == k), how[k]) for k in (0, 1, 2)]
    share, most = max(shares)
    first = s.share(s["first"] < 0.5)
    found = [
        f"It slips first, at {slips} kN, moves up to {s.median('hole_travel'):.2g} mm in its holes, and fails at {fails} "
        f"kN when {most}" + ("." if share > 0.97 else f" (in {share:.0%} of samples).")
        if first > 0.5
        else f"It fails at {fails} kN when {most}, before friction gives way: the clamp outlasts the plies."
    ]
    gain = s.median("double_over_single")
    if s.inputs["shear"] == "double":
        found.append(
            f"Double shear is worth {gain:.2g} times the single-shear failure load here and twice its slip load."
        )
    elif gain < 1.15:
        why = "the inner ply bears out" if most == how[2] else "the bolt bends"
        found.append(
            f"A second shear plane would double the slip load but hardly lift failure ({gain:.2f} times): {why} either way."
        )
    else:
        found.append(
            f"A second shear plane would double the slip load and lift failure {gain:.2g} times."
        )
    wide = s.share(s["oversize"] > 0)
    if wide > 0.05:
        found.append(
            f"The hole counts as oversize ({wide:.0%} of samples): 15 % of the slip load and 20 % of bearing are gone, and it "
            f"slips {s.span('hole_travel', 2)} mm; a joint that must hold its place needs a closer hole or a dowel."
        )
    over = s.share(s["preload_share"] > 1)
    if over > 0.02:
        found.append(
            f"In {over:.0%} of samples that torque takes the bolt past yield (90 % of it is "
            f"{s.span('torque_at_yield')} N m): do not use the bolt again."
        )
    elif s.median("preload_share") < 0.5:
        found.append(
            f"The torque uses {s.median('preload_share'):.0%} of the bolt's preload: the joint relies on bearing, "
            "or the thread it goes into is soft."
        )
    lost = s.share(s["preload"] < 1.0)
    if lost > 0.02:
        found.append(f"In {lost:.0%} of samples settling eats all preload: the grip is too short.")
    if float(np.max(s.inputs["load"])) > 0:
        moves = s.share(np.asarray(s.inputs["load"]) > s["slip"])
        breaks = s.share(s["utilisation"] > 1)
        found.append(
            f"Under the load given it slips in {moves:.0%} and fails in {breaks:.0%} of samples; once slipped, the "
            f"bolt bends at {s.span('bending_stress')} MPa."
        )
    return found


def _figure(s: Sampled) -> Figure:
    names = (
        ("slip", "slips"),
        ("bearing", "hole bears out"),
        ("bent", "bolt bends and is cut"),
        ("shear", "bolt is cut"),
    )
    load = float(np.median(s.inputs["load"]))
    bars = []
    for name, label in names:
        low, middle, high = (float(v) for v in np.percentile(s[name], (5, 50, 95)))
        bars.append(Bar(label, middle, low, high, load if load > 0 else None))
    return Figure(
        "What the joint stands, weakest first", Axis("shear force", "kN", low=0.0), Axis(""),
        bars=tuple(sorted(bars, key=lambda bar: bar.value)),
        note="The shortest bar happens first; a slipped joint still carries, but has lost its place.",
    )  # fmt: skip


CALCULATOR = Calculator(
    id="bolted-joint",
    title="Bolted joint in single and double shear",
    question="Single or double shear: what does the bolt see?",
    inputs=(
        Choice("size", "M12", {name: f"{name} {'coarse' if 'x' not in name else 'fine'} thread" for name in THREADS}, "thread, read off the shank or the socket"),
        Choice("bolt_class", "10.9", {name: f"{c[0] / 1e6:.0f} MPa least tensile strength" for name, c in CLASSES.items()}, "class, raised on the head"),
        Choice("shear", "single", {"single": "one plate on one side", "double": "held between two plates or two walls"}, "shear planes"),
        Choice("plane_in", "thread", {"thread": "thread reaches into the shear plane", "shank": "plain shank in the shear plane"}, "what lies in the shear plane"),
        Choice("fit", "medium", FITS, "hole"),
        Choice("ply_material", "steel", {name: name for name in ("steel", "aluminium", "magnesium")}, "what is clamped"),
        Number("bolts", "", "1", 1, 12, "bolts that share the force", whole=True),
        Number("torque", "N m", "100..120", 1, 1200, "tightening torque"),
        Number("thread_friction", "", "0.1..0.16", 0.04, 0.4, "friction in thread and under the head"),
        Number("slip_factor", "", "0.12..0.25", 0.05, 0.7, "friction between the plies: paint 0.1, bare steel 0.2, blasted 0.4 and more"),
        Number("embedding", "um", "8..16", 0, 200, "settling of threads and faces; paint adds"),
        Number("grip", "mm", "12", 2, 250, "clamped length between head and nut"),
        Number("gauge", "mm", "4", 0.5, 40, "outer ply; each of two in double shear"),
        Number("inner_gauge", "mm", "6", 0.5, 60, "inner ply; both walls together of a box"),
        Number("gap", "mm", "0", 0, 80, "clear space between the plies: spacer, rubber, standing-off bracket"),
        Number("ply_strength", "MPa", "420..500", 40, 1500, "tensile strength of the weaker ply"),
        Number("end_distance", "mm", "24", 5, 200, "hole centre to the edge that the force points at"),
        Number("edge_distance", "mm", "22", 5, 200, "hole centre to the edge beside it"),
        Number("hole", "mm", "13.5", 4.05, 60, "hole (fit=measured)"),
        Number("load", "kN", "0", 0, 2000, "shear force to hold it against; 0 for none"),
    ),
    outputs=(
        Output("slip", "kN", "shear force at which the joint slides"),
        Output("failure", "kN", "shear force at which bolt or hole gives way"),
        Output("shear", "kN", "force that cuts the bolts, bending left out"),
        Output("bearing", "kN", "force that drags the holes out"),
        Output("bent", "kN", "force that yields the bolts by shear and bending"),
        Output("preload", "kN", "clamp force of one bolt after settling"),
        Output("preload_share", "", "preload over the one at which the bolt yields in tightening"),
        Output("torque_at_yield", "N m", "torque at 90 % of the bolt's proof strength"),
        Output("bending_stress", "MPa", "bending stress in a slipped bolt under the load given"),
        Output("tension", "kN", "pull that breaks the bolts"),
        Output("double_over_single", "", "failure load in double over single shear, same plies"),
        Output("hole_travel", "mm", "travel in the clearance once slipped, from the middle of both holes"),
        Output("reserve_after_slip", "", "failure over slip load"),
        Output("utilisation", "", "load over failure load"),
        Output("oversize", "", "hole", labels=("within the usual clearance", "oversize")),
        Output("mode", "", "what gives way", labels=FAILURES),
        Output("first", "", "what happens first", labels=FIRST),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="partial factors, prying, tension with shear, uneven sharing between bolts, fatigue, thread stripping, countersinks",
    cautions=(
        "Support the part before the last bolt comes out; jack only at the maker's jacking points.",
        "Tighten to the workshop manual: the torque here is an estimate.",
        "A bolt that was tightened past yield or has slipped in a crash is scrap.",
    ),
    sources=(
        "ISO 898-1 (strength classes, stress area); ISO 273 (holes, engineeringhardware.com/?p=50)",
        "EN 1993-1-8:2005, Tables 3.3, 3.4 and 3.6, 3.9.1 and 3.13.2, partial factors set to 1",
        "VDI 2230 Part 1:2003 (preload, torque, settling)",
    ),
    leading="torque",
    also={"thread": "size", "property_class": "bolt_class", "class": "bolt_class", "mu": "slip_factor",
          "friction": "slip_factor", "preload_torque": "torque", "number": "bolts", "count": "bolts",
          "planes": "shear", "thickness": "gauge", "offset": "gap", "settling": "embedding"},
)  # fmt: skip
