"""A circular leg between two mounts, loaded in and out of its plane, with a tie somewhere on it.

The chord runs along x from the first mount to the second, the arc bulges towards y, z is out of
plane. Flexibilities come from the arc itself (unit load theorem), with no straight pieces.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]

# Gauss points and weights on (0, 1); five between two loads integrate an arc of 90 deg to 1e-9.
_POINTS, _WEIGHTS = (part / 2 for part in np.polynomial.legendre.leggauss(5))
_POINTS = _POINTS + 0.5
LOADS = ("chord", "sideways", "vertical")


@dataclass(frozen=True)
class Arc:
    """A leg: geometry and section stiffnesses, each (samples,)."""

    chord: Floats
    rise: Floats
    axial: Floats  # EA [N]
    in_plane: Floats  # EI that resists bending in the arc's plane [N m2]
    out_of_plane: Floats
    torsion: Floats  # GJ [N m2]

    @property
    def radius(self) -> Floats:
        """Radius of the arc [m]."""
        return (self.chord**2 / 4 + self.rise**2) / (2 * self.rise)

    @property
    def half_angle(self) -> Floats:
        """Half the angle that the arc subtends [rad]."""
        return 2 * np.arctan(2 * self.rise / self.chord)

    def place(self, share: Floats) -> tuple[Floats, Floats]:
        """Coordinates at a share of the arc's length, (x, y) [m]."""
        turn = (2 * share - 1) * self.half_angle[:, None]
        r, a = self.radius[:, None], self.half_angle[:, None]
        return self.chord[:, None] / 2 + r * np.sin(turn), r * (np.cos(turn) - np.cos(a))


@dataclass(frozen=True)
class UnitLoad:
    """A unit force or moment at a share of the arc, direction (3,) or (samples, 3)."""

    share: Floats
    force: Floats | None = None
    moment: Floats | None = None


@dataclass(frozen=True)
class Tied:
    """Response to a unit load; forces are per unit load, pull positive."""

    give: Floats  # movement under the load [m/N]
    give_tied: Floats
    tie_force: Floats  # [-]


def arc(
    chord: ArrayLike,
    rise: ArrayLike,
    axial: ArrayLike,
    in_plane: ArrayLike,
    out_of_plane: ArrayLike,
    torsion: ArrayLike,
) -> Arc:
    """A circular leg.

    Args:
        chord: between the mounts [m].
        rise: of the crown over the chord [m], 0.005 to 1.2 of the chord.
        axial: EA [N].
        in_plane: EI in the arc's plane [N m2].
        out_of_plane: EI out of it [N m2].
        torsion: GJ [N m2].

    Returns:
        The leg [SI].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: curvature of the section itself (thick curved bars), shear, warping.
    Source: geometry of the circle.

    >>> leg = arc(2.0, 1.0, 1e8, 1e4, 1e4, 1e4)
    >>> float(leg.radius[0]), round(float(leg.half_angle[0]), 4)
    (1.0, 1.5708)
    """
    span = within("chord", chord, 0, 10, above=True)
    up = within("rise", rise, 0, 10, above=True)
    within("rise over chord", up / span, 0.005, 1.2)
    rest = [
        within(name, value, 0, 1e13, above=True)
        for name, value in (
            ("axial", axial), ("in_plane", in_plane), ("out_of_plane", out_of_plane),
            ("torsion", torsion),
        )
    ]  # fmt: skip
    return Arc(*(np.atleast_1d(v) for v in np.broadcast_arrays(span, up, *rest)))


def flexibility(leg: Arc, loads: Sequence[UnitLoad]) -> Floats:
    """Flexibility between unit loads on the leg clamped at its first end only.

    Args:
        leg: as ``arc`` makes it [SI].
        loads: unit forces and moments [-].

    Returns:
        (samples, loads, loads) [m/N], [rad/N] or [rad/(N m)].

    Leaves out: shear flexibility, thickness of the bar against its radius.
    Source: unit load theorem, S. P. Timoshenko, Strength of Materials, Part I, curved bars.

    >>> leg = arc(2.0, 1.0, 1e12, 1.0, 1.0, 1.0)
    >>> quarter = UnitLoad(np.array([0.5]), force=np.array([0, 1.0, 0]))
    >>> round(float(flexibility(leg, [quarter])[0, 0, 0]), 4)  # pi/4 P R^3 / EI
    0.7854
    """
    count = len(leg.chord)
    shares = [np.broadcast_to(one.share, (count,)) for one in loads]
    knots = np.sort(np.stack([np.zeros(count), *_distinct(shares)], axis=1), axis=1)
    step = np.diff(knots, axis=1)
    at = (knots[:, :-1, None] + step[:, :, None] * _POINTS).reshape(count, -1)
    weight = (step[:, :, None] * _WEIGHTS).reshape(count, -1)
    weight = weight * 2 * (leg.half_angle * leg.radius)[:, None]
    x, y = leg.place(at)
    turn = (2 * at - 1) * leg.half_angle[:, None]
    cos, sin = np.cos(turn), np.sin(turn)
    inner = np.zeros((count, len(loads), 4, at.shape[1]))
    for index, (one, share) in enumerate(zip(loads, shares, strict=True)):
        ahead = at <= share[:, None]
        if one.force is not None:
            fx, fy, fz = _columns(one.force, count)
            px, py = leg.place(share[:, None])
            dx, dy = px - x, py - y
            inner[:, index, 0] = ahead * (fx * cos - fy * sin)
            inner[:, index, 1] = ahead * (dx * fy - dy * fx)
            mx, my = dy * fz, -dx * fz
        else:
            assert one.moment is not None
            mx, my, mz = _columns(one.moment, count)
            inner[:, index, 1] = ahead * mz
        inner[:, index, 2] = ahead * (mx * sin + my * cos)
        inner[:, index, 3] = ahead * (mx * cos - my * sin)
    soft = 1 / np.stack([leg.axial, leg.in_plane, leg.out_of_plane, leg.torsion], axis=1)
    scaled = inner * (soft[:, :, None] * weight[:, None, :])[:, None]
    flat = (count, len(loads), -1)
    return np.asarray(inner.reshape(flat) @ scaled.reshape(flat).swapaxes(1, 2))


def _distinct(shares: list[Floats]) -> list[Floats]:
    """Shares without repeats that hold for all samples; empty intervals only cost time."""
    kept: list[Floats] = []
    for share in shares:
        if not any(np.array_equal(share, other) for other in kept):
            kept.append(share)
    return kept


def _columns(vector: Floats, count: int) -> tuple[Floats, Floats, Floats]:
    whole = np.broadcast_to(vector, (count, 3))
    return whole[:, :1], whole[:, 1:2], whole[:, 2:]


def tied(
    leg: Arc,
    load: str,
    load_at: ArrayLike,
    tie_at: ArrayLike,
    direction: ArrayLike,
    tie_give: ArrayLike,
    fixity: ArrayLike,
) -> Tied:
    """A leg on two mounts, without and with a tie.

    Args:
        leg: as ``arc`` makes it [SI].
        load: ``chord`` pulls the second mount along the chord (and lets it slide there),
            ``sideways`` pushes in plane across the chord, ``vertical`` out of plane [-].
        load_at: share of the arc at which a sideways or vertical load acts [-].
        tie_at: share of the arc at which the tie is fixed [-].
        direction: of the tie from the leg, unit vectors (samples, 3) [-].
        tie_give: flexibility of the tie with its fastenings, along it [m/N].
        fixity: of both mounts in bending, 0 hinged, 1 clamped; twist is held [-].

    Returns:
        The response [SI].

    Raises:
        ValueError: an entry is NaN or outside its range, or there is no such load.

    Leaves out: bending stiffness of the tie; slip; second-order effects.
    Source: force method on ``flexibility``; end springs as fixity factors, see ``braces``.

    >>> leg = arc(0.9, 0.12, 1e8, 8e4, 8e4, 6e4)
    >>> found = tied(leg, "chord", 0.5, 0.5, [[0, 1.0, 0]], 1e-9, 0.0)
    >>> bool(found.give_tied[0] < found.give[0] / 2)
    True
    """
    if load not in LOADS:
        raise ValueError(f"load must be one of {', '.join(LOADS)}, got {load!r}")
    count = len(leg.chord)
    p = np.broadcast_to(within("load_at", load_at, 0.01, 0.99), (count,))
    t = np.broadcast_to(within("tie_at", tie_at, 0.01, 0.99), (count,))
    fix = np.maximum(np.broadcast_to(within("fixity", fixity, 0, 1), (count,)), 1e-7)
    give = np.broadcast_to(within("tie_give", tie_give, 0, np.inf), (count,))
    aim = np.broadcast_to(np.asarray(direction, dtype=np.float64), (count, 3))
    end = np.ones(count)
    axes = np.eye(3)
    held = [UnitLoad(end, force=axis) for axis in axes] + [
        UnitLoad(end, moment=axis) for axis in axes
    ]
    if load == "chord":
        held = held[1:]  # the second mount slides along the chord, where the load acts
        acting = UnitLoad(end, force=axes[0])
    else:
        acting = UnitLoad(p, force=axes[1 if load == "sideways" else 2])
    tie = UnitLoad(t, force=aim)
    loads = [*held, acting, tie]
    whole = flexibility(leg, loads)
    _soften_mounts(whole, leg, loads, fix)
    last = len(held)
    solved = np.linalg.solve(whole[:, :last, :last], whole[:, :last, last:])
    rest = whole[:, last:, last:] - whole[:, last:, :last] @ solved
    bare, across, own = rest[:, 0, 0], rest[:, 0, 1], rest[:, 1, 1]
    force = -across / (own + give)
    return Tied(bare, bare + force * across, force)


def _soften_mounts(whole: Floats, leg: Arc, loads: list[UnitLoad], fix: Floats) -> None:
    """Add the mounts' give in bending: about z in plane, about y out of plane."""
    length = 2 * leg.half_angle * leg.radius
    for axis, stiff in ((2, leg.in_plane), (1, leg.out_of_plane)):
        soft = length / (3 * stiff) * (1 - fix) / fix
        at_first = np.stack([_root_moment(leg, one)[:, axis] for one in loads], axis=1)
        whole += soft[:, None, None] * at_first[:, :, None] * at_first[:, None, :]
        for index, one in enumerate(loads):
            if one.moment is not None and one.moment[..., axis].any():
                whole[:, index, index] += soft


def _root_moment(leg: Arc, one: UnitLoad) -> Floats:
    count = len(leg.chord)
    if one.moment is not None:
        return np.broadcast_to(one.moment, (count, 3))
    assert one.force is not None
    x, y = leg.place(np.broadcast_to(one.share, (count,))[:, None])
    arm = np.concatenate([x, y, np.zeros_like(x)], axis=1)
    return np.cross(arm, np.broadcast_to(one.force, (count, 3)))


def best_tie(
    leg: Arc,
    load: str,
    load_at: ArrayLike,
    direction: ArrayLike,
    tie_give: ArrayLike,
    fixity: ArrayLike,
) -> Floats:
    """Where on the leg the tie helps most, as a share of the arc, to about 1 %.

    Args:
        leg: as ``arc`` makes it [SI].
        load: as ``tied`` [-].
        load_at: as ``tied`` [-].
        direction: as ``tied`` [-].
        tie_give: as ``tied`` [m/N].
        fixity: as ``tied`` [-].

    Returns:
        Share of the arc from the first mount [-].

    Raises:
        ValueError: as ``tied``.

    Leaves out: whether there is anything there to fix a tie to.
    Source: search over ``tied``, parabola through the best three.

    >>> leg = arc(0.9, 0.12, 1e8, 8e4, 8e4, 6e4)
    >>> best_tie(leg, "chord", 0.5, [[0, 1.0, 0]], 1e-9, 0.0).round(2)  # the crown
    array([0.5])
    """
    places = np.linspace(0.1, 0.9, 17)
    gives = np.stack(
        [tied(leg, load, load_at, at, direction, tie_give, fixity).give_tied for at in places]
    )
    low = np.clip(np.argmin(gives, axis=0), 1, len(places) - 2)
    pick = np.arange(gives.shape[1])
    before, at, after = gives[low - 1, pick], gives[low, pick], gives[low + 1, pick]
    bend = before - 2 * at + after
    move = np.where(bend > 0, 0.5 * (before - after) / np.where(bend > 0, bend, 1), 0.0)
    return np.asarray(places[low] + np.clip(move, -1, 1) * (places[1] - places[0]))
