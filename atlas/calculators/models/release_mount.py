"""When a mount lets go, and how far that is from daily loads."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Curve, Figure
from atlas.mechanics.joints import shear_capacity, slip_load
from atlas.mechanics.release import (
    friction_and_metal,
    largest_normal,
    pin_shear,
    released_below,
    tear_out,
)
from atlas.mechanics.threads import CLASSES, THREADS, class_strength, stress_area

KINDS = {
    "slot": "open slot: the bolt slides out when friction gives way",
    "shear-pin": "slot held shut by pins, plastic or aluminium washers that are cut",
    "tear-out": "short edge that the bolt shears through",
    "weak-bolt": "bolt that is cut",
}
STATES = (
    "lets go in the crash only",
    "may let go in daily use",
    "may not let go in the crash",
    "both are in doubt",
)


def _evaluate(
    kind: str,
    size: str,
    bolt_class: str,
    mounts: Any,
    planes: Any,
    preload: Any,
    slip_factor: Any,
    pins: Any,
    pin_diameter: Any,
    pin_strength: Any,
    edge: Any,
    gauge: Any,
    plate_strength: Any,
    clamp_kept: Any,
    mount_scatter: Any,
    service: Any,
    crash: Any,
) -> dict[str, Any]:
    friction = slip_load(preload, slip_factor, planes)
    zero = 0.0 * friction
    extra = zero
    # Pins stand beside a bolt that stays clamped; a bolt that is cut yields and loses its clamp.
    kept = {"tear-out": clamp_kept, "weak-bolt": zero}.get(kind, 1.0 + zero)
    if kind == "shear-pin":
        extra = pins * pin_shear(pin_diameter, pin_strength, 1)
    elif kind == "tear-out":
        extra = tear_out(edge, gauge, plate_strength)
    elif kind == "weak-bolt":
        area = float(stress_area(*THREADS[size]))
        strength, *_ = class_strength(bolt_class, THREADS[size][0])
        extra = shear_capacity(area + zero, strength, planes)
    release = friction_and_metal(friction, extra, kept)
    early = released_below(service, release, mount_scatter, mounts, every=False)
    all_go = released_below(crash, release, mount_scatter, mounts, every=True)
    score = largest_normal(mounts)
    state = np.where(early > 1e-3, 1, 0) + np.where(all_go < 0.95, 2, 0)
    return {
        "release": release, "first_to_go": release * np.exp(-score * mount_scatter),
        "last_to_go": release * np.exp(score * mount_scatter),
        "friction_part": np.where(release > friction, release - extra, friction) / release,
        "service_margin": release / service, "crash_margin": crash / release,
        "early": early, "failed": 1 - all_go, "window": crash / service, "state": state,
    }  # fmt: skip


def _chance(probability: float) -> str:
    return f"{probability:.2g}" if probability > 1e-6 else "under one in a million"


def _findings(s: Sampled) -> list[str]:
    early, failed = float(np.mean(s["early"])), float(np.mean(s["failed"]))
    count = int(np.median(s.inputs["mounts"]))
    several = (
        f"; of {count}, the first near {s.median('first_to_go'):.3g} and the last near {s.median('last_to_go'):.3g} kN."
        if count > 1
        else "."
    )
    found = [f"One mount lets go at {s.span('release')} kN{several}"]
    found.append(
        f"Chance that one lets go under the hardest daily load: {_chance(early)}; that one holds in the crash: "
        f"{_chance(failed)}."
    )
    if early < 1e-3 and failed < 0.05:
        found.append(
            f"The window holds: {s.span('service_margin', 2)} times daily load, and the crash brings {s.span('crash_margin', 2)} times "
            "what it takes."
        )
    elif early >= 1e-3 and failed >= 0.05:
        found.append(
            "No setting of this mount is safe both ways: its scatter is wider than the window of loads."
        )
    elif early >= 1e-3:
        found.append(
            "It is too weak or too scattered for daily use: look for a second feature that holds it in place."
        )
    else:
        found.append(
            "It may stay shut in the crash: then this is no release mount, or the load is misread."
        )
    share = s.median("friction_part")
    if share > 0.7:
        found.append(
            f"Friction is {share:.0%} of it, and friction scatters: paint, oil and torque decide, so look for a coated "
            "washer or a controlled face."
        )
    elif share < 0.4:
        found.append(
            f"Friction is only {share:.0%} of it: the cut metal sets the load, which is the steadier design."
        )
    return found


def _figure(s: Sampled) -> Figure:
    low = 0.5 * float(np.percentile(s["first_to_go"], 5))
    high = 1.8 * float(np.percentile(s["last_to_go"], 95))
    load = np.linspace(low, high, 61)
    pick = np.linspace(0, len(s["release"]) - 1, min(400, len(s["release"]))).astype(int)
    medians = s["release"][pick] * 1e3
    spread = np.broadcast_to(np.asarray(s.inputs["mount_scatter"]), s["release"].shape)[pick]
    count = np.rint(np.broadcast_to(np.asarray(s.inputs["mounts"]), s["release"].shape)[pick])

    def chance(every: bool) -> Any:
        y = np.array([released_below(x * 1e3, medians, spread, count, every=every) for x in load])
        return np.percentile(y, (5, 50, 95), axis=1), y.mean(axis=1)

    (low1, mid1, high1), _ = chance(False)
    (low2, mid2, high2), _ = chance(True)
    daily, hit = (float(np.median(np.asarray(s.inputs[k]))) for k in ("service", "crash"))
    ends = np.array([0.0, 1.0])
    curves = [
        Curve("at least one", load, mid1, low1, high1),
        Curve("all", load, mid2, low2, high2, style="other"),
        Curve("daily load", np.full(2, daily), ends, style="limit"),
        Curve("crash load", np.full(2, hit), ends, style="limit"),
    ]
    return Figure(
        "Chance of release against the load on each mount", Axis("load", "kN", low=0.0), Axis("chance", "", low=0.0, high=1.0),
        curves=tuple(curves), note="Wanted: the daily line left of the first curve, the crash line right of the second.",
    )  # fmt: skip


CALCULATOR = Calculator(
    id="release-mount",
    title="Mount that lets go",
    question="When does the mount let go, and how far is that from daily loads?",
    inputs=(
        Choice("kind", "slot", KINDS, "how it is made to let go"),
        Choice("size", "M12", {name: name for name in THREADS}, "bolt thread (weak-bolt)"),
        Choice("bolt_class", "8.8", {name: name for name in CLASSES}, "bolt class (weak-bolt)"),
        Number("mounts", "", "4", 1, 20, "mounts that must let go together", whole=True),
        Number("planes", "", "2", 1, 2, "friction or shear planes", whole=True),
        Number("preload", "kN", "35..50", 0.1, 300, "clamp force of one mount's bolt"),
        Number("slip_factor", "", "0.12..0.22", 0.02, 0.7, "friction of the sliding faces"),
        Number("pins", "", "2", 1, 8, "shear pins or tabs of one mount", whole=True),
        Number("pin_diameter", "mm", "6", 1, 30, "diameter of a pin"),
        Number("pin_strength", "MPa", "50..70", 5, 600, "shear strength of a pin: polymer 60, aluminium 120"),
        Number("edge", "mm", "8..10", 0.5, 100, "hole's edge to the plate's edge (tear-out)"),
        Number("gauge", "mm", "3", 0.5, 20, "plate thickness (tear-out)"),
        Number("plate_strength", "MPa", "380..450", 50, 1500, "tensile strength of the plate (tear-out)"),
        Number("clamp_kept", "", "0.6..1", 0, 1, "share of the friction left while the edge tears (tear-out): the bolt stays whole and clamped"),
        Number("mount_scatter", "", "0.08..0.15", 0.01, 0.6, "scatter from mount to mount: standard deviation over mean"),
        Number("service", "kN", "4..6", 0.05, 500, "hardest daily load on one mount: kerb, pothole, braking"),
        Number("crash", "kN", "25..40", 0.1, 2000, "load that the crash brings to one mount"),
    ),
    outputs=(
        Output("release", "kN", "median release load of one mount"),
        Output("first_to_go", "kN", "usual release load of the weakest"),
        Output("last_to_go", "kN", "usual release load of the strongest"),
        Output("friction_part", "", "share of the release load that is friction"),
        Output("service_margin", "", "release over daily load"),
        Output("crash_margin", "", "crash load over release"),
        Output("early", "", "chance that one lets go under the daily load"),
        Output("failed", "", "chance that one holds in the crash"),
        Output("window", "", "crash over daily load"),
        Output("state", "", "what to expect", labels=STATES),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="load that shifts as mounts let go one by one, corrosion that locks a slot, temperature of polymer pins, chances below one in a million",
    cautions=(
        "A dropped cradle or drive unit crushes: prop it before loosening a mount that is made to let go.",
        "A release mount that has moved is part of the crash record: photograph it before touching it.",
    ),
    sources=(
        "EN 1993-1-8:2005, 3.9.1 and Table 3.4 (slip, shear), partial factors set to 1",
        "AISC 360-10, J3.10 (tear-out)",
        "friction adds to tearing and not to cutting: forces in parallel; Kulak, Fisher, Struik, Guide to Design Criteria (from memory); the share left is common practice",
        "H. A. David, Order Statistics (weakest and strongest of several)",
    ),
    leading="slip_factor",
    also={"mu": "slip_factor", "friction": "slip_factor", "count": "mounts", "service_load": "service", "crash_load": "crash",
          "scatter": "mount_scatter", "edge_distance": "edge", "thickness": "gauge"},
)  # fmt: skip
