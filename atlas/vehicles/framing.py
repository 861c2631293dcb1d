"""A vehicle as a frame: with and without patterns, exact or with uncertain gauges and joints."""

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from atlas.calculators.sampling import unit_sample
from atlas.calculators.shapes import section_of
from atlas.calculators.values import Spread
from atlas.errors import BadInput
from atlas.mechanics.frames import RIGID, Frame
from atlas.mechanics.front_frames import Strength, strength_of
from atlas.mechanics.materials import DENSITY, ELASTIC_MODULUS, shear_modulus
from atlas.mechanics.sections import Section
from atlas.vehicles.model import Member, Profile, Vehicle

Floats = NDArray[np.float64]
# Turning stiffness of a semi-rigid end beside the member's own 4 EI / L: common practice.
_SEMI = 0.5


@dataclass(frozen=True)
class Framed:
    """A frame with what is needed to read its results."""

    vehicle: Vehicle
    frame: Frame
    node_names: tuple[str, ...]
    member_names: tuple[str, ...]
    members: tuple[Member, ...]
    sections: dict[str, Section]
    limits: Strength  # of the members, (members,) or (samples, members)
    mass: Floats  # of each member, (members,) or (samples, members) [kg]
    ties: tuple[str, ...] = ()  # names of the frame's links

    def node(self, name: str) -> int:
        """Index of a node."""
        return self.node_names.index(name)

    def member(self, name: str) -> int:
        """Index of a member."""
        return self.member_names.index(name)


def members_without(vehicle: Vehicle, without: Collection[str]) -> dict[str, Member]:
    """The members that stay when patterns are taken away.

    A member that belongs to several patterns goes only when all of its patterns go.
    """
    gone = set(without)
    return {
        name: member
        for name, member in vehicle.members.items()
        if not (member.patterns and set(member.patterns) <= gone)
    }


def patterns_of(vehicle: Vehicle) -> tuple[str, ...]:
    """Patterns that some member, mount or tie belongs to, in order of first mention."""
    named = [part.patterns for part in vehicle.members.values()]
    named += [part.patterns for part in vehicle.mounts.values()]
    named += [part.patterns for part in vehicle.ties.values()]
    return tuple(dict.fromkeys(name for names in named for name in names))


def frame_of(
    vehicle: Vehicle, without: Collection[str] = (), samples: int = 0, seed: int = 1
) -> Framed:
    """Build the frame model.

    Args:
        vehicle: as loaded.
        without: patterns that are taken away, with the members that belong only to them.
        samples: 0 for the nominal structure, else so many with gauges and semi-rigid ends drawn
            from their spread.
        seed: repeats the same draw.

    Raises:
        BadInput: a section that cannot be built, or a pattern that the vehicle does not have.
    """
    known = patterns_of(vehicle)
    for name in without:
        if name not in known:
            raise BadInput(
                f"{vehicle.id} has no members of {name!r}",
                "--without",
                f"it has {', '.join(known)}",
            )
    members = members_without(vehicle, without)
    used = {end for member in members.values() for end in (member.start, member.end)}
    ties = {
        name: tie
        for name, tie in vehicle.ties.items()
        if tie.first in used and tie.second in used
        and not (tie.patterns and set(tie.patterns) <= set(without))
    }  # fmt: skip
    names = tuple(name for name in vehicle.nodes if name in used)
    place = {name: i for i, name in enumerate(names)}
    rng = np.random.default_rng(seed)
    labels = list(vehicle.sections)
    draws = unit_sample(samples, len(labels) + 1, rng) if samples else None
    sections = {
        label: _section(
            vehicle, label, vehicle.sections[label], None if draws is None else draws[:, i]
        )
        for i, label in enumerate(labels)
    }
    rows = list(members.values())

    def column(read: str) -> Floats:
        parts = [np.asarray(getattr(sections[m.section], read)) for m in rows]
        return np.stack(np.broadcast_arrays(*parts), axis=-1) if parts else np.zeros(0)

    modulus = np.array([ELASTIC_MODULUS[m.material] for m in rows])
    shear = np.array([shear_modulus(m.material) for m in rows])
    coordinates = np.array([vehicle.nodes[name] for name in names], dtype=float) / 1e3
    index = np.array([[place[m.start], place[m.end]] for m in rows])
    lengths = np.linalg.norm(coordinates[index[:, 1]] - coordinates[index[:, 0]], axis=1)
    iy, iz = column("iy"), column("iz")
    semi = _SEMI if draws is None else np.exp(np.log(_SEMI) + 0.8 * (2 * draws[:, -1:] - 1))
    frame = Frame(
        nodes=coordinates,
        members=index,
        EA=modulus * column("area"),
        EIy=modulus * iy,
        EIz=modulus * iz,
        GJ=shear * column("j"),
        supports=np.zeros((len(names), 6), dtype=bool),
        up=_upright(coordinates, index),
        ends=_ends(rows, modulus, iy, iz, lengths, semi),
        springs=_springs(vehicle, place, set(without)),
        links=np.array([[place[t.first], place[t.second]] for t in ties.values()])
        if ties
        else None,
        link_stiffness=np.array(
            [[*(1e6 * k for k in t.stiffness), *(3 * [1e3 * t.turning])] for t in ties.values()]
        )
        if ties
        else None,
        node_names=names,
        member_names=tuple(members),
    )
    density = np.array([DENSITY[m.material] for m in rows])
    return Framed(
        vehicle=vehicle,
        frame=frame,
        node_names=names,
        member_names=tuple(members),
        members=tuple(rows),
        sections=sections,
        limits=_limits(rows, sections, modulus, lengths),
        mass=density * column("area") * lengths,
        ties=tuple(ties),
    )


def _limits(
    rows: list[Member], sections: dict[str, Section], modulus: Floats, lengths: Floats
) -> Strength:
    """What the members can take, several of one kind in one call."""
    kinds: dict[tuple[str, str], list[int]] = {}
    for index, row in enumerate(rows):
        kinds.setdefault((row.section, row.material), []).append(index)
    parts: list[tuple[list[int], tuple[Floats, ...]]] = []
    for (label, _), which in kinds.items():
        one = sections[label]
        if np.ndim(one.area):
            one = Section(**{n: getattr(one, n)[:, None] for n in Section.__dataclass_fields__})
        strength = np.array([rows[i].strength * 1e6 for i in which])
        parts.append((which, strength_of(one, strength, float(modulus[which[0]]), lengths[which])))
    samples = np.broadcast_shapes(*(np.shape(found[0])[:-1] for _, found in parts))
    stacked = np.empty((4, *samples, len(rows)))
    for which, found in parts:
        for kind, values in enumerate(found):
            stacked[kind][..., which] = values
    return Strength(*stacked)


def _section(vehicle: Vehicle, label: str, profile: Profile, draw: Floats | None) -> Section:
    factor: Floats | float = 1.0
    if draw is not None:
        sd = profile.gauge_spread
        factor = np.clip(Spread("normal", 1.0, 1 - 3.5 * sd, 1 + 3.5 * sd, sd).at(draw), 0.6, 1.6)
    solid = profile.shape in {"rod", "flat"}
    try:
        return section_of(
            profile.shape,
            profile.width / 1e3 * (factor if profile.shape == "rod" else 1.0),
            profile.height / 1e3 * (factor if profile.shape == "flat" else 1.0),
            profile.gauge / 1e3 * (1.0 if solid else factor),
            0.0,
            profile.flange / 1e3,
            profile.second_gauge / 1e3 * factor,
            profile.cells_wide,
            profile.cells_high,
        )
    except ValueError as error:
        raise BadInput(str(error), f"{vehicle.id}: sections.{label}") from None


def _upright(coordinates: Floats, index: NDArray[np.intp]) -> Floats:
    """Local up of each member: z, or x for members that stand."""
    along = coordinates[index[:, 1]] - coordinates[index[:, 0]]
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    standing = np.abs(along[:, 2]) > 0.999
    return np.where(standing[:, None], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0])


def _ends(
    rows: list[Member],
    modulus: Floats,
    iy: Floats,
    iz: Floats,
    lengths: Floats,
    semi: Floats | float,
) -> Floats:
    """End springs: rigid, pinned in bending, or a share of the member's own bending stiffness."""
    about_y, about_z = semi * 4 * modulus * iy / lengths, semi * 4 * modulus * iz / lengths
    shape = np.broadcast_shapes(about_y.shape, about_z.shape)
    ends = np.full((*shape, 2, 4), RIGID)
    for i, member in enumerate(rows):
        if member.ends == "pinned":
            ends[..., i, :, 2:] = 0.0
        elif member.ends == "semi":
            ends[..., i, :, 2] = about_y[..., i, None]
            ends[..., i, :, 3] = about_z[..., i, None]
    return ends


def _springs(vehicle: Vehicle, place: dict[str, int], without: set[str]) -> Floats:
    springs = np.zeros((len(place), 6))
    for mount in vehicle.mounts.values():
        if mount.node not in place or (mount.patterns and set(mount.patterns) <= without):
            continue
        row = springs[place[mount.node]]
        row[:3] += 1e6 * np.array(mount.stiffness)
        row[3:] += 1e3 * mount.turning
    return springs
