"""Which process wins at which volume."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Figure
from atlas.calculators.response import response, setting
from atlas.mechanics.costs import PROCESSES, crossover, unit_cost
from atlas.mechanics.ranges import within

STATES = ("first is cheaper", "second is cheaper")
_TITLES = {name: one.title for name, one in PROCESSES.items()}


def _parts(
    name: str,
    mass: Any,
    volume: Any,
    level: Any,
    prices: dict[str, Any],
    seam: Any,
    speed: Any,
    rate: Any,
) -> dict[str, Any]:
    """The four parts of a unit cost, and what splits into tools and running cost."""
    one = PROCESSES[name]
    price = prices[one.family] * one.premium
    tools = one.tools * level * np.maximum(mass / 5.0, 0.1) ** 0.5
    hourly = one.hourly * level
    pace = 3600.0 / one.cycle
    metal = mass * price / (1 - one.scrap)
    time = hourly / pace
    join = seam / speed * rate
    whole = unit_cost(mass, price, one.scrap, tools, volume, one.life, pace, hourly) + join
    return {"metal": metal, "time": time, "seam": join, "tools": whole - metal - time - join, "whole": whole,
            "running": metal + time + join, "set": tools}  # fmt: skip


def _evaluate(
    first: str,
    second: str,
    first_mass: Any,
    second_mass: Any,
    first_seam: Any,
    second_seam: Any,
    per_year: Any,
    years: Any,
    steel_price: Any,
    aluminium_price: Any,
    first_level: Any,
    second_level: Any,
    weld_speed: Any,
    weld_rate: Any,
) -> dict[str, Any]:
    prices = {"steel": steel_price, "aluminium": aluminium_price}
    volume = within("per_year times years", per_year * years, 1, 1e8)
    # Seams cost their station's time; the rate arrives in EUR/s, speed in m/s.
    a = _parts(first, first_mass, volume, first_level, prices, first_seam, weld_speed, weld_rate)
    b = _parts(
        second, second_mass, volume, second_level, prices, second_seam, weld_speed, weld_rate
    )
    even = crossover(a["set"], a["running"], b["set"], b["running"]) / years
    always = ~np.isfinite(even)
    return {
        "first_cost": a["whole"], "second_cost": b["whole"], "difference": b["whole"] - a["whole"],
        "cost_ratio": a["whole"] / b["whole"],
        "crossover": np.clip(np.where(always, 1e7, even), 1.0, 1e7),
        "crosses": np.where(always, 0.0, 1.0),
        "first_metal": a["metal"], "first_tools": a["tools"], "first_time": a["time"], "first_seams": a["seam"],
        "second_metal": b["metal"], "second_tools": b["tools"], "second_time": b["time"], "second_seams": b["seam"],
        "saved_mass": first_mass - second_mass,
        "cheaper": np.where(a["whole"] <= b["whole"], 0, 1),
    }  # fmt: skip


def _findings(s: Sampled) -> list[str]:
    one, two = str(s.inputs["first"]), str(s.inputs["second"])
    wins = s.share(s["cheaper"] < 0.5)
    volume = float(np.median(s.inputs["per_year"]))
    best, other = (one, two) if wins >= 0.5 else (two, one)
    gap = abs(s.median("difference"))
    found = [
        f"At {volume:,.0f} a year {best} is cheaper in {max(wins, 1 - wins):.0%} of samples, by {gap:.3g} EUR a part "
        f"({s.span('first_cost')} against {s.span('second_cost')} EUR)."
    ]
    crosses = s.share(s["crosses"] > 0.5)
    if crosses > 0.5:
        found.append(
            f"They cross near {s.span('crossover', 2)} a year: the one with dearer tools wins above, the other below."
        )
    else:
        found.append(f"{best} stays cheaper at every volume: volume is not why {other} was chosen.")
    kinds = ("metal", "tools", "time", "seams")
    worst = max(kinds, key=lambda kind: abs(s.median(f"second_{kind}") - s.median(f"first_{kind}")))
    step = s.median(f"second_{worst}") - s.median(f"first_{worst}")
    found.append(
        f"Most of the difference is {worst}: {abs(step):.3g} EUR more for {two if step > 0 else one}."
    )
    seam_share = s.median("second_seams") / s.median("second_cost")
    if seam_share > 0.2:
        found.append(
            f"Seams are {seam_share:.0%} of {two}'s cost: fewer, larger pieces would pay before cheaper metal."
        )
    saved = s.median("saved_mass")
    if saved > 0 and s.median("difference") > 0:
        found.append(
            f"{two} buys its {saved:.2g} kg at {s.median('difference') / saved:.2g} EUR a kilogram."
        )
    return found


def _figure(s: Sampled) -> Figure:
    centre = float(np.median(s.inputs["per_year"]))
    span = (max(200.0, centre / 30), min(3e6, centre * 30))
    curves = (
        response(CALCULATOR, s, "per_year", "first_cost", span=span, points=41, title=str(s.inputs["first"])),
        response(CALCULATOR, s, "per_year", "second_cost", span=span, points=41, title=str(s.inputs["second"]), style="other"),
    )  # fmt: skip
    return Figure(
        "Unit cost against volume", Axis("parts a year", "", log=True), Axis("unit cost", "EUR", log=True),
        curves=curves, points=(setting(s, "per_year", "first_cost"),),
        note="Where the curves cross, the cheaper process changes.",
    )  # fmt: skip


CALCULATOR = Calculator(
    id="process-cost",
    title="Processes and volumes",
    question="Which process wins at which volume?",
    inputs=(
        Choice("first", "stamped-steel", _TITLES, "first way to make it"),
        Choice("second", "extruded-aluminium", _TITLES, "second way to make it"),
        Number("first_mass", "kg", "17..19", 0.05, 300, "mass made the first way"),
        Number("second_mass", "kg", "19..25", 0.05, 300, "mass made the second way"),
        Number("first_seam", "m", "4..6", 0, 200, "length of weld seams, first way"),
        Number("second_seam", "m", "9..13", 0, 200, "length of weld seams, second way"),
        Number("per_year", "", "60000", 10, 3e6, "parts a year"),
        Number("years", "", "6", 1, 20, "years of production"),
        Number("steel_price", "EUR/kg", "0.9..1.5", 0.1, 50, "price of steel sheet"),
        Number("aluminium_price", "EUR/kg", "3.5..6", 0.1, 80, "price of aluminium sheet or profile"),
        Number("first_level", "", "0.8..1.25", 0.2, 5, "tools and rates over the usual, first way"),
        Number("second_level", "", "0.8..1.25", 0.2, 5, "tools and rates over the usual, second way"),
        Number("weld_speed", "mm/s", "8..14", 1, 100, "seam speed with arm moves and loading"),
        Number("weld_rate", "EUR/h", "90..150", 5, 1000, "a weld station's hour"),
    ),
    outputs=(
        Output("first_cost", "EUR", "unit cost, first way"),
        Output("second_cost", "EUR", "unit cost, second way"),
        Output("difference", "EUR", "second less first"),
        Output("cost_ratio", "", "first over second"),
        Output("crossover", "", "parts a year at which they cost the same; 10 million where they never do"),
        Output("crosses", "", "whether they cross at all", labels=("never", "yes")),
        Output("first_metal", "EUR", "metal, first way"),
        Output("first_tools", "EUR", "tools, first way"),
        Output("first_time", "EUR", "machine time and labour, first way"),
        Output("first_seams", "EUR", "seams, first way"),
        Output("second_metal", "EUR", "metal, second way"),
        Output("second_tools", "EUR", "tools, second way"),
        Output("second_time", "EUR", "machine time and labour, second way"),
        Output("second_seams", "EUR", "seams, second way"),
        Output("saved_mass", "kg", "first mass less second"),
        Output("cheaper", "", "which is cheaper at this volume", labels=STATES),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="value of scrap, coating, machining after welding, assembly, logistics, learning, margin",
    cautions=("Typical figures for screening: a quotation beats every number here.",),
    sources=(
        "M. F. Ashby, Materials Selection in Mechanical Design, process cost model (from memory)",
        "tool costs, rates and yields of the processes: common practice, no source",
    ),
    leading="per_year",
    also={"volume": "per_year", "process": "first", "process_a": "first", "process_b": "second", "mass": "first_mass",
          "mass_a": "first_mass", "mass_b": "second_mass", "life": "years"},
)  # fmt: skip
