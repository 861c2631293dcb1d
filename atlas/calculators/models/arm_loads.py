"""What pothole, braking and cornering put on arm and pivots."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Bar, Figure
from atlas.mechanics.corner import leg_forces, pivot_forces, section_area, upright_forces

CASES = ("pothole", "braking", "cornering")
ARMS = {
    "l-arm": "stiff L: straight leg across, second leg rearward or forward, bends in plan",
    "a-arm": "triangle of two legs: pull and push, little bending",
    "two-link": "two separate links, each with its own joint",
}
# Yield strength [Pa], density [kg/m3], section modulus over area and depth, least area [m2]:
# usual figures, common practice, no source.
MAKES: dict[str, tuple[float, float, float, float]] = {
    "stamped_shell": (380e6, 7850.0, 0.20, 250e-6),
    "stamped_box": (380e6, 7850.0, 0.33, 260e-6),
    "cast_iron": (310e6, 7100.0, 0.25, 350e-6),
    "forged_steel": (550e6, 7850.0, 0.30, 300e-6),
    "forged_aluminium": (330e6, 2700.0, 0.30, 350e-6),
    "cast_aluminium": (210e6, 2680.0, 0.28, 450e-6),
}
WORST = tuple(CASES)


def _evaluate(
    kind: str,
    arm: str,
    axial_bush: str,
    wheel_load: Any,
    pothole_vertical: Any,
    pothole_rearward: Any,
    brake_g: Any,
    brake_vertical: Any,
    corner_g: Any,
    corner_vertical: Any,
    wheel_radius: Any,
    half_track: Any,
    lower_y: Any,
    lower_z: Any,
    upper_y: Any,
    upper_z: Any,
    tie_rod_x: Any,
    tie_rod_z: Any,
    pivot_y: Any,
    front_x: Any,
    rear_x: Any,
    spring_ratio: Any,
    depth: Any,
    reserve: Any,
) -> dict[str, Any]:
    if np.any(upper_z - lower_z < 0.05):
        raise ValueError("upper_z must lie at least 50 mm above lower_z")
    if np.any(lower_y - pivot_y < 0.05):
        raise ValueError("pivot_y must lie at least 50 mm inboard of lower_y")
    if np.any(half_track < lower_y):
        raise ValueError("half_track must reach outboard of lower_y")
    zero = 0.0 * wheel_load
    low, top = _point(zero, lower_y, lower_z), _point(zero, upper_y, upper_z)
    rod = _point(tie_rod_x, lower_y - 0.02, tie_rod_z)
    patch, hub = _point(zero, half_track, zero), _point(zero, half_track, wheel_radius)
    loads = {
        "pothole": (pothole_vertical * wheel_load, zero, zero, -pothole_rearward * wheel_load),
        "braking": (
            brake_vertical * wheel_load,
            -brake_g * brake_vertical * wheel_load,
            zero,
            zero,
        ),
        # Outer wheel: the road pushes it toward the middle of the car.
        "cornering": (
            corner_vertical * wheel_load,
            zero,
            -corner_g * corner_vertical * wheel_load,
            zero,
        ),
    }
    at = np.stack([patch, hub], axis=-2)
    pushes = np.stack(
        [
            np.stack([_point(fx, fy, fz), _point(hx, zero, zero)], axis=-2)
            for fz, fx, fy, hx in loads.values()
        ]
    )
    lower, upper, tie = upright_forces(
        low, top, rod, "lower" if kind == "double-wishbone" else "upper", at, pushes
    )
    # What the upright puts on the arm is the joint's force turned round.
    ball = -lower[..., :2]
    joint = _plan(zero, lower_y)
    ahead, behind = _plan(front_x + zero, pivot_y), _plan(rear_x + zero, pivot_y)
    front, rear = pivot_forces(joint, ahead, behind, ball, axial_bush)
    vertical = np.abs(lower[..., 2])
    spring = vertical / spring_ratio if kind == "double-wishbone" else np.abs(upper[..., 2])
    lift = vertical * (1 / spring_ratio - 1) / 2
    size = {
        "lower": np.linalg.norm(lower, axis=-1),
        "upper": np.linalg.norm(upper, axis=-1),
        "tie": np.abs(tie[..., 1]),
        "front": np.hypot(np.linalg.norm(front, axis=-1), lift),
        "rear": np.hypot(np.linalg.norm(rear, axis=-1), lift),
    }
    run = lower_y - pivot_y
    if arm == "l-arm":
        # The leg that lies across carries the ball; the far pivot's side force bends the other.
        far = np.abs(front_x) > np.abs(rear_x)
        moment = np.abs(np.where(far, front[..., 1] * front_x, rear[..., 1] * rear_x))
        pull = np.abs(ball[..., 1])
        metal_run = run + np.maximum(np.abs(rear_x), np.abs(front_x))
    else:
        one, two = leg_forces(joint, ahead, behind, ball)
        pull = np.maximum(np.abs(one), np.abs(two))
        moment = np.zeros_like(pull) + (0.04 * pull * depth if arm == "a-arm" else 0.0)
        metal_run = np.hypot(run, front_x) + np.hypot(run, rear_x)
    # A spring inboard of the ball bends the arm out of its plane.
    bending = moment + vertical * (1 - spring_ratio) * run
    masses = {}
    for name, (strength, density, fullness, least) in MAKES.items():
        need = section_area(bending, pull, depth, strength / reserve, fullness).max(axis=0)
        masses[name] = np.maximum(need, least) * metal_run * density
    worst = np.argmax(size["lower"], axis=0)
    needed = (bending / (380e6 / reserve)).max(axis=0)
    peak = {name: np.abs(values).max(axis=0) for name, values in size.items()}
    return {
        "lower_ball": peak["lower"], "upper_ball": peak["upper"], "tie_rod": peak["tie"],
        "front_pivot": peak["front"], "rear_pivot": peak["rear"], "spring": spring.max(axis=0),
        "bending": bending.max(axis=0), "pull": pull.max(axis=0), "modulus_needed": needed,
        **{f"lower_{case}": size["lower"][k] for k, case in enumerate(CASES)},
        **{f"upper_{case}": size["upper"][k] for k, case in enumerate(CASES)},
        **{f"front_{case}": size["front"][k] for k, case in enumerate(CASES)},
        **{f"rear_{case}": size["rear"][k] for k, case in enumerate(CASES)},
        "pivot_side": np.abs(front[2, ..., 1] + rear[2, ..., 1]),
        **{f"mass_{name}": m for name, m in masses.items()},
        "worst": worst, "lightest": np.argmin(np.stack([masses[n] for n in MAKES], axis=-1), axis=-1),
    }  # fmt: skip


def _point(x: Any, y: Any, z: Any) -> Any:
    return np.stack(np.broadcast_arrays(x, y, z), axis=-1)


def _plan(x: Any, y: Any) -> Any:
    return np.stack(np.broadcast_arrays(x, y), axis=-1)


def _findings(s: Sampled) -> list[str]:
    shares = np.bincount(np.rint(s["worst"]).astype(int), minlength=3) / len(s["worst"])
    case = CASES[int(shares.argmax())]
    found = [
        f"{case.capitalize()} loads the lower joint most"
        + ("" if shares.max() > 0.97 else f" in {shares.max():.0%} of samples")
        + f": {s.span('lower_ball')} kN there, {s.span('upper_ball')} kN at the top."
    ]
    front, rear = s.median("front_pivot"), s.median("rear_pivot")
    stout, weak = ("front", "rear") if front > rear else ("rear", "front")
    found.append(
        f"The {stout} pivot takes {max(front, rear):.3g} kN, {max(front, rear) / max(min(front, rear), 1e-6):.1f} times the {weak} "
        "one: expect the stiffer bush and the better mount there."
    )
    ratio = s.median("upper_ball") / s.median("lower_ball")
    if s.inputs["kind"] == "strut":
        found.append(
            f"The strut's top takes the wheel's load, {s.span('upper_ball')} kN: look for a stout tower, and for a plain lower arm."
        )
    elif ratio < 0.35:
        found.append(
            f"The top carries only {ratio:.0%} of it: a high upper joint or a strut earns its height, and the arm there may be light."
        )
    elif ratio > 0.7:
        found.append(
            f"The top carries {ratio:.0%} of it: the joints stand close together, so both arms must be stout."
        )
    ranked = sorted(MAKES, key=lambda name: s.median(f"mass_{name}"))
    found.append(
        "Arm mass for yield: "
        + ", ".join(
            f"{name.replace('_', ' ')} {s.median(f'mass_{name}'):.2g} kg" for name in ranked[:3]
        )
        + f"; {ranked[-1].replace('_', ' ')} {s.median(f'mass_{ranked[-1]}'):.2g} kg."
    )
    return found


def _figure(s: Sampled) -> Figure:
    bars = []
    for place, title in (
        ("lower", "lower joint"),
        ("upper", "upper joint"),
        ("front", "front pivot"),
        ("rear", "rear pivot"),
    ):
        for case in CASES:
            low, middle, high = (float(v) for v in np.percentile(s[f"{place}_{case}"], (5, 50, 95)))
            bars.append(Bar(f"{title}, {case}", middle, low, high))
    return Figure(
        "Forces at joints and pivots", Axis("force", "kN", low=0.0), Axis(""), bars=tuple(bars),
        note="The longest bar at each place is the case that sized it.",
    )  # fmt: skip


CALCULATOR = Calculator(
    id="arm-loads",
    title="Loads on arm and pivots",
    question="What do pothole, braking and cornering put on arm and pivots?",
    inputs=(
        Choice("kind", "double-wishbone", {"double-wishbone": "spring on the lower arm", "strut": "spring on the strut; upper joint is its top mount"}, "type of suspension"),
        Choice("arm", "l-arm", ARMS, "shape of the lower arm"),
        Choice("axial_bush", "rear", {"front": "front bush", "rear": "rear bush", "both": "both alike"}, "which pivot holds the arm fore and aft"),
        Number("wheel_load", "kN", "4.2..5", 0.5, 30, "static load on the wheel"),
        Number("pothole_vertical", "", "2.5..3.5", 0, 8, "pothole: vertical force over wheel load"),
        Number("pothole_rearward", "", "1..2", 0, 8, "pothole: rearward force at the hub over wheel load"),
        Number("brake_g", "", "0.9..1.1", 0, 2, "braking: friction used at the tyre"),
        Number("brake_vertical", "", "1.3", 0.5, 2.5, "braking: wheel load over the static one"),
        Number("corner_g", "", "0.9..1.1", 0, 2, "cornering: friction used at the outer tyre"),
        Number("corner_vertical", "", "1.6", 0.5, 2.5, "cornering: outer wheel's load over the static one"),
        Number("wheel_radius", "mm", "330", 150, 600, "loaded radius of the tyre"),
        Number("half_track", "mm", "780", 400, 1300, "middle of the tyre's print from the car's middle"),
        Number("lower_y", "mm", "735..745", 300, 1250, "lower ball joint, from the car's middle"),
        Number("lower_z", "mm", "180", 50, 500, "its height"),
        Number("upper_y", "mm", "690..710", 250, 1250, "upper ball joint or strut top, from the middle"),
        Number("upper_z", "mm", "490..510", 150, 1100, "its height"),
        Number("tie_rod_x", "mm", "-110", -300, 300, "tie rod's joint forward of the wheel's middle"),
        Number("tie_rod_z", "mm", "220", 50, 500, "its height"),
        Number("pivot_y", "mm", "350..370", 50, 900, "arm pivots, from the car's middle"),
        Number("front_x", "mm", "10", -600, 600, "front pivot forward of the ball joint"),
        Number("rear_x", "mm", "-290..-270", -800, 600, "rear pivot forward of the ball joint (rearward negative)"),
        Number("spring_ratio", "", "0.6", 0.2, 1, "spring's foot along the arm, pivot to ball (double wishbone)"),
        Number("depth", "mm", "55..65", 10, 200, "depth of the arm's profile in plan"),
        Number("reserve", "", "1.2", 1, 4, "reserve against yield"),
    ),
    outputs=(
        Output("lower_ball", "kN", "largest force at the lower joint"),
        Output("upper_ball", "kN", "largest force at the upper joint"),
        Output("tie_rod", "kN", "largest force in the tie rod"),
        Output("front_pivot", "kN", "largest force at the front pivot"),
        Output("rear_pivot", "kN", "largest force at the rear pivot"),
        Output("spring", "kN", "largest spring force"),
        Output("bending", "N m", "largest bending moment in the arm"),
        Output("pull", "kN", "largest pull or push in a leg"),
        Output("modulus_needed", "mm3", "section modulus for that moment in 380 MPa steel, reserve in"),
        *(Output(f"{p}_{c}", "kN", f"{t}, {c}") for p, t in (("lower", "lower joint"), ("upper", "upper joint"), ("front", "front pivot"), ("rear", "rear pivot")) for c in CASES),
        Output("pivot_side", "kN", "side force that both pivots bring to the body in cornering"),
        *(Output(f"mass_{n}", "kg", f"arm as {n.replace('_', ' ')}") for n in MAKES),
        Output("worst", "", "case that loads the lower joint most", labels=WORST),
        Output("lightest", "", "lightest make", labels=tuple(n.replace("_", " ") for n in MAKES)),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="wheel inertia, bump-stop spikes, arms out of level, caster offset of the joints, fatigue, buckling of thin shells",
    cautions=(
        "A loaded spring stores energy: clamp it by the workshop manual before an arm comes off.",
        "Static screening: it does not replace durability loads.",
    ),
    sources=(
        "statics of a rigid body, by hand",
        "load factors of pothole, braking and cornering: common practice, no source",
        "W. F. Milliken and D. L. Milliken, Race Car Vehicle Dynamics, ch. 17 (loads in links)",
    ),
    leading="lower_z",
    also={"type": "kind", "track": "half_track", "radius": "wheel_radius", "load": "wheel_load", "upper_height": "upper_z",
          "lower_height": "lower_z", "braking": "brake_g", "cornering": "corner_g"},
)  # fmt: skip
