"""The front structure template against a general frame library, and its bookkeeping."""

from dataclasses import replace

import numpy as np
import pytest
from Pynite import FEModel3D
from validation import Check

from atlas.mechanics.frames import Loads, node_loads
from atlas.mechanics.front_frames import (
    CASES,
    KINDS,
    carry,
    part_mass,
    simple_structure,
    strength_of,
    template,
    without,
)
from atlas.mechanics.sections import box, round_tube

METAL = (210e9, 80.8e9, 7850.0)


def structure(seed=0, count=1):
    rng = np.random.default_rng(seed)

    def near(*values):
        return tuple(value * rng.uniform(0.9, 1.1, count) if value else np.zeros(count)
                     for value in values)  # fmt: skip

    places = {
        "R": near(0, 0.45, 0), "M": near(0.4, 0.45, 0), "F": near(0.85, 0.45, 0),
        "U": near(0, 0.56, 0.4), "T": near(0.4, 0.56, 0.4), "B": near(0, 0.4, -0.16),
        "C": near(0.6, 0.4, -0.16),
    }  # fmt: skip
    sections = {
        "rail": box(0.06, 0.11, 0.002), "tower": box(0.06, 0.11, 0.002),
        "upper": box(0.05, 0.07, 0.0012), "cradle": box(0.06, 0.07, 0.0025),
        "brace": round_tube(0.03, 0.002), "bar": box(0.06, 0.09, 0.002),
    }  # fmt: skip
    strengths = dict.fromkeys(sections, np.full(count, 380e6))
    return template(places, sections, dict.fromkeys(sections, METAL), strengths,
                    np.full(count, 1e12))  # fmt: skip


def by_pynite(made, case, part=""):
    """Movement of the watched node, in PyNiteFEA; our z is their Y, so that up is up in both."""
    frame = made.frame
    axes = (0, 2, 1)  # x, z, y with y turned over to keep the axes right-handed
    signs = np.array([1.0, 1.0, -1.0])
    model = FEModel3D()
    model.add_material("m", 1.0, 1.0, 0.3, 0.0)
    loads = made.cases[case].nodal
    for index, place in enumerate(frame.nodes[0]):
        name = f"N{index}"
        model.add_node(name, *map(float, place[list(axes)] * signs))
        held = frame.supports[index]
        model.def_support(name, *(bool(held[a]) for a in axes), *(bool(held[3 + a]) for a in axes))
        for direction, axis, sign in zip(("FX", "FY", "FZ"), axes, signs, strict=True):
            if loads[index, axis]:
                model.add_node_load(name, direction, float(loads[index, axis] * sign))
    for index, (a, b) in enumerate(frame.members):
        if part and made.parts[index] == part:
            continue
        model.add_section(f"S{index}", *(float(x[0, index]) for x in
                          (frame.EA, frame.EIz, frame.EIy, frame.GJ)))  # fmt: skip
        # Upright members: both take the x axis as up, ours in local z, theirs in local y.
        model.add_member(f"M{index}", f"N{a}", f"N{b}", "m", f"S{index}")
    model.analyze_linear(check_stability=False)
    node, direction = made.watch[case]
    moved = [getattr(model.nodes[f"N{node}"], f)["Combo 1"] for f in ("DX", "DY", "DZ")]
    return float(np.array(moved) @ (np.array(direction)[list(axes)] * signs))


def ours(seed, case, part=""):
    made = structure(seed)
    made = without(made, part) if part else made
    return float(carry(made, case, np.ones(1)).movement[0])


LIBRARY = "PyNiteFEA 3.2 (library), same space frame, random sizes"
PICKS = [
    (1, "one-sided", ""), (2, "corner", ""), (3, "cornering", ""), (4, "tower", ""),
    (5, "corner", "front-bar"), (6, "cornering", "x-brace"),
]  # fmt: skip
CHECKS = [
    Check(f"front-frame.pynite.{case}.{part or 'whole'}", "front-frame", LIBRARY,
          by_pynite(structure(seed), case, part), 1e-6,
          lambda seed=seed, case=case, part=part: ours(seed, case, part), "m/N")
    for seed, case, part in PICKS
]  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_taking_a_part_away_never_stiffens(case):
    made = structure(3, 20)
    whole = np.abs(carry(made, case, np.ones(20)).movement)
    for part in made.patterns:
        bare = np.abs(carry(without(made, part), case, np.ones(20)).movement)
        assert (bare >= whole * (1 - 1e-9)).all(), part


def test_a_hit_on_one_side_turns_the_rails_out_of_line_more_without_the_bar():
    """Common practice, no source: the bar keeps the rails' spacing and relative position."""
    made = structure(0)
    with_ = carry(made, "corner", np.ones(1))
    bare = carry(without(made, "front-bar"), "corner", np.ones(1))
    spread = [np.hypot(one.spread, one.shift)[0] for one in (with_, bare)]
    assert spread[1] > 5 * spread[0]


def test_part_mass_is_length_times_section():
    made = structure(0)
    length = 2 * made.frame.nodes[0, made.ends[0], 1]
    area = box(0.06, 0.09, 0.002).area
    assert part_mass(made, "front-bar")[0] == pytest.approx(length * area * 7850)


def test_use_is_linear_in_the_load():
    made = structure(0)
    one, two = (carry(made, "corner", np.array([f])) for f in (1e3, 2e3))
    assert two.use == pytest.approx(2 * one.use)
    assert len(KINDS) > max(made.kinds)


def test_strength_of_a_tie_is_area_times_yield():
    squash, push, about_y, _ = strength_of(box(0.06, 0.06, 0.003), 355e6, 210e9, 0.5)
    section = box(0.06, 0.06, 0.003)
    assert squash == pytest.approx(section.area * 355e6)
    assert push < squash and about_y == pytest.approx(section.wpl_y * 355e6)


def test_refusals_name_part_and_case():
    made = simple_structure()
    with pytest.raises(ValueError, match=r"pattern must be one of stay, got 'bar'"):
        without(made, "bar")
    with pytest.raises(ValueError, match=r"load case must be one of tip, got 'nose'"):
        carry(made, "nose", np.ones(1))
    hung = replace(made, parts=("", "stay"))
    lone = replace(
        hung,
        frame=replace(hung.frame, nodes=np.array([[0.0, 0, 0], [1, 0, 0], [2, 0, 0]]),
                      members=np.array([[0, 1], [1, 2]]), node_names=("a", "b", "c"),
                      supports=np.array([[True] * 6, [False] * 6, [False] * 6])),
    )  # fmt: skip
    lone = replace(lone, cases={"tip": Loads(node_loads(lone.frame, {"c": [0, 0, 1.0]}))})
    with pytest.raises(ValueError, match="stands on 'stay' alone"):
        without(lone, "stay", "tip")
    assert not without(lone, "stay").cases
