"""A usual front structure as a frame, from tape-measure readings.

Axes: x forward, y to the left, z up; the origin lies midway between the rails' roots at the dash.
"""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from .frames import RELEASED, RIGID, Frame, Loads, node_loads
from .front_frames import Strength, Structure, strength_of
from .sections import Section

Floats = NDArray[np.float64]

# name, first node, second node, section, kind, part. Nodes: see _NODES.
_MEMBERS = (
    ("left rail, rear", "RL", "ML", "rail", 0, ""),
    ("right rail, rear", "RR", "MR", "rail", 0, ""),
    ("left rail, front", "ML", "FL", "rail", 0, ""),
    ("right rail, front", "MR", "FR", "rail", 0, ""),
    ("left tower", "ML", "TL", "tower", 1, ""),
    ("right tower", "MR", "TR", "tower", 1, ""),
    ("left upper, rear", "UL", "TL", "upper", 1, ""),
    ("right upper, rear", "UR", "TR", "upper", 1, ""),
    ("left upper, front", "TL", "FL", "upper", 1, "upper-rail"),
    ("right upper, front", "TR", "FR", "upper", 1, "upper-rail"),
    ("tower brace", "TL", "TR", "brace", 4, "tower-brace"),
    ("left cradle leg", "BL", "CL", "cradle", 2, ""),
    ("right cradle leg", "BR", "CR", "cradle", 2, ""),
    ("left stand-off", "CL", "FL", "cradle", 2, ""),
    ("right stand-off", "CR", "FR", "cradle", 2, ""),
    ("cradle cross member", "CL", "CR", "cradle", 2, "cross-member"),
    ("X brace, left foot", "BL", "CR", "brace", 4, "x-brace"),
    ("X brace, right foot", "BR", "CL", "brace", 4, "x-brace"),
    ("front bar", "FL", "FR", "bar", 3, "front-bar"),
    ("dash member", "RL", "RR", "dash", 5, "dash-member"),
    ("left torque box", "RL", "SL", "torque-box", 5, "torque-box"),
    ("right torque box", "RR", "SR", "torque-box", 5, "torque-box"),
    ("left rear mount", "RL", "BL", "torque-box", 5, ""),
    ("right rear mount", "RR", "BR", "torque-box", 5, ""),
)
_NODES = ("R", "M", "F", "U", "T", "B", "C", "S")
CASES = {
    "one-sided": "rearward on the left rail's front end",
    "corner": "rearward and 30 deg inboard on the left rail's front end",
    "cornering": "sideways on both front corners of the cradle",
    "tower": "up on the left tower, down on the right: twists the front",
    "racking": "up and down in turn on the cradle's four mounts, as body twist does",
}


def template(
    places: Mapping[str, tuple[Floats, Floats, Floats]],
    sections: Mapping[str, Section],
    metals: Mapping[str, tuple[float, float, float]],
    yields: Mapping[str, Floats],
    bar_fixity_spring: Floats,
    root: tuple[Floats, Floats],
    mount: Floats,
) -> Structure:
    """A usual front structure from tape-measure readings.

    Args:
        places: x, half spacing and z of R (rail root), M (rail below the tower), F (rail front),
            U (upper rail root), T (tower top), B (cradle's rear mount), C (cradle's front
            corner), S (sill's front end), each (samples,) [m].
        sections: of rail, tower, upper, cradle, brace, bar, dash and torque-box [SI].
        metals: modulus [Pa], shear modulus [Pa] and density [kg/m3] of each of them.
        yields: yield strength of each of them [Pa].
        bar_fixity_spring: of the front bar's ends, about its own z (in plan) [N m/rad].
        root: what floor rail, tunnel and floor give each rail's root, each way [N/m] and about
            each axis [N m/rad].
        mount: stiffness of each of the cradle's rear mounts, each way [N/m].

    Returns:
        The structure, samples ahead [SI].

    Raises:
        ValueError: by the frame's own checks, once it is solved.

    Leaves out: offsets between axes at joints, panels (wheelhouse, dash, floor), drive unit, give
    of sill and pillar.
    Source: common practice in frame models.

    >>> from .sections import round_tube
    >>> one = np.ones(1)
    >>> spots = {name: (k * one, 0.5 * one, 0.1 * k * one) for k, name in enumerate("RMFUTBCS")}
    >>> kinds = ("rail", "tower", "upper", "cradle", "brace", "bar", "dash", "torque-box")
    >>> tubes = dict.fromkeys(kinds, round_tube(0.05 * one, 2e-3))
    >>> metals = dict.fromkeys(kinds, (210e9, 81e9, 7850.0))
    >>> yields = dict.fromkeys(kinds, 3e8 * one)
    >>> root, mount = (1e8 * one, 1e6 * one), 1e8 * one
    >>> template(spots, tubes, metals, yields, 1e9 * one, root, mount).patterns[-2:]
    ('dash-member', 'torque-box')
    """
    count = len(places["R"][0])
    names = [letter + side for letter in _NODES for side in "LR"]
    # Samples last in memory, as the solution wants them; Frame is given views with them ahead.
    nodes = np.zeros((len(names), 3, count))
    for index, letter in enumerate(_NODES):
        nodes[2 * index] = places[letter]
        nodes[2 * index + 1] = nodes[2 * index] * np.array([[1.0], [-1], [1]])
    supports = np.zeros((len(names), 6), bool)
    for letter in "US":  # the hinge pillar and the sill stand for the rest of the body
        supports[[names.index(letter + side) for side in "LR"]] = True
    springs = np.zeros((len(names), 6, count))
    for side in "LR":
        springs[names.index("R" + side), :3] = root[0]
        springs[names.index("R" + side), 3:] = root[1]
    members = np.array([[names.index(a), names.index(b)] for _, a, b, *_ in _MEMBERS])
    along = nodes[members[:, 1]] - nodes[members[:, 0]]
    lengths = np.sqrt(np.einsum("mis,mis->ms", along, along))
    columns = {key: np.empty((len(_MEMBERS), count)) for key in ("EA", "EIy", "EIz", "GJ", "kg")}
    limits = np.empty((4, len(_MEMBERS), count))
    for kind, section in sections.items():
        which = [index for index, row in enumerate(_MEMBERS) if row[3] == kind]
        e, g, density = metals[kind]
        columns["EA"][which], columns["GJ"][which] = e * section.area, g * section.j
        columns["EIy"][which], columns["EIz"][which] = e * section.iy, e * section.iz
        columns["kg"][which] = density * section.area * lengths[which]
        for row, values in enumerate(strength_of(section, yields[kind], e, lengths[which])):
            limits[row, which] = values
    at = {name: index for index, (name, *_) in enumerate(_MEMBERS)}
    # A cradle's rear mount is one bolt up into the torque box: it holds the place only, and gives
    # along the bolt and across it alike; across is written as shear of the short post.
    posts = [at[f"{side} rear mount"] for side in ("left", "right")]
    ends = np.full((3, 2, 4, count), RIGID)
    ends[0, :, 3] = bar_fixity_spring
    ends[1:, 1, 0] = mount
    ends[1:, 1, 1:] = RELEASED
    across = np.full((len(_MEMBERS), count), RIGID)
    across[posts] = mount * lengths[posts]
    stacked = {key: values.T for key, values in columns.items()}
    frame = Frame(
        np.moveaxis(nodes, -1, 0), members, stacked["EA"], stacked["EIy"], stacked["EIz"],
        stacked["GJ"], supports, ends=np.moveaxis(ends, -1, 0),
        sprung=np.array([at["front bar"], *posts]), springs=np.moveaxis(springs, -1, 0),
        GAy=across.T, GAz=across.T, node_names=tuple(names),
        member_names=tuple(name for name, *_ in _MEMBERS),
    )  # fmt: skip
    back, inboard = np.cos(np.pi / 6), np.sin(np.pi / 6)
    forces: dict[str, dict[str | int, list[float]]] = {
        "one-sided": {"FL": [-1, 0, 0]},
        "corner": {"FL": [-back, -inboard, 0]},
        "cornering": {"CL": [0, 0.5, 0], "CR": [0, 0.5, 0]},
        "tower": {"TL": [0, 0, 1], "TR": [0, 0, -1]},
        "racking": {"CL": [0, 0, 1], "CR": [0, 0, -1], "BL": [0, 0, -1], "BR": [0, 0, 1]},
    }
    seen = {"one-sided": "FL", "corner": "FL", "cornering": "CL", "tower": "TL"}
    aims = {"one-sided": (-1.0, 0.0, 0.0), "corner": (-back, -inboard, 0.0),
            "cornering": (0.0, 1.0, 0.0), "tower": (0.0, 0.0, 1.0)}  # fmt: skip
    return Structure(
        frame,
        Strength(limits[0].T, limits[1].T, limits[2].T, limits[3].T),
        stacked["kg"],
        tuple(kind for *_, kind, _ in _MEMBERS),
        tuple(part for *_, part in _MEMBERS),
        (names.index("FL"), names.index("FR")),
        {case: Loads(node_loads(frame, dict(load))) for case, load in forces.items()},
        {case: (names.index(seen[case]), aims[case]) for case in seen},
        tuple(index ^ 1 for index in range(len(names))),  # left and right take turns
    )
