"""At what load a frame turns into a mechanism."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Figure
from atlas.calculators.response import response, setting
from atlas.calculators.shapes import slender_wall, wall_state
from atlas.mechanics.columns import reduction
from atlas.mechanics.frames import Frame, Loads, solve_cases
from atlas.mechanics.limit import collapse, yield_facets
from atlas.mechanics.materials import ELASTIC_MODULUS
from atlas.mechanics.sections import box

FORMS = {
    "portal": "two rails from the dash joined by a cross member or bar",
    "beam": "the cross member alone between its ends",
}
BASES = {"fixed": "welded or clamped: it resists turning", "pinned": "one bolt: it turns"}
SURFACES = {
    "with-axial": "axial force lowers the plastic moment (EN 1993, hollow section)",
    "bending-only": "axial force left out (textbook cases)",
}
METALS = ("steel", "aluminium", "magnesium", "titanium")
MODES = ("sway", "beam", "combined", "other")


def _plan(v: dict[str, Any]) -> tuple[Any, list[tuple[int, int]], Any, Any]:
    """Nodes, members, free freedoms and loads; the last member of a beam is its right half."""
    count = len(v["span"])
    run, at, turns = v["span"], v["load_at"], v["base"] == "pinned"
    if v["form"] == "beam":
        nodes = np.zeros((count, 3, 2))
        nodes[:, 1, 0], nodes[:, 2, 0] = run * at, run
        free = np.array([[False, False, turns], [True] * 3, [False, False, turns]])
        load = np.zeros((count, 3, 3))
        load[:, 1, 1] = -v["push"]
        return nodes, [(0, 1), (1, 2)], free, load
    nodes = np.zeros((count, 5, 2))
    nodes[:, [1, 2, 3], 1] = v["leg_length"][:, None]
    nodes[:, 2, 0], nodes[:, 3, 0], nodes[:, 4, 0] = run * at, run, run
    free = np.ones((5, 3), bool)
    free[[0, 4]] = [False, False, turns]
    load = np.zeros((count, 5, 3))
    load[:, 1, 0], load[:, 2, 1] = v["side"], -v["push"]
    return nodes, [(0, 1), (1, 2), (2, 3), (3, 4)], free, load


def _evaluate(**v: Any) -> dict[str, Any]:
    if np.all(v["push"] == 0) and (v["form"] == "beam" or np.all(v["side"] == 0)):
        raise ValueError("push and side are both zero: give a load")
    nodes, members, free, load = _plan(v)
    portal = v["form"] == "portal"
    leg = box(v["leg_width"], v["leg_height"], v["leg_gauge"])
    bar = box(v["bar_width"], v["bar_height"], v["bar_gauge"])
    own = [leg, bar, bar, leg] if portal else [bar, bar]
    yields = (
        [v["leg_strength"], v["bar_strength"], v["bar_strength"], v["leg_strength"]]
        if portal
        else [v["bar_strength"]] * 2
    )
    squash = np.stack(
        [np.broadcast_to(s.area * f, v["span"].shape) for s, f in zip(own, yields, strict=True)],
        axis=1,
    )
    plastic = np.stack(
        [np.broadcast_to(s.wpl_z * f, v["span"].shape) for s, f in zip(own, yields, strict=True)],
        axis=1,
    )
    ends = np.stack([plastic, plastic], axis=2)
    # The joint's own strength limits the bar's two outer ends.
    first_bar, last_bar = (1, 2) if portal else (0, 1)
    ends[:, first_bar, 0] *= v["joint_strength"]
    ends[:, last_bar, 1] *= v["joint_strength"]
    facets = [_facets(v, "leg", leg), *[_facets(v, "bar", bar)] * 2, _facets(v, "leg", leg)]
    facets = facets if portal else facets[1:3]
    found = collapse(nodes, members, free, load, squash, ends, facets)
    elastic = _first_yield(v, nodes, members, free, load, own, yields)
    at_nodes = _hinge_nodes(found.hinges, members, nodes.shape[1])
    slack = np.max(
        np.where(found.axial < 0, -found.axial * squash, 0)
        / _buckling(v, nodes, members, own, yields),
        axis=1,
    )
    wall = wall_state(slender_wall("box", v["bar_width"], v["bar_height"], v["bar_gauge"], 0.0, 0.0, 1, 1),
                      v["bar_metal"], v["bar_strength"])[0]  # fmt: skip
    if portal:
        legs = wall_state(slender_wall("box", v["leg_width"], v["leg_height"], v["leg_gauge"], 0.0, 0.0, 1, 1),
                          v["leg_metal"], v["leg_strength"])[0]  # fmt: skip
        wall = np.maximum(wall, legs)
    return {
        "factor": found.factor, "push_at_collapse": found.factor * v["push"],
        "side_at_collapse": found.factor * v["side"] * portal, "first_yield": elastic,
        "reserve": found.factor / elastic, "hinges": at_nodes.sum(axis=1),
        "axial_share": np.abs(found.axial).max(axis=1), "buckling_use": slack, "wall_class": wall,
        "mode": _mode(at_nodes, portal),
    }  # fmt: skip


def _facets(v: dict[str, Any], name: str, section: Any) -> Any:
    if v["surface"] == "bending-only":
        return yield_facets("bending only")
    flanges = 2 * v[f"{name}_height"] * v[f"{name}_gauge"]  # the webs are what is left
    return yield_facets("box", np.clip((section.area - flanges) / section.area, 0, 0.5))


def _hinge_nodes(hinges: Any, members: list[tuple[int, int]], count: int) -> Any:
    at = np.zeros((len(hinges), count), bool)
    for index, pair in enumerate(members):
        for end, node in enumerate(pair):
            at[:, node] |= hinges[:, index, end]
    return at


def _mode(at: Any, portal: bool) -> Any:
    if not portal:
        return np.where(at[:, 1], 1, 3)
    middle, bases = at[:, 2], at[:, 0] | at[:, 4]
    knees = at[:, 1] & at[:, 3]
    # Pinned bases turn without a hinge, so that sway shows by the knees alone.
    beam = middle & knees & ~bases
    return np.where(at.sum(axis=1) == 0, 3, np.where(~middle, 0, np.where(beam, 1, 2)))


def _first_yield(
    v: Any, nodes: Any, members: Any, free: Any, load: Any, own: Any, yields: Any
) -> Any:
    """Load factor at which the extreme fibre first yields."""
    count, size = nodes.shape[:2]
    supports = np.ones((size, 6), bool)
    supports[:, [0, 1, 5]] = ~free
    metals = (
        [v["leg_metal"], v["bar_metal"], v["bar_metal"], v["leg_metal"]]
        if len(members) == 4
        else [v["bar_metal"]] * 2
    )

    def table(values: Any) -> Any:
        return np.stack([np.broadcast_to(x, (count,)) for x in values], axis=1)

    e = [ELASTIC_MODULUS[m] for m in metals]
    frame = Frame(
        np.concatenate([nodes, np.zeros((count, size, 1))], axis=2), np.array(members),
        table([x * s.area for x, s in zip(e, own, strict=True)]),
        table([x * s.iz for x, s in zip(e, own, strict=True)]),
        table([x * s.iz for x, s in zip(e, own, strict=True)]),
        np.ones((count, len(members))), supports,
    )  # fmt: skip
    nodal = np.zeros((count, size, 6))
    nodal[..., [0, 1, 5]] = load
    found = solve_cases(frame, [Loads(nodal)], count)[0]
    bending = np.maximum(np.abs(found.end_forces[..., 5]), np.abs(found.end_forces[..., 11]))
    modulus = table([s.wel_z * f for s, f in zip(own, yields, strict=True)])
    squash = table([s.area * f for s, f in zip(own, yields, strict=True)])
    use = bending / modulus + (np.abs(found.axial) / squash if v["surface"] == "with-axial" else 0)
    return 1 / use.max(axis=1)


def _buckling(v: Any, nodes: Any, members: Any, own: Any, yields: Any) -> Any:
    """Buckling load of each member between its nodes; a rail that sways buckles over 1.5 its length."""
    out = []
    for index, (a, b) in enumerate(members):
        metal = v["leg_metal"] if len(members) == 4 and index in (0, 3) else v["bar_metal"]
        factor = 1.0 if len(members) == 2 or index in (1, 2) else 1.5
        length = np.linalg.norm(nodes[:, b] - nodes[:, a], axis=1) * factor
        section, strength = own[index], yields[index]
        squash = section.area * strength
        slender = length / np.pi * np.sqrt(squash / (ELASTIC_MODULUS[metal] * section.iz))
        out.append(np.broadcast_to(squash * reduction(np.minimum(slender, 30), "c"), length.shape))
    return np.stack(out, axis=1)


def _findings(s: Sampled) -> list[str]:
    modes = np.bincount(np.rint(s["mode"]).astype(int), minlength=len(MODES))
    mode = MODES[int(np.argmax(modes))]
    under = s.share(s["factor"] < 1)
    found = [
        f"It turns into a mechanism at {s.span('factor')} times the loads given, by {mode} in {modes.max() / modes.sum():.0%} of samples"
        + (f"; the loads given are past collapse in {under:.0%}." if under > 0 else ".")
    ]
    reserve = s.median("reserve")
    found.append(
        f"First yield comes at {s.span('first_yield')}: past it {reserve - 1:.0%} of reserve"
        + (" by redistribution, which needs joints that turn without tearing." if reserve > 1.2 else ": hardly any, so first yield is the end.")
    )  # fmt: skip
    thin = s.share(s["wall_class"] > 2)
    if thin > 0:
        found.append(
            f"In {thin:.0%} of samples walls are too thin for a hinge to turn (class 3 or 4): they crumple first and the collapse load is not reached."
        )
    if s.median("buckling_use") > 0.5:
        found.append(
            f"Pushed members stand at {s.span('buckling_use')} of their buckling load at collapse: second-order effects cut the figure."
        )
    weak = float(np.median(s.inputs["joint_strength"]))
    if weak < 1:
        found.append(
            f"The bar's joints carry {weak:.0%} of its plastic moment, so hinges form in the joints: welds and bolts must stretch there, which most do not."
        )
    return found


def _figure(s: Sampled) -> Figure:
    curve = response(CALCULATOR, s, "bar_gauge", "factor", others=60, points=21, title="collapse")
    first = response(
        CALCULATOR,
        s,
        "bar_gauge",
        "first_yield",
        others=1,
        points=21,
        title="first yield",
        style="other",
    )
    return Figure(
        "Load factor against the wall of the bar",
        Axis("wall of the bar", "mm"),
        Axis("load factor", low=0.0),
        curves=(curve, first),
        points=(setting(s, "bar_gauge", "factor"),),
        note="Where the curve goes flat, the rails fail and the bar no longer matters.",
    )


CALCULATOR = Calculator(
    id="limit-load",
    title="Collapse of a frame",
    question="At what load does the frame form a mechanism?",
    inputs=(
        Choice("form", "portal", FORMS, "what stands against the load"),
        Choice("base", "fixed", BASES, "rails at the dash; ends of a beam"),
        Choice("surface", "with-axial", SURFACES, "yield condition"),
        Choice("leg_metal", "steel", {n: n for n in METALS}, "metal of the rails"),
        Choice("bar_metal", "steel", {n: n for n in METALS}, "metal of the bar"),
        Number("span", "mm", "880..920", 50, 5000, "between the rails; span of a beam"),
        Number("leg_length", "mm", "680..740", 50, 5000, "rails from the dash to the bar"),
        Number("leg_width", "mm", "60", 8, 400, "rail, in the plane of bending"),
        Number("leg_height", "mm", "110", 8, 400, "rail, across that plane"),
        Number("leg_gauge", "mm", "3.2..3.8", 0.5, 30, "rail wall"),
        Number("leg_strength", "MPa", "340..420", 20, 2000, "yield strength of the rails"),
        Number("bar_width", "mm", "60", 8, 400, "bar, in the plane of bending"),
        Number("bar_height", "mm", "90", 8, 400, "bar, across that plane"),
        Number("bar_gauge", "mm", "3.2..3.8", 0.5, 30, "bar wall"),
        Number("bar_strength", "MPa", "340..420", 20, 2000, "yield strength of the bar"),
        Number("joint_strength", "", "0.6..1", 0.01, 1, "moment that the bar's end joints carry over the bar's plastic moment: pinned 0.05, bolted 0.5, full weld 1, aluminium weld 0.6"),
        Number("push", "kN", "20", 0, 5000, "rearward force on the bar"),
        Number("load_at", "", "0.35..0.5", 0.02, 0.98, "its place along the bar, share of the span"),
        Number("side", "kN", "12", 0, 5000, "sideways force on the struck corner (portal)"),
    ),
    outputs=(
        Output("factor", "", "collapse load over the loads given"),
        Output("push_at_collapse", "kN", "rearward force at collapse"),
        Output("side_at_collapse", "kN", "sideways force at collapse"),
        Output("first_yield", "", "load factor at which a fibre first yields"),
        Output("reserve", "", "collapse over first yield"),
        Output("hinges", "", "places that turn at collapse"),
        Output("axial_share", "", "largest axial force at collapse over the squash load"),
        Output("buckling_use", "", "largest push at collapse over the buckling load"),
        Output("wall_class", "", "class of the thinner walls: 1 and 2 let a hinge turn"),
        Output("mode", "", "way of collapse", labels=MODES),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="change of shape before collapse, strain hardening and rate, local crumpling, tearing of joints, out-of-plane bending",
    cautions=(
        "A collapse load is not a crash result: folding, rate and contact decide there.",
        "A frame loaded towards collapse holds spring energy; never stand in line with the load.",
    ),
    sources=(
        "static theorem: M. R. Horne, Plastic Theory of Structures; B. G. Neal, The Plastic Methods of Structural Analysis",
        "yield surface: EN 1993-1-1:2005, 6.2.9.1 (5); wall classes: Table 5.2",
    ),
    leading="bar_gauge",
    also={"load": "push", "wall": "bar_gauge", "spacing": "span", "rail_length": "leg_length"},
)  # fmt: skip
