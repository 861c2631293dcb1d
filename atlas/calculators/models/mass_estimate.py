"""What a part should weigh, from what can be seen."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Figure
from atlas.calculators.response import response, setting
from atlas.mechanics.materials import DENSITY
from atlas.mechanics.ranges import within


def _evaluate(
    form: str,
    material: str,
    length: Any,
    perimeter: Any,
    width: Any,
    gauge: Any,
    holes: Any,
    extras: Any,
) -> dict[str, Any]:
    run = within("length", length, 0, 10, above=True)
    name, across = ("perimeter", perimeter) if form == "profile" else ("width", width)
    girth = within(name, across, 0, 5, above=True)
    wall = within("gauge", gauge, 0, 0.1, above=True)
    if np.any(wall > girth / 2):
        raise ValueError("gauge must be at most half the perimeter or width")
    metal = run * girth * wall * DENSITY[material]
    body = metal * (1 - within("holes", holes, 0, 0.9))
    return {"mass": body + extras, "per_metre": body / run, "blank": metal}


def _findings(s: Sampled) -> list[str]:
    low, high = (float(v) for v in np.percentile(s["mass"], (5, 95)))
    mine = str(s.inputs["material"])
    found = [
        f"Put it on a scale: outside {low:.2f} to {high:.2f} kg the gauge, the metal or the form is misread."
    ]
    alike: list[str] = []
    apart: list[str] = []
    body = s["mass"] - np.asarray(s.inputs["extras"])
    for name in ("steel", "aluminium", "magnesium"):
        if name == mine:
            continue
        other = body * DENSITY[name] / DENSITY[mine] + np.asarray(s.inputs["extras"])
        least, most = (float(v) for v in np.percentile(other, (5, 95)))
        told = f"{name} ({least:.2f} to {most:.2f} kg)"
        (alike if least <= high and most >= low else apart).append(told)
    if apart:
        found.append(f"The scale tells it from {' and from '.join(apart)}.")
    if alike:
        found.append(
            f"It does not tell it from {' or from '.join(alike)}: take the readings better, or ask a magnet."
        )
    if s.varies and high > 1.5 * low:
        found.append(
            f"The estimate spans a factor of {high / low:.1f}: measure before you conclude from it."
        )
    if high > 25:
        found.append("Above 25 kg: lift it with two people or a hoist.")
    return found


def _figure(s: Sampled) -> Figure:
    return Figure(
        "Mass against gauge", Axis("gauge", "mm"), Axis("mass", "kg", low=0.0),
        curves=(response(CALCULATOR, s, "gauge", "mass"),), points=(setting(s, "gauge", "mass"),),
        note="Weigh it and read the gauge off the curve: a reading outside the band means another metal or form.",
    )  # fmt: skip


CALCULATOR = Calculator(
    id="mass-estimate",
    title="Mass from what can be seen",
    question="What should this part weigh, from what can be seen?",
    inputs=(
        Choice("form", "profile", {"profile": "section along a length", "plate": "sheet of some area"}, "what it is made from"),
        Choice("material", "steel", {name: name for name in DENSITY}, "metal or polymer"),
        Number("length", "mm", "900+-15", 10, 5000, "developed length along the part"),
        Number("perimeter", "mm", "260+-10", 10, 3000, "developed girth of the section's walls (profile)"),
        Number("width", "mm", "300+-10", 5, 3000, "mean width of the sheet (plate)"),
        Number("gauge", "mm", "2.2..2.8", 0.3, 60, "wall or sheet thickness"),
        Number("holes", "", "0.02..0.08", 0, 0.9, "share of the area that is holes and cut-outs"),
        Number("extras", "kg", "0.1..0.4", 0, 50, "brackets, bushes and nuts that stay on"),
    ),
    outputs=(
        Output("mass", "kg", "mass of the part"),
        Output("per_metre", "kg/m", "mass per metre without extras"),
        Output("blank", "kg", "metal before holes"),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="coating, sealer, weld metal, fillets; varying gauge",
    cautions=("Estimate before lifting: support the part before the last bolt is out.",),
    sources=("arithmetic; densities: see atlas.mechanics.materials",),
    leading="gauge",
)  # fmt: skip
