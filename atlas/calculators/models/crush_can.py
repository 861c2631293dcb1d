"""What a crush can gives over its stroke."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Curve, Figure, Points
from atlas.mechanics.crushing import (
    RATE,
    bending_length,
    cells_mean_force,
    fold_length,
    rate_factor,
    round_mean_force,
    round_stroke_share,
    square_mean_force,
)
from atlas.mechanics.materials import DENSITY

SHAPES = {
    "box": "one cell, four walls",
    "multi-cell": "inner webs; cells_wide by cells_high",
    "round": "round tube: width is the diameter",
    "two-shell": "two pressed shells, flanges spot-welded",
}
STATES = ("holds within its stroke", "bottoms out", "rail gives way first", "may tip over and bend")
_SHARE = {"box": 0.73, "multi-cell": 0.70, "two-shell": 0.70}
_STATIONS = 7  # along a tapered can


def _corners(shape: str, wide: Any, high: Any) -> Any:
    """Right-angle corners; a T-joint of walls counts as two, a crossing as four."""
    if shape != "multi-cell":
        return 4.0
    return 4 + 2 * (2 * (wide - 1) + 2 * (high - 1)) + 4 * (wide - 1) * (high - 1)


def _walls(shape: str, width: Any, height: Any, gauge: Any, wide: Any, high: Any) -> Any:
    """Length of all walls on their middle lines."""
    b, h = width - gauge, height - gauge
    if shape == "round":
        return np.pi * b
    if shape != "multi-cell":
        return 2 * (b + h)
    return b * (high + 1) + h * (wide + 1)


def _mean(shape: str, width: Any, height: Any, gauge: Any, wide: Any, high: Any, flow: Any) -> Any:
    if shape == "round":
        return round_mean_force(width - gauge, gauge, flow)
    if shape == "multi-cell":
        walls = _walls(shape, width, height, gauge, wide, high)
        return cells_mean_force(walls, _corners(shape, wide, high), gauge, flow)
    return square_mean_force((width + height) / 2 - gauge, gauge, flow)


def _evaluate(
    shape: str,
    material: str,
    width: Any,
    height: Any,
    rear_scale: Any,
    gauge: Any,
    cells_wide: Any,
    cells_high: Any,
    length: Any,
    yield_strength: Any,
    tensile_strength: Any,
    trigger: Any,
    rail_force: Any,
    mass: Any,
    speed: Any,
    energy_share: Any,
) -> dict[str, Any]:
    if np.any(tensile_strength < yield_strength):
        raise ValueError("tensile_strength must be at least the yield_strength")
    across = width if shape == "round" else (width + height) / 2
    slim = across / gauge
    low, high = (11.0, 150.0) if shape == "round" else (5.0, 150.0)
    if shape != "multi-cell" and (np.any(slim < low) or np.any(slim * rear_scale > high)):
        raise ValueError(
            f"width over gauge must be {low:.0f} to {high:.0f} for this formula (taper included), got "
            f"{float(np.min(slim)):.0f} to {float(np.max(slim * rear_scale)):.0f}"
        )
    if shape == "round":
        height = width
    if np.any(2 * gauge >= np.minimum(width, height) * np.minimum(rear_scale, 1.0)):
        raise ValueError("gauge must be less than half the width and height (inner beyond outer)")
    flow = (yield_strength + tensile_strength) / 2
    side = (width + height) / 2 - gauge
    along = np.linspace(0, 1, _STATIONS)
    scales = [1 + (rear_scale - 1) * x for x in along] if np.any(rear_scale != 1) else [1.0]
    forces = [
        _mean(shape, width * k, height * k, gauge, cells_wide, cells_high, flow) for k in scales
    ]
    static = np.mean(forces, axis=0)
    # Mean speed of the crush is half the closing speed; strain rates after Abramowicz and Jones.
    rate = (0.25 * 2 if shape == "round" else 0.33) * (speed / 2) / side
    factor = rate_factor(rate, *RATE[material])
    mean = static * factor
    walls = _walls(shape, width, height, gauge, cells_wide, cells_high)
    area = walls * gauge + (4 * 15e-3 * gauge if shape == "two-shell" else 0.0)
    peak = np.maximum(area * yield_strength * factor * trigger, 1.05 * forces[0] * factor)
    share = round_stroke_share(side / gauge) if shape == "round" else _SHARE[shape]
    stroke = share * length
    energy = mean * stroke
    body = (
        area
        * length
        * (1 + rear_scale)
        / 2
        * DENSITY["aluminium" if material == "aluminium" else "steel"]
    )
    demand = 0.5 * mass * speed**2 * energy_share
    used = demand / mean
    peaks = np.maximum(peak, mean * (forces[-1] / static))
    tips = length > bending_length(side * (1 + rear_scale) / 2, gauge)
    state = np.where(tips, 3, 0)
    state = np.where(peaks > rail_force, 2, state)
    state = np.where((used > stroke) & (state == 0), 1, state)
    return {
        "mean_force": mean, "peak_force": peaks, "energy": energy, "stroke": stroke,
        "stroke_share": share * np.ones_like(length), "force_efficiency": mean / peaks,
        "static_force": static, "rate_factor": factor,
        "specific_energy": energy / body, "can_mass": body,
        "rail_over_peak": rail_force / peaks,
        "fold": fold_length(walls, _corners(shape, cells_wide, cells_high), gauge),
        "demand": demand, "stroke_used": used, "energy_margin": energy / demand,
        "rear_force": forces[-1] * factor, "front_force": forces[0] * factor, "state": state,
    }  # fmt: skip


def _findings(s: Sampled) -> list[str]:
    bottoms = s.share(s["energy_margin"] < 1)
    rail = s.share(s["rail_over_peak"] < 1)
    found = []
    if bottoms < 0.05:
        found.append(
            f"It takes the {s.span('demand')} kJ of this hit within {s.span('stroke_used')} of its {s.span('stroke')} mm of stroke."
        )
    elif bottoms > 0.95:
        found.append(
            f"It bottoms out: {s.span('energy')} kJ of {s.span('demand')} kJ; the rest goes into the rail at rising force."
        )
    else:
        found.append(
            f"It bottoms out in {bottoms:.0%} of samples: {s.span('energy')} kJ against {s.span('demand')} kJ."
        )
    if rail > 0.05:
        found.append(
            f"In {rail:.0%} of samples the rail's tip gives way before the can's peak of {s.span('peak_force')} kN: the can "
            "does not protect it; look for a trigger bead or a stiffer rail end."
        )
    else:
        found.append(
            f"Its peak of {s.span('peak_force')} kN stays below the rail's strength by a factor of "
            f"{s.span('rail_over_peak', 2)}: the rail should come out straight."
        )
    rough = s.median("force_efficiency")
    if rough < 0.5:
        found.append(
            f"The first peak is {1 / rough:.1f} times the mean force: without a trigger it jolts the rail and wastes stroke."
        )
    tips = s.share(np.rint(s["state"]) == 3)
    if tips > 0.05:
        found.append(
            f"In {tips:.0%} of samples it is so long for its width that it may tip over and bend."
        )
    rise = s.median("rear_force") / s.median("front_force")
    if rise > 1.05:
        found.append(
            f"Its taper lifts the force {rise:.2f} times from front to rear, which steadies an angled hit."
        )
    return found


def _figure(s: Sampled) -> Figure:
    stroke = s.median("stroke")
    x = np.linspace(0, stroke, 121)
    fold = max(s.median("fold"), stroke / 12)
    first = min(0.25 * fold, 0.1 * stroke)

    def course(mean: float, front: float, rear: float, peak: float) -> Any:
        level = mean * (front + (rear - front) * x / stroke) / ((front + rear) / 2)
        wave = level * (1 + 0.25 * np.cos(2 * np.pi * (x - first) / fold))
        rising = peak * x / first
        settle = level + (peak - level) * np.exp(-(x - first) / (0.2 * fold))
        return np.where(x <= first, rising, np.maximum(np.minimum(wave, settle), 0.75 * level))

    bands = [
        course(
            *(
                float(np.percentile(s[n], q))
                for n in ("mean_force", "front_force", "rear_force", "peak_force")
            )
        )
        for q in (5, 50, 95)
    ]
    rail = float(np.median(np.asarray(s.inputs["rail_force"])))
    shown = rail < 2.5 * float(bands[2].max())
    curves = [Curve("can", x, bands[1], bands[0], bands[2])]
    if shown:
        curves.append(Curve("rail tip", np.array([0.0, stroke]), np.full(2, rail), style="limit"))
    used = min(s.median("stroke_used"), stroke)
    return Figure(
        "Force against stroke", Axis("stroke", "mm", low=0.0), Axis("force", "kN", low=0.0),
        curves=tuple(curves), points=(Points("stroke used", np.array([used]), np.array([s.median("mean_force")])),),
        note="Folds are drawn schematically about the mean; a can whose peak crosses the rail's line bends the rail.",
    )  # fmt: skip


CALCULATOR = Calculator(
    id="crush-can",
    title="Crush can: force, energy, stroke",
    question="What mean force and energy does this can give over its stroke?",
    inputs=(
        Choice("shape", "box", SHAPES, "what the cut end looks like"),
        Choice("material", "aluminium", {"steel": "carbon steel", "aluminium": "aluminium", "stainless": "austenitic stainless"}, "metal, for density and rate"),
        Number("width", "mm", "78..82", 20, 250, "outer width, or diameter, at the front end"),
        Number("height", "mm", "98..102", 20, 250, "outer height at the front end"),
        Number("rear_scale", "", "1", 1, 2, "size at the rail over size at the beam; 1 is a straight can"),
        Number("gauge", "mm", "2.3..2.7", 0.5, 8, "wall thickness"),
        Number("cells_wide", "", "2", 1, 5, "cells side by side (multi-cell)", whole=True),
        Number("cells_high", "", "1", 1, 5, "cells on top of each other (multi-cell)", whole=True),
        Number("length", "mm", "145..155", 30, 500, "free length between beam and rail plate"),
        Number("yield_strength", "MPa", "200..230", 40, 1200, "yield or 0.2 % proof strength"),
        Number("tensile_strength", "MPa", "240..270", 60, 1500, "tensile strength"),
        Number("trigger", "", "0.6..0.9", 0.2, 1, "share of the squash load at which the first fold starts: beads 0.5, plain 1"),
        Number("rail_force", "kN", "180..260", 5, 2000, "axial strength of the rail's tip"),
        Number("mass", "kg", "1700", 300, 5000, "vehicle mass in the hit"),
        Number("speed", "km/h", "15", 1, 80, "closing speed against a rigid barrier"),
        Number("energy_share", "", "0.6..0.9", 0.02, 1, "share of the energy that this can must take: 0.5 full width, near 0.9 offset"),
    ),
    outputs=(
        Output("mean_force", "kN", "mean force at this speed"),
        Output("peak_force", "kN", "largest force that it puts on the rail"),
        Output("energy", "kJ", "energy over its usable stroke"),
        Output("stroke", "mm", "usable stroke before the folds lock"),
        Output("stroke_share", "", "usable stroke over length"),
        Output("force_efficiency", "", "mean over peak force"),
        Output("static_force", "kN", "mean force when crushed slowly"),
        Output("rate_factor", "", "dynamic over static force"),
        Output("specific_energy", "kJ/kg", "energy over the can's mass"),
        Output("can_mass", "kg", "mass of the can's walls"),
        Output("rail_over_peak", "", "rail tip's strength over the can's peak"),
        Output("fold", "mm", "length of one fold"),
        Output("demand", "kJ", "energy that it must take"),
        Output("stroke_used", "mm", "stroke that the demand needs"),
        Output("energy_margin", "", "energy over demand"),
        Output("rear_force", "kN", "mean force at its rear end"),
        Output("front_force", "kN", "mean force at its front end"),
        Output("state", "", "how the hit ends for the can", labels=STATES),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="oblique load, fracture and seam failure, the beam's own crush, rebound, spot-weld peeling, heat-affected zones",
    cautions=(
        "Screening of a low-speed hit: it says nothing of occupant safety.",
        "Crushed metal holds spring-back and sharp folds: wear gloves, cut with the part clamped.",
    ),
    sources=(
        "W. Abramowicz and N. Jones, Int. J. Impact Engng 2 (1984) 179-208 and 4 (1986) 243-270 (square, round)",
        "W. Chen and T. Wierzbicki, Thin-Walled Structures 39 (2001); X. Zhang et al., 44 (2006) (cells)",
        "N. Jones, Structural Impact (rate: Cowper and Symonds)",
        "S. R. Guillow, G. Lu and R. H. Grzebieta, Int. J. Mech. Sci. 43 (2001) 2103-2123 (tests, for comparison)",
    ),
    leading="gauge",
    also={"diameter": "width", "thickness": "gauge", "wall": "gauge", "cells": "cells_wide", "depth": "height",
          "taper": "rear_scale", "rail_strength": "rail_force", "velocity": "speed", "fy": "yield_strength",
          "fu": "tensile_strength", "vehicle_mass": "mass"},
)  # fmt: skip
