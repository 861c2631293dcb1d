"""Whether the car slides past a narrow barrier or stops on it."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Number, Output, Sampled, figures
from atlas.calculators.figure import Axis, Curve, Figure
from atlas.calculators.units import factor
from atlas.mechanics.glance import Car, Glance, glance
from atlas.mechanics.overlap import barrier_edge

_PASSES, _STOPS, _HANGS = range(3)


def _solve(a: dict[str, Any]) -> Glance:
    half = a["width"] / 2
    if np.any(a["flat"] > half):
        raise ValueError("flat must be at most half the width")
    car = Car(
        mass=a["mass"],
        yaw_inertia=a["yaw_inertia"],
        nose=a["front_to_cg"],
        flat=a["flat"],
        slope=a["face_angle"],
        half_width=half,
        stiffness=a["stiffness"],
        strength=a["strength"],
        wheel_at=a["wheel_at"],
        wheel_strength=a["wheel_strength"],
    )
    edge = barrier_edge(a["width"], a["overlap"])
    return glance(car, a["speed"], edge, a["radius"], a["friction"])


def _evaluate(**a: Any) -> dict[str, Any]:
    done = _solve(a)
    first = a["mass"] * a["speed"] ** 2 / 2
    return {
        "sideways": -done.sideways,
        "outcome": np.where(done.passed, _PASSES, np.where(done.stopped, _STOPS, _HANGS)),
        "crush": done.depth,
        "intrusion": np.maximum(done.depth - a["wheel_at"], 0.0),
        "yaw": np.degrees(done.yaw) * factor("deg"),
        "speed_left": done.speed,
        "speed_lost": -done.impulse_along / a["mass"],
        "crushed": done.crushed / first,
        "rubbed": done.rubbed / first,
        "unbalanced": done.unbalanced,
    }


def _findings(s: Sampled) -> list[str]:
    passes = s.share(s["outcome"] == _PASSES)
    hangs = s.share(s["outcome"] == _HANGS)
    intrusion = s.span("intrusion", 2)
    if passes > 0.9:
        found = [
            f"Slides past in {passes:.0%} of samples, pushed {s.span('sideways', 2)} mm sideways and "
            f"left with {s.span('speed_left', 2)} km/h: the occupants keep that speed."
        ]
    elif passes < 0.1:
        found = [
            f"Stops on the barrier in {1 - passes - hangs:.0%} of samples and gives up "
            f"{s.span('speed_lost', 3)} km/h: wheel and pillar take what the structure does not."
        ]
    else:
        found = [
            f"Undecided: slides past in {passes:.0%} of samples, stops in {1 - passes - hangs:.0%}. "
            "The face's angle and its strength decide; measure those."
        ]
    deep = s.share(s["intrusion"] > 1.0)
    if deep > 0.5:
        found.append(
            f"The structure is crushed past the wheel in {deep:.0%} of samples (by {intrusion} mm): a "
            "stronger or more slanted face is needed ahead of the tyre."
        )
    elif deep > 0.05:
        found.append(f"Crushed past the wheel in {deep:.0%} of samples only (by {intrusion} mm).")
    else:
        found.append(
            f"The wheel is not reached: {s.span('crush', 2)} mm of crush, and "
            f"{figures(s.median('crushed'), 2)} % of the energy goes into it."
        )
    turn = s.median("yaw")
    way = "toward the barrier" if turn > 0 else "away from the barrier"
    found.append(f"It turns its nose {way} by {figures(abs(turn), 2)} deg until the end.")
    return found


def _figure(s: Sampled) -> Figure:
    a = {
        one.name: np.asarray(s.inputs[one.name], dtype=float)[:200] * factor(one.unit)
        for one in CALCULATOR.inputs
        if isinstance(one, Number)
    }
    done = _solve(a)
    order = np.argsort(done.sideways)
    picks = {"5 %": 0.95, "median": 0.5, "95 %": 0.05} if len(order) > 20 else {"car": 0.5}
    curves = []
    half = a["width"] / 2
    for name, share in picks.items():
        i = int(order[int(share * (len(order) - 1))])
        # Path of the struck front corner, where the side begins.
        forward, aside, yaw = done.path[:, i].T
        curves.append(
            Curve(
                name,
                -(aside + half[i] * np.cos(yaw)) * 1e3,
                (forward - half[i] * np.sin(yaw)) * 1e3,
                style="main" if name in {"median", "car"} else "other",
            )
        )
    edge = float(np.median(barrier_edge(a["width"], a["overlap"])))
    bend = float(np.median(a["radius"]))
    turn = np.linspace(np.pi, np.pi / 2, 12)
    x = -np.concatenate([[edge], edge + bend + bend * np.cos(turn), [edge + 1.0]]) * 1e3
    y = np.concatenate([[bend + 1.0], bend - bend * np.sin(turn), [0.0]]) * 1e3
    curves.append(Curve("barrier", x, y, style="limit"))
    return Figure(
        "Path of the struck corner, seen from above, forward up",
        Axis("sideways, away from the barrier", "mm"),
        Axis("forward", "mm"),
        curves=tuple(curves),
        equal=True,
    )


CALCULATOR = Calculator(
    id="glance-off",
    title="Sliding past or stopping on a narrow barrier",
    question="Does the vehicle slide past the barrier or stop on it?",
    inputs=(
        Number("mass", "kg", "1700..2000", 300, 6000, "of the vehicle as tested"),
        Number("speed", "km/h", "64.4", 5, 150, "at contact, straight ahead"),
        Number("width", "mm", "1850..1900", 1000, 3000, "overall width without mirrors"),
        Number("overlap", "", "0.25", 0.05, 0.5, "share of the width that the barrier covers"),
        Number("radius", "mm", "150", 20, 1000, "of the barrier's corner"),
        Number("flat", "mm", "480..540", 50, 1500, "half width of the front that meets the barrier square on: end of beam or front bar, from the centre plane"),
        Number("face_angle", "deg", "30..50", 10, 89, "of the outboard face to the car's axis: 20 to 40 a deflector, 60 to 85 a swept bar end, 89 a blunt corner"),
        Number("strength", "kN", "150..300", 5, 5000, "at which the struck corner crushes: deflector, bar end or wing"),
        Number("stiffness", "kN/mm", "5..15", 0.2, 200, "of the struck corner before it crushes"),
        Number("wheel_at", "mm", "400..500", 20, 2000, "crush at which wheel and pillar are met"),
        Number("wheel_strength", "kN", "150..250", 0, 5000, "that wheel and pillar add"),
        Number("friction", "", "0.15..0.35", 0, 1, "between structure and barrier"),
        Number("front_to_cg", "mm", "1950..2150", 500, 5000, "front of the beam to the centre of mass"),
        Number("yaw_inertia", "kg m2", "2700..3400", 200, 30000, "about the vertical axis; mass times the square of about 0.27 of the length"),
    ),
    outputs=(
        Output("sideways", "mm", "movement of the front away from the barrier after 250 ms"),
        Output("outcome", "", "how it ends", labels=("slides past", "stops on it", "still in contact after 250 ms")),
        Output("crush", "mm", "deepest crush of the struck corner"),
        Output("intrusion", "mm", "crush past the wheel"),
        Output("yaw", "deg", "turn after 250 ms, positive with the nose toward the barrier"),
        Output("speed_left", "km/h", "forward speed after 250 ms"),
        Output("speed_lost", "km/h", "change of forward speed that the occupants feel"),
        Output("crushed", "%", "of the energy, into crush"),
        Output("rubbed", "%", "of the energy, into friction"),
        Output("unbalanced", "%", "of the energy, unexplained by the account"),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="tyre and brake forces, roll and pitch, change of outline by crush, the wheel's own release, contact behind the front corner",
    cautions=("A comparison of shapes, not a prediction: crash performance is proven by test under the authority's own protocol.",),
    sources=(
        "rigid body in plan with an elastic-plastic penalty contact and Coulomb friction, velocity Verlet",
        "R. M. Brach, Mechanical Impact Dynamics, 1991 (limit of a short frictionless impact; from memory)",
        "small overlap frontal test protocol: 25 % overlap, 64.4 km/h, corner of 150 mm (from memory)",
    ),
    leading="face_angle",
)  # fmt: skip
