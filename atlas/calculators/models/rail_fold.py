"""Whether a rail folds progressively or bends as a whole."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled, figures
from atlas.calculators.figure import Axis, Bar, Figure
from atlas.mechanics.crushing import bending_length, rate_factor, square_mean_force
from atlas.mechanics.folding import (
    buckling_force,
    fold_half_length,
    hinge_force,
    thin_box,
)
from atlas.mechanics.walls import effective_share

# Elastic modulus [Pa]: EN 1993-1-1, 3.2.6; EN 1999-1-1, 3.2.5. Rate constants D [1/s] and q of
# Cowper and Symonds at large strain: N. Jones, Structural Impact (from memory).
METALS = {"steel": (210e9, 6844.0, 3.91), "aluminium": (70e9, 6500.0, 4.0)}
_HELD = {"beam": 0.7, "free": 2.0, "pinned": 1.0}
_FOLDS, _KICK, _BENDS, _LONG = range(4)


def _evaluate(
    metal: str,
    tip: str,
    depth: Any,
    width: Any,
    gauge: Any,
    yield_strength: Any,
    ultimate: Any,
    length: Any,
    kick: Any,
    root_gauge: Any,
    root_depth: Any,
    initiator: Any,
    spacing: Any,
    speed: Any,
) -> dict[str, Any]:
    modulus, rate_d, rate_q = METALS[metal]
    if np.any(ultimate < yield_strength):
        raise ValueError("ultimate must be at least yield_strength")
    d, b = depth - gauge, width - gauge
    if np.any(np.minimum(np.minimum(d, b), root_depth - root_gauge) < 0.01):
        raise ValueError("width, depth and root_depth must exceed their gauge by 10 mm at least")
    side = (d + b) / 2
    front = thin_box(np.minimum(d, b), np.maximum(d, b), gauge)
    root = thin_box(root_depth - root_gauge, b, root_gauge)
    # Flow stress of a wall that folds: between yield and ultimate (Abramowicz and Jones).
    flow = (yield_strength + ultimate) / 2
    factor = rate_factor(0.33 * speed / side, rate_d, rate_q)
    mean = square_mean_force(side, gauge, flow) * factor
    wall = np.maximum(d, b) / gauge
    share = effective_share(wall, yield_strength, "internal", metal)
    peak = front.area * yield_strength * share * (1 - initiator) * factor
    whole = buckling_force(modulus, yield_strength, front, length, _HELD[tip])
    hinge = hinge_force(root.area * yield_strength, root.plastic_modulus * yield_strength, kick)
    limit = np.minimum(whole, hinge)
    critical = bending_length(side, gauge)
    # A rail may be short enough for Euler and still too long to fold without swaying over. Good
    # initiators at both faces hold it straight for longer; a tenth is common practice.
    too_long = length > critical * (1 + initiator)
    mode = np.where(
        peak > limit, np.where(hinge <= whole, _KICK, _BENDS), np.where(too_long, _LONG, _FOLDS)
    )
    fold = 2 * fold_half_length(side, gauge)
    return {
        "margin": limit / peak,
        "mode": mode,
        "mean_force": mean,
        "peak_force": peak,
        "whole_force": whole,
        "hinge_force": hinge,
        "root_moment": mean * kick,
        "fold": fold,
        "folds": length / fold,
        "spacing_ratio": spacing / fold,
        "length_ratio": length / critical,
        "energy": mean * 0.73 * length,
    }


def _findings(s: Sampled) -> list[str]:
    share = [s.share(s["mode"] == mode) for mode in range(4)]
    best = int(np.argmax(share))
    margin = s.span("margin", 2)
    words = (
        f"Folds from the tip in {share[_FOLDS]:.0%} of samples: the weakest other way needs "
        f"{margin} times the peak.",
        f"Hinges at the kick-down in {share[_KICK]:.0%} of samples, at {s.span('hinge_force', 3)} kN, "
        f"before the tip gives at {s.span('peak_force', 3)} kN: stiffen the root or weaken the tip.",
        f"Bends as a whole in {share[_BENDS]:.0%} of samples, at {s.span('whole_force', 3)} kN.",
        f"Strong enough to fold, but {s.span('length_ratio', 2)} times the length that stays straight: "
        f"it sways over after some folds in {share[_LONG]:.0%} of samples.",
    )
    found = [words[best]]
    ratio = s.median("spacing_ratio")
    if 0.8 <= ratio <= 1.25:
        found.append(
            f"Initiators sit {figures(ratio, 2)} folds apart, as the section folds by itself "
            f"({s.span('fold', 2)} mm a fold)."
        )
    else:
        found.append(
            f"Initiators sit {figures(ratio, 2)} folds apart; the section wants {s.span('fold', 2)} mm a "
            "fold, so they start the first fold and disturb the next."
        )
    found.append(
        f"While it folds at {s.span('mean_force', 3)} kN the kick sees {s.span('root_moment', 2)} kN m, "
        f"{s.median('mean_force') / s.median('hinge_force'):.0%} of what its hinge takes."
    )
    return found


def _figure(s: Sampled) -> Figure:
    bars = []
    for name, text in (
        ("mean_force", "mean fold"),
        ("peak_force", "first peak"),
        ("hinge_force", "hinge at kick"),
        ("whole_force", "bends whole"),
    ):
        low, middle, high = (float(v) for v in np.percentile(s[name], (5, 50, 95)))
        bars.append(Bar(text, middle, low, high))
    return Figure("Forces of one rail", Axis("force", "kN", low=0.0), Axis(""), bars=tuple(bars))


CALCULATOR = Calculator(
    id="rail-fold",
    title="Folding or bending of a rail",
    question="Will this rail fold progressively or bend as a whole?",
    inputs=(
        Choice("metal", "steel", {name: name for name in METALS}, "of the rail"),
        Choice("tip", "beam", {"beam": "bumper beam holds it sideways", "pinned": "held sideways, free to turn", "free": "nothing holds it"}, "what holds the rail's tip"),
        Number("depth", "mm", "110..120", 20, 400, "of the section, outside, in the plane of the kick"),
        Number("width", "mm", "65..75", 20, 400, "of the section, outside"),
        Number("gauge", "mm", "1.6..2.0", 0.5, 12, "of the walls ahead"),
        Number("yield_strength", "MPa", "340..400", 80, 1600, "of the walls"),
        Number("ultimate", "MPa", "440..520", 120, 1900, "tensile strength of the walls"),
        Number("length", "mm", "420..480", 50, 1500, "straight run from tip to the kick"),
        Number("kick", "mm", "60..100", 0, 500, "by which the axis drops at the kick-down"),
        Number("root_gauge", "mm", "2.2..2.6", 0.5, 12, "of the walls at the kick, doublers counted"),
        Number("root_depth", "mm", "130..150", 20, 500, "of the section at the kick"),
        Number("initiator", "", "0.15..0.30", 0, 0.6, "share by which beads, dimples or holes lower the first peak"),
        Number("spacing", "mm", "45..60", 5, 500, "from one initiator to the next on the same face"),
        Number("speed", "km/h", "56", 0, 150, "of the hit"),
    ),
    outputs=(
        Output("margin", "", "weakest other way over the tip's first peak; above 1 it folds"),
        Output("mode", "", "how it gives way", labels=("folds from the tip", "hinges at the kick", "bends as a whole", "folds, then sways over")),
        Output("mean_force", "kN", "mean folding force of one rail, at speed"),
        Output("peak_force", "kN", "first peak of one rail, at speed, initiators counted"),
        Output("whole_force", "kN", "at which the straight run bends as a whole"),
        Output("hinge_force", "kN", "at which the kick forms a hinge"),
        Output("root_moment", "kN m", "at the kick while the tip folds"),
        Output("fold", "mm", "length of rail that one fold takes"),
        Output("folds", "", "folds that the straight run can make"),
        Output("spacing_ratio", "", "initiator spacing over fold length"),
        Output("length_ratio", "", "straight run over the length that stays straight"),
        Output("energy", "kJ", "that one rail takes over 0.73 of its straight run"),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="fracture, welds and flanges, oblique load, multi-cell sections, support of the kick by floor or dash",
    cautions=("Screening, not a crash prediction. Cut rails spring and have sharp edges; airbag sensors and live cables may be fixed to them.",),
    sources=(
        "W. Abramowicz, N. Jones, Int. J. Impact Engng 2 (1984), 4 (1986), 19 (1997) (from memory)",
        "T. Wierzbicki, W. Abramowicz, J. Appl. Mech. 50 (1983) 727-734",
        "EN 1993-1-1:2005, 6.2.1 (7) and 6.3.1.2; EN 1993-1-5:2006, 4.4",
    ),
    leading="gauge",
)  # fmt: skip
