"""The same space frame in PyNiteFEA, a general-purpose library, and frames to try both on."""

import numpy as np
from Pynite import FEModel3D

from atlas.mechanics.frames import RIGID, Frame, Loads, PointLoad

FREEDOMS = ("DX", "DY", "DZ", "RX", "RY", "RZ")
MODULUS, SHEAR = 210e9, 81e9


def random_frame(rng: np.random.Generator) -> tuple[Frame, Loads]:
    """A connected space frame with releases, ground springs, member loads and a settlement."""
    nodes = int(rng.integers(4, 13))
    places = rng.uniform(-1.5, 1.5, (nodes, 3))
    tree = [(int(rng.integers(0, n)), n) for n in range(1, nodes)]
    extra = {tuple(sorted(rng.choice(nodes, 2, replace=False).tolist())) for _ in range(nodes + 2)}
    pairs = tree + sorted(extra - {tuple(sorted(pair)) for pair in tree})
    members = len(pairs)
    supports = np.zeros((nodes, 6), bool)
    supports[0] = True
    supports[rng.integers(1, nodes), :3] = True
    ends = np.full((members, 2, 4), RIGID)
    for index in range(nodes - 1, members):  # never in the tree, so that nothing comes loose
        if rng.random() < 0.6:
            ends[index, int(rng.integers(0, 2)), 2:] = 0.0
        if rng.random() < 0.2:
            ends[index, 1, 1] = 0.0
    springs = np.where(rng.random((nodes, 6)) < 0.15, rng.uniform(1e5, 1e7, (nodes, 6)), 0.0)
    springs[supports] = 0.0
    area, inertia = rng.uniform(2e-4, 3e-3, members), rng.uniform(2e-8, 3e-6, (2, members))
    frame = Frame(
        nodes=places,
        members=np.array(pairs),
        EA=MODULUS * area,
        EIy=MODULUS * inertia[0],
        EIz=MODULUS * inertia[1],
        GJ=SHEAR * rng.uniform(2e-8, 3e-6, members),
        supports=supports,
        up=np.array([0.0, 1.0, 0.0]),
        ends=ends,
        springs=springs,
        node_names=tuple(f"N{n}" for n in range(nodes)),
    )
    nodal = rng.uniform(-2e4, 2e4, (nodes, 6)) * (rng.random((nodes, 6)) < 0.4)
    uniform = rng.uniform(-3e3, 3e3, (members, 3)) * (rng.random((members, 1)) < 0.4)
    points = tuple(
        PointLoad(
            int(rng.integers(0, members)), float(rng.uniform(0.1, 0.9)), rng.uniform(-1e4, 1e4, 3)
        )
        for _ in range(3)
    )
    prescribed = np.zeros((nodes, 6))
    prescribed[0, int(rng.integers(0, 3))] = rng.uniform(-2e-3, 2e-3)
    return frame, Loads(nodal, uniform, points, prescribed)


def library_model(frame: Frame, loads: Loads) -> FEModel3D:
    """The frame (up is global Y) and its loads as a PyNiteFEA model, not yet analysed."""
    model = FEModel3D()
    model.add_material("metal", MODULUS, SHEAR, 0.3, 0.0)
    for index, place in enumerate(np.asarray(frame.nodes)):
        name = f"N{index}"
        model.add_node(name, *map(float, place))
        model.def_support(name, *map(bool, frame.supports[index]))
        if frame.springs is not None:
            for freedom in np.flatnonzero(frame.springs[index]):
                stiffness = float(frame.springs[index, freedom])
                model.def_support_spring(name, FREEDOMS[freedom], stiffness)
    lengths = np.linalg.norm(np.diff(np.asarray(frame.nodes)[frame.members], axis=1)[:, 0], axis=1)
    for index, (a, b) in enumerate(frame.members):
        # Their local y is our local z: up in both.
        model.add_section(
            f"S{index}",
            float(frame.EA[index] / MODULUS),
            float(frame.EIz[index] / MODULUS),
            float(frame.EIy[index] / MODULUS),
            float(frame.GJ[index] / SHEAR),
        )
        model.add_member(f"M{index}", f"N{a}", f"N{b}", "metal", f"S{index}")
        if frame.ends is not None:
            loose = frame.ends[index] == 0
            model.def_releases(
                f"M{index}",
                Rxi=bool(loose[0, 1]), Rzi=bool(loose[0, 2]), Ryi=bool(loose[0, 3]),
                Rxj=bool(loose[1, 1]), Rzj=bool(loose[1, 2]), Ryj=bool(loose[1, 3]),
            )  # fmt: skip
    _load(model, loads, lengths)
    return model


def _load(model: FEModel3D, loads: Loads, lengths: np.ndarray) -> None:
    names = ("FX", "FY", "FZ", "MX", "MY", "MZ")
    for node, row in enumerate(np.zeros((0, 6)) if loads.nodal is None else loads.nodal):
        for freedom in np.flatnonzero(row):
            model.add_node_load(f"N{node}", names[freedom], float(row[freedom]))
    for member, row in enumerate(np.zeros((0, 3)) if loads.uniform is None else loads.uniform):
        for axis in np.flatnonzero(row):
            model.add_member_dist_load(
                f"M{member}", names[axis], float(row[axis]), float(row[axis])
            )
    for point in loads.points:
        for axis in range(3):
            place = float(point.at) * float(lengths[point.member])
            model.add_member_pt_load(
                f"M{point.member}", names[axis], float(point.force[axis]), place
            )
    for node, row in enumerate(np.zeros((0, 6)) if loads.prescribed is None else loads.prescribed):
        for freedom in np.flatnonzero(row):
            model.def_node_disp(f"N{node}", FREEDOMS[freedom], float(row[freedom]))


def by_library(frame: Frame, loads: Loads) -> tuple[np.ndarray, np.ndarray]:
    """Displacements (nodes, 6) and end forces (members, 12), in this project's axes."""
    model = library_model(frame, loads)
    model.analyze_linear(check_stability=False)
    return library_results(model, frame.node_count, len(frame.members))


def library_results(model: FEModel3D, nodes: int, members: int) -> tuple[np.ndarray, np.ndarray]:
    """What an analysed library model found, in this project's axes."""
    moved = np.array(
        [[getattr(model.nodes[f"N{n}"], f)["Combo 1"] for f in FREEDOMS] for n in range(nodes)]
    )
    turned = [0, 2, 1, 3, 5, 4]
    signs = np.array([1, -1, 1, 1, -1, 1])
    forces = np.empty((members, 12))
    for index in range(members):
        sub = list(model.members[f"M{index}"].sub_members.values())
        local = np.asarray(sub[0].f("Combo 1"), dtype=float).ravel()
        forces[index] = np.concatenate([signs * local[:6][turned], signs * local[6:][turned]])
    return moved, forces
