"""Which way a side force steers the wheel."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled, figures
from atlas.calculators.figure import Axis, Curve, Figure, Points
from atlas.mechanics.compliance import lateral_steer

_IN, _OUT = 1, 0


def _signed(rack: str, tie_arm: Any) -> Any:
    return tie_arm if rack == "ahead" else -tie_arm


def _series(mount: Any, rod: Any) -> Any:
    return mount * rod / (mount + rod)


def _evaluate(
    rack: str,
    tie_arm: Any,
    rack_mount: Any,
    tie_rod: Any,
    front_bush: Any,
    rear_bush: Any,
    front_bush_at: Any,
    rear_bush_at: Any,
    trail: Any,
    side_force: Any,
) -> dict[str, Any]:
    if np.any(front_bush_at + rear_bush_at <= 0):
        raise ValueError("rear_bush_at must lie behind front_bush_at")
    steer = lateral_steer(
        front_bush, rear_bush, front_bush_at, -rear_bush_at, _series(rack_mount, tie_rod),
        _signed(rack, tie_arm), trail,
    )  # fmt: skip
    results = {
        "toe_per_force": steer.toe,
        "toe": steer.toe * side_force,
        "sense": np.where(steer.toe > 0, _IN, _OUT),
        "arm_part": steer.from_arm * side_force,
        "rack_part": steer.from_rack * side_force,
        "tie_rod_force": steer.tie_rod * side_force,
        "front_bush_force": steer.front_bush * side_force,
        "rear_bush_force": steer.rear_bush * side_force,
        # Change of toe where the rack's mount is made 10 % stiffer.
        "mount_effect": side_force
        * lateral_steer(
            front_bush, rear_bush, front_bush_at, -rear_bush_at,
            _series(1.1 * rack_mount, tie_rod), _signed(rack, tie_arm), trail,
        ).toe
        - steer.toe * side_force,
    }  # fmt: skip
    # Rack stiffness at which arm and rack cancel, where there is one.
    opposed = np.sign(steer.from_arm) * np.sign(steer.from_rack) < 0
    if np.all(opposed):
        results["neutral_rack"] = _series(rack_mount, tie_rod) * np.abs(
            steer.from_rack / steer.from_arm
        )
    return results


def _findings(s: Sampled) -> list[str]:
    share = s.share(s["sense"] == _OUT)
    where = str(s.inputs["rack"])
    side = s.span("toe", 2)
    if share > 0.95:
        found = [f"Steers out of the turn ({side} deg at this force): the car is steadied."]
    elif share < 0.05:
        found = [
            f"Steers into the turn ({side} deg at this force): the car is made nervous; look for "
            "stiffer arm bushes or a softer rack mount."
        ]
    else:
        found = [
            f"Steers out of the turn in {share:.0%} of samples only ({side} deg): the sign hangs on "
            "the readings, so measure before judging."
        ]
    arm, rack = s.median("arm_part"), s.median("rack_part")
    larger = "arm bushes" if abs(arm) > abs(rack) else "rack and its mounts"
    found.append(
        f"The {larger} make {max(abs(arm), abs(rack)) / (abs(arm) + abs(rack)):.0%} of the movement; "
        f"a rack mount 10 % stiffer changes toe by {figures(s.median('mount_effect'), 2)} deg."
    )
    if "neutral_rack" in s.results:
        found.append(
            f"With the rack {where}, arm and rack would cancel at {s.span('neutral_rack', 2)} kN/mm "
            "at the tie rod."
        )
    return found


def _figure(s: Sampled) -> Figure:
    arms = np.concatenate([np.linspace(-200, -40, 33), [np.nan], np.linspace(40, 200, 33)])

    def take(name: str, factor: float) -> Any:
        return np.asarray(s.inputs[name])[:400, None] * factor

    with np.errstate(invalid="ignore"):
        steer = [
            lateral_steer(
                take("front_bush", 1e6), take("rear_bush", 1e6), take("front_bush_at", 1e-3),
                -take("rear_bush_at", 1e-3),
                _series(take("rack_mount", 1e6), take("tie_rod", 1e6)), side * 1e-3,
                take("trail", 1e-3),
            ).toe
            * take("side_force", 1e3)
            for side in (arms[:33], arms[34:])
        ]  # fmt: skip
    toe = np.degrees(
        np.concatenate([steer[0], np.full((len(steer[0]), 1), np.nan), steer[1]], axis=1)
    )
    low, middle, high = np.percentile(toe, (5, 50, 95), axis=0)
    here = float(np.median(s.inputs["tie_arm"])) * (1 if s.inputs["rack"] == "ahead" else -1)
    return Figure(
        "Toe at this side force, by where the tie rod meets the knuckle",
        Axis("tie rod ahead of the axis", "mm"),
        Axis("toe-in", "deg"),
        curves=(Curve("toe", arms, middle, low, high), Curve("none", arms[[0, -1]], np.zeros(2), style="limit")),
        points=(Points("this rack", np.array([here]), np.array([s.median("toe")])),),
    )  # fmt: skip


CALCULATOR = Calculator(
    id="toe-compliance",
    title="Steer from side force",
    question="Does a side force steer the wheel in or out?",
    inputs=(
        Choice("rack", "ahead", {"ahead": "tie rods meet the knuckle ahead of the wheel centre", "behind": "behind it"}, "where the steering gear sits"),
        Number("tie_arm", "mm", "110..140", 30, 300, "from steering axis to the tie rod's outer joint, along the car"),
        Number("rack_mount", "kN/mm", "6..15", 0.2, 500, "sideways stiffness of the rack in its mounts: 2 to 6 in rubber, 10 to 40 bolted solid (common practice)"),
        Number("tie_rod", "kN/mm", "20..40", 1, 1000, "stiffness of tie rod and its joints along its line"),
        Number("front_bush", "kN/mm", "8..20", 0.1, 500, "sideways stiffness of the arm's front bush"),
        Number("rear_bush", "kN/mm", "1..4", 0.05, 500, "sideways stiffness of the arm's rear bush"),
        Number("front_bush_at", "mm", "0..20", -300, 400, "front bush ahead of the ball joint"),
        Number("rear_bush_at", "mm", "280..340", -100, 600, "rear bush behind the ball joint"),
        Number("trail", "mm", "25..45", -50, 150, "side force behind the steering axis: mechanical and tyre trail"),
        Number("side_force", "kN", "4", 0.01, 30, "at the contact patch, toward the car"),
    ),
    outputs=(
        Output("toe", "deg", "toe at this force, in positive"),
        Output("toe_per_force", "deg/kN", "toe a kilonewton, in positive"),
        Output("sense", "", "which way it steers", labels=("out of the turn", "into the turn")),
        Output("arm_part", "deg", "toe from the arm's bushes"),
        Output("rack_part", "deg", "toe from rack, mounts and tie rod"),
        Output("mount_effect", "deg", "change of toe where the rack mount is 10 % stiffer"),
        Output("neutral_rack", "kN/mm", "rack stiffness at which both cancel", optional=True),
        Output("tie_rod_force", "kN", "force in the tie rod"),
        Output("front_bush_force", "kN", "side force on the front bush"),
        Output("rear_bush_force", "kN", "side force on the rear bush"),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="fore-aft and vertical give, bump steer, kingpin inclination, give of cradle and knuckle",
    cautions=("Steering and suspension joints are safety parts: never reuse one-way fasteners, and have geometry set and checked by licensed practice.",),
    sources=("plane statics of the knuckle; typical bush and mount stiffnesses are common practice",),
    leading="tie_arm",
)  # fmt: skip
