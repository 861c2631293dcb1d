"""What a part-overlap barrier meets."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled, figures
from atlas.calculators.figure import Axis, Curve, Figure
from atlas.mechanics.overlap import banded, barrier_edge, covered, recession, travel_to_clear

# Overlap share, speed [m/s], corner radius [m], lower and upper edge above ground [m] of public
# test set-ups. A quarter of the width at
# 64.4 km/h against a corner of 150 mm is the narrow test; the figures of the others are in the test
# protocols named under SOURCES.
_KMH = 1 / 3.6
TESTS: dict[str, tuple[float, float, float, float, float]] = {
    "narrow": (0.25, 64.4 * _KMH, 0.150, 0.0, 1.524),
    "moderate": (0.40, 64.4 * _KMH, 0.0, 0.200, 0.850),
    "low-speed": (0.40, 15.0 * _KMH, 0.150, 0.0, 1.5),
    "bumper-corner": (0.15, 5.0 * _KMH, 0.0, 0.405, 0.505),
    "full": (1.0, 56.3 * _KMH, 0.0, 0.0, 1.5),
}
PARTS = ("bumper beam", "rail", "front bar", "tyre", "hinge pillar", "deflector or blocker")
_NOTHING = len(PARTS)


def _evaluate(
    test: str,
    width: Any,
    overlap: Any,
    speed: Any,
    radius: Any,
    barrier_low: Any,
    barrier_high: Any,
    mass: Any,
    beam_end: Any,
    beam_at: Any,
    beam_low: Any,
    beam_high: Any,
    rail_outer: Any,
    rail_width: Any,
    rail_at: Any,
    bar_end: Any,
    bar_at: Any,
    bar_low: Any,
    bar_high: Any,
    tyre_outer: Any,
    tyre_width: Any,
    tyre_at: Any,
    pillar_outer: Any,
    pillar_width: Any,
    pillar_at: Any,
    blocker_end: Any,
    blocker_at: Any,
    blocker_face: Any,
    face_friction: Any,
) -> dict[str, Any]:
    if test != "own":
        overlap, speed, radius, barrier_low, barrier_high = (
            np.full_like(width, value) for value in TESTS[test]
        )
    for name, outer in (("rail_outer", rail_outer), ("beam_end", beam_end), ("bar_end", bar_end),
                        ("tyre_outer", tyre_outer), ("pillar_outer", pillar_outer),
                        ("blocker_end", blocker_end)):  # fmt: skip
        if np.any(outer > width / 2 + 1e-9):
            raise ValueError(f"{name} must lie within half the width of the vehicle")
    for name, low, high in (("barrier_high", barrier_low, barrier_high),
                            ("beam_high", beam_low, beam_high), ("bar_high", bar_low, bar_high)):  # fmt: skip
        if np.any(high <= low):
            raise ValueError(f"{name} must lie above {name.replace('high', 'low')}")
    edge = barrier_edge(width, overlap)
    faces = {
        name: banded(low, high, barrier_low, barrier_high)
        for name, low, high in (("beam", beam_low, beam_high), ("bar", bar_low, bar_high))
    }
    tyre = covered(tyre_outer - tyre_width, tyre_outer, edge)
    pillar = covered(pillar_outer - pillar_width, pillar_outer, edge)
    rail = covered(rail_outer - rail_width, rail_outer, edge)
    # Each part is met at its outermost point, where the corner stands back least.
    reach = np.stack(
        [
            np.where(outer > 0, at + recession(outer, edge, radius), np.inf)
            for outer, at in ((np.where(faces["beam"] > 0, beam_end, 0.0), beam_at),
                              (rail_outer, rail_at),
                              (np.where(faces["bar"] > 0, bar_end, 0.0), bar_at),
                              (tyre_outer, tyre_at), (pillar_outer, pillar_at),
                              (blocker_end, blocker_at))
        ]
    )  # fmt: skip
    first = np.where(np.isfinite(reach).any(axis=0), np.argmin(reach, axis=0), _NOTHING)
    energy = mass * speed**2 / 2
    clear = travel_to_clear(blocker_end - edge, blocker_face, face_friction)
    there = {} if not np.any(blocker_end > 0) else {
        "blocker_reach": blocker_end - edge,
        "blocker_room": tyre_at - blocker_at,
        # One that sticks never clears it: as far as the pillar says that as well as infinity.
        "deflect_travel": np.minimum(clear, pillar_at),
        "sticks": np.where(np.isinf(clear), 1, 0),
    }  # fmt: skip
    return there | {
        "overlap_width": width * overlap,
        "rail_gap": edge - rail_outer,
        "rail_covered": rail,
        "bar_reach": bar_end - edge,
        "beam_reach": beam_end - edge,
        "beam_face": faces["beam"],
        "bar_face": faces["bar"],
        "tyre_covered": tyre,
        "pillar_covered": pillar,
        "first": first,
        "energy": energy,
        "mean_force": energy / pillar_at,
    }


def _findings(s: Sampled) -> list[str]:
    clear = s.share(s["rail_gap"] > 0)
    found = []
    if clear > 0.95:
        found.append(
            f"The barrier passes the rail with {s.span('rail_gap', 2)} mm to spare: the rail takes "
            "load only through something that reaches outboard of it."
        )
    elif clear < 0.05:
        found.append(
            f"The barrier covers {s.median('rail_covered'):.0f} % of the rail's width: the rail folds, "
            "and an outboard part only adds to it."
        )
    else:
        found.append(
            f"Whether the barrier meets the rail is open: it passes clear in {clear:.0%} of samples "
            f"(gap {s.span('rail_gap', 2)} mm). Measure width and rail_outer."
        )
    found += _heights(s)
    reach = s.share((s["bar_reach"] > 0) & (s["bar_face"] > 0))
    if reach > 0.5:
        found.append(
            f"The front bar's end lies {s.span('bar_reach', 2)} mm inside the barrier"
            + ("." if reach > 0.95 else f", in {reach:.0%} of samples.")
        )
    elif s.median("beam_reach") <= 0:
        found.append(
            f"Neither bar nor beam reaches the barrier (bar short by {figures(-s.median('bar_reach'), 2)} "
            "mm): the wheel is the load path."
        )
    if "blocker_reach" in s.results:
        found += _blocker(s)
    counts = np.bincount(np.rint(s["first"]).astype(int), minlength=len(PARTS) + 1)
    best = int(np.argmax(counts))
    name = (*PARTS, "nothing")[best]
    sure = (
        "" if counts[best] == counts.sum() else f" in {counts[best] / counts.sum():.0%} of samples"
    )
    found.append(
        f"Met first: the {name}{sure}. If nothing turns the car aside, {s.span('energy', 3)} kJ have to "
        f"go before the hinge pillar, {s.span('mean_force', 3)} kN on average."
    )
    return found


def _heights(s: Sampled) -> list[str]:
    """Parts that reach far enough out and still pass over or under the barrier."""
    said = []
    for name, words in (("beam", "bumper beam"), ("bar", "front bar")):
        there = float(np.median(np.asarray(s.inputs[f"{name}_end"]))) > 0
        if there and s.median(f"{name}_reach") > 0 and s.median(f"{name}_face") < 50:
            said.append(
                f"Only {s.span(f'{name}_face', 2)} % of the {words}'s height faces the barrier: it goes over or under, and "
                "what is met then is the next part behind."
            )
    return said


def _blocker(s: Sampled) -> list[str]:
    met = s.share(s["blocker_reach"] > 0)
    if met < 0.5:
        return [
            f"The deflector's end stays {figures(-s.median('blocker_reach'), 2)} mm short of the barrier: it does nothing in "
            "this test."
        ]
    sticks = s.share(s["sticks"] > 0.5)
    if sticks > 0.5:
        return [
            f"Its face stands too square to slide at that friction ({sticks:.0%} of samples): it blocks, and feeds load into "
            "what holds it; a face turned more along the car would slide."
        ]
    room = s.share(s["deflect_travel"] < s["blocker_room"])
    return [
        f"The deflector's end lies {s.span('blocker_reach', 2)} mm inside the barrier and its face clears that in "
        f"{s.span('deflect_travel', 2)} mm of travel, with {s.span('blocker_room', 2)} mm ahead of the tyre: "
        + (
            "the car is past before the wheel is met, if the face holds."
            if room > 0.9
            else f"in time in only {room:.0%} of samples; the wheel is caught first otherwise."
        )
    ]


def _figure(s: Sampled) -> Figure:
    def middle(name: str) -> float:
        return float(np.median(np.asarray(s.inputs[name], dtype=float)))

    test = str(s.inputs["test"])
    share, _, bend, *_ = TESTS.get(test, (middle("overlap"), 0.0, middle("radius") / 1000))
    half = middle("width") / 2
    edge = 2 * half * (0.5 - share)
    turn = np.linspace(0, np.pi / 2, 16)
    bend *= 1000
    barrier_x = np.concatenate([edge + bend - bend * np.sin(turn[::-1]), [half + 60]])
    barrier_y = np.concatenate([bend - bend * np.cos(turn[::-1]), [0.0]]) + 40
    curves = [Curve("barrier", barrier_x, barrier_y, style="limit")]

    def box(name: str, outer: float, wide: float, at: float, deep: float) -> Curve:
        x = np.array([outer - wide, outer, outer, outer - wide, outer - wide])
        return Curve(name, x, -np.array([at, at, at + deep, at + deep, at]), style="path")

    curves += [
        box("beam", middle("beam_end"), middle("beam_end"), middle("beam_at"), 80),
        box("rail", middle("rail_outer"), middle("rail_width"), middle("rail_at"), 700),
        box("bar", middle("bar_end"), middle("bar_end"), middle("bar_at"), 60),
        box("tyre", middle("tyre_outer"), middle("tyre_width"), middle("tyre_at"), 650),
        box("pillar", middle("pillar_outer"), middle("pillar_width"), middle("pillar_at"), 120),
    ]
    end = middle("blocker_end")
    if end > 0:
        root = middle("rail_outer")
        across = max(end - root, 0.0)
        behind = -middle("blocker_at") - across / np.tan(np.radians(middle("blocker_face")))
        curves.append(
            Curve("deflector", np.array([root, end]), np.array([-middle("blocker_at"), behind]))
        )
    return Figure(
        "Struck half of the front from above, barrier on top",
        Axis("from the centre plane", "mm"),
        Axis("behind the front of the beam", "mm"),
        curves=tuple(curves),
        equal=True,
    )


CALCULATOR = Calculator(
    id="overlap-geometry",
    title="What a part-overlap barrier meets",
    question="What does a narrow barrier meet on this vehicle?",
    inputs=(
        Choice("test", "narrow", {"narrow": "a quarter of the width at 64.4 km/h, corner of 150 mm", "moderate": "40 % at 64.4 km/h", "low-speed": "40 % at 15 km/h, corner of 150 mm", "bumper-corner": "15 % at 5 km/h", "full": "all of it at 56.3 km/h", "own": "overlap, speed and radius as given"}, "barrier and speed"),
        Number("width", "mm", "1850..1900", 1000, 3000, "overall width without mirrors"),
        Number("overlap", "", "0.25", 0.01, 1, "share of the width covered (test=own)"),
        Number("speed", "km/h", "64.4", 1, 150, "at contact (test=own)"),
        Number("radius", "mm", "150", 0, 1000, "of the barrier's corner (test=own)"),
        Number("barrier_low", "mm", "0", 0, 1500, "barrier's lower edge above ground (test=own)"),
        Number("barrier_high", "mm", "1500", 50, 4000, "barrier's upper edge above ground (test=own)"),
        Number("mass", "kg", "1700..2000", 300, 5000, "of the vehicle as tested"),
        Number("beam_end", "mm", "540..600", 0, 1500, "end of the strong bumper beam, from the centre plane"),
        Number("beam_at", "mm", "0", 0, 500, "front of the beam, as zero of the distances along the car"),
        Number("beam_low", "mm", "430..460", 0, 1500, "beam's lower edge above ground"),
        Number("beam_high", "mm", "540..570", 50, 2000, "beam's upper edge above ground"),
        Number("rail_outer", "mm", "440..480", 100, 1200, "rail's outer face, from the centre plane"),
        Number("rail_width", "mm", "70..90", 20, 300, "of the rail"),
        Number("rail_at", "mm", "160..220", 0, 1000, "rail's tip behind the front of the beam"),
        Number("bar_end", "mm", "600..660", 0, 1500, "end of the cradle's front bar, from the centre plane; 0 where there is none"),
        Number("bar_at", "mm", "260..320", 0, 1500, "front bar behind the front of the beam"),
        Number("bar_low", "mm", "220..260", 0, 1500, "front bar's lower edge above ground"),
        Number("bar_high", "mm", "290..330", 50, 2000, "front bar's upper edge above ground"),
        Number("tyre_outer", "mm", "880..910", 200, 1500, "tyre's outer side, from the centre plane"),
        Number("tyre_width", "mm", "215..235", 100, 500, "of the tyre"),
        Number("tyre_at", "mm", "480..540", 100, 2500, "front of the tyre behind the front of the beam"),
        Number("pillar_outer", "mm", "800..840", 200, 1500, "hinge pillar's outer side, from the centre plane"),
        Number("pillar_width", "mm", "150..180", 40, 500, "of the hinge pillar across the car"),
        Number("pillar_at", "mm", "1350..1450", 300, 3500, "hinge pillar behind the front of the beam"),
        Number("blocker_end", "mm", "0", 0, 1500, "outer end of a deflector or blocker on rail, cradle or upper rail, from the centre plane; 0 where there is none"),
        Number("blocker_at", "mm", "180", 0, 2000, "its foremost point behind the front of the beam"),
        Number("blocker_face", "deg", "45", 5, 90, "its front face to the car's length: 90 stands square"),
        Number("face_friction", "", "0.3", 0, 1.5, "friction of that face on the barrier"),
    ),
    outputs=(
        Output("rail_gap", "mm", "from the rail's outer face to the barrier's edge, positive where the barrier passes"),
        Output("overlap_width", "mm", "width that the barrier covers"),
        Output("rail_covered", "%", "share of the rail's width in the barrier"),
        Output("bar_reach", "mm", "front bar's end inside the barrier's edge"),
        Output("beam_reach", "mm", "beam's end inside the barrier's edge"),
        Output("beam_face", "%", "share of the beam's height that faces the barrier"),
        Output("bar_face", "%", "share of the front bar's height that faces the barrier"),
        Output("tyre_covered", "%", "share of the tyre's width in the barrier"),
        Output("pillar_covered", "%", "share of the hinge pillar's width in the barrier"),
        Output("first", "", "what is met first", labels=(*PARTS, "nothing")),
        Output("blocker_reach", "mm", "deflector's end inside the barrier's edge", optional=True),
        Output("blocker_room", "mm", "from the deflector's front to the tyre", optional=True),
        Output("deflect_travel", "mm", "travel until its face has carried the car clear", optional=True),
        Output("sticks", "", "whether its face slides", labels=("slides", "sticks"), optional=True),
        Output("energy", "kJ", "kinetic energy at contact"),
        Output("mean_force", "kN", "mean force that would stop the car before the hinge pillar"),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="height of rail, tyre and pillar, dive and lift, bending of parts before contact, energy that stays as speed where the car slides past",
    cautions=("Geometry only: it says what is met, not how it behaves. Crash performance is proven by test under the authority's own protocol.",),
    sources=(
        "offset barrier crash test protocol, version III, June 1996: 40 % overlap, 64.4 km/h",
        "small overlap frontal test protocol: 25 % overlap, 64.4 km/h, barrier corner of 150 mm, 1,524 mm high (from memory)",
        "low-speed structural test procedure: 40 % at 15 km/h, corner of 150 mm; bumper test: 15 % at 5 km/h, bar from 405 to 505 mm at a corner (455 to 555 mm at full width); deformable face from 200 to 850 mm (from memory)",
        "US Federal Register, 11 July 2008: full width at 35 mph",
        "deflector: rigid wedge with friction, statics",
    ),
    leading="width",
)  # fmt: skip
