"""A frame's arrays as the solution takes them: checked, in floating point, samples last."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

if TYPE_CHECKING:
    from .frames import Frame, Loads

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

_LARGEST = 1e16  # any figure: beyond it the equations lose their digits


@dataclass(frozen=True)
class Parts:
    """Everything numeric of frame and load cases; what does not vary ends in an axis of 1."""

    nodes: Floats
    members: Ints
    sections: dict[str, Floats]
    ends: Floats | None
    sprung: Ints  # members that ``ends`` speaks of
    springs: Floats | None
    links: Ints
    link_stiffness: Floats | None
    nodal: Floats  # (cases, nodes, 6, samples or 1)
    uniform: Floats | None  # (cases, members, 3, samples or 1)
    points: tuple[tuple[tuple[int, Floats, Floats], ...], ...]
    prescribed: Floats | None

    @classmethod
    def of(cls, frame: "Frame", cases: Sequence["Loads"]) -> "Parts":
        """Check a frame and its load cases.

        Raises:
            ValueError: shapes disagree, an index is not there, a value is not finite or negative.
        """
        if not len(cases):
            raise ValueError("there is no load case")
        count = frame.node_count
        members = _pairs("members", frame.members, count)
        links = _pairs("links", frame.links if frame.links is not None else [], count)
        number = len(members)
        if np.shape(frame.supports) != (count, 6):
            raise ValueError(f"supports must have shape ({count}, 6)")
        sections = {
            # Infinite shear stiffness is a slender member, as where it is not given.
            key: _not_negative(getattr(frame, key), key, (number,), unbounded=key in {"GAy", "GAz"})
            for key in ("EA", "EIy", "EIz", "GJ", "GAy", "GAz")
            if getattr(frame, key) is not None
        }
        nodes = _finite(frame.nodes, "nodes", (count, 3))
        joined = frame.link_stiffness if len(links) else None
        sprung = np.arange(number) if frame.sprung is None else np.asarray(frame.sprung, np.intp)
        if np.any((sprung < 0) | (sprung >= number)) or len(set(sprung.tolist())) < len(sprung):
            raise ValueError(f"sprung must name members once each; there are {number}")
        if len(links):
            apart = np.abs(nodes[links[:, 0]] - nodes[links[:, 1]]).max(axis=(1, 2))
            if np.any(apart > 1e-6):
                a, b = links[int(np.argmax(apart))]
                names = f"{frame.node_name(int(a))} and {frame.node_name(int(b))}"
                raise ValueError(f"links join nodes at one place; {names} lie apart")
        return cls(
            nodes,
            members,
            sections,
            _if_any(frame.ends, "ends", (len(sprung), 2, 4), unbounded=True),
            sprung,
            _if_any(frame.springs, "springs", (count, 6)),
            links,
            _if_any(joined, "link_stiffness", (len(links), 6)),
            _stacked([one.nodal for one in cases], "nodal loads", (count, 6)),
            _stacked_if_any([one.uniform for one in cases], "uniform loads", (number, 3)),
            tuple(_points(one, number) for one in cases),
            _prescribed(frame, cases, count),
        )

    def samples(self, asked: int) -> int:
        """How many samples the arrays hold.

        Raises:
            ValueError: two arrays hold different numbers.
        """
        sizes = {array.shape[-1] for array in self._arrays()} - {1}
        if asked:
            sizes.add(asked)
        if len(sizes - {1}) > 1:
            raise ValueError(f"arrays hold different numbers of samples: {sorted(sizes)}")
        return max(sizes, default=1)

    def chunk(self, part: slice) -> "Parts":
        """Some of the samples."""

        def cut(array: Floats) -> Floats:
            return array if array.shape[-1] == 1 else array[..., part]

        def maybe(array: Floats | None) -> Floats | None:
            return None if array is None else cut(array)

        return Parts(
            cut(self.nodes),
            self.members,
            {key: cut(value) for key, value in self.sections.items()},
            maybe(self.ends),
            self.sprung,
            maybe(self.springs),
            self.links,
            maybe(self.link_stiffness),
            cut(self.nodal),
            maybe(self.uniform),
            tuple(tuple((m, cut(a), cut(f)) for m, a, f in case) for case in self.points),
            maybe(self.prescribed),
        )

    def _arrays(self) -> list[Floats]:
        found = [self.nodes, *self.sections.values(), self.nodal]
        found += [a for case in self.points for _, at, force in case for a in (at, force)]
        rest = (self.ends, self.springs, self.link_stiffness, self.uniform, self.prescribed)
        return found + [one for one in rest if one is not None]


def _pairs(what: str, pairs: ArrayLike, nodes: int) -> Ints:
    found = np.asarray(pairs, dtype=np.intp).reshape(-1, 2)
    if np.any(found < 0) or np.any(found >= nodes):
        raise ValueError(f"{what} point at a node that is not there; there are {nodes}")
    return found


def _last(array: ArrayLike, what: str, shape: tuple[int, ...]) -> Floats:
    values = np.asarray(array, dtype=np.float64)
    if values.ndim == len(shape):
        values = values[None]
    if values.shape[1:] != shape or values.size == 0:
        raise ValueError(f"{what} must have shape {shape}, samples ahead; got {np.shape(array)}")
    if np.any(np.isnan(values)):
        raise ValueError(f"{what} holds something that is not a number")
    return np.ascontiguousarray(np.moveaxis(values, 0, -1))


def _finite(array: ArrayLike, what: str, shape: tuple[int, ...]) -> Floats:
    values = _last(array, what, shape)
    if np.any(np.abs(values) > _LARGEST):
        raise ValueError(f"{what} must lie within {_LARGEST:g} either way")
    return values


def _not_negative(
    array: ArrayLike, what: str, shape: tuple[int, ...], unbounded: bool = False
) -> Floats:
    values = _last(array, what, shape)
    if np.any(values < 0):
        raise ValueError(f"{what} must not be negative, got {float(values.min()):g}")
    if not unbounded and np.any(values > _LARGEST):
        raise ValueError(f"{what} must be at most {_LARGEST:g}")
    return values


def _if_any(
    array: ArrayLike | None, what: str, shape: tuple[int, ...], unbounded: bool = False
) -> Floats | None:
    return None if array is None else _not_negative(array, what, shape, unbounded)


def _stacked(arrays: Sequence[ArrayLike | None], what: str, shape: tuple[int, ...]) -> Floats:
    """Cases stacked ahead, (cases, ..., samples or 1)."""
    found = [np.zeros((*shape, 1)) if one is None else _finite(one, what, shape) for one in arrays]
    width = max(one.shape[-1] for one in found)
    return np.stack([np.broadcast_to(one, (*shape, width)) for one in found])


def _stacked_if_any(
    arrays: Sequence[ArrayLike | None], what: str, shape: tuple[int, ...]
) -> Floats | None:
    return None if all(one is None for one in arrays) else _stacked(arrays, what, shape)


def _points(case: "Loads", members: int) -> tuple[tuple[int, Floats, Floats], ...]:
    out = []
    for point in case.points:
        if not 0 <= point.member < members:
            raise ValueError(f"a point load stands on member {point.member}; there are {members}")
        at = np.atleast_1d(np.asarray(point.at, dtype=np.float64))
        if not np.all((at >= 0) & (at <= 1)):
            raise ValueError("a point load's place must be a share of the member, 0 to 1")
        out.append((point.member, at, _finite(point.force, "point load", (3,))))
    return tuple(out)


def _prescribed(frame: "Frame", cases: Sequence["Loads"], count: int) -> Floats | None:
    found = _stacked_if_any([one.prescribed for one in cases], "prescribed", (count, 6))
    if found is not None:
        loose = np.any(found != 0, axis=(0, 3)) & ~np.asarray(frame.supports, dtype=bool)
        if np.any(loose):
            node = int(np.argmax(np.any(loose, axis=1)))
            raise ValueError(
                f"prescribed displacement of node {frame.node_name(node)} needs a support there"
            )
    return found
