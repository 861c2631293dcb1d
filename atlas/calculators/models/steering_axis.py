"""Where the steering axis passes, with one ball joint or with two links."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Curve, Figure, Points
from atlas.mechanics.ranges import within
from atlas.mechanics.steering import (
    Screw,
    at_height,
    caster,
    five_link_axis,
    joint_axis,
    kingpin_inclination,
    link_axis,
    turned,
)

Points3 = dict[str, Any]
_STEPS = 3
SIGNS = (
    "axis meets the ground inboard of the tyre's middle",
    "axis meets the ground outboard of it",
)


def _axis(lower: str, upper: str, at: Points3) -> Screw:
    """The axis in the pose given by the joints on the upright; joints on the body stay."""
    if lower == "ball" and upper == "ball":
        return joint_axis(at["lower"], at["upper"])
    if upper == "ball":
        return link_axis(at["upper"], at["lower"], at["lower_in"], at["lower2"], at["lower2_in"])
    if lower == "ball":
        return link_axis(at["lower"], at["upper"], at["upper_in"], at["upper2"], at["upper2_in"])
    # Both ends on links: four links, and the spring holds the first lower joint's height.
    outers = np.stack([at["lower"], at["lower2"], at["upper"], at["upper2"], at["lower"]], axis=-2)
    inner = np.stack([at["lower_in"], at["lower2_in"], at["upper_in"], at["upper2_in"]], axis=-2)
    lines = outers[..., :4, :] - inner
    lines = lines / np.linalg.norm(lines, axis=-1, keepdims=True)
    up = np.broadcast_to(np.array([0.0, 0.0, 1.0]), lines[..., :1, :].shape)
    return five_link_axis(outers, np.concatenate([lines, up], axis=-2))


def _steered(lower: str, upper: str, at: Points3, axis: Screw, steer: Any) -> tuple[Points3, Screw]:
    """The upright after a steer angle about the vertical, by the midpoint rule in a few steps."""
    moving = ("lower", "lower2", "upper", "upper2", "patch", "ahead", "hub")
    now = dict(at)
    both = lower == upper == "ball"
    # The five-link solution costs ten times the cross products; two steps keep it within 1 mm.
    steps = 1 if both else 2 if lower == upper else _STEPS
    for _ in range(steps):
        turn = steer / steps / axis.direction[..., 2]
        if not both:
            half = {**now, **{name: turned(now[name], axis, turn / 2) for name in moving}}
            axis = _axis(lower, upper, half)
            turn = steer / steps / axis.direction[..., 2]
        now = {**now, **{name: turned(now[name], axis, turn) for name in moving}}
        axis = _axis(lower, upper, now)
    return now, axis


def _ground(axis: Screw, at: Points3) -> tuple[Any, Any]:
    """Scrub radius and trail: from the tyre's print, square to and along the wheel's heading."""
    gap = at_height(axis, 0.0) - at["patch"]
    heading = at["ahead"] - at["patch"]
    size = np.hypot(heading[..., 0], heading[..., 1])
    fx, fy = heading[..., 0] / size, heading[..., 1] / size
    trail = gap[..., 0] * fx + gap[..., 1] * fy
    outward = -gap[..., 0] * fy + gap[..., 1] * fx
    return -outward, trail


def _evaluate(
    lower: str,
    upper: str,
    half_track: Any,
    patch_x: Any,
    wheel_radius: Any,
    lock: Any,
    **numbers: Any,
) -> dict[str, Any]:
    def point(name: str) -> Any:
        return np.stack(
            np.broadcast_arrays(*(numbers[f"{name}_{axis}"] for axis in "xyz")), axis=-1
        )

    at: Points3 = {
        name: point(name)
        for name in (
            "lower",
            "lower_in",
            "lower2",
            "lower2_in",
            "upper",
            "upper_in",
            "upper2",
            "upper2_in",
        )
    }
    zero = 0.0 * half_track
    at["patch"] = np.stack([patch_x, half_track, zero], axis=-1)
    at["ahead"] = np.stack([patch_x + 0.1, half_track, zero], axis=-1)
    at["hub"] = np.stack([patch_x, half_track, wheel_radius + zero], axis=-1)
    axis = _axis(lower, upper, at)
    scrub, trail = _ground(axis, at)
    ends = {}
    for name, sign in (("inner", -1.0), ("outer", 1.0)):
        # Toe of this wheel: inner wheel of a turn steers with its front edge outward on this side.
        now, there = _steered(lower, upper, at, axis, sign * lock)
        ends[name] = (
            *_ground(there, now),
            now["patch"][..., 2],
            kingpin_inclination(there),
            caster(there),
        )
    hub = at_height(axis, wheel_radius)
    joints = at["lower"] if lower == "ball" else (at["lower"] + at["lower2"]) / 2
    virtual = at_height(axis, joints[..., 2])
    within("lock", lock, 0, 0.9)
    return {
        "kingpin": kingpin_inclination(axis), "caster": caster(axis),
        "scrub": scrub, "trail": trail, "spindle": at["hub"][..., 1] - hub[..., 1],
        "virtual_x": virtual[..., 0], "virtual_y": virtual[..., 1],
        "outboard_gain": virtual[..., 1] - joints[..., 1],
        "scrub_inner": ends["inner"][0], "scrub_outer": ends["outer"][0],
        "trail_inner": ends["inner"][1], "trail_outer": ends["outer"][1],
        "scrub_change": np.maximum(np.abs(ends["inner"][0] - scrub), np.abs(ends["outer"][0] - scrub)),
        "kingpin_change": np.maximum(np.abs(ends["inner"][3] - ends["outer"][3]), 0.0),
        "lift": -(ends["inner"][2] + ends["outer"][2]) / 2,
        "side": np.where(scrub >= 0, 0, 1),
    }  # fmt: skip


def _findings(s: Sampled) -> list[str]:
    inside = s.share(s["scrub"] >= 0)
    sure = max(inside, 1 - inside)
    sign = "positive" if inside >= 0.5 else "negative"
    found = [
        f"Scrub radius is {sign} in {sure:.0%} of samples ({s.span('scrub')} mm): "
        + (
            "one braked wheel pulls the steering toward its own side."
            if sign == "positive"
            else "one braked wheel steers against the pull."
        )
        if sure > 0.9
        else f"Scrub radius {s.span('scrub')} mm: its sign is open, and decides what a one-sided brake force does."
    ]
    if s.inputs["lower"] == "two-link" or s.inputs["upper"] == "two-link":
        found.append(
            f"Two links put the lower pivot {s.span('outboard_gain')} mm outboard of their joints, where a single ball would stand "
            "in the brake disc: that is what the second link buys."
        )
        found.append(
            f"The axis wanders with steer: scrub changes by {s.span('scrub_change')} mm to lock, which a single ball does not do "
            "by itself."
        )
    else:
        found.append(
            f"With one ball at each end the axis is fixed in the upright: scrub hardly changes to lock ({s.median('scrub_change'):.2g} "
            "mm), so the ball itself must reach into the wheel to make it small."
        )
    if s.median("trail") < 5:
        found.append(
            f"Little mechanical trail ({s.span('trail')} mm): self-centring comes from the tyre and from {s.median('lift'):.2g} mm of lift."
        )
    if s.median("spindle") > 60:
        found.append(
            f"The hub stands {s.median('spindle'):.0f} mm off the axis: drive torque and kerb strikes will kick the steering."
        )
    return found


def _figure(s: Sampled) -> Figure:
    kpi = np.tan(np.radians(s.median("kingpin")))
    height = np.array([0.0, 1.15 * float(np.median(np.asarray(s.inputs["upper_z"])))])
    half = float(np.median(np.asarray(s.inputs["half_track"])))
    ground = half - s.median("scrub")
    radius = float(np.median(np.asarray(s.inputs["wheel_radius"])))
    low, high = (half - float(v) for v in np.percentile(s["scrub"], (95, 5)))
    joints = [
        (
            float(np.median(np.asarray(s.inputs[f"{n}_y"]))),
            float(np.median(np.asarray(s.inputs[f"{n}_z"]))),
        )
        for n in ("lower", "upper")
    ]
    return Figure(
        "Steering axis from the front", Axis("from the car's middle", "mm"), Axis("height", "mm", low=0.0),
        curves=(
            Curve("steering axis", ground - kpi * height, height),
            Curve("where it meets the ground", np.array([low, high]), np.zeros(2), style="other"),
            Curve("wheel's middle plane", np.full(2, half), np.array([0.0, 2 * radius]), style="limit"),
        ),
        points=(Points("joints", np.array([j[0] for j in joints]), np.array([j[1] for j in joints])),),
        note="Axis left of the wheel's foot: positive scrub; right of it: negative.", equal=True,
    )  # fmt: skip


def _place(name: str, at: tuple[str, str, str], words: str) -> tuple[Number, ...]:
    told = {
        "x": "forward of the wheel's middle",
        "y": "from the car's middle",
        "z": "over the ground",
    }
    return tuple(
        Number(
            f"{name}_{axis}",
            "mm",
            value,
            *((-600, 600) if axis == "x" else (0, 1300)),
            f"{words}, {told[axis]}",
        )
        for axis, value in zip("xyz", at, strict=True)
    )


CALCULATOR = Calculator(
    id="steering-axis",
    title="Steering axis with one ball or two links",
    question="Where does the steering axis pass with one ball or two links?",
    inputs=(
        Choice("lower", "ball", {"ball": "one ball joint below", "two-link": "two links, each with its own joint"}, "lower end of the upright"),
        Choice("upper", "ball", {"ball": "one ball joint, or a strut's top mount", "two-link": "two links"}, "upper end of the upright"),
        *_place("lower", ("8..12", "738..742", "178..182"), "lower joint, or the first link's outer joint"),
        *_place("lower_in", ("-20", "360", "190"), "first lower link's inner joint (two-link)"),
        *_place("lower2", ("-60", "690", "190"), "second lower link's outer joint (two-link)"),
        *_place("lower2_in", ("-330", "400", "200"), "second lower link's inner joint (two-link)"),
        *_place("upper", ("-22..-18", "698..702", "498..502"), "upper joint, strut top, or first link's outer joint"),
        *_place("upper_in", ("20", "430", "500"), "first upper link's inner joint (two-link)"),
        *_place("upper2", ("-70", "680", "500"), "second upper link's outer joint (two-link)"),
        *_place("upper2_in", ("-230", "440", "500"), "second upper link's inner joint (two-link)"),
        Number("half_track", "mm", "780", 400, 1300, "middle of the tyre's print from the car's middle"),
        Number("patch_x", "mm", "0", -100, 100, "middle of the print forward of the wheel's middle"),
        Number("wheel_radius", "mm", "330", 150, 600, "loaded radius of the tyre"),
        Number("lock", "deg", "30", 1, 45, "steer angle for the change with steer"),
    ),
    outputs=(
        Output("kingpin", "deg", "kingpin inclination, top inward positive"),
        Output("caster", "deg", "caster, top rearward positive"),
        Output("scrub", "mm", "scrub radius, axis inboard at the ground positive"),
        Output("trail", "mm", "mechanical trail, axis ahead of the print positive"),
        Output("spindle", "mm", "hub's offset from the axis at wheel-centre height"),
        Output("virtual_x", "mm", "axis at the lower joints' height, forward"),
        Output("virtual_y", "mm", "axis at the lower joints' height, from the car's middle"),
        Output("outboard_gain", "mm", "axis outboard of the lower joint or joints"),
        Output("scrub_inner", "mm", "scrub radius steered one way, to lock"),
        Output("scrub_outer", "mm", "scrub radius steered the other way"),
        Output("trail_inner", "mm", "trail steered one way"),
        Output("trail_outer", "mm", "trail steered the other way"),
        Output("scrub_change", "mm", "largest change of scrub to lock"),
        Output("kingpin_change", "deg", "difference of kingpin inclination between the locks"),
        Output("lift", "mm", "rise of the car at lock, mean of both ways"),
        Output("side", "", "where the axis meets the ground", labels=SIGNS),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="bush give, steer by the tie rod's own path, camber of the body, tyre spring and pneumatic trail",
    cautions=("Steering and its joints carry the driver's life: nothing is loosened on a car that will move again without the maker's procedure.",),
    sources=(
        "ISO 8855 (steering-axis inclination, castor, scrub radius, trail)",
        "K. H. Hunt, Kinematic Geometry of Mechanisms (screw of a body on links)",
        "W. F. Milliken and D. L. Milliken, Race Car Vehicle Dynamics, ch. 19 (steering geometry)",
    ),
    leading="lower_y",
    also={"type": "lower", "track": "half_track", "radius": "wheel_radius", "steer": "lock", "ball_y": "lower_y"},
)  # fmt: skip
