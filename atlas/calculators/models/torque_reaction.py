"""Where drive torque goes."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled, figures
from atlas.calculators.figure import Axis, Curve, Figure
from atlas.calculators.response import response, setting
from atlas.mechanics.suspended import frequencies, mount_matrix, rest

LAYOUTS = {
    "pendulum": "two mounts high on one line along the torque's axis, one strut square to it below",
    "three-point": "two mounts at the sides ahead, one behind; no strut",
    "four-point": "two mounts ahead, two behind; no strut",
    "three-and-strut": "two mounts ahead, one behind, and a strut to the body",
}
AXES = {
    "across": "torque about the cross-car axis: transverse unit, drive unit on the axle (halfshaft torque)",
    "along": "torque about the fore-aft axis: longitudinal unit (propeller shaft torque)",
}
GRAVITY = 9.80665


def _mounts(v: dict[str, Any], strut: float) -> tuple[Any, Any]:
    count = len(v["mass"])
    zero = np.zeros(count)
    half, high = v["mount_spacing"] / 2, v["mount_height"]
    soft, up = v["side_ratio"] * v["mount_stiffness"], v["mount_stiffness"]
    ahead = zero if v["layout"] == "pendulum" else v["front_reach"]
    places = [(ahead, half, high), (ahead, -half, high)]
    if v["layout"] == "pendulum" and v["axis"] == "along":
        # A unit hung to turn about the fore-aft axis has its two mounts one behind the other.
        places = [(half, zero, high), (-half, zero, high)]
    stiff = [(soft, soft, up)] * 2
    rear = v["rear_stiffness"]
    side = v["side_ratio"] * rear
    if v["layout"] in ("three-point", "three-and-strut"):
        places.append((-v["rear_reach"], zero, high))
        stiff.append((side, side, rear))
    elif v["layout"] == "four-point":
        places += [(-v["rear_reach"], half, high), (-v["rear_reach"], -half, high)]
        stiff += [(side, side, rear)] * 2
    if v["layout"] in ("pendulum", "three-and-strut"):
        places.append((zero, zero, -v["strut_drop"]))
        along = strut * v["strut_stiffness"]
        stiff.append((along, zero, zero) if v["axis"] == "across" else (zero, along, zero))
    return tuple(
        np.stack(
            [np.stack([np.broadcast_to(c, (count,)) for c in one], axis=1) for one in both], axis=1
        )
        for both in (places, stiff)
    )  # type: ignore[return-value]


def _evaluate(**v: Any) -> dict[str, Any]:
    places, stiff = _mounts(v, 1.0)
    count = len(v["mass"])
    around = 4 if v["axis"] == "across" else 3
    torque = v["torque"] * v["ratio"]
    load = np.zeros((count, 6))
    load[:, around] = torque
    found = rest(places, stiff, load)
    sizes = np.linalg.norm(found.forces, axis=2)
    has_strut = v["layout"] in ("pendulum", "three-and-strut")
    strut = sizes[:, -1] if has_strut else np.zeros(count)
    body = stiff[:, :, 2].sum(axis=1)
    inertia = v["mass"][:, None] * np.stack(
        [v["gyration_roll"] ** 2, v["gyration_pitch"] ** 2, v["gyration_yaw"] ** 2], axis=1
    )
    whole = mount_matrix(places, stiff)
    modes = frequencies(whole, v["mass"], inertia)
    angle = np.abs(found.moved[:, around])
    turning = torque / np.maximum(angle, 1e-30)
    ring = np.sqrt(turning / inertia[:, around - 3]) / (2 * np.pi)
    if has_strut:
        places_, stiff_ = _mounts(v, 1e-9)
        # Past a quarter turn it simply swings free.
        bare = np.minimum(np.abs(_turn(places_, stiff_, load, around)), np.pi / 2)
    else:
        bare = angle
    lever = v["strut_drop"] + v["mount_height"]
    weight = (
        rest(places, stiff, np.array([0, 0, -1.0, 0, 0, 0])).forces[:, :2, 2]
        * (v["mass"] * GRAVITY)[:, None]
    )
    swing = np.abs(found.forces[:, :2, 2])
    return {
        "roll": angle, "roll_without_strut": bare, "strut_gain": bare / angle, "strut_force": strut,
        "strut_share": strut * lever / np.abs(torque), "left_force": sizes[:, 0], "right_force": sizes[:, 1],
        "rear_force": sizes[:, 2] if v["layout"] != "pendulum" else np.zeros(count),
        "largest_force": sizes.max(axis=1), "axle_torque": torque,
        "edge_travel": angle * v["edge_radius"], "roll_frequency": ring,
        "lowest_frequency": modes[:, 0], "highest_frequency": modes[:, 5], "sag": v["mass"] * GRAVITY / body,
        "lift_off": (swing.max(axis=1) > np.abs(weight).min(axis=1)) * 1.0,
    }  # fmt: skip


def _turn(places: Any, stiff: Any, load: Any, around: int) -> Any:
    """Rotation about the torque's axis with the strut gone; hinge-like layouts swing far."""
    return rest(places, stiff, load).moved[:, around]


def _bare(s: Sampled, gain: float) -> str:
    if s.median("roll_without_strut") > 89:
        return "without it nothing stops the unit from swinging"
    return f"without it the unit would turn {figures(gain)} times as far"


def _findings(s: Sampled) -> list[str]:
    layout = str(s.inputs["layout"])
    found = [
        f"{s.span('axle_torque')} kN m turns the unit by {s.span('roll')} deg; the largest mount force is {s.span('largest_force')} kN."
    ]
    if layout in ("pendulum", "three-and-strut"):
        gain, share = s.median("strut_gain"), s.median("strut_share")
        found.append(
            f"The strut carries {s.span('strut_force')} kN and {share:.0%} of the torque; {_bare(s, gain)}: "
            + ("it is the torque path, so look at its body end for doublers." if share > 0.5 else "it helps, the mounts do the main work.")
        )  # fmt: skip
    else:
        found.append(
            "No strut: all of the torque goes through the mounts as a couple, so cradle or rails feel it as twist."
        )
    travel = s.median("edge_travel")
    found.append(
        f"The unit's edge moves {s.span('edge_travel')} mm: "
        + (
            "allow for it in hoses, shafts and shields."
            if travel > 5
            else "close packing is possible."
        )
    )
    if s.median("roll") > 5:
        found.append(
            "Rubber meets its stops before so large a turn: take the turn as an upper bound, the forces still balance the torque."
        )
    roll, low = s.median("roll_frequency"), s.median("lowest_frequency")
    found.append(
        f"It rings in roll near {s.span('roll_frequency')} Hz, its lowest mode lies at {s.span('lowest_frequency')} Hz: "
        + (
            "inside the 8 to 15 Hz of wheel hop and start-stop shake."
            if 8 <= min(roll, low) <= 15
            else "clear of the 8 to 15 Hz of wheel hop."
        )
    )
    lifted = s.share(s["lift_off"] > 0.5)
    if lifted > 0:
        found.append(
            f"In {lifted:.0%} of samples a side mount is unloaded upward past its share of the weight: it needs a rebound stop."
        )
    return found


def _figure(s: Sampled) -> Figure:
    strut = s.inputs["layout"] in ("pendulum", "three-and-strut")
    leading = "strut_stiffness" if strut else "mount_stiffness"
    span = (0.05, 8.0) if strut else (0.05, 3.0)
    curve = response(CALCULATOR, s, leading, "roll", span=span, title="turn under the torque")
    curves: tuple[Curve, ...] = (curve,)
    return Figure(
        f"Turn of the unit against {leading.replace('_', ' ')}",
        Axis(leading.replace("_", " "), "kN/mm"),
        Axis("turn", "deg", low=0.0),
        curves=curves,
        points=(setting(s, leading, "roll"),),
        note="Past the knee a stiffer part only passes more noise.",
    )


CALCULATOR = Calculator(
    id="torque-reaction",
    title="Drive torque and its mounts",
    question="Where does drive torque go?",
    inputs=(
        Choice("layout", "pendulum", LAYOUTS, "how the unit is hung"),
        Choice("axis", "across", AXES, "which way the torque turns the unit"),
        Number("torque", "N m", "280..320", 0.1, 5000, "motor or engine torque at its peak"),
        Number("ratio", "", "9..11", 1, 80, "overall gear ratio; 1 where the torque given is at the axle"),
        Number("mass", "kg", "85..95", 5, 1500, "mass of the unit"),
        Number("gyration_roll", "mm", "150..180", 20, 800, "radius of gyration about the fore-aft axis; about 0.3 of its breadth"),
        Number("gyration_pitch", "mm", "130..160", 20, 800, "about the cross-car axis"),
        Number("gyration_yaw", "mm", "150..190", 20, 800, "about the upright axis"),
        Number("mount_spacing", "mm", "560..620", 20, 2000, "between left and right mount; pendulum: between the two on the line"),
        Number("mount_height", "mm", "60..100", -600, 900, "mounts above the unit's centre of mass"),
        Number("mount_stiffness", "kN/mm", "0.4..0.7", 0.005, 100, "one side mount, upright; soft rubber 0.2, stiff 1"),
        Number("side_ratio", "", "0.6..1", 0.01, 5, "mounts' stiffness fore-aft and sideways over upright"),
        Number("front_reach", "mm", "150..200", 0, 1500, "side mounts ahead of the centre of mass (not pendulum)"),
        Number("rear_reach", "mm", "220..280", 10, 1500, "rear mounts behind the centre of mass (not pendulum)"),
        Number("rear_stiffness", "kN/mm", "0.25..0.4", 0.005, 100, "one rear mount, upright (not pendulum)"),
        Number("strut_drop", "mm", "180..220", -600, 900, "strut below the centre of mass"),
        Number("strut_stiffness", "kN/mm", "1.5..3", 0.001, 200, "strut with its bushes, along itself"),
        Number("edge_radius", "mm", "300", 10, 2000, "from the centre of mass to the unit's farthest edge"),
    ),
    outputs=(
        Output("roll", "deg", "turn of the unit under the torque"),
        Output("strut_force", "kN", "force in the strut"),
        Output("strut_share", "", "part of the torque that the strut takes, by its lever to the mounts"),
        Output("strut_gain", "", "turn without the strut over turn with it"),
        Output("roll_without_strut", "deg", "turn with the strut gone"),
        Output("left_force", "kN", "force of the left mount under the torque; front one of a pendulum along the vehicle"),
        Output("right_force", "kN", "force of the right mount under the torque; rear one of a pendulum along the vehicle"),
        Output("rear_force", "kN", "force of a rear mount under the torque"),
        Output("largest_force", "kN", "largest of all mount forces"),
        Output("axle_torque", "kN m", "torque that the mounts react"),
        Output("edge_travel", "mm", "movement of the unit's edge"),
        Output("roll_frequency", "Hz", "ring of the unit about the torque's axis"),
        Output("lowest_frequency", "Hz", "lowest of the six rigid-body modes"),
        Output("highest_frequency", "Hz", "highest of them"),
        Output("sag", "mm", "sag of the mounts under the unit's weight"),
        Output("lift_off", "", "1 where a side mount is unloaded past its weight share, else 0"),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="end stops and hardening rubber, damping, products of inertia, give of cradle and body under the mounts, large turns",
    cautions=(
        "Hang or prop the drive unit before strut or mount comes off: it swings.",
        "On electric drives isolate the high-voltage system by the maker's procedure first.",
    ),
    sources=(
        "rigid body statics and modes: W. T. Thomson, Theory of Vibration with Applications",
        "mount stiffnesses, wheel-hop range: common practice, no source",
    ),
    leading="strut_stiffness",
    also={"gear_ratio": "ratio", "spacing": "mount_spacing", "stiffness": "mount_stiffness"},
)  # fmt: skip
