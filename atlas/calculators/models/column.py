"""Whether a strut buckles or yields first."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Curve, Figure
from atlas.calculators.response import response, setting
from atlas.calculators.shapes import section_of, slender_wall, wall_state
from atlas.mechanics.columns import CURVES, euler_load, johnson_stress, reduction, weld_reduction
from atlas.mechanics.materials import DENSITY, ELASTIC_MODULUS, STRUCTURAL
from atlas.mechanics.ranges import within

SHAPES = {
    "round-tube": "round tube: width is the diameter",
    "box": "rectangular tube",
    "channel": "channel",
    "closed-hat": "hat closed by a plate of second_gauge",
    "multi-cell": "extrusion of two cells, web of second_gauge",
    "i-section": "I or H, web of second_gauge",
    "flat": "strap: width by gauge",
    "rod": "solid round: width is the diameter",
}
MODES = (
    "yields",
    "buckles past the elastic range",
    "buckles elastically",
    "wall crumples first",
    "yields beside its welds",
)
OPTIONS = {
    "a0": "EN 1993 curve a0: hot-finished tube of 460 MPa or more",
    "a": "EN 1993 curve a: hot-finished tube",
    "b": "EN 1993 curve b: welded box or I",
    "c": "EN 1993 curve c: cold-formed tube, channel, flat, rod",
    "d": "EN 1993 curve d: thick or rough built-up section",
    "A": "EN 1999 class A: heat-treated aluminium (6xxx T6)",
    "B": "EN 1999 class B: other aluminium (5xxx, T4)",
    "johnson": "Johnson and Euler: mean curve, straight strut of any metal",
}


def _evaluate(
    shape: str,
    material: str,
    curve: str,
    welds: str,
    width: Any,
    height: Any,
    gauge: Any,
    second_gauge: Any,
    length: Any,
    length_factor: Any,
    offset: Any,
    yield_strength: Any,
    softened_strength: Any,
    softened_share: Any,
    load: Any,
) -> dict[str, Any]:
    if shape == "flat":
        height = gauge
        if np.any(width < gauge):
            raise ValueError("width must be at least the gauge")
    s = section_of(shape, width, height, gauge, 0.0, 0.0, second_gauge, 2, 1)
    modulus = ELASTIC_MODULUS[material]
    weak = np.minimum(s.iy, s.iz)
    gyration = np.sqrt(weak / s.area)
    slim = length_factor * length / gyration
    within("length over radius of gyration", slim, 0, 1500)
    heat = welds != "none" and material == "aluminium"
    wall = slender_wall(shape, width, height, gauge, 0.0, second_gauge, 2, 1)
    grade, carrying = wall_state(wall, material, yield_strength, heat)
    if shape == "round-tube" and material != "aluminium" and np.any(grade == 4):
        raise ValueError(
            f"width over gauge reaches {float(np.max(width / gauge)):.0f}: a tube so thin buckles as "
            "a shell, outside this formula"
        )
    squash = s.area * carrying * yield_strength
    critical = euler_load(modulus, weak, length, length_factor)
    slenderness = np.sqrt(squash / critical)
    elastic = np.where(s.iy <= s.iz, s.wel_y, s.wel_z)
    bow = offset * s.area / elastic
    if curve == "johnson":
        straight = johnson_stress(modulus, yield_strength * carrying, slim) * s.area / squash
        chi = np.minimum(straight, _bowed(slenderness, bow))
    else:
        chi = reduction(slenderness, curve, bow)
    kept = np.clip(softened_strength / yield_strength, 0.2, 1.0)
    full = np.asarray(squash * chi)
    softened = np.zeros(full.shape, dtype=bool)
    tension = s.area * yield_strength
    if heat and welds == "along":
        full = full * weld_reduction(slenderness, softened_share, kept)
        tension = tension * (1 - softened_share * (1 - kept))
    elif heat:
        beside = s.area * carrying * yield_strength * kept
        softened = beside < full
        full = np.minimum(full, beside)
        tension = tension * kept
    # Where Euler's load lies below half the squash load, stiffness decides and not strength.
    mode = np.where(slenderness**2 > 2, 2, np.where(full > 0.9 * s.area * yield_strength, 0, 1))
    mode = np.where((carrying < 0.9) & (mode < 2), 3, mode)
    mode = np.where(softened, 4, mode)
    return {
        "compression": full, "tension": tension, "slenderness": slenderness, "length_ratio": slim,
        "euler": critical, "squash": squash, "reduction": chi, "push_over_pull": full / tension,
        "half_strength_length": np.sqrt(np.pi**2 * modulus * weak / (0.5 * tension)) / length_factor,
        "mass": s.area * length * DENSITY[material],
        "utilisation": load / full, "mode": mode,
    }  # fmt: skip


def _bowed(slenderness: Any, bow: Any) -> Any:
    """First yield of a bowed strut without a standard's own imperfection."""
    phi = 0.5 * (1 + bow + slenderness**2)
    return np.minimum(1.0, 1 / (phi + np.sqrt(np.maximum(phi**2 - slenderness**2, 0))))


def _findings(s: Sampled) -> list[str]:
    buckles = s.share(s["mode"] > 0.5)
    push, pull = s.span("compression"), s.span("tension")
    if s.share(s["mode"] > 3.5) > 0.5:
        found = [
            f"The softened metal beside its end welds gives first, at {push} kN pushed and {pull} kN pulled, "
            f"while the strut itself would squash at {s.span('squash')} kN: fasten it, or thicken its ends."
        ]
    elif buckles > 0.95:
        found = [
            f"Pushed, it buckles at {push} kN, before the {pull} kN at which it yields when pulled: a pulled "
            f"strut of this size carries {1 / s.median('push_over_pull'):.1f} times as much."
        ]
    elif buckles < 0.05:
        found = [f"Stout enough to yield before it buckles: {push} kN pushed, {pull} kN pulled."]
    else:
        found = [
            f"Undecided: it buckles first in {buckles:.0%} of samples and yields first in the rest, near {push} "
            f"kN; below about {s.median('half_strength_length'):.0f} mm it would keep half its strength."
        ]
    if s.share(s["length_ratio"] > 250) > 0.5:
        found.append(
            f"At a slenderness of {s.median('length_ratio'):.0f} it is a tie that goes slack when pushed: it "
            "works only in pairs or under preload."
        )
    local = s.share(np.rint(s["mode"]) == 3)
    if local > 0.05:
        found.append(
            f"In {local:.0%} of samples the wall crumples before the strut does; gauge decides."
        )
    crank = s.inputs["offset"]
    if float(np.median(crank)) > 0:
        plain = 1 / (1 + s.median("slenderness") ** 2)
        found.append(
            f"Its axis is {float(np.median(crank)):.3g} mm off the line of its ends; that leaves "
            f"{s.median('reduction'):.0%} of the squash load: straighten the strut before thickening it."
            if s.median("reduction") < plain
            else f"The crank of {float(np.median(crank)):.3g} mm costs less than slenderness does here."
        )
    over = s.share(s["utilisation"] > 1)
    if float(np.max(s.inputs["load"])) > 0:
        found.append(
            f"Under the load given it fails in {over:.0%} of samples (utilisation {s.span('utilisation', 2)})."
        )
    return found


def _figure(s: Sampled) -> Figure:
    curve = response(CALCULATOR, s, "length", "compression", title="pushed")
    pull = response(CALCULATOR, s, "length", "tension", title="pulled", style="other")
    euler = response(CALCULATOR, s, "length", "euler", title="Euler")
    top = 1.3 * float(np.nanmax(pull.y))
    keep = euler.y < top
    limit = (Curve("Euler, straight", euler.x[keep], euler.y[keep], style="limit"),)
    return Figure(
        "Force that the strut stands against its length", Axis("length", "mm"),
        Axis("force", "kN", low=0.0, high=top),
        curves=(curve, pull, *(limit if np.any(keep) else ())),
        points=(setting(s, "length", "compression"),),
        note="Where pushed falls away from pulled, buckling decides and a longer strut is weaker.",
    )  # fmt: skip


CALCULATOR = Calculator(
    id="column",
    title="Strut: buckle or yield",
    question="Does this strut buckle or yield first?",
    inputs=(
        Choice("shape", "round-tube", SHAPES, "section of the strut"),
        Choice("material", "steel", {name: name for name in STRUCTURAL}, "metal or laminate"),
        Choice("curve", "c", OPTIONS, f"design curve ({', '.join(CURVES)}) or the mean curve"),
        Choice("welds", "none", {"none": "fastened or steel", "ends": "welded across at its ends", "along": "a seam along it"}, "welds that soften aluminium"),
        Number("width", "mm", "24.5..25.5", 3, 300, "diameter, or outer width"),
        Number("height", "mm", "40", 0.5, 300, "outer height (box, channel, hat, cells, I)"),
        Number("gauge", "mm", "1.8..2.2", 0.4, 40, "wall thickness; thickness of a strap"),
        Number("second_gauge", "mm", "2", 0.3, 40, "closing plate or web"),
        Number("length", "mm", "440..460", 20, 4000, "between the end joints"),
        Number("length_factor", "", "0.7..1", 0.5, 2.2, "buckling length over length: 1 pinned, 0.5 both ends clamped"),
        Number("offset", "mm", "0", 0, 200, "how far the axis lies off the line of its ends: bow, crank or flattened end"),
        Number("yield_strength", "MPa", "260..340", 20, 1800, "yield or 0.2 % proof strength of the parent metal"),
        Number("softened_strength", "MPa", "125", 10, 1800, "proof strength beside a weld (aluminium)"),
        Number("softened_share", "", "0.3", 0, 1, "share of the section beside a lengthwise weld"),
        Number("load", "kN", "0", 0, 2000, "push to hold it against; 0 for none"),
    ),
    outputs=(
        Output("compression", "kN", "push that it stands"),
        Output("tension", "kN", "pull at which it yields"),
        Output("slenderness", "", "root of squash over Euler load"),
        Output("length_ratio", "", "buckling length over radius of gyration"),
        Output("euler", "kN", "elastic buckling load of the straight strut"),
        Output("squash", "kN", "push at which a short piece yields, slack walls counted out"),
        Output("reduction", "", "buckling over squash load"),
        Output("push_over_pull", "", "compression over tension"),
        Output("half_strength_length", "mm", "length at which Euler's load is half the yield load"),
        Output("mass", "kg", "mass of the strut between its joints"),
        Output("utilisation", "", "load over compression"),
        Output("mode", "", "what ends it when pushed", labels=MODES),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="partial factors, end joints, twist buckling of open sections, impact, eccentric bolts; the most slender wall thins the whole section",
    cautions=(
        "A brace that is bent lets go of stored force when its bolts come out: support both sides first.",
        "Screening only: no partial factors are applied.",
    ),
    sources=(
        "EN 1993-1-1:2005, 6.3.1.2, eq. (6.49) and Table 6.1",
        "EN 1999-1-1:2007, 6.3.1.2, Tables 6.5 and 6.6 (heat-affected zone)",
        "EN 1993-1-5:2006, 4.4; EN 1999-1-1:2007, 6.1.5 (slack walls)",
        "Shigley's Mechanical Engineering Design, 8th ed., 4-12 and 4-13 (Euler, Johnson)",
    ),
    leading="length",
    also={"diameter": "width", "wall": "gauge", "thickness": "gauge", "k": "length_factor",
          "fy": "yield_strength", "crank": "offset", "bow": "offset", "haz_strength": "softened_strength",
          "effective_length_factor": "length_factor", "force": "load", "fixity": "length_factor"},
)  # fmt: skip
