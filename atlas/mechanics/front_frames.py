"""A front structure in space, whole and with one of its parts taken away.

Axes: x forward, y to the left, z up; the origin lies midway between the rails' roots at the dash.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .columns import reduction
from .frames import Frame, Loads, node_loads
from .sections import Section

Floats = NDArray[np.float64]

_SECTIONS = ("EA", "EIy", "EIz", "GJ", "GAy", "GAz")
KINDS = ("rails", "upper structure", "cradle", "front bar", "braces", "root, dash and floor")


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
        watch: for each case the node and unit direction whose movement measures stiffness; a case
            without one is measured by the mean movement of its loaded nodes along their loads.
        mirror: each node's image on the other side, where the two sides are alike; else empty.
        bar: part that is the front bar, where its author names one.
    """

    frame: Frame
    strength: Strength
    mass: Floats
    kinds: tuple[int, ...]
    parts: tuple[str, ...]
    ends: tuple[int, int]
    cases: Mapping[str, Loads]
    watch: Mapping[str, tuple[int, tuple[float, float, float]]]
    mirror: tuple[int, ...] = ()
    bar: str = ""

    @property
    def patterns(self) -> tuple[str, ...]:
        """Names of the parts that can be taken away, in order of appearance."""
        return tuple(dict.fromkeys(part for part in self.parts if part))

    def some(self, pick: slice | NDArray[np.intp]) -> "Structure":
        """The structure in some of its samples; what does not vary is handed on."""

        def cut(array: Any, plain: int) -> Any:
            varies = array is not None and np.ndim(array) > plain and len(array) > 1
            return np.asarray(array)[pick] if varies else array

        whole, limits = self.frame, self.strength
        frame = replace(
            whole, nodes=cut(whole.nodes, 2), ends=cut(whole.ends, 3),
            springs=cut(whole.springs, 2), link_stiffness=cut(whole.link_stiffness, 2),
            **{key: cut(getattr(whole, key), 1) for key in _SECTIONS},
        )  # fmt: skip
        cases = {
            name: replace(
                one, nodal=cut(one.nodal, 2), uniform=cut(one.uniform, 2),
                prescribed=cut(one.prescribed, 2),
            )
            for name, one in self.cases.items()
        }  # fmt: skip
        strength = Strength(*(cut(one, 1) for one in (
            limits.squash, limits.buckling, limits.about_y, limits.about_z)))  # fmt: skip
        return replace(self, frame=frame, strength=strength, mass=cut(self.mass, 1), cases=cases)

    def members_of(self, part: str) -> NDArray[np.bool_]:
        """Which members belong to a part; ValueError where there is none of that name."""
        if part not in self.patterns:
            raise ValueError(f"pattern must be one of {', '.join(self.patterns)}, got {part!r}")
        return np.array([one == part for one in self.parts])


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
    keep = ~structure.members_of(part)
    frame = structure.frame
    members = np.asarray(frame.members)[keep]
    supports = np.array(frame.supports, dtype=bool)
    bare, links = _loose(frame, members)
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

    up, names, sprung = frame.up, frame.member_names, frame.sprung
    stays = keep if sprung is None else keep[sprung]
    if sprung is not None:
        sprung = (np.cumsum(keep) - 1)[sprung[stays]]
    rest = replace(
        frame,
        members=members,
        links=None if frame.links is None else np.asarray(frame.links)[links],
        link_stiffness=None
        if frame.link_stiffness is None
        else np.compress(links, frame.link_stiffness, axis=-2),
        supports=supports,
        EA=cut(frame.EA),
        EIy=cut(frame.EIy),
        EIz=cut(frame.EIz),
        GJ=cut(frame.GJ),
        GAy=None if frame.GAy is None else cut(frame.GAy),
        GAz=None if frame.GAz is None else cut(frame.GAz),
        ends=None if frame.ends is None or not stays.any() else np.compress(stays, frame.ends, -3),
        sprung=sprung,
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


def _loose(frame: Frame, members: NDArray[np.intp]) -> tuple[list[int], NDArray[np.bool_]]:
    """Nodes that nothing holds once only these members are left, and the links that stay.

    A chain of links that ends in nothing goes with the member that it led to.
    """
    joined = set(members.ravel().tolist())
    if frame.springs is not None:
        held = np.any(np.asarray(frame.springs) > 0, axis=-1)
        joined |= set(np.flatnonzero(held.reshape(-1, frame.node_count).any(axis=0)).tolist())
    joined |= set(np.flatnonzero(np.any(frame.supports, axis=1)).tolist())
    pairs = [] if frame.links is None else np.asarray(frame.links).tolist()
    stays = np.ones(len(pairs), dtype=bool)
    while True:
        count = np.zeros(frame.node_count, dtype=int)
        for (a, b), there in zip(pairs, stays, strict=True):
            count[[a, b]] += there
        ends = {n for n in range(frame.node_count) if n not in joined and count[n] == 1}
        drop = [i for i, pair in enumerate(pairs) if stays[i] and ends & set(pair)]
        if not drop:
            bare = [n for n in range(frame.node_count) if n not in joined and not count[n]]
            return bare, stays
        stays[drop] = False


def part_mass(structure: Structure, part: str) -> Floats:
    """Mass of a part.

    Args:
        structure: the structure [SI].
        part: name of the part [-].

    Returns:
        Its mass, one entry or one a sample [kg].

    Raises:
        ValueError: there is no such part.

    Leaves out: fasteners and brackets.
    Source: arithmetic.

    >>> float(part_mass(simple_structure(), "stay"))
    2.0
    """
    chosen = structure.members_of(part)
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
