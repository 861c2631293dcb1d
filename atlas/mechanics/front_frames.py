"""A front structure in space: what it carries, and what each part of it buys.

Axes: x forward, y to the left, z up; the origin lies midway between the rails' roots at the dash.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .columns import reduction
from .frames import RIGID, Frame, Loads, node_loads, solve
from .sections import Section

Floats = NDArray[np.float64]

KINDS = ("rails", "upper structure", "cradle", "front bar", "braces", "other")


@dataclass(frozen=True)
class Strength:
    """What each member can take, (members,) or (samples, members)."""

    squash: Floats  # area times yield strength [N]
    buckling: Floats  # push that buckles it [N]
    about_y: Floats  # plastic moments [N m]
    about_z: Floats


@dataclass(frozen=True)
class Structure:
    """A frame model with what a person wants to know about it.

    Attributes:
        frame: the model.
        strength: of its members.
        mass: of its members, (members,) or (samples, members) [kg].
        kinds: index into ``KINDS`` for each member.
        parts: pattern or part that each member belongs to; empty for none.
        ends: nodes at the front ends of the left and the right rail.
        cases: load cases by name, each for a unit force in all.
        watch: for each case the node and unit direction whose movement measures stiffness.
    """

    frame: Frame
    strength: Strength
    mass: Floats
    kinds: tuple[int, ...]
    parts: tuple[str, ...]
    ends: tuple[int, int]
    cases: Mapping[str, Loads]
    watch: Mapping[str, tuple[int, tuple[float, float, float]]]

    @property
    def patterns(self) -> tuple[str, ...]:
        """Names of the parts that can be taken away, in order of appearance."""
        return tuple(dict.fromkeys(part for part in self.parts if part))


@dataclass(frozen=True)
class Carried:
    """What a load does to a structure, each (samples,)."""

    movement: Floats  # of the watched node along its direction [m]
    spread: Floats  # growth of the spacing between the rails' front ends [m]
    shift: Floats  # left rail end's movement rearward against the right one's [m]
    use: Floats  # of each member, (samples, members) [-]
    axial: Floats  # of each member, pull positive [N]


def strength_of(
    section: Section, yield_strength: Floats, modulus: float, length: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Squash load, buckling load and plastic moments of a member between two nodes.

    Args:
        section: of the member [SI].
        yield_strength: [Pa].
        modulus: elastic modulus [Pa].
        length: between its nodes [m].

    Returns:
        Squash load [N], buckling load [N], plastic moments about y and z [N m].

    Raises:
        ValueError: slenderness beyond 30.

    Leaves out: local buckling, restraint of the ends (hinged ends are taken).
    Source: EN 1993-1-1:2005, 6.2.3, 6.2.5 and 6.3.1, curve c, partial factors set to 1.

    >>> from .sections import box
    >>> squash, push, *_ = strength_of(box(0.06, 0.06, 0.003), 355e6, 210e9, 0.4)
    >>> bool(0.9 * squash < push < squash)
    True
    """
    squash = section.area * yield_strength
    weak = np.minimum(section.iy, section.iz)
    slenderness = length / np.pi * np.sqrt(squash / (modulus * weak))
    push = squash * reduction(slenderness, "c")
    return squash, push, section.wpl_y * yield_strength, section.wpl_z * yield_strength


def carry(structure: Structure, case: str, force: Floats, samples: int = 0) -> Carried:
    """A load case at some size.

    Args:
        structure: the structure [SI].
        case: name of one of its load cases [-].
        force: size of the load, (samples,) [N].
        samples: how many, where no array tells; else 0 [-].

    Returns:
        What it does [SI].

    Raises:
        ValueError: no such load case, or the frame is a mechanism.

    Leaves out: second-order effects, plastic redistribution, local and joint strength.
    Source: use is N/N_R + M_y/M_yR + M_z/M_zR, EN 1993-1-1:2005, 6.2.1 (7), eq. (6.2), with the
    buckling load in place of the squash load where a member is pushed.

    >>> beam = simple_structure()
    >>> round(float(carry(beam, "tip", np.array([10.0])).movement[0]), 6)
    0.003333
    """
    if case not in structure.cases:
        raise ValueError(f"load case must be one of {', '.join(structure.cases)}, got {case!r}")
    size = np.atleast_1d(np.asarray(force, dtype=np.float64))
    found = solve(structure.frame, structure.cases[case], samples)
    node, direction = structure.watch[case]
    moved = found.displacements
    left, right = structure.ends
    forces = found.end_forces * size[:, None, None]
    limits = structure.strength
    axial = forces[..., 6]
    normal = np.where(axial > 0, axial / limits.squash, -axial / limits.buckling)
    about_y = np.maximum(np.abs(forces[..., 4]), np.abs(forces[..., 10])) / limits.about_y
    about_z = np.maximum(np.abs(forces[..., 5]), np.abs(forces[..., 11])) / limits.about_z
    return Carried(
        movement=(moved[:, node, :3] @ np.array(direction)) * size,
        spread=(moved[:, left, 1] - moved[:, right, 1]) * size,
        shift=(moved[:, right, 0] - moved[:, left, 0]) * size,
        use=normal + about_y + about_z,
        axial=axial,
    )


def without(structure: Structure, part: str, case: str = "") -> Structure:
    """The structure with one part taken away; nodes that nothing holds any more stay put.

    Args:
        structure: the structure [SI].
        part: name of the part [-].
        case: load case that must stay; others whose loads lose their foothold go [-].

    Returns:
        The rest [SI].

    Raises:
        ValueError: there is no such part, or the case stands on it alone.

    Leaves out: fasteners that stay behind.
    Source: bookkeeping.

    >>> without(simple_structure(), "stay").patterns
    ()
    """
    if part not in structure.patterns:
        raise ValueError(f"pattern must be one of {', '.join(structure.patterns)}, got {part!r}")
    keep = np.array([one != part for one in structure.parts])
    frame = structure.frame
    members = np.asarray(frame.members)[keep]
    supports = np.array(frame.supports, dtype=bool)
    joined = set(members.ravel().tolist())
    if frame.links is not None:
        joined |= set(np.asarray(frame.links).ravel().tolist())
    bare = [node for node in range(frame.node_count) if node not in joined]
    cases = {
        name: loads
        for name, loads in structure.cases.items()
        if loads.nodal is None or not np.any(np.asarray(loads.nodal)[..., bare, :])
    }
    if case and case not in cases:
        raise ValueError(f"load case {case!r} stands on {part!r} alone: choose another case")
    supports[bare] = True

    def cut(array: Floats, axis: int = -1) -> Floats:
        return np.asarray(np.compress(keep, array, axis=axis))

    up, names = frame.up, frame.member_names
    rest = replace(
        frame,
        members=members,
        supports=supports,
        EA=cut(frame.EA),
        EIy=cut(frame.EIy),
        EIz=cut(frame.EIz),
        GJ=cut(frame.GJ),
        GAy=None if frame.GAy is None else cut(frame.GAy),
        GAz=None if frame.GAz is None else cut(frame.GAz),
        ends=None if frame.ends is None else cut(frame.ends, -3),
        up=up if up is None or np.ndim(up) == 1 else np.asarray(up)[keep],
        member_names=tuple(name for name, k in zip(names, keep, strict=False) if k),
    )
    limits = structure.strength
    return replace(
        structure,
        frame=rest,
        cases=cases,
        strength=Strength(*(np.compress(keep, part_, axis=-1) for part_ in (
            limits.squash, limits.buckling, limits.about_y, limits.about_z))),
        mass=np.compress(keep, structure.mass, axis=-1),
        kinds=tuple(k for k, wanted in zip(structure.kinds, keep, strict=True) if wanted),
        parts=tuple(p for p, wanted in zip(structure.parts, keep, strict=True) if wanted),
    )  # fmt: skip


def part_mass(structure: Structure, part: str) -> Floats:
    """Mass of a part.

    Args:
        structure: the structure [SI].
        part: name of the part [-].

    Returns:
        Its mass, one entry or one a sample [kg].

    Leaves out: fasteners and brackets.
    Source: arithmetic.

    >>> float(part_mass(simple_structure(), "stay"))
    2.0
    """
    chosen = np.array([one == part for one in structure.parts])
    return np.asarray(np.sum(np.compress(chosen, structure.mass, axis=-1), axis=-1))


def simple_structure() -> Structure:
    """A cantilever of two parallel members, one of them a part: for examples.

    Returns:
        The structure [SI].

    Leaves out: anything real.
    Source: bookkeeping.

    >>> simple_structure().patterns
    ('stay',)
    """
    stiff = np.full(2, 500.0)
    frame = Frame(
        nodes=np.array([[0.0, 0, 0], [1.0, 0, 0]]),
        members=np.array([[0, 1], [0, 1]]),
        EA=np.full(2, 1e6),
        EIy=stiff,
        EIz=stiff,
        GJ=stiff,
        supports=np.array([[True] * 6, [False] * 6]),
        node_names=("root", "tip"),
    )
    limits = np.full(2, 1e4)
    return Structure(
        frame,
        Strength(limits, limits, limits, limits),
        np.array([1.0, 2.0]),
        (0, 4),
        ("", "stay"),
        (1, 1),
        {"tip": Loads(node_loads(frame, {"tip": [0, 0, 1.0]}))},
        {"tip": (1, (0.0, 0.0, 1.0))},
    )


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
)
_NODES = ("R", "M", "F", "U", "T", "B", "C")
CASES = {
    "one-sided": "rearward on the left rail's front end",
    "corner": "rearward and 30 deg inboard on the left rail's front end",
    "cornering": "sideways on both front corners of the cradle",
    "tower": "up on the left tower, down on the right: twists the front",
}


def template(
    places: Mapping[str, tuple[Floats, Floats, Floats]],
    sections: Mapping[str, Section],
    metals: Mapping[str, tuple[float, float, float]],
    yields: Mapping[str, Floats],
    bar_fixity_spring: Floats,
) -> Structure:
    """A usual front structure from tape-measure readings.

    Args:
        places: x, half spacing and z of R (rail root), M (rail below the tower), F (rail front),
            U (upper rail root), T (tower top), B (cradle's rear mount), C (cradle's front
            corner), each (samples,) [m].
        sections: of rail, tower, upper, cradle, brace and bar [SI].
        metals: modulus [Pa], shear modulus [Pa] and density [kg/m3] of each of them.
        yields: yield strength of each of them [Pa].
        bar_fixity_spring: of the front bar's ends, about its own z (in plan) [N m/rad].

    Returns:
        The structure, samples ahead [SI].

    Raises:
        ValueError: by the frame's own checks, once it is solved.

    Leaves out: offsets between axes at joints, panels (wheelhouse, dash), drive unit.
    Source: common practice in frame models.

    >>> from .sections import box
    >>> one = np.ones(1)
    >>> at = {"R": (0, 0.45, 0), "M": (0.4, 0.45, 0), "F": (0.8, 0.45, 0), "U": (0, 0.56, 0.4),
    ...       "T": (0.4, 0.56, 0.4), "B": (0, 0.4, -0.2), "C": (0.6, 0.4, -0.2)}
    >>> kinds = ("rail", "tower", "upper", "cradle", "brace", "bar")
    >>> made = template({key: tuple(v * one for v in place) for key, place in at.items()},
    ...                 {kind: box(0.06, 0.08, 0.002) for kind in kinds},
    ...                 {kind: (210e9, 81e9, 7850.0) for kind in kinds},
    ...                 {kind: 355e6 * one for kind in kinds}, np.inf * one)
    >>> made.patterns
    ('upper-rail', 'tower-brace', 'cross-member', 'x-brace', 'front-bar')

    >>> from .sections import round_tube
    >>> one = np.ones(1)
    >>> spots = {name: (k * one, 0.5 * one, 0.1 * k * one) for k, name in enumerate("RMFUTBC")}
    >>> kinds = ("rail", "tower", "upper", "cradle", "brace", "bar")
    >>> tubes = dict.fromkeys(kinds, round_tube(0.05 * one, 2e-3))
    >>> metals = dict.fromkeys(kinds, (210e9, 81e9, 7850.0))
    >>> made = template(spots, tubes, metals, dict.fromkeys(kinds, 3e8 * one), 1e9 * one)
    >>> sorted(made.parts)[-1], made.mass.shape[0]
    ('x-brace', 1)
    """
    count = len(places["R"][0])
    names = [letter + side for letter in _NODES for side in "LR"]
    nodes = np.zeros((count, len(names), 3))
    for index, letter in enumerate(_NODES):
        x, half, z = places[letter]
        for offset, sign in ((0, 1), (1, -1)):
            nodes[:, 2 * index + offset] = np.stack([x, sign * half, z], axis=1)
    supports = np.zeros((len(names), 6), bool)
    for letter in "RU":  # welded to dash and pillar
        supports[[names.index(letter + side) for side in "LR"]] = True
    # A cradle's rear mount is one bolt up into the torque box: it holds the place only.
    supports[[names.index("BL"), names.index("BR")], :3] = True
    members = np.array([[names.index(a), names.index(b)] for _, a, b, *_ in _MEMBERS])
    lengths = np.linalg.norm(nodes[:, members[:, 1]] - nodes[:, members[:, 0]], axis=2)
    columns: dict[str, list[Floats]] = {k: [] for k in ("EA", "EIy", "EIz", "GJ", "kg", *"abcd")}
    for index, (_, _, _, kind, _, _) in enumerate(_MEMBERS):
        section, (e, g, density) = sections[kind], metals[kind]
        length = lengths[:, index]
        values = [e * section.area, e * section.iy, e * section.iz, g * section.j]
        values += [density * section.area * length]
        values += strength_of(section, yields[kind], e, length)
        for key, value in zip(columns, values, strict=True):
            columns[key].append(np.broadcast_to(value, (count,)))
    stacked = {key: np.stack(value, axis=1) for key, value in columns.items()}
    ends = np.full((count, len(_MEMBERS), 2, 4), RIGID)
    ends[:, -1, :, 3] = bar_fixity_spring[:, None]
    frame = Frame(
        nodes, members, stacked["EA"], stacked["EIy"], stacked["EIz"], stacked["GJ"], supports,
        ends=ends, node_names=tuple(names), member_names=tuple(name for name, *_ in _MEMBERS),
    )  # fmt: skip
    back, inboard = np.cos(np.pi / 6), np.sin(np.pi / 6)
    forces: dict[str, dict[str | int, list[float]]] = {
        "one-sided": {"FL": [-1, 0, 0]},
        "corner": {"FL": [-back, -inboard, 0]},
        "cornering": {"CL": [0, 0.5, 0], "CR": [0, 0.5, 0]},
        "tower": {"TL": [0, 0, 1], "TR": [0, 0, -1]},
    }
    at = {"one-sided": "FL", "corner": "FL", "cornering": "CL", "tower": "TL"}
    aims = {"one-sided": (-1.0, 0.0, 0.0), "corner": (-back, -inboard, 0.0),
            "cornering": (0.0, 1.0, 0.0), "tower": (0.0, 0.0, 1.0)}  # fmt: skip
    return Structure(
        frame,
        Strength(stacked["a"], stacked["b"], stacked["c"], stacked["d"]),
        stacked["kg"],
        tuple(kind for *_, kind, _ in _MEMBERS),
        tuple(part for *_, part in _MEMBERS),
        (names.index("FL"), names.index("FR")),
        {case: Loads(node_loads(frame, dict(load))) for case, load in forces.items()},
        {case: (names.index(at[case]), aims[case]) for case in forces},
    )
