"""What clamping a mount at two heights buys."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Curve, Figure
from atlas.calculators.response import response, setting
from atlas.mechanics.clamps import (
    bolt_group_forces,
    boss_axial_stiffness,
    boss_push_stiffness,
    boss_tilt_stiffness,
    mount_response,
    opening_moment,
)
from atlas.mechanics.materials import ELASTIC_MODULUS

STATES = ("holds its place", "a clamped face opens", "a plane slips")


def _evaluate(
    material: str,
    depth: Any,
    gauge: Any,
    second_gauge: Any,
    boss: Any,
    free_width: Any,
    bolts: Any,
    spread: Any,
    second_bolts: Any,
    second_spread: Any,
    wall_stiffness: Any,
    second_wall_stiffness: Any,
    force: Any,
    force_height: Any,
    moment: Any,
    side_offset: Any,
    preload: Any,
    slip_factor: Any,
) -> dict[str, Any]:
    modulus = ELASTIC_MODULUS[material]
    two = second_bolts >= 1
    if np.any(two & (depth <= 0)):
        raise ValueError("depth must be more than 0 where there is a second plane")
    first, first_face = _plane(boss, free_width, gauge, modulus, bolts, spread, wall_stiffness)
    second, second_face = _plane(
        boss,
        free_width,
        second_gauge,
        modulus,
        np.maximum(second_bolts, 1),
        second_spread,
        second_wall_stiffness,
    )
    second = np.where(two, second, 0.0)
    faces = first_face + np.where(two, second_face, 0.0)
    alone = mount_response(force, force_height, moment, first, 0.0, 0.0, first_face)
    both = mount_response(force, force_height, moment, first, second, depth, faces)
    carried = np.abs(both.tilt) * first_face
    opens = opening_moment(preload, boss, 0.35 * boss) * bolts + preload * spread / 2 * (bolts > 1)
    grip = slip_factor * preload
    held = np.minimum(
        grip * bolts / np.maximum(np.abs(both.first), 1.0),
        np.where(two, grip * second_bolts / np.maximum(np.abs(both.second), 1.0), np.inf),
    )
    worst = _worst_bolt(both.first, bolts, spread, force * side_offset)
    lifted = boss_axial_stiffness(boss, free_width, gauge, modulus) * np.abs(both.tilt) * spread / 2
    margin = np.minimum(opens / np.maximum(carried, 1e-3), 1e3)
    state = np.where(held < 1, 2, np.where(margin < 1, 1, 0))
    return {
        "tilt_stiffness": both.tilt_stiffness, "one_plane_stiffness": alone.tilt_stiffness,
        "gain": both.tilt_stiffness / alone.tilt_stiffness,
        "travel": np.abs(both.travel), "one_plane_travel": np.abs(alone.travel),
        "tilt": np.abs(both.tilt), "first_force": np.abs(both.first), "second_force": np.abs(both.second),
        "bolt_shear": worst, "bolt_pull": np.where(bolts > 1, lifted, 0.0),
        "face_moment": carried, "one_plane_face_moment": np.abs(alone.through_faces),
        "opening_margin": margin, "slip_margin": np.minimum(held, 1e3), "state": state,
    }  # fmt: skip


def _plane(
    boss: Any, free: Any, gauge: Any, modulus: float, bolts: Any, spread: Any, wall: Any
) -> tuple[Any, Any]:
    """Fore-aft stiffness of one clamped plane, and its tilt stiffness by faces and spread bolts."""
    sheet = bolts * boss_push_stiffness(boss, free, gauge, modulus)
    spring = 1 / (1 / sheet + 1 / wall)
    face = bolts * boss_tilt_stiffness(boss, free, gauge, modulus)
    # Bolts in a row over the spread: sum of squared distances n (n + 1) / (12 (n - 1)) spread^2.
    row = (
        np.where(bolts > 1, bolts * (bolts + 1) / (12 * np.maximum(bolts - 1, 1)), 0.0) * spread**2
    )
    return spring, face + row * boss_axial_stiffness(boss, free, gauge, modulus)


def _worst_bolt(push: Any, bolts: Any, spread: Any, yaw: Any) -> Any:
    """Largest in-plane force on a bolt of the first plane; one bolt alone takes no yaw."""
    worst = np.asarray(np.abs(push) / bolts, dtype=np.float64).copy()
    for count in np.unique(np.asarray(bolts)[np.asarray(bolts) > 1]):
        mask = (np.asarray(bolts) == count) & (np.asarray(spread) > 0)
        if not np.any(mask):
            continue
        x = np.linspace(-0.5, 0.5, int(count)) * np.asarray(spread)[mask, None]
        fx, fy = bolt_group_forces(x, 0 * x, push[mask], 0.0, np.asarray(yaw)[mask])
        worst[mask] = np.hypot(fx, fy).max(axis=-1)
    return worst


def _findings(s: Sampled) -> list[str]:
    gain = s.span("gain", 2)
    two = float(np.median(s.inputs["second_bolts"])) >= 1
    found = []
    if two:
        found.append(
            f"Held at two heights the mount is {gain} times as stiff against tilting as at the first alone: the "
            f"load point moves {s.span('travel', 2)} mm where one plane would let it move {s.span('one_plane_travel', 2)} mm."
        )
        share = s.median("one_plane_face_moment")
        found.append(
            f"The second plane takes {s.span('second_force')} kN and leaves {s.span('face_moment')} N m to the first "
            f"face, which alone would have to carry {share:.0f} N m."
        )
        if s.median("gain") < 2.5:
            found.append(
                "The planes are too close, or the second too soft, for the depth to count: most of the gain is "
                "the second face's own."
            )
    else:
        found.append(
            f"Clamped at one height, its face carries the whole moment of {s.span('face_moment')} N m and the load "
            f"point moves {s.span('travel', 2)} mm: look for a second plate, strap or wall below."
        )
    slips, opens = s.share(s["slip_margin"] < 1), s.share(s["opening_margin"] < 1)
    if slips > 0.02:
        found.append(
            f"In {slips:.0%} of samples a plane slips under this force: bolts then bear on their holes."
        )
    if opens > 0.02:
        found.append(
            f"In {opens:.0%} of samples the clamped face opens: stiffness drops and it will creak."
        )
    if slips <= 0.02 and opens <= 0.02:
        found.append(
            f"Nothing slips or opens: {s.median('slip_margin'):.2g} times the force would start a slip."
        )
    return found


def _figure(s: Sampled) -> Figure:
    top = max(0.12e3, 1.6 * float(np.max(s.inputs["depth"])))
    curve = response(
        CALCULATOR, s, "depth", "tilt_stiffness", span=(5.0, min(top, 400.0)), title="two planes"
    )
    one = s.median("one_plane_stiffness")
    return Figure(
        "Tilt stiffness against the distance between the planes", Axis("depth", "mm"),
        Axis("tilt stiffness", "kN m/deg", low=0.0),
        curves=(curve, Curve("one plane", curve.x, np.full_like(curve.x, one), style="limit")),
        points=(setting(s, "depth", "tilt_stiffness"),),
        note="Above the level line every millimetre of depth counts twice: stiffness grows with its square.",
    )  # fmt: skip


CALCULATOR = Calculator(
    id="two-plane-mount",
    title="Mount clamped at one or two heights",
    question="What does clamping at two heights buy?",
    inputs=(
        Choice("material", "steel", {n: n for n in ("steel", "aluminium", "magnesium")}, "the clamping flanges"),
        Number("depth", "mm", "55..65", 0, 400, "height between the two clamped planes"),
        Number("gauge", "mm", "2.8..3.2", 0.5, 30, "flange of the first plane"),
        Number("second_gauge", "mm", "2.8..3.2", 0.5, 30, "flange or plate of the second plane"),
        Number("boss", "mm", "26..30", 6, 120, "diameter of washer, sleeve face or boss"),
        Number("free_width", "mm", "70..90", 15, 400, "unsupported width of the flange around it"),
        Number("bolts", "", "1", 1, 6, "bolts of the first plane", whole=True),
        Number("spread", "mm", "0", 0, 400, "fore-aft distance between the outer bolts of the first plane"),
        Number("second_bolts", "", "1", 0, 6, "bolts of the second plane; 0 where there is none", whole=True),
        Number("second_spread", "mm", "0", 0, 400, "fore-aft distance between the outer bolts of the second"),
        Number("wall_stiffness", "kN/mm", "20..60", 0.5, 2000, "fore-aft give of the body at the first plane"),
        Number("second_wall_stiffness", "kN/mm", "10..40", 0.5, 2000, "fore-aft give of body or plate at the second"),
        Number("force", "kN", "8..12", -500, 500, "fore-aft force on the mount"),
        Number("force_height", "mm", "30", -500, 500, "height of the force from the first plane towards the second"),
        Number("moment", "N m", "0", -20000, 20000, "further tilting moment"),
        Number("side_offset", "mm", "0", -500, 500, "how far beside the bolt row the force acts"),
        Number("preload", "kN", "45..60", 0.1, 300, "clamp force of each bolt"),
        Number("slip_factor", "", "0.12..0.25", 0.05, 0.7, "friction between the clamped faces"),
    ),
    outputs=(
        Output("tilt_stiffness", "kN m/deg", "moment per angle, both planes"),
        Output("one_plane_stiffness", "kN m/deg", "moment per angle, first plane alone"),
        Output("gain", "", "two planes over one"),
        Output("travel", "mm", "travel at the height of the force"),
        Output("one_plane_travel", "mm", "the same, first plane alone"),
        Output("tilt", "deg", "tilt of the leg"),
        Output("first_force", "kN", "fore-aft force on the first plane"),
        Output("second_force", "kN", "fore-aft force on the second plane"),
        Output("bolt_shear", "kN", "largest share of a bolt of the first plane"),
        Output("bolt_pull", "kN", "pull on the outer bolts of the first plane, by spread"),
        Output("face_moment", "N m", "moment that the first plane's faces and bolts carry"),
        Output("one_plane_face_moment", "N m", "the same, first plane alone"),
        Output("opening_margin", "", "moment that opens the face over the one it carries"),
        Output("slip_margin", "", "friction over force at the weaker plane"),
        Output("state", "", "what the mount does under the force", labels=STATES),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="bending of leg and sleeve between the planes, rubber bushes, clearance after slip, weld fatigue; the flange's rim is taken as held",
    cautions=(
        "A cradle mount carries suspension and crash loads: prop the cradle before a bolt is drawn.",
        "Bolts tightened past yield are not used again.",
    ),
    sources=(
        "Roark's Formulas for Stress and Strain, Table 11.2, case 21 (boss tilting in a sheet)",
        "Shigley's Mechanical Engineering Design, 8th ed., 8-12 (bolt groups)",
        "EN 1993-1-8:2005, 3.9.1 (slip), partial factors set to 1",
        "N. I. Muskhelishvili, Some Basic Problems of the Mathematical Theory of Elasticity (boss in its plane)",
    ),
    leading="depth",
    also={"distance": "depth", "plane_distance": "depth", "height": "depth", "thickness": "gauge", "washer": "boss",
          "mu": "slip_factor", "friction": "slip_factor", "load": "force", "arm": "force_height",
          "second_thickness": "second_gauge"},
)  # fmt: skip
