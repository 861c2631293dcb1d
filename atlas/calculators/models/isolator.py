"""What a soft mount isolates, and what it costs."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled, figures
from atlas.calculators.figure import Axis, Curve, Figure
from atlas.calculators.units import factor
from atlas.mechanics.isolation import (
    crossover,
    natural_frequency,
    transmissibility,
    two_stage_frequencies,
)

STAGES = {
    "one": "unit on rubber, straight to the structure",
    "two": "unit on rubber to a cradle, cradle on rubber to the body",
}
DAMPING = {
    "loss-factor": "rubber: damping alike at all frequencies",
    "viscous": "fluid-filled mount: damping grows with frequency",
}
VERDICTS = ("isolates", "amplifies", "neither")
GRAVITY = 9.80665


def _evaluate(**v: Any) -> dict[str, Any]:
    two = v["stages"] == "two"
    k1 = v["stiffness"] * v["mounts"]
    k2 = v["cradle_stiffness"] * v["cradle_mounts"]
    mass, below = v["mass"], v["cradle_mass"]
    # A mount is stiffer when shaken fast than when pressed slowly.
    d1, d2 = k1 * v["dynamic_ratio"], k2 * v["dynamic_ratio"]
    one = transmissibility(v["frequency"], mass, d1, v["loss"], damping=v["damping"])
    both = transmissibility(
        v["frequency"], mass, d1, v["loss"], below, d2, v["cradle_loss"], damping=v["damping"]
    )
    passed = both if two else one
    low, high = two_stage_frequencies(mass, d1, below, d2)
    single = natural_frequency(d1, mass)
    first, second = (low, high) if two else (single, single)
    cross = crossover(mass, d1, below, d2) if two else crossover(mass, d1)
    at_peak = (
        transmissibility(
            low, mass, d1, v["loss"], below, d2, v["cradle_loss"], damping=v["damping"]
        )
        if two
        else transmissibility(single, mass, d1, v["loss"], damping=v["damping"])
    )
    sag = mass * GRAVITY / k1 + ((mass + below) * GRAVITY / k2 if two else 0)
    side = v["side_ratio"]
    give = v["side_force"] / (k1 * side) + (v["side_force"] / (k2 * side) if two else 0)
    return {
        "transmissibility": passed, "decibels": -20 * np.log10(passed), "one_stage": one,
        "second_stage_gain": one / both, "first_resonance": first, "second_resonance": second,
        "crossover": cross, "frequency_ratio": v["frequency"] / second, "peak": at_peak,
        "sag": sag, "side_movement": give,
        "stiffness_for_half": _half(v["frequency"], mass, v["mounts"]) / v["dynamic_ratio"],
        "mode": np.where(passed < 0.8, 0, np.where(passed > 1.25, 1, 2)),
    }  # fmt: skip


def _half(frequency: Any, mass: Any, mounts: Any) -> Any:
    """Dynamic stiffness of one mount that passes on half, undamped: r squared is 3."""
    return (2 * np.pi * frequency) ** 2 * mass / 3 / mounts


def _findings(s: Sampled) -> list[str]:
    frequency = float(np.median(s.inputs["frequency"]))
    inside = s.share(s["transmissibility"] < 1)
    found = [
        f"At {figures(frequency)} Hz the mounts pass on {s.span('transmissibility')} of the force; they isolate in {inside:.0%} of samples, "
        f"from {s.span('crossover')} Hz upward."
    ]
    if inside < 0.5:
        found.append(
            f"To halve the force at {figures(frequency)} Hz a mount may be at most {s.span('stiffness_for_half')} kN/mm slow stiffness: these are too stiff, or the source too slow."
        )
    if s.inputs["stages"] == "two":
        gain = s.median("second_stage_gain")
        found.append(
            f"The second stage divides the force by a further {s.span('second_stage_gain')}"
            + (" and pays." if gain > 2 else (" only." if gain >= 1 else ": below one, it makes things worse at this frequency."))
            + f" Its own resonance lies at {s.span('second_resonance')} Hz."
        )  # fmt: skip
    found.append(
        f"The price: {s.span('sag')} mm of sag and {s.span('side_movement')} mm sideways under the side force"
        + (
            "; a cradle that moves so far steers the wheels."
            if s.median("side_movement") > 2
            else "."
        )
    )
    hop = s.share((s["first_resonance"] > 8) & (s["first_resonance"] < 15))
    if hop > 0.2:
        found.append(
            f"Its resonance falls into the 8 to 15 Hz of wheel hop in {hop:.0%} of samples, where it multiplies by {s.span('peak')}: fluid-filled mounts are used there."
        )
    return found


def _figure(s: Sampled) -> Figure:
    wanted = np.geomspace(2.0, 1000.0, 120)
    pick = np.linspace(0, len(s.inputs["mass"]) - 1, 150 if s.varies else 1).astype(int)
    values: dict[str, Any] = {}
    for one in CALCULATOR.inputs:
        if not isinstance(one, Number):
            values[one.name] = s.inputs[one.name]
        elif one.name == "frequency":
            values[one.name] = np.repeat(wanted, len(pick))
        else:
            values[one.name] = np.tile(s.inputs[one.name][pick], len(wanted)) * factor(one.unit)
    found = _evaluate(**values)
    curves = [_curve("as asked", wanted, found["transmissibility"], s.varies, "main")]
    if s.inputs["stages"] == "two":
        curves.append(_curve("one stage only", wanted, found["one_stage"], False, "other"))
    limit = Curve("passes on all", wanted[[0, -1]], np.ones(2), style="limit")
    return Figure(
        "Force passed on over force put in",
        Axis("frequency", "Hz", log=True),
        Axis("transmissibility", log=True, low=1e-4, high=30.0),
        curves=(*curves, limit),
        note="Below 1 the mount isolates; the peak is its price.",
    )


def _curve(name: str, x: Any, values: Any, band: bool, style: str) -> Curve:
    table = values.reshape(len(x), -1)
    low, mid, high = np.percentile(table, (5, 50, 95), axis=1)
    return Curve(name, x, mid, low, high, style) if band else Curve(name, x, mid, style=style)


CALCULATOR = Calculator(
    id="isolator",
    title="Soft mount, one or two stages",
    question="What does a soft mount isolate, and what does it cost?",
    inputs=(
        Choice("stages", "one", STAGES, "rubber once or twice between unit and body"),
        Choice("damping", "loss-factor", DAMPING, "kind of damping"),
        Number("frequency", "Hz", "100", 0.1, 5000, "frequency to isolate: road 20 to 200, gear whine 300 to 2000"),
        Number("mass", "kg", "85..95", 0.1, 3000, "mass of the unit on the mounts"),
        Number("mounts", "", "3", 1, 12, "mounts under the unit", whole=True),
        Number("stiffness", "kN/mm", "0.25..0.4", 0.001, 100, "one mount, pressed slowly"),
        Number("dynamic_ratio", "", "1.3..1.6", 1, 4, "stiffness shaken over stiffness pressed: soft rubber 1.2, hard or fluid 2"),
        Number("loss", "", "0.08..0.15", 0.002, 2, "loss factor: natural rubber 0.1, damped rubber 0.2, fluid 0.5"),
        Number("cradle_mass", "kg", "28..34", 0.1, 1000, "mass of the cradle between the stages (two)"),
        Number("cradle_mounts", "", "4", 1, 12, "mounts under the cradle (two)", whole=True),
        Number("cradle_stiffness", "kN/mm", "1..1.6", 0.001, 1000, "one cradle mount, pressed slowly (two)"),
        Number("cradle_loss", "", "0.08..0.15", 0.002, 2, "loss factor of the cradle mounts (two)"),
        Number("side_ratio", "", "0.4..0.8", 0.01, 5, "mounts' stiffness sideways over upright"),
        Number("side_force", "kN", "1..2", 0, 100, "side force that the mounts must hold: cornering"),
    ),
    outputs=(
        Output("transmissibility", "", "force passed on over force put in"),
        Output("decibels", "", "the same in decibels taken off"),
        Output("one_stage", "", "transmissibility of the unit's mounts alone"),
        Output("second_stage_gain", "", "force passed on by one stage over that by two"),
        Output("first_resonance", "Hz", "lowest bounce resonance"),
        Output("second_resonance", "Hz", "resonance of the second stage; the same with one stage"),
        Output("crossover", "Hz", "frequency above which the mounts isolate"),
        Output("frequency_ratio", "", "frequency over the highest resonance"),
        Output("peak", "", "transmissibility at the first resonance"),
        Output("sag", "mm", "sag under the weight"),
        Output("side_movement", "mm", "movement under the side force"),
        Output("stiffness_for_half", "kN/mm", "slow stiffness of a mount that would halve the force"),
        Output("mode", "", "verdict at the frequency asked", labels=VERDICTS),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="a yielding body under the mounts, waves in the rubber (above some 500 Hz), five other freedoms, hardening and stops",
    cautions=(
        "Prop the unit before its mounts come off; a cradle on rubber drops unevenly.",
        "Torn fluid-filled mounts leak: wear eye protection and catch the fluid.",
    ),
    sources=(
        "W. T. Thomson, Theory of Vibration with Applications, ch. 3 and 5",
        "C. M. Harris, Shock and Vibration Handbook, isolation of vibration",
        "loss factors, dynamic ratios, wheel-hop range: common practice, no source",
    ),
    leading="frequency",
    also={"k": "stiffness", "damping_loss": "loss", "loss_factor": "loss", "hz": "frequency"},
)  # fmt: skip
