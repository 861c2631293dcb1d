"""A car that meets the rounded corner of a rigid barrier off its centre, in plan, over time.

The car is a rigid body with a convex outline on the struck side: a flat front, a slope that leads
outboard and rearward, a side. The barrier's corner is a circle; where it overlaps the outline, the
structure pushes back elastically up to its crush strength and gives way plastically above it, with
a dashpot and Coulomb friction.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]
_SLIP = 0.2  # sliding speed over which friction builds up [m/s]


@dataclass(frozen=True)
class Car:
    """Body and outline; every array broadcasts to the samples.

    Attributes:
        mass: [kg]. yaw_inertia: about the vertical axis through the centre of mass [kg m2].
        nose: from the centre of mass forward to the flat front [m].
        flat: half width of the flat front, from the centre plane [m].
        slope: angle of the outboard face to the car's axis, 90 degrees for a blunt corner [rad].
        half_width: of the car's side behind the slope [m].
        stiffness: of the struck structure [N/m]. strength: force at which it crushes [N].
        wheel_at: crush at which wheel and pillar are met [m].
        wheel_strength: force that they add [N].
    """

    mass: Floats
    yaw_inertia: Floats
    nose: Floats
    flat: Floats
    slope: Floats
    half_width: Floats
    stiffness: Floats
    strength: Floats
    wheel_at: Floats
    wheel_strength: Floats


class Glance(NamedTuple):
    """How the contact went; arrays of one value a sample, and the motion at each recorded step."""

    passed: NDArray[np.bool_]
    stopped: NDArray[np.bool_]
    sideways: Floats
    yaw: Floats
    speed: Floats
    depth: Floats
    impulse_along: Floats
    impulse_across: Floats
    crushed: Floats
    rubbed: Floats
    damped: Floats
    stored: Floats
    kinetic: Floats
    unbalanced: Floats
    time: Floats
    path: Floats


def glance(
    car: Car,
    speed: ArrayLike,
    edge: ArrayLike,
    radius: ArrayLike,
    friction: ArrayLike,
    damping: ArrayLike = 0.0,
    *,
    until: float = 0.25,
    step: float = 1e-4,
    records: int = 50,
) -> Glance:
    """Follow the car from first contact.

    Args:
        car: body and outline.
        speed: straight ahead, at contact [m/s], above 0 to 60.
        edge: barrier's inner edge from the car's centre plane at contact [m], -2 to 2.
        radius: of the barrier's corner [m], 0.01 to 1.
        friction: between structure and barrier [-], 0 to 1.
        damping: of the contact [N s/m], 0 to 1e6.
        until: time that is followed [s].
        step: time step [s].
        records: steps of the motion that are kept [-].

    Returns:
        passed: whether the barrier came clear of the car's side while it still went on, stopped:
        whether it lost its way forward first [-]; sideways movement of the front [m], yaw [rad] and
        forward speed [m/s] at the end, deepest crush [m], impulse along and across the car's first
        direction [N s]; energy crushed, rubbed off, damped, stored and kinetic at the end [J], what
        the account does not explain as a share of the first kinetic energy [-]; time of the records
        [s] and path: forward, sideways, yaw, (records, samples, 3) [m, m, rad].

    Raises:
        ValueError: outside a range; the message names the argument.

    Leaves out: tyre forces, suspension, roll and pitch, change of the outline by crush.
    Source: rigid body in plan with a penalty contact, velocity Verlet; the frictionless limit is
    the closed form of planar impact on a rigid barrier (Brach, Mechanical Impact Dynamics, 1991;
    from memory).

    >>> one = Car(*(np.array([v]) for v in (1800., 3000., 2.1, .5, .6, .9, 2e6, 2.5e5, .55, 3e5)))
    >>> done = glance(one, 17.9, 0.46, 0.15, 0.2)
    >>> bool(done.unbalanced[0] < 1e-3)
    True
    """
    v0 = within("speed", speed, 0, 60, above=True)
    inner = within("edge", edge, -2, 2)
    bend = within("radius", radius, 0.01, 1)
    mu = within("friction", friction, 0, 1)
    dashpot = within("damping", damping, 0, 1e6)
    fields = [np.atleast_1d(np.asarray(getattr(car, name))) for name in Car.__dataclass_fields__]
    shape = np.broadcast_shapes(*(f.shape for f in fields), v0.shape, inner.shape, bend.shape,
                                mu.shape, dashpot.shape)  # fmt: skip
    for name, value in zip(Car.__dataclass_fields__, fields, strict=True):
        within(name, value, 0, 1e9, above=name != "wheel_strength")
    (m, inertia, nose, flat, slope, half, k, strength, wheel_at, wheel) = (
        np.broadcast_to(f, shape) for f in fields
    )
    if np.any(flat > half):
        raise ValueError("flat must be at most half_width")
    v0, inner, bend, mu, dashpot = (
        np.broadcast_to(a, shape) for a in (v0, inner, bend, mu, dashpot)
    )

    # Barrier's corner circle, fixed in space; the car drives toward +x, its nose at x = 0.
    cx, cy = bend, inner + bend
    # Outline: outward normals in the car's axes and their distances from the centre of mass.
    ns_x, ns_y = np.sin(slope), np.cos(slope)
    d_front, d_slope = nose, ns_x * nose + ns_y * flat

    x, y, yaw = -nose.copy(), np.zeros(shape), np.zeros(shape)
    vx, vy, w = v0.copy(), np.zeros(shape), np.zeros(shape)
    give = np.zeros(shape)  # plastic part of the overlap
    deepest, crushed, rubbed, damped = (np.zeros(shape) for _ in range(4))
    along, across = np.zeros(shape), np.zeros(shape)
    first = m * v0**2 / 2
    count = max(round(until / step), 2)
    keep = np.unique(np.linspace(0, count - 1, records).astype(int))
    path: list[Floats] = []

    def contact() -> tuple[Floats, ...]:
        """Overlap, normal on the car and lever of the contact, at the present place."""
        c, s = np.cos(yaw), np.sin(yaw)
        rx, ry = cx - x, cy - y
        bx, by = c * rx + s * ry, -s * rx + c * ry
        front, side = bx - d_front, ns_x * bx + ns_y * by - d_slope
        on_front = front >= side
        gap = np.maximum(front, side)
        nx, ny = np.where(on_front, 1.0, ns_x), np.where(on_front, 0.0, ns_y)
        # To space; the contact lies at the foot of the circle's centre on the face.
        wx, wy = c * nx - s * ny, s * nx + c * ny
        # Barrier beside the car: nothing is left to hold it, and the rear is not followed.
        beside = by - half >= bend
        return bend - gap, wx, wy, rx - wx * gap, ry - wy * gap, beside

    def push(overlap: Floats) -> tuple[Floats, Floats]:
        """Elastic force and new plastic part."""
        cap = strength + np.where(overlap > wheel_at, wheel, 0.0)
        slack = np.maximum(give, overlap - cap / k)
        return np.maximum(k * (overlap - slack), 0.0), slack

    free = np.zeros(shape, dtype=bool)
    stopped = np.zeros(shape, dtype=bool)
    overlap, nx, ny, rx, ry, _ = contact()
    spring, give = push(overlap)
    fx, fy, tq = np.zeros(shape), np.zeros(shape), np.zeros(shape)
    for index in range(count):
        hx, hy, hw = vx + fx / m * step / 2, vy + fy / m * step / 2, w + tq / inertia * step / 2
        x, y, yaw = x + hx * step, y + hy * step, yaw + hw * step
        old_spring, old_give = spring, give
        overlap, nx, ny, rx, ry, beside = contact()
        # What is stored when the barrier slips off the side is lost with it.
        crushed += np.where(beside & ~free, old_spring**2 / (2 * k), 0.0)
        free |= beside
        overlap = np.where(free, -1.0, overlap)
        spring, give = push(overlap)
        stopped |= ~free & (hx <= 0.0)
        deepest = np.maximum(deepest, overlap)
        # Plastic work: force over the growth of the plastic part.
        crushed += (spring + old_spring) / 2 * (give - old_give)
        # Speed of the car's material at the contact, by its mid-step velocity.
        ux, uy = hx - hw * ry, hy + hw * rx
        closing = ux * nx + uy * ny
        sliding = -ux * ny + uy * nx
        touch = overlap > give
        dash = np.where(touch, np.maximum(dashpot * closing, -spring), 0.0)
        normal = spring + dash
        rub = mu * normal * sliding / np.sqrt(sliding**2 + _SLIP**2)
        damped += dash * closing * step
        rubbed += rub * sliding * step
        fx, fy = -normal * nx + rub * ny, -normal * ny - rub * nx
        tq = rx * fy - ry * fx
        vx, vy, w = hx + fx / m * step / 2, hy + fy / m * step / 2, hw + tq / inertia * step / 2
        along += fx * step
        across += fy * step
        if index in keep:
            path.append(np.stack([x + nose, y, yaw], axis=-1))
    stored = spring**2 / (2 * k)
    kinetic = m * (vx**2 + vy**2) / 2 + inertia * w**2 / 2
    account = kinetic + stored + crushed + rubbed + damped
    return Glance(
        passed=free & ~stopped,
        stopped=stopped,
        sideways=y + nose * np.sin(yaw),
        yaw=yaw,
        speed=vx,
        depth=deepest,
        impulse_along=along,
        impulse_across=across,
        crushed=crushed,
        rubbed=rubbed,
        damped=damped,
        stored=stored,
        kinetic=kinetic,
        unbalanced=np.abs(account - first) / first,
        time=(keep + 1) * step,
        path=np.stack(path),
    )
