"""A mass that crushes layers of constant force against a wall, in a chain and side by side."""

from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]
_FAR = 20.0  # crush that nothing survives [m]


class Arrest(NamedTuple):
    """How a mass came to rest; first axis of the tables: segments of constant force, or layers."""

    stroke: Floats
    duration: Floats
    layer_energy: Floats
    unit_energy: Floats
    crush: Floats
    deceleration: Floats
    time: Floats
    speed: Floats


def in_series(strength: ArrayLike, length: ArrayLike) -> tuple[Floats, Floats]:
    """Where in the crush each layer of a chain gives way: the weakest first, wherever it lies.

    Args:
        strength: force at which each layer crushes, shape (layers, ...) [N], above 0.
        length: crush that each has to give, same shape [m], 0 to 3.

    Returns:
        Start and end of each layer's crush, shape as given [m].

    Raises:
        ValueError: outside a range; the message names the argument.

    Leaves out: hardening, and layers of nearly the same strength that crush together.
    Source: a chain carries one force, so its weakest link yields first.

    >>> start, end = in_series([[300.0], [100.0]], [[0.4], [0.1]])
    >>> start[:, 0], end[:, 0]
    (array([0.1, 0. ]), array([0.5, 0.1]))
    """
    force = within("strength", strength, 0, 1e9, above=True)
    give = np.broadcast_to(within("length", length, 0, 3), force.shape)
    order = np.argsort(force, axis=0, kind="stable")
    ends = np.cumsum(np.take_along_axis(give, order, axis=0), axis=0)
    end = np.empty_like(ends)
    np.put_along_axis(end, order, ends, axis=0)
    return end - give, end


def arrest(
    mass: ArrayLike,
    speed: ArrayLike,
    start: ArrayLike,
    end: ArrayLike,
    force: ArrayLike,
    unit_mass: ArrayLike = 0.0,
    unit_at: ArrayLike = _FAR,
) -> Arrest:
    """Stop a mass that crushes layers, each with constant force between two marks of the crush.

    A drive unit inside stops against the wall once the crush reaches it; from there on the rest of
    the car has only its own mass to stop.

    Args:
        mass: of the car, drive unit included [kg], above 0.
        speed: at contact [m/s], above 0.
        start: crush at which each layer begins to resist, shape (layers, ...) [m].
        end: crush at which it is used up, same shape [m].
        force: of each while it crushes, same shape [N]. The last layer to end must hold beyond all
            crush that the speed asks for.
        unit_mass: of the drive unit [kg], below ``mass``.
        unit_at: crush at which it meets the wall [m].

    Returns:
        stroke [m], duration [s], energy of each layer [J], kinetic energy that the drive unit loses
        against the wall [J]; and at the end of each segment crush [m], deceleration within it
        [m/s2], time [s], speed [m/s].

    Raises:
        ValueError: outside a range, or the layers are used up while the car still moves.

    Leaves out: elastic rebound, rate effects (put them into the forces), mount forces of the unit.
    Source: work and energy for constant forces, m v dv = -F dx.

    >>> done = arrest(1000.0, 10.0, [[0.0]], [[5.0]], [[100e3]])
    >>> float(done.stroke[0]), float(done.duration[0])
    (0.5, 0.1)
    """
    m = np.atleast_1d(within("mass", mass, 0, 1e5, above=True))
    v = within("speed", speed, 0, 200, above=True)
    begin = np.asarray(start, dtype=np.float64)
    finish = np.asarray(end, dtype=np.float64)
    strength = within("force", force, 0, 1e9)
    unit = within("unit_mass", unit_mass, 0, 1e5)
    contact = within("unit_at", unit_at, 0, _FAR)
    shape = np.broadcast_shapes(m.shape, v.shape, begin.shape[1:], unit.shape, contact.shape)
    if np.any(unit >= m):
        raise ValueError("unit_mass must be below mass")
    begin, finish, strength = (
        np.broadcast_to(a, (len(begin), *shape)) for a in (begin, finish, strength)
    )
    marks = np.concatenate(
        [np.zeros((1, *shape)), begin, finish, np.broadcast_to(contact, (1, *shape))]
    )
    marks = np.sort(np.minimum(marks, _FAR), axis=0)
    square = np.broadcast_to(v, shape) ** 2
    time = np.zeros(shape)
    stroke = np.zeros(shape)
    energy = np.zeros((len(begin), *shape))
    lost = np.zeros(shape)
    rows: list[tuple[Floats, Floats, Floats, Floats]] = []
    for low, high in pairwise(marks):
        middle = (low + high) / 2
        active = (begin <= middle) & (middle < finish)
        total = np.sum(np.where(active, strength, 0.0), axis=0)
        met = middle > contact
        lost = np.where(met & (lost == 0), unit * square / 2, lost)
        moving = m - np.where(met, unit, 0.0)
        with np.errstate(divide="ignore", invalid="ignore"):
            needed = np.where(
                total > 0, square * moving / (2 * total), np.where(square > 0, np.inf, 0)
            )
        used = np.minimum(high - low, needed)
        after = np.where(used >= needed, 0.0, np.maximum(square - 2 * total * used / moving, 0.0))
        pace = np.sqrt(square) + np.sqrt(after)
        time = time + np.divide(2 * used, pace, out=np.zeros(shape), where=pace > 0)
        stroke = stroke + used
        energy += np.where(active, strength, 0.0) * used
        rows.append((stroke, np.where(used > 0, total / moving, 0.0), time, np.sqrt(after)))
        square = after
    if np.any(square > 1e-9 * np.broadcast_to(v, shape) ** 2):
        raise ValueError("the layers are used up while the car still moves")
    crush, deceleration, times, speeds = (np.stack(column) for column in zip(*rows, strict=True))
    return Arrest(stroke, time, energy, lost, crush, deceleration, times, speeds)
