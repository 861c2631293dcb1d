"""What long arms and far-inboard pivots buy."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Curve, Figure
from atlas.calculators.units import factor
from atlas.mechanics.linkages import Pose, double_wishbone, strut

LIMITS = ("camber", "track", "arm angle", "linkage runs out")
_TURN = 1.0  # no arm turns further than this [rad]


def _pose(kind: str, points: dict[str, Any], turn: Any, outward: Any = 0.0) -> Pose:
    """The linkage at an arm's turn; ``outward`` shortens the lower (and upper) arm at its pivot."""
    inner = (points["lower_pivot_y"] + outward, points["lower_pivot_z"])
    ball = (points["lower_ball_y"], points["lower_ball_z"])
    patch = (points["half_track"], np.zeros_like(points["half_track"]))
    if kind == "strut":
        return strut(inner, ball, (points["top_y"], points["top_z"]), patch, turn)
    high = (points["upper_pivot_y"] + outward, points["upper_pivot_z"])
    return double_wishbone(
        inner, ball, high, (points["upper_ball_y"], points["upper_ball_z"]), patch, turn
    )


def _at_travel(kind: str, points: dict[str, Any], travel: Any, outward: Any = 0.0) -> Pose:
    """The linkage at a wheel travel, by Newton's method on the arm's turn (secant slopes)."""
    reach = points["lower_ball_y"] - points["lower_pivot_y"] - outward
    turn = np.arcsin(np.clip(travel / reach, -0.85, 0.85))
    for _ in range(4):
        pose, near = _pose(kind, points, turn, outward), _pose(kind, points, turn + 1e-5, outward)
        slope = (near.patch_z - pose.patch_z) / 1e-5
        step = np.nan_to_num((travel - pose.patch_z) / np.where(slope == 0, 1, slope))
        turn = np.clip(turn + np.clip(step, -0.2, 0.2), -_TURN, _TURN)
    return _pose(kind, points, turn, outward)


def _room(
    kind: str,
    points: dict[str, Any],
    sign: float,
    camber: Any,
    track: Any,
    angle: Any,
    outward: Any = 0.0,
) -> tuple[Any, Any]:
    """Wheel travel until the first limit, and which limit it is."""

    def used(turn: Any) -> tuple[Any, Any, Any]:
        pose = _pose(kind, points, turn, outward)
        shares = np.stack(
            [
                np.abs(pose.camber) / camber,
                np.abs(pose.patch_y - points["half_track"]) / track,
                np.abs(turn) / angle,
            ]
        )
        shares = np.where(pose.solved, shares, np.inf)
        worst = np.where(pose.solved, np.argmax(np.nan_to_num(shares, posinf=0.0), axis=0), 3)
        return shares.max(axis=0), worst, np.abs(pose.patch_z)

    low = np.zeros_like(angle)
    high = np.minimum(angle, _TURN) * np.ones_like(low)
    # First over-step on a coarse walk, then bisection: the limits are not monotone far out.
    found = high.copy()
    done = np.zeros(low.shape, dtype=bool)
    steps = 6
    for k in range(1, steps + 1):
        turn = high * k / steps
        over = (used(sign * turn)[0] > 1 + 1e-9) & ~done
        found = np.where(over, turn, found)
        low = np.where(over, high * (k - 1) / steps, np.where(done, low, turn))
        done |= over
    upper = np.where(done, found, high)
    low = np.where(done, low, high)
    for _ in range(4):
        middle = (low + upper) / 2
        over = used(sign * middle)[0] > 1 + 1e-9
        low, upper = np.where(over, low, middle), np.where(over, middle, upper)
    # The last stretch, 1/96 of the walk, is straight enough for a chord.
    share, worst, travel = used(sign * low)
    more, beyond, farther = used(sign * upper)
    part = np.clip(
        (1 - share) / np.where(np.isfinite(more), np.maximum(more - share, 1e-12), 1e12), 0, 1
    )
    reached = np.where(np.isfinite(farther), travel + part * (farther - travel), travel)
    return np.where(done, reached, travel), np.where(done, beyond, worst)


def _evaluate(
    kind: str,
    camber_limit: Any,
    track_limit: Any,
    angle_limit: Any,
    bump: Any,
    droop: Any,
    shift: Any,
    **points: Any,
) -> dict[str, Any]:
    for inner, outer in (("lower_pivot_y", "lower_ball_y"), ("upper_pivot_y", "upper_ball_y")):
        if (kind != "strut" or inner == "lower_pivot_y") and np.any(
            points[outer] - points[inner] < 0.05
        ):
            raise ValueError(f"{inner} must lie at least 50 mm inboard of {outer}")
    if np.any(points["half_track"] < points["lower_ball_y"]):
        raise ValueError("half_track must reach outboard of lower_ball_y")
    high = "top_z" if kind == "strut" else "upper_ball_z"
    if np.any(points[high] - points["lower_ball_z"] < 0.05):
        raise ValueError(f"{high} must lie at least 50 mm above lower_ball_z")
    design = _pose(kind, points, np.zeros_like(bump))
    up, down = _at_travel(kind, points, bump), _at_travel(kind, points, -droop)
    for name, pose in (("bump", up), ("droop", down)):
        far = ~pose.solved | (np.abs(pose.patch_z - (bump if name == "bump" else -droop)) > 1e-6)
        if np.any(far):
            raise ValueError(
                f"{name}: the linkage cannot reach that travel in {np.mean(far):.0%} of samples"
            )
    rise, first = _room(kind, points, 1.0, camber_limit, track_limit, angle_limit)
    fall, last = _room(kind, points, -1.0, camber_limit, track_limit, angle_limit)
    shorter = np.minimum(shift, points["lower_ball_y"] - points["lower_pivot_y"] - 0.06)
    if kind != "strut":
        shorter = np.minimum(shorter, points["upper_ball_y"] - points["upper_pivot_y"] - 0.06)
    shorter = np.maximum(shorter, 0.0)
    cut = _at_travel(kind, points, 0.5 * bump, shorter)
    same = _at_travel(kind, points, 0.5 * bump)
    brief_up = _room(kind, points, 1.0, camber_limit, track_limit, angle_limit, shorter)[0]
    brief_down = _room(kind, points, -1.0, camber_limit, track_limit, angle_limit, shorter)[0]
    swing = np.clip(np.nan_to_num(design.swing_arm, posinf=1e3, neginf=-1e3), -1e3, 1e3)
    sweep = np.maximum(
        np.abs(up.patch_y - points["half_track"]), np.abs(down.patch_y - points["half_track"])
    )
    return {
        "travel": rise + fall, "travel_up": rise, "travel_down": fall,
        "arm_length": np.hypot(points["lower_ball_y"] - points["lower_pivot_y"], points["lower_ball_z"] - points["lower_pivot_z"]),
        "camber_bump": up.camber, "camber_droop": down.camber,
        "camber_gain": -1.0 / swing * 0.025, "track_change": sweep,
        "roll_centre": design.roll_centre, "roll_centre_shift": up.roll_centre - design.roll_centre,
        "swing_arm": swing, "arm_angle": np.maximum(np.abs(up.arm_angle), np.abs(down.arm_angle)),
        "travel_shorter": brief_up + brief_down, "lost_when_shorter": rise + fall - brief_up - brief_down,
        # A short arm may not reach half the bump at all: then there is nothing to compare.
        "camber_shorter": np.nan_to_num(cut.camber - same.camber),
        "first_limit": np.where(rise <= fall, first, last),
    }  # fmt: skip


def _findings(s: Sampled) -> list[str]:
    lost, shift = s.median("lost_when_shorter"), float(np.median(s.inputs["shift"]))
    shares = np.bincount(np.rint(s["first_limit"]).astype(int), minlength=4) / len(s["first_limit"])
    first = LIMITS[int(np.argmax(shares))]
    found = [
        f"Within the limits the wheel travels {s.span('travel')} mm, {s.median('travel_up'):.0f} up and "
        f"{s.median('travel_down'):.0f} down; {first} ends it first"
        + ("." if shares.max() > 0.97 else f" in {shares.max():.0%} of samples.")
    ]
    if lost > 2:
        found.append(
            f"Pivots {shift:.0f} mm further outboard would cost {lost:.0f} mm of that travel: the room under the engine "
            "or motor that lets the arm reach inboard is worth that much."
        )
    elif lost < -2:
        found.append(
            f"Here a shorter arm would give {-lost:.0f} mm more: its limit is not the arm's length; look at the upper end."
        )
    else:
        found.append("Arm length hardly matters within these limits.")
    asked = np.asarray(s.inputs["bump"])
    short = s.share(s["travel_up"] < asked - 0.5)
    if short > 0.02:
        found.append(f"In {short:.0%} of samples the bump travel asked for breaks a limit.")
    centre, drop = s.median("roll_centre"), -s.median("roll_centre_shift")
    if drop > 1.25 * float(np.median(asked)):
        found.append(
            f"The roll centre ({centre:.0f} mm up) drops {drop:.0f} mm while the body drops "
            f"{float(np.median(asked)):.0f}: the roll arm grows in bump, and the bar must make up for it."
        )
    if s.median("camber_bump") > 0:
        found.append(
            "The wheel leans outward in bump: usual for a strut with a steep arm, bad for grip."
        )
    return found


def _figure(s: Sampled) -> Figure:
    numbers = {n.name: n for n in CALCULATOR.inputs if isinstance(n, Number)}
    pick = np.linspace(0, len(s.inputs["bump"]) - 1, min(150, len(s.inputs["bump"]))).astype(int)
    points = {
        name: np.asarray(s.inputs[name])[pick] * factor(one.unit) for name, one in numbers.items()
    }
    low, high = -float(np.median(s.inputs["droop"])), float(np.median(s.inputs["bump"]))
    travel = np.linspace(low, high, 31)
    limit = float(np.median(s.inputs["camber_limit"]))
    curves = []
    cut = np.minimum(points["shift"], points["lower_ball_y"] - points["lower_pivot_y"] - 0.06)
    for name, outward, style in (
        ("as read", 0.0, "main"),
        ("pivots further outboard", cut, "other"),
    ):
        y = np.stack(
            [
                np.degrees(
                    _at_travel(
                        s.inputs["kind"], points, x / 1e3 + 0 * points["bump"], outward
                    ).camber
                )
                for x in travel
            ]
        )
        y = np.where(np.isnan(y), np.nanmax(np.abs(y)), y)
        a, b, c = np.percentile(y, (5, 50, 95), axis=1)
        curves.append(
            Curve(name, travel, b, a, c, style=style)
            if s.varies
            else Curve(name, travel, b, style=style)
        )
    ends = np.array([low, high])
    curves += [Curve("limit", ends, np.full(2, v), style="limit") for v in (-limit, limit)]
    return Figure(
        "Camber over wheel travel", Axis("travel, bump positive", "mm"), Axis("camber change", "deg"),
        curves=tuple(curves), note="The longer the arm, the flatter the curve at equal travel.",
    )  # fmt: skip


def _place(name: str, default: str, words: str) -> Number:
    across = name.endswith("_y") or name == "half_track"
    return Number(name, "mm", default, 50 if across else -200, 1400, words)


CALCULATOR = Calculator(
    id="arm-travel",
    title="Long arms and inboard pivots",
    question="What do long arms and far-inboard pivots buy?",
    inputs=(
        Choice("kind", "double-wishbone", {"double-wishbone": "lower and upper arm", "strut": "lower arm and a sliding leg"}, "type of suspension"),
        _place("lower_pivot_y", "330..350", "lower arm's pivot on the body, from the car's middle"),
        _place("lower_pivot_z", "195..205", "its height over the ground"),
        _place("lower_ball_y", "715..725", "lower ball joint, from the car's middle"),
        _place("lower_ball_z", "185..195", "its height"),
        _place("upper_pivot_y", "430", "upper arm's pivot, from the middle (double wishbone)"),
        _place("upper_pivot_z", "480", "its height"),
        _place("upper_ball_y", "690", "upper ball joint, from the middle (double wishbone)"),
        _place("upper_ball_z", "510", "its height"),
        _place("top_y", "590", "strut's top mount, from the middle (strut)"),
        _place("top_z", "850", "its height"),
        _place("half_track", "780", "middle of the tyre's print, from the car's middle"),
        Number("bump", "mm", "80", 5, 300, "wheel travel up"),
        Number("droop", "mm", "80", 5, 300, "wheel travel down"),
        Number("camber_limit", "deg", "2.5", 0.1, 20, "camber change allowed"),
        Number("track_limit", "mm", "15", 0.5, 200, "sideways travel of one tyre print allowed"),
        Number("angle_limit", "deg", "20", 2, 50, "turn of the arm allowed by its bushes and ball joint"),
        Number("shift", "mm", "100", 0, 400, "how far further outboard to put the pivots for comparison"),
    ),
    outputs=(
        Output("travel", "mm", "wheel travel within all limits"),
        Output("travel_up", "mm", "of it upward"),
        Output("travel_down", "mm", "of it downward"),
        Output("arm_length", "mm", "lower arm in front view"),
        Output("camber_bump", "deg", "camber change at bump, top outward positive"),
        Output("camber_droop", "deg", "camber change at droop"),
        Output("camber_gain", "deg", "camber change over the first 25 mm of bump"),
        Output("track_change", "mm", "largest sideways travel of one tyre print"),
        Output("roll_centre", "mm", "height of the roll centre at rest"),
        Output("roll_centre_shift", "mm", "its change over the ground at bump; the body itself comes down by the bump travel"),
        Output("swing_arm", "mm", "front-view swing arm, positive to the inside"),
        Output("arm_angle", "deg", "largest turn of the lower arm"),
        Output("travel_shorter", "mm", "travel within the limits with the pivots further outboard"),
        Output("lost_when_shorter", "mm", "travel that the shorter arm loses"),
        Output("camber_shorter", "deg", "extra camber of the shorter arm at half bump"),
        Output("first_limit", "", "what ends the travel", labels=LIMITS),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="bush give, steer, anti-dive, side view; spring and damper stops; roll-centre height is taken against the moved tyre print",
    cautions=("Springs store energy: clamp them by the workshop manual before an arm comes off.",),
    sources=(
        "planar linkage geometry, exact (intersecting circles; slider crank for the strut)",
        "W. F. Milliken and D. L. Milliken, Race Car Vehicle Dynamics, ch. 17 (instant and roll centres)",
        "J. C. Dixon, Suspension Geometry and Computation (camber and track change)",
    ),
    leading="lower_pivot_y",
    also={"type": "kind", "pivot_y": "lower_pivot_y", "ball_y": "lower_ball_y", "jounce": "bump", "rebound": "droop",
          "camber": "camber_limit", "track": "half_track", "scrub_limit": "track_limit"},
)  # fmt: skip
