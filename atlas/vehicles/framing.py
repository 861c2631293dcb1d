"""A vehicle as a frame: with and without patterns, exact or with uncertain gauges and joints."""

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from msgspec import structs
from numpy.typing import NDArray

from atlas.calculators.shapes import section_of
from atlas.errors import BadInput
from atlas.mechanics.frames import RIGID, Frame
from atlas.mechanics.front_frames import Strength, strength_of
from atlas.mechanics.materials import DENSITY, ELASTIC_MODULUS, shear_modulus
from atlas.mechanics.sections import Section
from atlas.vehicles.model import Member, Mount, Profile, Tie, Vehicle
from atlas.vehicles.spreads import SEMI, Drawn, drawn, stem

Floats = NDArray[np.float64]
Part = Member | Mount | Tie
_SOFT = 20.0  # [kN/mm]; a tie softer than this is rubber (common practice, no source)
_LIMITS = ("squash", "buckling", "about_y", "about_z")
# Arrays of a frame that may have an axis of samples ahead, and how many axes they have without it.
_SAMPLED = {
    "EA": 1, "EIy": 1, "EIz": 1, "GJ": 1, "ends": 3, "springs": 2, "link_stiffness": 2,
}  # fmt: skip


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
    mounts: tuple[str, ...] = ()  # those that hold it

    def node(self, name: str) -> int:
        """Index of a node."""
        return self.node_names.index(name)

    def member(self, name: str) -> int:
        """Index of a member."""
        return self.member_names.index(name)

    def in_rubber(self, tie: str) -> bool:
        """Whether a tie is soft, as it holds here: without its pattern it may hold otherwise."""
        assert self.frame.link_stiffness is not None
        held = self.frame.link_stiffness[..., self.ties.index(tie), :3].max(axis=-1)
        return float(np.median(held)) <= _SOFT * 1e6

    def part(self, some: slice) -> "Framed":
        """Some of the samples, where there are any."""

        def cut(values: Floats, plain: int) -> Floats:
            return values if np.ndim(values) == plain else values[some]

        frame, limits = self.frame, self.limits
        held: dict[str, Any] = {key: cut(part, plain) for key, plain in _SAMPLED.items()
                if (part := getattr(frame, key)) is not None}  # fmt: skip
        return replace(
            self,
            frame=replace(frame, **held),
            limits=Strength(*(cut(getattr(limits, key), 1) for key in _LIMITS)),
            mass=cut(self.mass, 1),
        )


def _parts(vehicle: Vehicle) -> Iterator[Part]:
    yield from vehicle.members.values()
    yield from vehicle.mounts.values()
    yield from vehicle.ties.values()


def taken_away(vehicle: Vehicle, without: Collection[str]) -> Callable[[Part], bool]:
    """Says of a member, mount or tie whether it goes when patterns are taken away.

    A part of several patterns goes when all of them go. A pattern that has no part of its own is
    what it shares: those parts go with it, so that to take a pattern away always takes something.
    """
    gone = set(without)
    alone = {part.patterns[0] for part in _parts(vehicle) if len(part.patterns) == 1}
    sharing = gone - alone
    return lambda part: (
        bool(part.patterns)
        and (set(part.patterns) <= gone or not sharing.isdisjoint(part.patterns))
    )


def _otherwise(tie: Tie, without: Collection[str]) -> Tie | None:
    """A tie as it holds where patterns of it are taken away: in the other way, or not."""
    others = [tie.instead[name] for name in tie.patterns if name in without and name in tie.instead]
    if not others:
        return None
    softest = min(others, key=lambda one: sum(one.stiffness))
    return structs.replace(tie, stiffness=softest.stiffness, turning=softest.turning)


def patterns_of(vehicle: Vehicle) -> tuple[str, ...]:
    """Patterns that some member, mount or tie belongs to, in order of first mention."""
    return tuple(dict.fromkeys(name for part in _parts(vehicle) for name in part.patterns))


def patterns_on(vehicle: Vehicle) -> tuple[str, ...]:
    """Patterns of its parts, then those that were found on it besides."""
    found = [one.pattern for one in vehicle.structures]
    return tuple(dict.fromkeys([*patterns_of(vehicle), *found]))


def frame_of(
    vehicle: Vehicle, without: Collection[str] = (), samples: int = 0, seed: int = 1
) -> Framed:
    """Build the frame model.

    Args:
        vehicle: as loaded.
        without: patterns that are taken away, with the parts that ``taken_away`` names.
        samples: 0 for the nominal structure, else so many with gauges, semi-rigid ends, mounts
            and joints drawn from their spread.
        seed: repeats the same draw.

    Raises:
        BadInput: a section that cannot be built, a member too slender for any strength, or a
            pattern that the vehicle does not have.
    """
    known = patterns_of(vehicle)
    for name in without:
        if name not in known:
            raise BadInput(
                f"{vehicle.id} has no members of {name!r}",
                "--without",
                f"it has {', '.join(known)}",
            )
    goes = taken_away(vehicle, without)
    members = {name: member for name, member in vehicle.members.items() if not goes(member)}
    used = {end for member in members.values() for end in (member.start, member.end)}
    ties = {
        name: kept
        for name, tie in vehicle.ties.items()
        if tie.first in used and tie.second in used
        and (kept := _otherwise(tie, without) if goes(tie) else tie) is not None
    }  # fmt: skip
    names = tuple(name for name in vehicle.nodes if name in used)
    place = {name: i for i, name in enumerate(names)}
    mounts = {
        name: mount
        for name, mount in vehicle.mounts.items()
        if mount.node in place and not goes(mount)
    }
    draws = drawn(vehicle, samples, seed)
    sections = {
        label: _section(vehicle, label, profile, draws.gauges.get(label, 1.0))
        for label, profile in vehicle.sections.items()
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
    frame = Frame(
        nodes=coordinates,
        members=index,
        EA=modulus * column("area"),
        EIy=modulus * iy,
        EIz=modulus * iz,
        GJ=shear * column("j"),
        supports=np.zeros((len(names), 6), dtype=bool),
        up=_upright(coordinates, index),
        ends=_ends(members, modulus, iy, iz, lengths, draws),
        springs=_springs(mounts, place, draws),
        links=np.array([[place[t.first], place[t.second]] for t in ties.values()])
        if ties
        else None,
        link_stiffness=np.stack(
            [_held(tie) * _factor(draws, "ties", name) for name, tie in ties.items()], axis=-2
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
        limits=_limits(vehicle.id, members, sections, modulus, lengths),
        mass=density * column("area") * lengths,
        ties=tuple(ties),
        mounts=tuple(mounts),
    )


def _limits(
    vehicle: str,
    members: dict[str, Member],
    sections: dict[str, Section],
    modulus: Floats,
    lengths: Floats,
) -> Strength:
    """What the members can take, several of one kind in one call."""
    names, rows = list(members), list(members.values())
    kinds: dict[tuple[str, str], list[int]] = {}
    for index, row in enumerate(rows):
        kinds.setdefault((row.section, row.material), []).append(index)
    parts: list[tuple[list[int], tuple[Floats, ...]]] = []
    for (label, _), which in kinds.items():
        one = sections[label]
        if np.ndim(one.area):
            one = Section(**{n: getattr(one, n)[:, None] for n in Section.__dataclass_fields__})
        strength = np.array([rows[i].strength * 1e6 for i in which])
        try:
            found = strength_of(one, strength, float(modulus[which[0]]), lengths[which])
        except ValueError as error:
            name = names[which[int(np.argmax(lengths[which]))]]
            raise BadInput(
                f"is too long for its section {label} ({error})",
                f"{vehicle}: members.{name}",
                "part it by nodes or give it a stouter section",
            ) from None
        parts.append((which, found))
    samples = np.broadcast_shapes(*(np.shape(found[0])[:-1] for _, found in parts))
    stacked = np.empty((4, *samples, len(rows)))
    for which, strengths in parts:
        for kind, values in enumerate(strengths):
            stacked[kind][..., which] = values
    return Strength(*stacked)


def _section(vehicle: Vehicle, label: str, profile: Profile, factor: Floats | float) -> Section:
    try:
        built = section_of(
            profile.shape,
            profile.width / 1e3 * (factor if profile.shape == "rod" else 1.0),
            profile.height / 1e3 * (factor if profile.shape == "flat" else 1.0),
            profile.gauge / 1e3 * factor,
            0.0,
            profile.flange / 1e3,
            profile.second_gauge / 1e3 * factor,
            profile.cells_wide,
            profile.cells_high,
        )
    except ValueError as error:
        raise BadInput(str(error), f"{vehicle.id}: sections.{label}") from None
    if np.ndim(factor):
        return built
    # Some shapes give an array of one even for one figure.
    return Section(
        **{n: np.asarray(getattr(built, n)).item() for n in Section.__dataclass_fields__}
    )


def _upright(coordinates: Floats, index: NDArray[np.intp]) -> Floats:
    """Local up of each member: z, or x for members that stand."""
    along = coordinates[index[:, 1]] - coordinates[index[:, 0]]
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    standing = np.abs(along[:, 2]) > 0.999
    return np.where(standing[:, None], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0])


def _ends(
    members: dict[str, Member],
    modulus: Floats,
    iy: Floats,
    iz: Floats,
    lengths: Floats,
    draws: Drawn,
) -> Floats:
    """End springs: rigid, pinned in bending, or a share of the member's own bending stiffness."""
    about_y, about_z = 4 * modulus * iy / lengths, 4 * modulus * iz / lengths
    samples = np.broadcast_shapes(about_y.shape[:-1], *(one.shape for one in draws.ends.values()))
    ends = np.full((*samples, len(members), 2, 4), RIGID)
    for i, (name, member) in enumerate(members.items()):
        if member.ends == "pinned":
            ends[..., i, :, 2:] = 0.0
        elif member.ends == "semi":
            share = draws.ends.get(stem(name), SEMI)
            ends[..., i, :, 2] = np.asarray(share * about_y[..., i])[..., None]
            ends[..., i, :, 3] = np.asarray(share * about_z[..., i])[..., None]
    return ends


def _held(part: Mount | Tie) -> Floats:
    return np.array([*(1e6 * k for k in part.stiffness), *(3 * [1e3 * part.turning])])


def _factor(draws: Drawn, kind: str, name: str) -> Floats:
    """A joint's factor, (samples, 1), or 1."""
    found = draws.joints.get(f"{kind}.{stem(name)}")
    return np.ones(1) if found is None else found[:, None]


def _springs(mounts: dict[str, Mount], place: dict[str, int], draws: Drawn) -> Floats:
    found = {name: _held(mount) * _factor(draws, "mounts", name) for name, mount in mounts.items()}
    samples = np.broadcast_shapes(*(np.shape(row)[:-1] for row in found.values()))
    springs = np.zeros((*samples, len(place), 6))
    for name, row in found.items():
        springs[..., place[mounts[name].node], :] += row
    return springs
