"""The front structure template against a general frame library, and its bookkeeping."""

from dataclasses import replace

import numpy as np
import pytest
from Pynite import FEModel3D
from validation import Check

from atlas.mechanics.frames import Frame, Loads, node_loads, solve
from atlas.mechanics.frames_mirrored import solve_mirrored
from atlas.mechanics.front_carrying import carry, carry_both
from atlas.mechanics.front_frames import (
    KINDS,
    part_mass,
    simple_structure,
    strength_of,
    without,
)
from atlas.mechanics.front_templates import CASES, template
from atlas.mechanics.sections import box, round_tube

METAL = (210e9, 80.8e9, 7850.0)


def structure(seed=0, count=1, mount=1e8):
    rng = np.random.default_rng(seed)

    def near(*values):
        return tuple(value * rng.uniform(0.9, 1.1, count) if value else np.zeros(count)
                     for value in values)  # fmt: skip

    places = {
        "R": near(0, 0.45, 0), "M": near(0.4, 0.45, 0), "F": near(0.85, 0.45, 0),
        "U": near(0, 0.56, 0.4), "T": near(0.4, 0.56, 0.4), "B": near(0, 0.4, -0.16),
        "C": near(0.6, 0.4, -0.16), "S": near(0, 0.72, 0),
    }  # fmt: skip
    sections = {
        "rail": box(0.06, 0.11, 0.002), "tower": box(0.06, 0.11, 0.002),
        "upper": box(0.05, 0.07, 0.0012), "cradle": box(0.06, 0.07, 0.0025),
        "brace": round_tube(0.03, 0.002), "bar": box(0.06, 0.09, 0.002),
        "dash": box(0.07, 0.09, 0.0014), "torque-box": box(0.1, 0.09, 0.0016),
    }  # fmt: skip
    strengths = dict.fromkeys(sections, np.full(count, 380e6))
    root = (rng.uniform(5e7, 1e8, count), rng.uniform(2e5, 5e5, count))
    return template(places, sections, dict.fromkeys(sections, METAL), strengths,
                    np.full(count, 1e12), root, np.full(count, mount))  # fmt: skip


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
        for direction, axis in zip("XYZ", axes, strict=True):
            for kind, stiffness in (("D", frame.springs[0, index, axis]),
                                    ("R", frame.springs[0, index, 3 + axis])):  # fmt: skip
                if stiffness:
                    model.def_support_spring(name, kind + direction, float(stiffness))
    for index, (a, b) in enumerate(frame.members):
        if part and made.parts[index] == part:
            continue
        model.add_section(f"S{index}", *(float(x[0, index]) for x in
                          (frame.EA, frame.EIz, frame.EIy, frame.GJ)))  # fmt: skip
        # Upright members: both take the x axis as up, ours in local z, theirs in local y.
        model.add_member(f"M{index}", f"N{a}", f"N{b}", "m", f"S{index}")
        if "rear mount" in frame.member_names[index]:
            model.def_releases(f"M{index}", Rxj=True, Ryj=True, Rzj=True)
    model.analyze_linear(check_stability=False)

    def movement(node, direction):
        moved = [getattr(model.nodes[f"N{node}"], f)["Combo 1"] for f in ("DX", "DY", "DZ")]
        return float(np.array(moved) @ (np.array(direction)[list(axes)] * signs))

    if case in made.watch:
        return movement(*made.watch[case])
    loaded = np.flatnonzero(loads.any(axis=1))
    return sum(movement(n, loads[n, :3]) for n in loaded) / np.abs(loads).sum()


def ours(seed, case, part=""):
    made = structure(seed, mount=np.inf)
    made = without(made, part) if part else made
    return float(carry(made, case, np.ones(1)).movement[0])


LIBRARY = "PyNiteFEA 3.2 (library), same space frame, random sizes"
PICKS = [
    (1, "one-sided", ""), (2, "corner", ""), (3, "cornering", ""), (4, "tower", ""),
    (5, "corner", "front-bar"), (6, "cornering", "x-brace"), (7, "racking", ""),
    (8, "one-sided", "torque-box"), (9, "one-sided", "dash-member"),
]  # fmt: skip
CHECKS = [
    Check(f"front-frame.pynite.{case}.{part or 'whole'}", "front-frame", LIBRARY,
          by_pynite(structure(seed, mount=np.inf), case, part), 1e-6,
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


@pytest.mark.parametrize(
    "part", ["front-bar", "x-brace", "cross-member", "torque-box", "upper-rail"]
)
@pytest.mark.parametrize("case", CASES)
def test_half_the_unknowns_give_the_whole_answer(case, part):
    """The mirrored elimination against the full one, with the part and without it."""
    made = structure(4, 12)
    full = replace(made, mirror=())
    size = np.linspace(1e3, 4e4, 12)
    halves = carry_both(made, case, size, part)
    for mine, whole in zip(halves, carry_both(full, case, size, part), strict=True):
        for name in ("movement", "spread", "shift"):
            theirs = getattr(whole, name)
            scale = np.abs(whole.movement).max()
            assert np.abs(getattr(mine, name) - theirs).max() < 1e-9 * scale, name
    kept = np.array([one != part for one in made.parts])
    for mine, whole, which in (
        (halves[0], carry(full, case, size), slice(None)),
        (halves[1], carry(without(full, part), case, size), kept),
    ):
        for name in ("use", "axial"):
            theirs = getattr(whole, name)
            apart = np.abs(getattr(mine, name)[:, which] - theirs).max()
            assert apart < 1e-9 * np.abs(theirs).max(), name
    for carried in (halves[1].use, halves[1].axial):
        assert not carried[:, ~kept].any()  # what is gone carries nothing


def test_a_push_back_swaps_pull_for_push():
    """By hand: two rods share 20 N; pulled they can take 10 kN each, pushed half of it."""
    made = simple_structure()
    limits = replace(made.strength, buckling=np.full(2, 5e3))
    load = Loads(node_loads(made.frame, {"tip": [1.0, 0, 0]}))
    rods = replace(made, strength=limits, cases={"along": load})
    use = carry(rods, "along", np.array([20.0, -20.0])).use
    assert use == pytest.approx(np.array([[1e-3, 1e-3], [2e-3, 2e-3]]))


def test_a_rear_mount_gives_alike_along_and_across():
    """By hand: the post alone, its foot loaded each way in turn, moves force over stiffness."""
    made = structure(0, mount=1e5)
    frame = made.frame
    post = [frame.member_names.index("left rear mount")]
    foot = frame.members[post[0], 1]
    supports = np.ones((frame.node_count, 6), dtype=bool)
    supports[foot, :3] = False
    cut = {key: getattr(frame, key)[:, post] for key in ("EA", "EIy", "EIz", "GJ", "GAy", "GAz")}
    alone = replace(frame, members=frame.members[post], supports=supports, springs=None,
                    ends=frame.ends[:, frame.sprung == post], sprung=None,
                    member_names=("post",), **cut)  # fmt: skip
    for axis in range(3):
        push = np.zeros(3)
        push[axis] = 1.0
        moved = solve(alone, Loads(node_loads(alone, {int(foot): list(push)}))).displacements
        assert moved[0, foot, axis] == pytest.approx(1e-5, rel=0.02)


def test_mirrored_refuses_what_is_not_alike_left_and_right():
    made = structure(4)
    skew = made.frame.nodes.copy()
    skew[0, made.ends[0], 1] += 0.01
    fat = made.frame.EA.copy()
    fat[0, 0] *= 2
    load = made.cases["corner"].nodal
    none = np.zeros(len(made.parts), dtype=bool)
    for change, words in (
        ({"nodes": skew}, "no mirror image"), ({"EA": fat}, "differs from its mirror image"),
    ):  # fmt: skip
        with pytest.raises(ValueError, match=words):
            solve_mirrored(replace(made.frame, **change), load, made.mirror, none)
    loose = made.frame.ends.copy()
    loose[0, -1, 0, 2] = 1e3
    for change, words in (
        ({"ends": loose}, "right rear mount|left rear mount"),
        ({"members": np.concatenate([made.frame.members[:-1], made.frame.members[:1]])},
         "lies along another one"),
        ({"up": np.array([0.0, 1.0, 0.0])}, "up in the plane"),
        ({"springs": made.frame.springs * np.arange(16)[:, None]}, "springs differ"),
    ):  # fmt: skip
        with pytest.raises(ValueError, match=words):
            solve_mirrored(replace(made.frame, **change), load, made.mirror, none)
    one_side = none.copy()
    one_side[0] = True
    with pytest.raises(ValueError, match="left rail, rear has no mirror image"):
        solve_mirrored(made.frame, load, made.mirror, one_side)


def test_mirrored_names_the_free_node_of_a_mechanism():
    made = structure(4)
    loose = replace(made.frame, GJ=0 * made.frame.GJ, EIy=0 * made.frame.EIy,
                    EIz=0 * made.frame.EIz)  # fmt: skip
    none = np.zeros(len(made.parts), dtype=bool)
    with pytest.raises(ValueError, match="mechanism: node"):
        solve_mirrored(loose, made.cases["corner"].nodal, made.mirror, none)


def test_mirrored_names_what_the_rest_cannot_stand_without():
    stiff, held, loose = np.full(3, 1e3), [True] * 6, [False] * 6
    posts = Frame(np.array([[0, 1.0, 0], [0, -1, 0], [1, 1, 0], [1, -1, 0]]),
                  np.array([[0, 2], [1, 3], [2, 3]]), stiff, stiff, stiff, stiff,
                  np.array([held, held, loose, loose]),
                  member_names=("left", "right", "bar"))  # fmt: skip
    gone = np.array([True, True, False])
    with pytest.raises(ValueError, match="mechanism without left, right"):
        solve_mirrored(posts, np.zeros((4, 6)), (1, 0, 3, 2), gone)


def test_root_and_dash_answer_where_the_root_gives():
    """Common practice, no source: a one-sided push leans on the torque box and the dash member."""
    made = structure(0)
    whole = carry(made, "one-sided", np.ones(1)).movement
    for part, least in (("torque-box", 1.2), ("dash-member", 1.01)):
        bare = carry(without(made, part), "one-sided", np.ones(1)).movement
        assert bare / whole > least, part
    stiff = replace(made, frame=replace(made.frame, springs=1e4 * made.frame.springs))
    held = carry(stiff, "one-sided", np.ones(1)).movement
    bare = carry(without(stiff, "torque-box"), "one-sided", np.ones(1)).movement
    assert bare / held == pytest.approx(1, abs=1e-3)  # limit: a rigid root needs no box


def test_what_hung_on_a_part_by_springs_goes_with_it():
    """A stay that reaches its seat through a bush: take the stay, and the bush hangs in the air."""
    made = simple_structure()
    frame = replace(
        made.frame,
        nodes=np.array([[0.0, 0, 0], [1, 0, 0], [1, 1, 0], [1, 1, 0]]),
        members=np.array([[0, 1], [1, 2]]),
        node_names=("root", "tip", "eye", "seat"),
        supports=np.array([[True] * 6] + [[False] * 6] * 3),
        links=np.array([[2, 3]]),
        link_stiffness=np.full((1, 6), 1e6),
    )
    load = Loads(node_loads(frame, {"tip": [0, 0, 1.0]}))
    hung = replace(made, frame=frame, cases={"tip": load})
    rest = without(hung, "stay", "tip")
    assert len(rest.frame.links) == 0
    assert carry(rest, "tip", np.ones(1)).movement[0] == pytest.approx(1 / 1500)
    there, bare = carry_both(hung, "tip", np.ones(1), "stay")
    assert bare.movement == pytest.approx(there.movement)


def test_a_rest_that_does_not_stand_is_named_with_its_part():
    made = simple_structure()
    lone = replace(made, parts=("stay", ""),
                   frame=replace(made.frame, EIy=np.array([500.0, 0.0]), EIz=np.array([500.0, 0.0]),
                                 GJ=np.array([500.0, 0.0])))  # fmt: skip
    with pytest.raises(ValueError, match="without stay the rest does not stand: the frame is a"):
        carry_both(lone, "tip", np.ones(1), "stay")


def test_a_twin_that_runs_the_other_way_is_the_same_member():
    made = structure(4, 5)
    turned = made.frame.members.copy()
    index = made.frame.member_names.index("right rear mount")
    turned[index] = turned[index][::-1]
    ends, row = made.frame.ends.copy(), made.frame.sprung == index
    ends[:, row] = ends[:, row, ::-1]
    again = replace(made, frame=replace(made.frame, members=turned, ends=ends))
    for case in ("corner", "racking"):
        one, other = (carry(frame, case, np.ones(5)) for frame in (made, again))
        assert one.use == pytest.approx(other.use)


@pytest.mark.parametrize("case", ["corner", "racking", "tower"])
def test_which_way_a_member_runs_changes_nothing(case):
    """Members along an axis enter the equations entry by entry, with the signs of their axes."""
    made = structure(4, 5)
    rng = np.random.default_rng(3)
    turned, ends = made.frame.members.copy(), made.frame.ends.copy()
    for index in np.flatnonzero(rng.random(len(turned)) < 0.5):
        turned[index] = turned[index][::-1]
        row = made.frame.sprung == index
        ends[:, row] = ends[:, row, ::-1]
    again = replace(made, frame=replace(made.frame, members=turned, ends=ends))
    for one, other in zip(*(carry_both(frame, case, np.ones(5), "x-brace")
                            for frame in (made, again)), strict=True):  # fmt: skip
        assert one.use == pytest.approx(other.use)
        assert one.axial == pytest.approx(other.axial, abs=1e-9 * np.abs(one.axial).max())
        assert one.movement == pytest.approx(other.movement)


def test_sprung_members_are_those_that_are_named():
    made = structure(4, 3)
    rows = made.frame.sprung
    every = np.full((3, len(made.parts), 2, 4), np.inf)
    every[:, rows] = made.frame.ends
    said = replace(made, frame=replace(made.frame, ends=every, sprung=None))
    for case in CASES:
        one, other = (carry(frame, case, np.ones(3)) for frame in (made, said))
        assert np.array_equal(one.use, other.use)
    for wrong in ([0, 0, 1], [0, 1, 99], [-1, 0, 1]):
        with pytest.raises(ValueError, match="sprung must name members once each; there are 24"):
            solve(replace(made.frame, sprung=np.array(wrong)), made.cases["corner"])


@pytest.mark.parametrize("up", [None, (0.0, 0.0, 1.0), (1.0, 0.0, 1.0)])
def test_upright_members_stand_along_an_axis_as_well(up):
    """Towers and rear mounts straight above each other, and an ``up`` that is no axis."""
    made = structure(4, 6)
    nodes = made.frame.nodes.copy()
    half = nodes[:, 2, 1]  # of the rails
    for left in (0, 2, 4, 6, 8, 10, 12):
        nodes[:, left, 1], nodes[:, left + 1, 1] = half, -half
    turned = None if up is None else np.array(up)
    upright = replace(made, frame=replace(made.frame, nodes=nodes, up=turned))
    full = replace(upright, mirror=())
    for case in ("corner", "tower", "racking"):
        pairs = zip(*(carry_both(one, case, np.ones(6), "cross-member")
                      for one in (upright, full)), strict=True)  # fmt: skip
        for mine, whole in pairs:
            assert np.abs(mine.movement - whole.movement).max() < 1e-9 * whole.movement.max()
        found, theirs = (carry(one, case, np.ones(6)).use for one in (upright, full))
        assert np.abs(found - theirs).max() < 1e-9 * theirs.max()
