"""The frame engine against worked examples, a general-purpose library, and its own invariants."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from frame_library import MODULUS, SHEAR, by_library, random_frame
from hypothesis import given, settings
from hypothesis import strategies as st
from reference import band, rows, source
from validation import Check

from atlas.mechanics.frames import (
    RIGID,
    Frame,
    Loads,
    PointLoad,
    cantilever,
    node_loads,
    solve,
    solve_cases,
)

# Plane examples stand in x-y here: up is global y, so that EIy resists bending in the plane.
IN_PLANE = np.array([[False, False, True, True, True, False]])


def plane(places, members, area, inertia, supports, modulus, **more):
    """A plane frame in x-y; ``supports`` maps node to a string of 'x', 'y', 'r'."""
    count = len(members)
    held = np.repeat(IN_PLANE, len(places), axis=0)
    for node, letters in supports.items():
        for letter in letters:
            held[node, {"x": 0, "y": 1, "r": 5}[letter]] = True
    return Frame(
        nodes=np.column_stack([np.array(places, float), np.zeros(len(places))]),
        members=np.array(members),
        EA=modulus * np.broadcast_to(area, count),
        EIy=modulus * np.broadcast_to(inertia, count),
        EIz=modulus * np.broadcast_to(inertia, count),
        GJ=modulus * np.broadcast_to(np.maximum(inertia, 1e-3), count),
        supports=held,
        up=np.array([0.0, 1.0, 0.0]),
        **more,
    )


def portal(h, L, k, base):
    """Columns of inertia 1, beam of inertia k L/h; bases 'xyr' fixed or 'xy' pinned."""
    return plane(
        [(0, 0), (0, h), (L, h), (L, 0)], [(0, 1), (1, 2), (3, 2)], 1e6, [1, k * L / h, 1],
        {0: base, 3: base}, 1.0,
    )  # fmt: skip


@lru_cache
def gable():
    frame = plane(
        [(0, 0), (0, 360), (180, 480), (420, 480), (600, 360), (600, 0)],
        [(0, 1), (1, 2), (2, 3), (3, 4), (4, 5)], 12.0, 200.0, {0: "xyr", 5: "xyr"}, 30000.0,
    )  # fmt: skip
    return solve(frame, Loads(node_loads(frame, {2: [0, -30, 0], 3: [0, -30, 0]})))


@lru_cache
def square_portal():
    frame = plane(
        [(0, 0), (0, 100), (50, 100), (100, 100), (100, 0)], [(0, 1), (1, 2), (2, 3), (4, 3)],
        1000.0, 1 / 12, {0: "xyr", 4: "xyr"}, 29e6,
    )  # fmt: skip
    return solve(frame, Loads(node_loads(frame, {2: [0, -1000, 0]})))


@lru_cache
def space_truss():
    frame = Frame(
        nodes=np.array([[2, 4, 8], [0, 0, 0], [8, 0, 0], [8, 6, 0], [0, 6, 0]], float),
        members=np.array([[0, 1], [0, 2], [0, 3], [0, 4]]),
        EA=200e9 * np.array([20e-3, 30e-3, 40e-3, 30e-3]),
        EIy=np.zeros(4),
        EIz=np.zeros(4),
        GJ=np.zeros(4),
        supports=np.array([[False] * 3 + [True] * 3] + [[True] * 6] * 4),
    )
    return solve(frame, Loads(node_loads(frame, {0: [200e3, 600e3, -800e3]})))


@lru_cache
def two_span(settled=False):
    frame = plane(
        [(0, 0), (8, 0), (13, 0)], [(0, 1), (1, 2)], [6000e-6, 4000e-6], [200e-6, 50e-6],
        {0: "xyr", 1: "y", 2: "xyr" if settled else ""}, 200e9,
    )  # fmt: skip
    if settled:
        step = np.zeros((3, 6))
        step[1, 1] = -0.020
        return solve(frame, Loads(prescribed=step))
    share = 5e3 / 2**0.5
    return solve(frame, Loads(node_loads(frame, {2: [share, -share, 0]})))


@lru_cache
def knee():
    frame = plane(
        [(0, 0), (55**0.5, 3), (55**0.5 + 8, 3)], [(0, 1), (1, 2)], 6000e-6, 200e-6,
        {0: "xyr", 2: "xyr"}, 200e9,
    )  # fmt: skip
    lean = np.array([3, -(55**0.5), 0]) / 8
    return solve(
        frame, Loads(node_loads(frame, {1: 50e3 * lean}), np.array([[0, 0, 0], [0, -4e3, 0.0]]))
    )


@lru_cache
def ferreira():
    frame = Frame(
        nodes=np.array([[0, 0, 0], [3, 0, 0], [0, 0, -3], [0, -4, 0]], float),
        members=np.array([[0, 1], [0, 2], [0, 3]]),
        EA=np.full(3, 210e6 * 0.02),
        EIy=np.full(3, 210e6 * 10e-5),
        EIz=np.full(3, 210e6 * 20e-5),
        GJ=np.full(3, 84e6 * 5e-5),
        supports=np.array([[False] * 6] + [[True] * 6] * 3),
    )
    return solve(frame, Loads(node_loads(frame, {0: [-10, 0, 20]})))


def shaft():
    frame = plane([(0, 0), (36, 0), (132, 0), (168, 0)], [(0, 1), (1, 2), (2, 3)], 1, 1,
                  {0: "xyr", 3: "xyr"}, 1.0)  # fmt: skip
    held = frame.supports.copy()
    held[1:3, 3] = False
    frame = replace(frame, supports=held)
    loads = Loads(node_loads(frame, {1: [0, 0, 0, 5, 0, 0], 2: [0, 0, 0, 10, 0, 0]}))
    return solve(frame, loads).reactions[0]


def foundation():
    count = 17
    springs = np.zeros((count, 6))
    springs[:, 1] = 22.5
    frame = plane([(15.0 * n, 0) for n in range(count)], [(n, n + 1) for n in range(16)],
                  38.3, 128.5, {0: "xy", 16: "y"}, 29000.0, springs=springs)  # fmt: skip
    return solve(frame, Loads(node_loads(frame, {8: [0, -40, 0]})))


def beam(kind):
    """Mid-span (or tip) deflection and largest moment of a reference beam, N and mm."""
    held = {"ss_center": ("xy", "y"), "cantilever_tip": ("xyr", ""), "propped_center": ("xyr", "y")}
    first, last = held[kind]
    frame = plane([(0, 0), (450, 0), (900, 0)], [(0, 1), (1, 2)], 1e3, 523000.0,
                  {0: first, 2: last}, 210000.0)  # fmt: skip
    where = 2 if kind == "cantilever_tip" else 1
    found = solve(frame, Loads(node_loads(frame, {where: [0, -5000, 0]})))
    deflection = -found.displacements[0, where, 1]
    return {"defl_mm": deflection, "moment_Nm": found.bending().max() / 1000}


def portal_moments(row):
    kind = row["id"].split(".")[2]
    h, L, k = (row["inputs"][key] for key in ("h", "L", "k"))
    frame = portal(h, L, k, "xy" if kind.startswith("pinned") else "xyr")
    if kind.endswith("udl"):
        loads = Loads(uniform=np.array([[0, 0, 0], [0, -row["inputs"]["w"], 0], [0, 0, 0.0]]))
    else:
        loads = Loads(node_loads(frame, {1: [row["inputs"]["P"], 0, 0]}))
    ends = np.abs(solve(frame, loads).end_forces[0, 0])
    return {"base_moment": np.hypot(ends[4], ends[5]), "knee_moment": np.hypot(ends[10], ends[11])}


PICKED = {
    "frame.portal_fixed.mid_point": lambda: {
        "base_moment": abs(square_portal().reactions[0, 0, 5]),
        "knee_moment": np.hypot(*square_portal().end_forces[0, 1, 4:6]),
        "base_shear": abs(square_portal().reactions[0, 0, 0]),
        "knee_rotation": abs(square_portal().displacements[0, 1, 5]),
    },
    "frame.logan.5_30": lambda: {
        "base_H_kip": gable().reactions[0, 0, 0],
        "base_V_kip": gable().reactions[0, 0, 1],
        "base_M_kipin": abs(gable().reactions[0, 0, 5]),
        "DY_node3_in": gable().displacements[0, 2, 1],
    },
    "frame.ferreira.8_3.space": lambda: dict(
        zip(("DX", "DY", "DZ"), ferreira().displacements[0, 0, :3], strict=True)
    ),
    "frame.mcguire.4_9": lambda: {
        "u_b": two_span().displacements[0, 1, 0] * 1e3,
        "rz_b": two_span().displacements[0, 1, 5],
        "u_c": two_span().displacements[0, 2, 0] * 1e3,
        "v_c": two_span().displacements[0, 2, 1] * 1e3,
        "rz_c": two_span().displacements[0, 2, 5],
        "Ra_y_kN": two_span().reactions[0, 0, 1] / 1e3,
        "Ra_m_kNm": two_span().reactions[0, 0, 5] / 1e3,
        "Rb_y_kN": two_span().reactions[0, 1, 1] / 1e3,
    },
    "frame.mcguire.4_11": lambda: {
        "rz_b": two_span(True).displacements[0, 1, 5],
        "Ra_y_kN": two_span(True).reactions[0, 0, 1] / 1e3,
        "Ra_m_kNm": two_span(True).reactions[0, 0, 5] / 1e3,
        "Rb_y_kN": two_span(True).reactions[0, 1, 1] / 1e3,
        "Rc_y_kN": two_span(True).reactions[0, 2, 1] / 1e3,
        "Rc_m_kNm": two_span(True).reactions[0, 2, 5] / 1e3,
    },
    "frame.mcguire.5_7": lambda: {
        "u_b": knee().displacements[0, 1, 0] * 1e3,
        "v_b": knee().displacements[0, 1, 1] * 1e3,
        "rz_b": knee().displacements[0, 1, 5],
    },
    "frame.mcguire.5_4.space_truss": lambda: {
        "u_mm": space_truss().displacements[0, 0, 0] * 1e3,
        "v_mm": space_truss().displacements[0, 0, 1] * 1e3,
        "w_mm": space_truss().displacements[0, 0, 2] * 1e3,
    },
    "frame.mcguire.4_15.boef": lambda: {
        "defl_in": foundation().displacements[0, 8, 1],
        "moment_kipin": foundation().bending().max(),
    },
    "frame.torsion.two_torques": lambda: {"T_left": -shaft()[0, 3], "T_right": -shaft()[3, 3]},
    **{f"beam.{kind}": lambda kind=kind: beam(kind) for kind in
       ("ss_center", "cantilever_tip", "propped_center")},
    **{row["id"]: lambda row=row: portal_moments(row)
       for row in rows("frames", "frame.kleinlogel")},
}  # fmt: skip


def _checks():
    for row in rows("frames"):
        get = PICKED.get(row["id"], dict)
        relative, absolute = band(row)
        relative = max(relative, 5e-6)  # the digits that are printed
        for key in sorted(set(get()) & set(row["expected"])):
            yield Check(
                f"{row['id']}.{key}", "front-frame", source(row), row["expected"][key], relative,
                lambda get=get, key=key: get()[key], absolute=absolute,
            )  # fmt: skip


CHECKS = list(_checks())


@pytest.mark.parametrize(
    ("node", "expected"), [(1, (-76.4, -152.8, -305.6)), (3, (-470.8, -156.9, 627.8))]
)
def test_space_truss_reactions(node, expected):
    """Source: McGuire, Gallagher, Ziemian, Matrix Structural Analysis, 2nd ed., Example 5.4."""
    assert space_truss().reactions[0, node, :3] / 1e3 == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize(
    ("node", "expected"), [(0, (130.5, 55.7, 13.37)), (2, (-149.3, 22.7, -45.36))]
)
def test_knee_frame_reactions(node, expected):
    """Source: McGuire, Gallagher, Ziemian, Matrix Structural Analysis, 2nd ed., Example 5.7."""
    assert knee().reactions[0, node, [0, 1, 5]] / 1e3 == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize("seed", range(40))
def test_random_space_frames_agree_with_a_general_library(seed):
    """Source: PyNiteFEA 3.2 (library), on frames with releases, springs, loads and settlement."""
    frame, loads = random_frame(np.random.default_rng(seed))
    ours = solve(frame, loads)
    moved, forces = by_library(frame, loads)
    assert np.abs(ours.displacements[0] - moved).max() < 1e-6 * np.abs(moved).max()
    assert np.abs(ours.end_forces[0] - forces).max() < 1e-6 * np.abs(forces).max()


@pytest.mark.parametrize("seed", range(6))
def test_reactions_balance_the_loads(seed):
    frame, loads = random_frame(np.random.default_rng(100 + seed))
    found = solve(frame, loads)
    lengths = np.linalg.norm(np.diff(frame.nodes[frame.members], axis=1)[:, 0], axis=1)
    middles = frame.nodes[frame.members].mean(axis=1)
    forces = [loads.nodal[:, :3], loads.uniform * lengths[:, None], found.reactions[0, :, :3]]
    places = [frame.nodes, middles, frame.nodes]
    for point in loads.points:
        ends = frame.nodes[frame.members[point.member]]
        places.append((ends[0] + point.at * (ends[1] - ends[0]))[None])
        forces.append(point.force[None])
    total = sum(force.sum(axis=0) for force in forces)
    moment = sum(
        np.cross(place, force).sum(axis=0) for place, force in zip(places, forces, strict=True)
    )
    moment += loads.nodal[:, 3:].sum(axis=0) + found.reactions[0, :, 3:].sum(axis=0)
    scale = np.abs(found.reactions).max()
    assert np.abs(total).max() < 1e-7 * scale
    assert np.abs(moment).max() < 1e-7 * scale


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10_000))
def test_turning_the_whole_model_turns_the_answer(seed):
    rng = np.random.default_rng(seed)
    frame, loads = random_frame(rng)
    axis = rng.normal(size=3)
    turn = np.linalg.qr(np.column_stack([axis, rng.normal(size=(3, 2))]))[0]
    turn *= np.sign(np.linalg.det(turn))
    # Supports and springs stand in global axes, so only fully held and unsprung nodes may turn.
    held = np.repeat(frame.supports.all(axis=1)[:, None], 6, axis=1)
    frame = replace(frame, supports=held, springs=None)
    turned = replace(frame, nodes=frame.nodes @ turn.T, up=frame.up @ turn.T)
    wide = np.kron(np.eye(2), turn)
    before = solve(frame, Loads(loads.nodal, loads.uniform))
    after = solve(turned, Loads(loads.nodal @ wide.T, loads.uniform @ turn.T))
    moved = before.displacements[0] @ wide.T
    assert np.abs(after.displacements[0] - moved).max() < 1e-7 * np.abs(moved).max()
    scale = np.abs(before.end_forces).max()
    assert np.abs(after.end_forces - before.end_forces).max() < 1e-7 * scale


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10_000))
def test_forces_and_places_are_reciprocal(seed):
    """Source: Betti and Maxwell (any text on structures)."""
    rng = np.random.default_rng(seed)
    frame, _ = random_frame(rng)
    one, two = (rng.normal(size=(frame.node_count, 6)) * ~frame.supports for _ in range(2))
    a, b = solve_cases(frame, [Loads(one), Loads(two)])
    work = np.sum(one * b.displacements[0])
    assert work == pytest.approx(np.sum(two * a.displacements[0]), rel=1e-6)


def test_samples_come_out_as_each_would_alone():
    frame, loads = random_frame(np.random.default_rng(5))
    rng = np.random.default_rng(6)
    scale = rng.uniform(0.5, 2, (700, len(frame.members)))
    many = solve(replace(frame, EA=frame.EA * scale, EIz=frame.EIz * scale), loads)
    for sample in (0, 255, 256, 699):
        own = scale[sample]
        alone = solve(replace(frame, EA=frame.EA * own, EIz=frame.EIz * own), loads)
        assert many.displacements[sample] == pytest.approx(alone.displacements[0], rel=1e-9)
        assert many.end_forces[sample] == pytest.approx(alone.end_forces[0], rel=1e-7, abs=1e-3)


@pytest.mark.parametrize("stiffness", [0.0, 1e3, 5e4, RIGID])
def test_semi_rigid_end_follows_slope_deflection(stiffness):
    """Source: a beam with one end spring k: f = PL^3/3EI + PL^2/k, superposition by hand."""
    beam = cantilever(1.2, 1e9, 3e4)
    ends = np.full((1, 2, 4), RIGID)
    ends[0, 0, 2] = stiffness
    load = Loads(node_loads(beam, {"tip": [0, 0, -100.0]}))
    if stiffness == 0:
        with pytest.raises(ValueError, match="tip is free to"):
            solve(replace(beam, ends=ends), load)
        return
    found = solve(replace(beam, ends=ends), load).displacements[0, 1, 2]
    assert found == pytest.approx(-100 * 1.2**3 / 9e4 - 100 * 1.2**2 / stiffness, rel=1e-9)


def test_shear_stiffness_adds_the_timoshenko_term():
    """Source: cantilever with shear, f = PL^3/3EI + PL/(kGA), Timoshenko beam theory."""
    beam = replace(cantilever(0.3, 1e9, 3e4), GAz=np.array([2e6]))
    found = solve(beam, Loads(node_loads(beam, {"tip": [0, 0, 500.0]})))
    assert found.displacements[0, 1, 2] == pytest.approx(500 * 0.3**3 / 9e4 + 500 * 0.3 / 2e6)


def test_a_stiff_link_is_no_link_and_a_soft_one_carries_its_share():
    base = cantilever(1.0, 1e9, 1e4)
    two = Frame(
        nodes=np.array([[0.0, 0, 0], [1, 0, 0], [1, 0, 0], [2, 0, 0]]),
        members=np.array([[0, 1], [2, 3]]),
        EA=np.full(2, 1e9), EIy=np.full(2, 1e4), EIz=np.full(2, 1e4), GJ=np.full(2, 1e4),
        supports=np.array([[True] * 6] + [[False] * 6] * 3),
        links=np.array([[1, 2]]),
        link_stiffness=np.array([[1e12] * 6]),
    )  # fmt: skip
    long = replace(base, nodes=np.array([[0.0, 0, 0], [2, 0, 0]]))
    pull = Loads(node_loads(two, {3: [10, 0, 50.0]}))
    stiff = solve(two, pull).displacements[0, 3]
    whole = solve(long, Loads(node_loads(long, {1: [10, 0, 50.0]}))).displacements[0, 1]
    assert stiff == pytest.approx(whole, rel=1e-3)
    soft = solve(replace(two, link_stiffness=np.array([[1e3] + [1e12] * 5])), pull)
    assert soft.displacements[0, 3, 0] - stiff[0] == pytest.approx(10 / 1e3, rel=1e-5)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"supports": np.zeros((2, 6), bool)}, "free to"),
        ({"ends": np.where(np.arange(8).reshape(1, 2, 4) == 2, 0.0, RIGID)}, "node tip is free"),
        ({"EA": np.array([0.0])}, "node tip is free to move along x"),
        ({"GJ": np.array([0.0])}, "node tip is free to turn about x"),
        ({"EA": np.array([-1.0])}, "EA must not be negative"),
        ({"EIy": np.array([np.nan])}, "EIy holds something that is not a number"),
        ({"GJ": np.array([np.inf])}, "GJ must be at most"),
        ({"EA": np.array([1.0, 2.0])}, "EA must have shape"),
        ({"nodes": np.zeros((2, 3))}, "member 0 has no length"),
        ({"members": np.array([[0, 2]])}, "node that is not there"),
        ({"EA": np.ones((3, 1)), "GJ": np.ones((4, 1))}, "different numbers of samples"),
    ],
)
def test_refusals_name_what_is_wrong(change, words):
    frame = replace(cantilever(1.0, 1e9, 1e3), **change)
    with pytest.raises(ValueError, match=words):
        solve(frame, Loads(np.ones((2, 6))))


def test_a_mechanism_in_one_sample_of_many_is_found():
    stiff = np.full((900, 1), 1e9)
    stiff[871] = 0.0
    frame = replace(cantilever(1.0, 1e9, 1e3), EA=stiff)
    with pytest.raises(ValueError, match="node tip is free to move along x"):
        solve(frame, Loads(np.zeros((2, 6))))


def test_a_hinged_quadrilateral_is_named_as_a_mechanism():
    frame = plane([(0, 0), (0, 1), (2, 1), (2, 0)], [(0, 1), (1, 2), (3, 2)], 1.0, 1.0,
                  {0: "xy", 3: "xy"}, 1e6)  # fmt: skip
    ends = np.full((3, 2, 4), RIGID)
    ends[1, :, 2:] = 0
    frame = replace(frame, ends=ends, node_names=("A", "B", "C", "D"))
    with pytest.raises(ValueError, match=r"node [BC] is free to move along x, together with [BC]"):
        solve(frame, Loads(np.zeros((4, 6))))


def test_a_long_frame_with_one_loose_node_names_that_node():
    """The explanation looks at the matrix as it was before elimination."""
    count = 16
    frame = plane([(n, 0) for n in range(count)], [(n, n + 1) for n in range(count - 1)],
                  1.0, 1.0, {0: "xyr"}, 1e6)  # fmt: skip
    ends = np.full((count - 1, 2, 4), RIGID)
    ends[11, 0, 2:] = 0
    held = np.zeros((count, 6), bool)
    held[0] = True
    frame = replace(
        frame, ends=ends, supports=held, node_names=tuple(f"n{i}" for i in range(count))
    )
    with pytest.raises(ValueError, match="node n15 is free to move along"):
        solve(frame, Loads(np.zeros((count, 6))))


@pytest.mark.parametrize(
    ("loads", "words"),
    [
        (Loads(np.zeros((3, 6))), "nodal loads must have shape"),
        (Loads(np.full((2, 6), np.nan)), "not a number"),
        (Loads(points=(PointLoad(0, 1.5, [0, 0, 1.0]),)), "share of the member"),
        (Loads(points=(PointLoad(4, 0.5, [0, 0, 1.0]),)), "point load stands on member 4"),
        (Loads(prescribed=np.ones((2, 6))), "node tip needs a support"),
    ],
)
def test_refused_loads(loads, words):
    with pytest.raises(ValueError, match=words):
        solve(cantilever(1.0, 1e9, 1e3), loads)


def test_moduli_of_the_library_frames_are_those_of_steel():
    """Source: EN 1993-1-1:2005, 3.2.6."""
    assert (MODULUS, SHEAR) == (210e9, 81e9)
