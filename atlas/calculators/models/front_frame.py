"""How a front structure carries a load, and what each pattern on it buys."""

from dataclasses import replace
from typing import Any

import numpy as np

from atlas.calculators.blocks import in_blocks
from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled, Words, figures
from atlas.calculators.figure import Axis, Bar, Figure
from atlas.mechanics.braces import end_spring
from atlas.mechanics.front_carrying import carry, carry_both
from atlas.mechanics.front_frames import KINDS, Strength, Structure, part_mass, without
from atlas.mechanics.front_templates import CASES, template
from atlas.mechanics.materials import DENSITY, ELASTIC_MODULUS, STRUCTURAL, shear_modulus
from atlas.mechanics.sections import box, round_tube

PATTERNS = {
    "front-bar": "bar between the rails' front ends",
    "cross-member": "cross member between the cradle's front corners",
    "x-brace": "diagonals from the cradle's rear mounts to its front corners",
    "tower-brace": "bar between the towers",
    "upper-rail": "upper rails from the towers down to the rails' front ends",
    "dash-member": "cross member between the rails' roots, along the dash",
    "torque-box": "boxes from the rails' roots out to the sills",
}
_BLOCK = 2500  # samples at a time: enough that the calls do not count, few enough for the caches
_MOST = 40  # samples in which all patterns are compared; medians need no more


def _structure(v: dict[str, Any]) -> Structure:
    zero = 0 * v["rail_spacing"]
    half = v["rail_spacing"] / 2
    upper, cradle = v["upper_spacing"] / 2, v["cradle_spacing"] / 2
    top, run = v["tower_height"], v["rail_length"]
    if np.any(v["tower_at"] >= run):
        raise ValueError("tower_at must lie behind the rails' front ends (rail_length)")
    if np.any(v["cradle_length"] >= run + 0.3):
        raise ValueError("cradle_length reaches more than 300 mm ahead of the rails")
    if np.any(v["sill_spacing"] < v["rail_spacing"] + 0.1):
        raise ValueError(
            "sill_spacing must exceed rail_spacing by 100 mm: torque boxes lie between"
        )
    places = {
        "R": (zero, half, zero), "M": (v["tower_at"], half, zero), "F": (run, half, zero),
        "U": (zero, upper, top), "T": (v["tower_at"], upper, top),
        "B": (zero, cradle, -v["cradle_drop"]), "C": (v["cradle_length"], cradle, -v["cradle_drop"]),
        "S": (zero, v["sill_spacing"] / 2, zero),
    }  # fmt: skip
    rail = box(v["rail_width"], v["rail_height"], v["rail_gauge"])
    leg = box(v["cradle_width"], v["cradle_height"], v["cradle_gauge"])
    bar = box(v["bar_width"], v["bar_height"], v["bar_gauge"])
    above = box(v["upper_width"], v["upper_height"], v["upper_gauge"])
    tube = round_tube(v["brace_diameter"], v["brace_gauge"])
    sections = {
        "rail": rail,
        "tower": rail,
        "upper": above,
        "cradle": leg,
        "brace": tube,
        "bar": bar,
        "dash": box(v["dash_width"], v["dash_height"], v["dash_gauge"]),
        "torque-box": box(v["torque_box_width"], v["torque_box_height"], v["torque_box_gauge"]),
    }
    own = dict.fromkeys(sections, v["material"]) | {
        "cradle": v["cradle_material"], "bar": v["bar_material"],
    }  # fmt: skip
    metals = {k: (ELASTIC_MODULUS[m], shear_modulus(m), DENSITY[m]) for k, m in own.items()}
    strengths = dict.fromkeys(sections, v["yield_strength"]) | {
        "cradle": v["cradle_strength"], "bar": v["bar_strength"],
    }  # fmt: skip
    spring = end_spring(v["bar_fixity"], metals["bar"][0] * bar.iz, 2 * half)
    root = (v["root_stiffness"], v["root_turning"])
    return template(places, sections, metals, strengths, spring, root, v["mount_stiffness"])


def _case(s: Structure, name: str) -> str:
    """The load case asked for, or the subject's first where it has none of that name."""
    return name if name in s.cases else next(iter(s.cases))


def _evaluate(subject: Structure | None = None, **v: Any) -> dict[str, Any]:
    count = len(v["load"])
    pick = np.linspace(0, count - 1, min(count, _MOST)).astype(int)
    if subject is None:
        found = in_blocks(lambda **part: _loaded(_structure(part), **part), v, _BLOCK)
        few = _structure(
            {k: one[pick] if isinstance(one, np.ndarray) else one for k, one in v.items()}
        )
    else:
        found, few = _loaded(subject, **v), subject.some(pick)
    gains = _gains(few, _case(few, v["case"]), np.ones(1))
    return found | {
        f"gain_{key.replace('-', '_')}": _tiled(gains.get(key), count) for key in PATTERNS
    }


def _loaded(whole: Structure, **v: Any) -> dict[str, Any]:
    case = _case(whole, v["case"])
    pattern = _part(whole, v["part"].strip(), v["pattern"])
    if pattern:
        there, bare = carry_both(whole, case, v["load"], pattern)
    else:
        there = bare = carry(whole, case, v["load"])
    stiff, open_ = v["load"] / np.abs(there.movement), v["load"] / np.abs(bare.movement)
    mass = part_mass(whole, pattern) if pattern else np.zeros(1)
    kinds = np.array(whole.kinds)
    use = {
        kind: there.use.T[kinds == index].max(axis=0) if np.any(kinds == index) else np.zeros(1)
        for index, kind in enumerate(KINDS)
    }
    worst = np.argmax(there.use, axis=1)
    total = there.use.max(axis=1)
    return {
        "stiffness": stiff, "stiffness_without": open_, "gain": stiff / open_, "bought": stiff - open_,
        "bought_per_kilogram": (stiff - open_) / np.maximum(mass, 1e-9), "mass_spent": mass,
        "movement": np.abs(there.movement), "spread": there.spread, "shift": there.shift,
        "spread_without": bare.spread, "shift_without": bare.shift,
        "parallelism_gain": np.hypot(bare.spread, bare.shift)
        / np.maximum(np.hypot(there.spread, there.shift), 1e-12),
        "utilisation": total, "utilisation_without": bare.use.max(axis=1),
        "load_at_limit": v["load"] / total, "governs": kinds[worst].astype(float),
        "mass": whole.mass.sum(axis=-1),
        **{f"use_{name}": use[kind] for name, kind in _USES.items()},
    }  # fmt: skip


def _part(whole: Structure, asked: str, pattern: str) -> str:
    """The part to take away: the one asked for, else the one that is the pattern; empty for none."""
    if asked:
        if asked not in whole.patterns:
            raise ValueError(f"part must be one of {', '.join(whole.patterns)}, got {asked[:60]!r}")
        return asked
    return _like(whole, pattern)


# Words in the name of a vehicle's own part, likeliest first.
_NAMES = {
    "cross-member": ("cross-member-box", "cross-member"),
    "front-bar": ("front-bar", "rail-tie-bar"),
    "x-brace": ("x-brace", "x-plate", "v-brace", "rear-brace", "diagonal", "shear-panel"),
    "tower-brace": ("tower-brace", "upper-tie"),
    "upper-rail": ("upper-rail", "front-ring"),
    "dash-member": ("dash-member", "dash-cross-member"),
}


def _like(whole: Structure, pattern: str) -> str:
    """The structure's part of that kind; empty where it has none."""
    for word in _NAMES.get(pattern, (pattern,)):
        for name in whole.patterns:
            if word in name and (pattern.startswith("dash") or "dash" not in name):
                return name
    return ""


_USES = {
    "rails": KINDS[0],
    "upper": KINDS[1],
    "cradle": KINDS[2],
    "bar": KINDS[3],
    "braces": KINDS[4],
    "root": KINDS[5],
}


def _gains(few: Structure, case: str, unit: Any) -> dict[str, Any]:
    """Stiffness with over without, for each pattern taken away on its own."""
    parts = {key: part for key in PATTERNS for part in [_like(few, key)] if part}
    if few.mirror:
        return _gains_at_once(few, case, unit, parts)
    base = np.abs(carry(few, case, unit).movement)
    found = {}
    for key, part in parts.items():
        rest = without(few, part)
        if case in rest.cases:
            found[key] = np.abs(carry(rest, case, unit).movement) / base
    return found


def _gains_at_once(few: Structure, case: str, unit: Any, parts: dict[str, str]) -> dict[str, Any]:
    """All patterns as samples of one batch: a member without stiffness is a member taken away."""
    count = np.shape(few.frame.nodes)[0]
    there = np.ones((1 + len(parts), 1, len(few.parts)))
    for row, part in enumerate(parts.values(), start=1):
        there[row, 0, [one == part for one in few.parts]] = 0.0

    def tiled(values: Any) -> Any:
        return np.concatenate([values] * len(there))

    def masked(values: Any) -> Any:
        return (np.atleast_2d(values) * there).reshape(-1, len(few.parts))

    frame = few.frame
    frame = replace(
        frame, nodes=tiled(frame.nodes), ends=tiled(frame.ends), springs=tiled(frame.springs),
        GAy=tiled(frame.GAy), GAz=tiled(frame.GAz),
        **{key: masked(getattr(frame, key)) for key in ("EA", "EIy", "EIz", "GJ")},
    )  # fmt: skip
    limits = Strength(*(tiled(getattr(few.strength, key)) for key in
                        ("squash", "buckling", "about_y", "about_z")))  # fmt: skip
    moved = carry(replace(few, frame=frame, strength=limits), case, unit).movement
    moved = np.abs(moved).reshape(len(there), count)
    return {key: moved[row] / moved[0] for row, key in enumerate(parts, start=1)}


def _tiled(values: Any, count: int) -> Any:
    if values is None:
        return np.ones(count)
    return values[np.arange(count) * len(values) // count]


def _findings(s: Sampled) -> list[str]:
    pattern = str(s.inputs["part"]).strip() or str(s.inputs["pattern"])
    gain = s.median("gain")
    if s.median("mass_spent") == 0:
        return [
            f"There is no {pattern} on this structure, so that nothing was taken away: name another pattern, or one of its own "
            "as part.",
            *_ranking(s), *_limits(s),
        ]  # fmt: skip
    found = [
        f"The {pattern} makes this load case {s.span('gain')} times as stiff, from {s.span('stiffness_without')} to "
        f"{s.span('stiffness')} kN/mm, for {s.span('mass_spent')} kg: "
        + ("it works for this case." if gain > 1.15 else "it does next to nothing for this case; it is there for another.")
    ]  # fmt: skip
    found += _ranking(s)
    truer = s.median("parallelism_gain")
    found.append(
        f"Rails' front ends: spacing changes by {s.span('spread')} mm and they shift {s.span('shift')} mm against each other; "
        f"without the {pattern} {s.span('spread_without')} and {s.span('shift_without')} mm"
        + (f": it keeps them truer by a factor of {figures(truer)}." if truer > 1.1 else ": it does not keep them truer.")
    )  # fmt: skip
    return found + _limits(s)


def _ranking(s: Sampled) -> list[str]:
    ranked = sorted(
        ((s.median(f"gain_{key.replace('-', '_')}"), key) for key in PATTERNS), reverse=True
    )
    best = [f"{key} {value:.2f}" for value, key in ranked if value > 1.02]
    return [f"Stiffness with over without, best first: {', '.join(best)}."] if best else []


def _limits(s: Sampled) -> list[str]:
    found = []
    counts = np.bincount(np.rint(s["governs"]).astype(int), minlength=len(KINDS))
    over = s.share(s["utilisation"] > 1)
    found.append(
        f"First to reach its elastic limit: {KINDS[int(np.argmax(counts))]} ({counts.max() / counts.sum():.0%} of samples), at {s.span('load_at_limit')} kN"
        + (f"; the load given is past that in {over:.0%}." if over > 0 else ".")
    )
    if counts[4] == counts.max() and over > 0:
        found.append(
            "A slender brace that buckles goes slack and is not lost: take it away as the pattern and see what the rest then carries."
        )
    return found


def _figure(s: Sampled) -> Figure:
    bars = []
    for name, kind in _USES.items():
        low, mid, high = np.percentile(s[f"use_{name}"], (5, 50, 95))
        bars.append(Bar(kind, float(mid), float(low), float(high), limit=1.0))
    return Figure(
        "Use of the members under the load", Axis("use of the strongest-loaded member"), Axis(""),
        bars=tuple(bars), note="1 is the elastic limit of the most loaded member of a group.",
    )  # fmt: skip


CALCULATOR = Calculator(
    id="front-frame",
    title="Front frame under a load",
    question="How does this vehicle's front frame carry a load, and what does each pattern on it buy?",
    inputs=(
        Choice("case", "corner", CASES, "load case"),
        Choice("pattern", "front-bar", PATTERNS, "pattern to take away and compare"),
        Choice("material", "steel", {n: n for n in STRUCTURAL}, "metal of rails, towers, upper rails and braces"),
        Choice("cradle_material", "steel", {n: n for n in STRUCTURAL}, "metal of the cradle"),
        Choice("bar_material", "steel", {n: n for n in STRUCTURAL}, "metal of the front bar"),
        Words("part", "", "pattern of a vehicle's own model to take away; empty takes the one that is the pattern", "overlap-wide-front-bar"),
        Number("load", "kN", "20", 0.01, 1000, "size of the load"),
        Number("rail_spacing", "mm", "880..920", 200, 2000, "between the rails, centre to centre"),
        Number("rail_length", "mm", "820..880", 100, 2500, "rails, from the dash to their front ends"),
        Number("tower_at", "mm", "380..420", 50, 2000, "towers, ahead of the dash"),
        Number("tower_height", "mm", "380..420", 50, 1200, "towers' tops above the rails"),
        Number("upper_spacing", "mm", "1100..1160", 200, 2200, "between the towers' tops"),
        Number("cradle_spacing", "mm", "800..840", 100, 2000, "between the cradle's legs"),
        Number("cradle_length", "mm", "580..640", 50, 2000, "cradle's front corners, ahead of its rear mounts"),
        Number("cradle_drop", "mm", "140..180", 10, 800, "cradle below the rails"),
        Number("rail_width", "mm", "60", 10, 300, "rail across"),
        Number("rail_height", "mm", "110", 10, 400, "rail upright"),
        Number("rail_gauge", "mm", "1.8..2.2", 0.5, 12, "rail wall"),
        Number("upper_width", "mm", "50", 10, 300, "upper rail across"),
        Number("upper_height", "mm", "70", 10, 300, "upper rail upright"),
        Number("upper_gauge", "mm", "1.0..1.4", 0.4, 12, "upper rail wall"),
        Number("cradle_width", "mm", "60", 10, 300, "cradle leg across"),
        Number("cradle_height", "mm", "70", 10, 300, "cradle leg upright"),
        Number("cradle_gauge", "mm", "2.2..2.8", 0.5, 20, "cradle wall"),
        Number("bar_width", "mm", "60", 8, 300, "front bar fore and aft"),
        Number("bar_height", "mm", "90", 8, 300, "front bar upright"),
        Number("bar_gauge", "mm", "1.8..2.2", 0.5, 20, "front bar wall"),
        Number("bar_fixity", "", "0.4..0.8", 0, 1, "front bar's ends in plan: 0 pinned, 0.5 bolted, 0.9 welded"),
        Number("root_stiffness", "kN/mm", "100..200", 1, 2000, "each rail root on floor rail and tunnel, each way, without torque box and dash member"),
        Number("root_turning", "kN m/rad", "200..500", 1, 20000, "the same against turning"),
        Number("mount_stiffness", "kN/mm", "80..160", 0.1, 2000, "each rear mount of the cradle: solid 50 and more, rubber 1 to 8"),
        Number("sill_spacing", "mm", "1400..1500", 400, 2600, "between the sills, centre to centre"),
        Number("torque_box_width", "mm", "100", 10, 500, "torque box fore and aft"),
        Number("torque_box_height", "mm", "90", 10, 400, "torque box upright"),
        Number("torque_box_gauge", "mm", "1.4..1.8", 0.4, 12, "torque box wall"),
        Number("dash_width", "mm", "70", 10, 300, "dash member fore and aft"),
        Number("dash_height", "mm", "90", 10, 300, "dash member upright"),
        Number("dash_gauge", "mm", "1.2..1.6", 0.4, 12, "dash member wall"),
        Number("brace_diameter", "mm", "30", 5, 200, "tube of the braces"),
        Number("brace_gauge", "mm", "2", 0.5, 20, "wall of that tube"),
        Number("yield_strength", "MPa", "340..420", 50, 1800, "yield strength of rails, upper rails and braces"),
        Number("cradle_strength", "MPa", "340..420", 50, 1800, "yield strength of the cradle"),
        Number("bar_strength", "MPa", "340..420", 50, 1800, "yield strength of the front bar"),
    ),
    outputs=(
        Output("stiffness", "kN/mm", "load over movement under it"),
        Output("stiffness_without", "kN/mm", "the same without the pattern"),
        Output("gain", "", "stiffness with the pattern over without"),
        Output("bought", "kN/mm", "stiffness that the pattern adds"),
        Output("bought_per_kilogram", "kN/mm/kg", "stiffness added for each kilogram of it"),
        Output("mass_spent", "kg", "mass of the pattern's members"),
        Output("movement", "mm", "movement under the load"),
        Output("spread", "mm", "growth of the spacing between the rails' front ends"),
        Output("shift", "mm", "left rail end rearward against the right one"),
        Output("spread_without", "mm", "growth of the spacing without the pattern"),
        Output("shift_without", "mm", "fore-aft shift without the pattern"),
        Output("parallelism_gain", "", "spread and shift together, without over with the pattern"),
        Output("utilisation", "", "use of the most loaded member"),
        Output("utilisation_without", "", "the same without the pattern"),
        Output("load_at_limit", "kN", "load at which the first member reaches its elastic limit"),
        Output("governs", "", "group of the most loaded member", labels=KINDS),
        Output("use_rails", "", "use of the most loaded rail member"),
        Output("use_upper", "", "use of the most loaded member of towers and upper rails"),
        Output("use_cradle", "", "use of the most loaded cradle member"),
        Output("use_bar", "", "use of the front bar"),
        Output("use_braces", "", "use of the most loaded brace"),
        Output("use_root", "", "use of the most loaded of torque boxes, dash member and rear mounts"),
        Output("gain_front_bar", "", "stiffness with over without the front bar; 1 where there is none"),
        Output("gain_cross_member", "", "the same for the cradle's cross member"),
        Output("gain_x_brace", "", "the same for the X brace"),
        Output("gain_tower_brace", "", "the same for the tower brace"),
        Output("gain_upper_rail", "", "the same for the upper rails' front part"),
        Output("gain_dash_member", "", "the same for the dash member"),
        Output("gain_torque_box", "", "the same for the torque boxes"),
        Output("mass", "kg", "mass of all members"),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="panels (dash, wheelhouse, floor), the drive unit, joint offsets and local give of joints, plastic collapse, movement during a crash",
    cautions=(
        "Elastic screening: it compares structures and says nothing on crash safety.",
        "Support cradle and drive unit before a member comes off; jack only at the maker's points.",
    ),
    sources=(
        "frame analysis: McGuire, Gallagher, Ziemian, Matrix Structural Analysis, 2nd ed.",
        "use of members: EN 1993-1-1:2005, 6.2.1 (7) and 6.3.1, curve c, partial factors 1",
        "shape of the template, end fixities and what floor and tunnel give the roots: common practice, no source",
    ),
    leading="load",
    subject="structure",
    also={"load_case": "case", "spacing": "rail_spacing", "without": "pattern", "force": "load"},
)  # fmt: skip
