"""The same job in another metal: mass, gauge, cost, carbon."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Bar, Figure
from atlas.mechanics.materials import GRADES, Grade
from atlas.mechanics.swaps import boxed_gauge, size_ratio

CASES = {
    "thin-wall": "closed profile of fixed outer size; bending by its gauge",
    "panel": "sheet bent out of plane, gauge free",
    "panel-buckling": "sheet that must not buckle, gauge free",
    "beam": "solid section that may grow in both directions",
    "tie": "strut or tie pulled along its axis",
    "package": "box that must fit the same space, solved exactly by gauge",
}
_KEYS = {name: f"mass_{name.replace('-', '_')}" for name in GRADES}


def _evaluate(
    case: str,
    demand: str,
    old: str,
    new: str,
    joint: str,
    mass: Any,
    gauge: Any,
    width: Any,
    height: Any,
    least_gauge: Any,
    steel_price: Any,
    aluminium_price: Any,
    magnesium_price: Any,
    cfrp_price: Any,
    steel_carbon: Any,
    aluminium_carbon: Any,
    magnesium_carbon: Any,
    cfrp_carbon: Any,
    buy_to_fly: Any,
) -> dict[str, Any]:
    prices = {
        "steel": steel_price,
        "aluminium": aluminium_price,
        "magnesium": magnesium_price,
        "CFRP": cfrp_price,
    }
    carbons = {
        "steel": steel_carbon,
        "aluminium": aluminium_carbon,
        "magnesium": magnesium_carbon,
        "CFRP": cfrp_carbon,
    }
    was = GRADES[old]
    if case == "package" and np.any(2 * gauge > np.minimum(width, height)):
        raise ValueError("gauge must be at most half the width and height (inner beyond outer)")
    sizes = {
        name: _resized(
            case,
            demand,
            was,
            grade,
            joint,
            gauge,
            width,
            height,
            least_gauge if name == new else 0.0,
        )
        for name, grade in GRADES.items()
    }
    masses = {
        name: mass * sizes[name][1] * grade.density / was.density for name, grade in GRADES.items()
    }
    thick, _, reached = sizes[new]
    cost = masses[new] * buy_to_fly * prices[GRADES[new].family]
    before = mass * buy_to_fly * prices[was.family]
    carbon = masses[new] * buy_to_fly * carbons[GRADES[new].family]
    carbon_before = mass * buy_to_fly * carbons[was.family]
    saving = mass - masses[new]
    whole = [np.where(sizes[name][2] >= 1 - 1e-9, m, np.inf) for name, m in masses.items()]
    stacked = np.stack(np.broadcast_arrays(*whole), axis=-1)
    return {
        "new_mass": masses[new], "saving": saving, "mass_ratio": masses[new] / mass, "new_gauge": thick,
        "old_cost": before, "new_cost": cost, "extra_cost": cost - before,
        "old_carbon": carbon_before, "new_carbon": carbon, "extra_carbon": carbon - carbon_before,
        "reached": np.minimum(reached, 1.0),
        "lightest": np.argmin(stacked, axis=-1),
        **{_KEYS[name]: m for name, m in masses.items()},
    }  # fmt: skip


def _resized(
    case: str,
    demand: str,
    was: Grade,
    grade: Grade,
    joint: str,
    gauge: Any,
    width: Any,
    height: Any,
    least: Any,
) -> tuple[Any, Any, Any]:
    """New gauge, ratio of metal volumes, and the share of the demand that can be reached."""
    if demand == "stiffness":
        one, other = was.modulus, grade.modulus
    else:  # a welded part is as strong as the metal beside its welds
        one, other = (g.strength * (g.retained if joint == "welded" else 1.0) for g in (was, grade))
    if case != "package":
        ratio = size_ratio(case, demand, one, other)
        thick = np.maximum(gauge * ratio, least)
        power = 2.0 if case == "beam" else 1.0
        return thick, (thick / gauge) ** power, np.ones_like(gauge)
    inertia = (width * height**3 - (width - 2 * gauge) * (height - 2 * gauge) ** 3) / 12
    want = inertia * one / other
    solid = width * height**3 / 12
    half = np.minimum(width, height) / 2
    found = boxed_gauge(width, height, np.minimum(want, solid))
    thick = np.maximum(np.minimum(np.nan_to_num(found, nan=1.0), half), least)

    def area(t: Any) -> Any:
        return width * height - (width - 2 * t) * (height - 2 * t)

    return thick, area(thick) / area(gauge), solid / want


def _findings(s: Sampled) -> list[str]:
    new, old = s.inputs["new"], s.inputs["old"]
    short = s.share(s["reached"] < 1 - 1e-9)
    found = []
    if short > 0.02:
        found.append(
            f"In {short:.0%} of samples {new} cannot do it in the same space, even solid: it reaches "
            f"{s.span('reached', 2)} of the demand, so the package must grow or the metal stay."
        )
    lighter = s.share(s["saving"] > 0)
    if lighter > 0.95:
        per = s.median("extra_cost") / max(s.median("saving"), 1e-9)
        cost = (
            f"and costs {per:.2g} EUR of metal a kilogram saved"
            if per > 0
            else "and its metal is cheaper too"
        )
        found.append(
            f"{new} saves {s.span('saving')} kg ({1 - s.median('mass_ratio'):.0%}) {cost}."
        )
    elif lighter < 0.05:
        found.append(
            f"For the same {s.inputs['demand']} {new} weighs {s.span('mass_ratio')} times what {old} does: mass is not why "
            "it was chosen; look at volume, tooling, corrosion or crash."
        )
    else:
        found.append(
            f"{new} is lighter in only {lighter:.0%} of samples: the readings do not decide it."
        )
    if (
        s.inputs["joint"] == "welded"
        and s.inputs["demand"] == "strength"
        and GRADES[new].retained < 0.8
    ):
        found.append(
            f"Welding leaves {GRADES[new].retained:.0%} of {new}'s strength, which is in these figures: fastened or "
            f"bonded it would get by with about {GRADES[new].retained:.0%} of that metal."
        )
    best = list(GRADES)[int(np.bincount(np.rint(s["lightest"]).astype(int)).argmax())]
    ranked = sorted(GRADES, key=lambda name: s.median(_KEYS[name]))
    found.append(
        f"Lightest by this measure: {best} ({s.median(_KEYS[best]):.3g} kg); then "
        + ", ".join(f"{name} {s.median(_KEYS[name]):.3g}" for name in ranked if name != best)[
            :110
        ].rsplit(",", 1)[0]
        + " kg."
    )
    if s.median("extra_carbon") > 0 and lighter > 0.5:
        found.append(
            f"Its metal starts with {s.median('extra_carbon'):.3g} kg more CO2 than the part it replaces: the lighter part "
            "must earn that back on the road."
        )
    return found


def _figure(s: Sampled) -> Figure:
    bars = []
    limit = float(np.median(s.inputs["mass"]))
    for name in sorted(GRADES, key=lambda one: s.median(_KEYS[one])):
        low, middle, high = (float(v) for v in np.percentile(s[_KEYS[name]], (5, 50, 95)))
        bars.append(Bar(name, middle, low, high, limit))
    return Figure(
        f"Mass for the same {s.inputs['demand']} ({s.inputs['case']})", Axis("mass", "kg", low=0.0), Axis(""),
        bars=tuple(bars), note="The mark is the part as it is; bars left of it are lighter.",
    )  # fmt: skip


CALCULATOR = Calculator(
    id="material-swap",
    title="The same job in another metal",
    question="Same job in another metal: mass and cost?",
    inputs=(
        Choice("case", "thin-wall", CASES, "what the part does and what may change"),
        Choice("demand", "stiffness", {"stiffness": "equal stiffness", "strength": "equal strength"}, "what must stay the same"),
        Choice("old", "hsla-steel", {n: g.title for n, g in GRADES.items()}, "metal of the part as it is"),
        Choice("new", "aluminium-6082-t6", {n: g.title for n, g in GRADES.items()}, "metal to compare with"),
        Choice("joint", "fastened", {"fastened": "bolted, riveted or bonded", "welded": "fusion-welded where it is stressed"}, "how the part is joined"),
        Number("mass", "kg", "5.7..6.3", 0.01, 200, "mass of the part as it is"),
        Number("gauge", "mm", "2.3..2.7", 0.3, 60, "its wall thickness"),
        Number("width", "mm", "60", 5, 600, "outer width of the box (package)"),
        Number("height", "mm", "80", 5, 600, "outer height of the box, in the plane of bending (package)"),
        Number("least_gauge", "mm", "1.8", 0.3, 20, "thinnest wall that the new process can make"),
        Number("steel_price", "EUR/kg", "0.9..1.5", 0.1, 50, "price of steel sheet or tube"),
        Number("aluminium_price", "EUR/kg", "3.5..6", 0.1, 80, "price of aluminium sheet, extrusion or ingot"),
        Number("magnesium_price", "EUR/kg", "4..8", 0.1, 100, "price of magnesium alloy"),
        Number("cfrp_price", "EUR/kg", "20..45", 0.1, 400, "price of laminate"),
        Number("steel_carbon", "", "1.9..2.4", 0, 10, "kg CO2 a kg of steel"),
        Number("aluminium_carbon", "", "5..16", 0, 40, "kg CO2 a kg of aluminium: recycled low, coal power high"),
        Number("magnesium_carbon", "", "18..30", 0, 80, "kg CO2 a kg of magnesium"),
        Number("cfrp_carbon", "", "20..40", 0, 100, "kg CO2 a kg of laminate"),
        Number("buy_to_fly", "", "1.2..1.5", 1, 5, "metal bought over metal that stays in the part"),
    ),
    outputs=(
        Output("new_mass", "kg", "mass in the new metal"),
        Output("saving", "kg", "mass saved"),
        Output("mass_ratio", "", "new mass over old"),
        Output("new_gauge", "mm", "gauge in the new metal"),
        Output("old_cost", "EUR", "metal bought for the part as it is"),
        Output("new_cost", "EUR", "metal bought for the new part"),
        Output("extra_cost", "EUR", "difference in metal cost"),
        Output("old_carbon", "kg", "CO2 of the metal as it is"),
        Output("new_carbon", "kg", "CO2 of the new metal"),
        Output("extra_carbon", "kg", "difference in CO2"),
        Output("reached", "", "share of the demand that fits the package"),
        Output("lightest", "", "lightest of all that reach the demand", labels=tuple(GRADES)),
        *(Output(_KEYS[n], "kg", f"mass as {g.title}") for n, g in GRADES.items()),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="labour, tools and joints (see process-cost and weld), crash, fatigue, corrosion, local buckling of thinned walls, use phase",
    cautions=("Prices and carbon figures drift: put in today's before quoting them.",),
    sources=(
        "M. F. Ashby, Materials Selection in Mechanical Design, ch. 5 (indices for tie, beam, panel)",
        "EN 1999-1-1:2007, Table 3.2b (aluminium, parent and heat-affected zone); EN 10268, EN 10130 (sheet)",
        "carbon: steel and primary aluminium as published by their world associations, others wide ranges (from memory)",
        "prices: common practice, no source",
    ),
    leading="gauge",
    also={"from": "old", "to": "new", "material": "old", "thickness": "gauge", "package_width": "width",
          "package_height": "height", "min_gauge": "least_gauge", "criterion": "demand"},
)  # fmt: skip
