"""The rows of ``data/reference`` worked by this project, for ``test_reference_values``."""

import numpy as np
from reference import every_row

from atlas.calculators.models.overlap_geometry import TESTS
from atlas.calculators.models.weld import ALLOYS
from atlas.mechanics.clamps import bolt_group_forces, mount_response
from atlas.mechanics.columns import euler_load, johnson_stress, reduction
from atlas.mechanics.crushing import (
    cells_mean_force,
    round_mean_force,
    round_stroke_share,
    square_mean_force,
)
from atlas.mechanics.evidence import entropy, expected_gain, posterior
from atlas.mechanics.frames import Frame, Loads, PointLoad, cantilever, node_loads, solve
from atlas.mechanics.joints import (
    bearing_capacity,
)
from atlas.mechanics.orders import sequences
from atlas.mechanics.photogrammetry import line_map
from atlas.mechanics.sections import round_tube
from atlas.mechanics.sheet_sections import hat
from atlas.mechanics.threads import class_strength


def truss(nodes, members, areas, modulus, supports, loads):
    """Plane truss in x-z: displacement of each node and pull of each bar."""
    held = np.ones((len(nodes), 6), dtype=bool)
    held[:, [0, 2]] = supports
    nil = np.zeros(len(members))
    frame = Frame(
        np.array([[x, 0.0, z] for x, z in nodes]), np.array(members), modulus * np.asarray(areas),
        nil, nil, nil, held,
    )  # fmt: skip
    found = solve(frame, Loads(node_loads(frame, {n: [x, 0, z] for n, (x, z) in loads.items()})))
    return found.displacements[0][:, [0, 2]], found.axial[0], found.reactions[0][:, [0, 2]]


def three_bars(i):
    nodes = [(0.0, 0.0), (6.928, 4.0), (10.928, 0.0)]
    push = 500 * np.cos(np.radians(40)), 500 * np.sin(np.radians(40))
    areas = [i["A1"], i["A2"], i["A3"]]
    supports = [[True, True], [False, False], [False, True]]
    bars = [(0, 1), (1, 2), (0, 2)]
    return truss(nodes, bars, areas, i["E"], supports, {1: push})[2]


def ten_bars(i):
    side = i["L"]
    nodes = [(2 * side, side), (2 * side, 0), (side, side), (side, 0), (0, side), (0, 0)]
    bars = [(4, 2), (2, 0), (5, 3), (3, 1), (2, 3), (0, 1), (4, 3), (5, 2), (2, 1), (3, 0)]
    supports = [[False, False]] * 4 + [[True, True]] * 2
    moved, *_ = truss(nodes, bars, i["areas"], i["E"], supports, {1: (0, -i["P"]), 3: (0, -i["P"])})
    return float(np.abs(moved).max())


def two_bars(i):
    half = i["L_in"] * np.cos(np.radians(i["theta_deg"]))
    deep = i["L_in"] * np.sin(np.radians(i["theta_deg"]))
    nodes = [(-half, 0.0), (half, 0.0), (0.0, -deep)]
    supports = [[True, True], [True, True], [False, False]]
    moved, pull, _ = truss(nodes, [(0, 2), (1, 2)], [i["A_in2"]] * 2, i["E_psi"], supports,
                           {2: (0.0, -i["F_lb"])})  # fmt: skip
    return {"defl_in": -moved[2, 1], "stress_psi": pull[0] / i["A_in2"]}


def three_segments(i):
    places = [(0.0, 0.0), (0.0, -i["a"]), (0.0, -i["a"] - i["b"]), (0.0, -i["L"])]
    supports = [[True, True], [True, False], [True, False], [True, True]]
    _, _, reactions = truss(places, [(0, 1), (1, 2), (2, 3)], [1.0] * 3, 1.0, supports,
                            {1: (0, -i["F1"]), 2: (0, -i["F2"])})  # fmt: skip
    return {"R_top": reactions[0, 1], "R_bottom": reactions[3, 1]}


def clamped_beam(i):
    nodes = np.array([[0.0, 0, 0], [i["L"] / 2, 0, 0], [i["L"], 0, 0]])
    stiff = np.full(2, i["EI"])
    held = np.zeros((3, 6), dtype=bool)
    held[[0, 2]] = True
    frame = Frame(nodes, np.array([[0, 1], [1, 2]]), stiff, stiff, stiff, stiff, held)
    found = solve(frame, Loads(node_loads(frame, {1: [0, 0, -i["P"]]})))
    return {"defl": found.displacements[0, 1, 2], "end_moment": abs(found.reactions[0, 0, 4])}


def simple_beam(i):
    nodes = np.array([[0.0, 0, 0], [i["l"] / 2, 0, 0], [i["l"], 0, 0]])
    stiff = np.full(2, i["E"] * i["I"])
    held = np.zeros((3, 6), dtype=bool)
    held[0, [0, 1, 2, 3]] = held[2, [1, 2]] = True
    frame = Frame(nodes, np.array([[0, 1], [1, 2]]), stiff, stiff, stiff, stiff, held)
    load = np.tile([0.0, 0, -i["p"]], (2, 1))
    return -1e3 * solve(frame, Loads(uniform=load)).displacements[0, 1, 2]


def first_order_cantilever(i):
    length, bending = i["L_in"], i["EI_kip_in2"]
    beam = cantilever(length, 1e9, bending)
    found = solve(beam, Loads(points=(PointLoad(0, 1.0, [0, 0, i["H_kip"]]),)))
    return {"M_kipin": abs(found.reactions[0, 0, 4]), "defl_in": found.displacements[0, 1, 2]}


def least_edge(i):
    """Smallest end distance that the bearing formula takes, by halving [mm]."""
    low, high = 1.0, 100.0
    for _ in range(60):
        middle = (low + high) / 2
        try:
            bearing_capacity(20e-3, i["d0_mm"] / 1e3, 5e-3, 4e8, 8e8, middle / 1e3, 0.1)
        except ValueError:
            low = middle
        else:
            high = middle
    return high


def halfway_slenderness(i):
    """Slenderness at which the parabola has come down to half the yield strength."""
    low, high = 10.0, 300.0
    for _ in range(60):
        middle = (low + high) / 2
        if johnson_stress(i["E_Pa"], i["Sy_Pa"], middle) > i["Sy_Pa"] / 2:
            low = middle
        else:
            high = middle
    return high


def euler_diameter(i):
    load = i["load_N"] * i["nd"]
    low, high = 1e-3, 0.2
    for _ in range(60):
        middle = (low + high) / 2
        bar = round_tube(middle, middle / 2)
        if euler_load(i["E_Pa"], bar.iy, i["L_m"]) < load:
            low = middle
        else:
            high = middle
    return 1e3 * high


def h_column(i, area, inertia):
    euler = float(euler_load(210e9, inertia * 1e-12, i["L_mm"] / 1e3))
    slender = np.sqrt(area * i["fy_MPa"] / euler)
    return {"Ncr_kN": euler / 1e3, "slenderness": slender}


def by_curve(i, area, inertia, curve):
    found = h_column(i, area, inertia)
    chi = float(reduction(found["slenderness"], curve))
    return {"A_mm2": area, "chi": chi, "NbRd_kN": chi * area * i["fy_MPa"] / 1e3}


def tube(i):
    found = round_tube(i["d_mm"] / 1e3, i["t_mm"] / 1e3)
    return by_curve(i, float(found.area) * 1e6, float(found.iy) * 1e12, "a")


def over_plastic(force, i):
    """Mean force over the plastic moment of the wall."""
    return float(force) / (i["sigma0_MPa"] * i["h_mm"] ** 2 / 4)


def square(i):
    return float(square_mean_force(i["c_mm"] / 1e3, i["h_mm"] / 1e3, i["sigma0_MPa"] * 1e6)) / 1e3


def ringed(i, diameter="D_mm", gauge="h_mm"):
    """Round tube by the plain theory, without the share of its length that the folds give up."""
    size, wall = i[diameter] / 1e3, i[gauge] / 1e3
    force = round_mean_force(size, wall, i["sigma0_MPa"] * 1e6)
    return float(force * round_stroke_share(size / wall)) / 1e3


def plain_moment(i):
    walls, corners, wall = 0.3, 4, i["h_mm"] / 1e3
    force = cells_mean_force(walls, corners, wall, i["sigma0_MPa"] * 1e6, 1.0)
    return float(force) / (2 * np.sqrt(2 * np.pi * corners * walls / wall))


def crossing_of_modes(i):
    """Force over the wall's plastic moment where the thick tube's mode ends, over that mode's."""
    ratio = 7.5
    got = over_plastic(square_mean_force(ratio * 2e-3, 2e-3, 1e6), {"sigma0_MPa": 1.0, "h_mm": 2.0})
    return ratio * got / (i["ext_a"] * np.sqrt(ratio) + i["ext_b"])


def root_law(_):
    """Constant of (R/h)^(1/2) in the round tube's plain mean force over its plastic moment."""
    ratio, wall, flow = 30.0, 2e-3, 1e8
    plastic = 2 / np.sqrt(3) * flow * wall**2 / 4
    plain = round_mean_force(2 * ratio * wall, wall, flow) * round_stroke_share(2 * ratio)
    return (float(plain) / plastic - 11.90) / np.sqrt(ratio)


def bolt_group(i):
    x, y = np.array(i["coords_mm"]).T / 1e3
    x, y = x - x.mean(), y - y.mean()
    moment = i["Fy_N"] * (i["ex_mm"] / 1e3 - 0.05)
    forces = np.hypot(*bolt_group_forces(x, y, i["Fx_N"], i["Fy_N"], moment))
    return {"max_bolt_force_N": forces.max()}


def couple(i):
    mount = mount_response(0.0, 0.0, i["moment_Nm"], 1e8, 1e8, i["separation_mm"] / 1e3, 0.0)
    return float(np.abs(mount.first))


def alloy_row(name):
    proof, tensile, soft_proof, soft, _ = ALLOYS[name]
    return {
        "fo_MPa": proof / 1e6, "fu_MPa": tensile / 1e6, "fo_haz_MPa": soft_proof / 1e6,
        "fu_haz_MPa": soft / 1e6, "rho_o_haz": soft_proof / proof, "rho_u_haz": soft / tensile,
    }  # fmt: skip


def closed_hat(i):
    """The rows of the source lie on middle lines; ours has its flanges above the plate."""
    wall = i["t_mm"] / 1e3
    found = hat((i["w_mm"] / 1e3) + wall, i["h_mm"] / 1e3 + wall / 2, i["f_mm"] / 1e3, wall, wall)
    return {"area_mm2": float(found.area) * 1e6, "J_mm4": float(found.j) * 1e12}


def play_tennis():
    rows = [line.split() for line in every_row()["infer.info_gain.outlook"]["inputs"]["rows"]]
    return np.array(rows)


def information_gain(i):
    table = play_tennis()
    column = ["outlook", "temperature", "humidity", "wind"].index(i["attribute"])
    classes = table[:, -1] == "yes"
    states = np.unique(table[:, column])
    shares = np.array([np.mean(classes), 1 - np.mean(classes)])
    table_of = np.array([
        [np.mean(table[classes == good, column] == state) for state in states]
        for good in (True, False)
    ])  # fmt: skip
    return {"entropy_bits": float(entropy(shares)),
            "gain_bits": float(expected_gain(shares, table_of.T))}  # fmt: skip


def naive_bayes(i):
    table = play_tennis()
    classes = table[:, -1] == "yes"
    likelihoods = [
        [np.mean(table[classes == good, k] == word) for good in (True, False)]
        for k, word in enumerate(i["query"].split())
    ]
    return float(posterior([np.mean(classes), 1 - np.mean(classes)], *likelihoods)[1])


def yes_no(i):
    yes = np.array(i["likelihood_yes"])
    return float(expected_gain(i["prior"], np.stack([yes, 1 - yes])))


def cross_ratio(i):
    """Equal steps under a projective map, seen back through the map of a line."""
    world = np.array(i["points"])
    image = world / (1 + 0.1 * world)
    p, q, r = line_map(image[:3], world[:3])
    a, b, c, d = (p * image + q) / (r * image + 1)
    return (c - a) * (d - b) / ((c - b) * (d - a))


def possible(i):
    parts = [str(k) for k in range(i["n"])]
    return sequences(parts, {(str(a), str(b)): "given" for a, b in i["relations"]})


def kinetic(i):
    from atlas.calculators.registry import calculator
    from atlas.calculators.running import run

    given = {"test": "own", "mass": i["mass_kg"], "speed": i["speed_km_h"], "width": 1900}
    energy = run(calculator("overlap-geometry"), given, samples=1).results["energy"].value
    return {"kinetic_energy_kJ": float(energy)}


def edge_of(i):
    from atlas.mechanics.overlap import barrier_edge

    return float(barrier_edge(i["width"], 0.4))


def bolt_load(which):
    def load(i):
        return (
            i["stress_area_mm2"]
            * 1e-6
            * class_strength(i["property_class"], i["d_mm"] / 1e3)[which]
        )

    return load


def set_up(test):
    """One of the public test set-ups of the overlap calculator."""
    share, speed, radius, low, high = TESTS[test]
    return {"overlap": share, "speed_km_h": speed * 3.6, "radius_mm": radius * 1e3,
            "low_mm": low * 1e3, "height_mm": (high - low) * 1e3}  # fmt: skip
