"""Rails, wings and a front bar in plan, under a hit on one corner.

Plan axes: x forward, y to the left. The rails are clamped at the dash at x = 0; wings reach from
their front ends outboard and forward to the bar's ends; the struck side is the left one.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .braces import end_spring
from .frames import RIGID, Frame, Loads, PointLoad, solve_cases
from .ranges import within

Floats = NDArray[np.float64]

_DASH, _FAR_DASH, _RAIL, _FAR_RAIL, _TIP, _FAR_TIP = range(6)
_DIRECTIONS = np.array([[-1.0, 0, 0], [0, -1.0, 0]])  # rearward, inboard
_BAR = 5  # members: two rails, two wings, cross member, bar


@dataclass(frozen=True)
class Plan:
    """The frame and what is needed to load it."""

    frame: Frame
    half_span: Floats  # tip to centreline, (samples,) [m]
    reach: Floats  # wing tip outboard of its root [m]
    forward: Floats  # wing tip ahead of its root [m]


@dataclass(frozen=True)
class Hit:
    """What a unit force does, one entry a sample; per unit rearward and per unit inboard.

    ``axial`` is the bar's force at the far tip (pull positive), ``near`` and ``far`` are bending
    moments at its ends, ``under`` the one under the load. ``spread`` is the growth of rail
    spacing, ``shift`` how much farther back the struck rail end moves than the other.
    """

    axial: Floats  # (2, samples)
    near_axial: Floats
    near: Floats
    far: Floats
    under: Floats
    spread: Floats
    shift: Floats
    tip_spread: Floats  # as spread and shift, between the wing tips
    tip_shift: Floats


def front_plan(
    spacing: ArrayLike,
    rail: ArrayLike,
    reach: ArrayLike,
    forward: ArrayLike,
    sections: dict[str, tuple[ArrayLike, ArrayLike]],
    fixity: ArrayLike,
) -> Plan:
    """The plan frame.

    Args:
        spacing: between the rails [m].
        rail: length of the rails from the dash to the wings' roots [m].
        reach: of a wing outboard of its rail; negative inboard [m].
        forward: of the bar ahead of the wings' roots [m].
        sections: EA and EI in plan of ``rail``, ``wing``, ``cross`` and ``bar`` [N], [N m2].
        fixity: of the bar's ends, 0 pinned, 1 rigid [-].

    Returns:
        The plan, all arrays with samples ahead [SI].

    Raises:
        ValueError: an entry is NaN or outside its range, or the bar has no length.

    Leaves out: anything out of plan, a dash that gives, plasticity.
    Source: common practice in frame models; see ``atlas.mechanics.frames``.

    >>> metal = {name: (1e8, 1e5) for name in ("rail", "wing", "cross", "bar")}
    >>> float(front_plan(0.9, 0.7, 0.15, 0.25, metal, 1.0).half_span[0])
    0.6
    """
    named = [
        within("spacing", spacing, 0.1, 3),
        within("rail", rail, 0.01, 5),
        within("reach", reach, -1, 1),
        within("forward", forward, 0, 2),
        within("fixity", fixity, 0, 1),
    ]
    figures = []
    for name in ("rail", "wing", "cross", "bar"):
        low = 0.0 if name == "cross" else 1e-9
        figures += [within(f"{kind} of the {name}", value, low, 1e13)
                    for kind, value in zip(("EA", "EI"), sections[name], strict=True)]  # fmt: skip
    s, run, out, ahead, fix, *stiff = (
        np.atleast_1d(v) for v in np.broadcast_arrays(*named, *figures)
    )
    half = s / 2 + out
    if np.any(half < 0.02):
        raise ValueError("reach inboard must leave a bar between the wings")
    if np.any(np.hypot(out, ahead) < 1e-3):
        raise ValueError("reach and forward are both zero: the wing has no length")
    count = len(s)
    nodes = np.zeros((count, 6, 3))
    for index, x, y in ((_DASH, 0 * s, s / 2), (_RAIL, run, s / 2), (_TIP, run + ahead, half)):
        nodes[:, index, 0] = nodes[:, index + 1, 0] = x
        nodes[:, index, 1], nodes[:, index + 1, 1] = y, -y
    ea = np.stack([stiff[0], stiff[0], stiff[2], stiff[2], stiff[4], stiff[6]], axis=1)
    ei = np.stack([stiff[1], stiff[1], stiff[3], stiff[3], stiff[5], stiff[7]], axis=1)
    ends = np.full((count, 6, 2, 4), RIGID)
    ends[:, _BAR, :, 3] = end_spring(fix, stiff[7], 2 * half)[:, None]
    supports = np.zeros((6, 6), bool)
    supports[:, 2:5] = True
    supports[:2] = True
    frame = Frame(
        nodes=nodes,
        members=np.array(
            [[_DASH, _RAIL], [_FAR_DASH, _FAR_RAIL], [_RAIL, _TIP], [_FAR_RAIL, _FAR_TIP],
             [_RAIL, _FAR_RAIL], [_TIP, _FAR_TIP]]
        ),
        EA=np.maximum(ea, 1.0),
        EIy=ei,
        EIz=ei,
        GJ=np.ones((1, 6)).repeat(count, axis=0),
        supports=supports,
        ends=ends,
        node_names=("dash", "far dash", "rail end", "far rail end", "wing tip", "far wing tip"),
    )  # fmt: skip
    return Plan(frame, half, out, ahead)


def hit(plan: Plan, offset: ArrayLike) -> Hit:
    """A unit force rearward and one inboard at some distance from the centreline.

    Args:
        plan: as ``front_plan`` makes it [SI].
        offset: of the load from the centreline to the struck side [m]. Beyond the wing tip it
            stands on a stiff overhang of the wing.

    Returns:
        The responses, (2, samples): per unit rearward, per unit inboard [SI].

    Raises:
        ValueError: an offset is NaN or lies on the far side.

    Leaves out: second-order effects; the overhang's own give.
    Source: see ``atlas.mechanics.frames``.

    >>> metal = {name: (1e8, 1e5) for name in ("rail", "wing", "cross", "bar")}
    >>> plan = front_plan(0.9, 0.7, 0.15, 0.25, metal, 1.0)
    >>> hit(plan, 0.6).axial[:, 0] > 0  # pulled when hit straight, pushed when hit inboard
    array([ True, False])
    """
    place = np.broadcast_to(within("offset", offset, 0, 3), plan.half_span.shape)
    beyond = place >= plan.half_span
    share = np.where(beyond, 0.0, (plan.half_span - place) / (2 * plan.half_span))
    cases = []
    for direction, nodal in zip(_DIRECTIONS, _on_tip(plan, place), strict=True):
        nodal[~beyond] = 0.0
        on_bar = np.where(beyond[:, None], 0.0, direction)
        points = () if np.all(beyond) else (PointLoad(_BAR, share, on_bar),)
        cases.append(Loads(nodal, points=points))
    found = solve_cases(plan.frame, cases, len(place))
    forces = np.stack([one.end_forces[:, _BAR] for one in found])
    moved = np.stack([one.displacements for one in found])
    to_far = plan.half_span + np.minimum(place, plan.half_span)
    return Hit(
        axial=forces[..., 6],
        near_axial=-forces[..., 0],
        near=forces[..., 5],
        far=forces[..., 11],
        under=forces[..., 11] + forces[..., 7] * to_far,
        **_parallel(moved[:, :, _RAIL], moved[:, :, _FAR_RAIL]),
        **_parallel(moved[:, :, _TIP], moved[:, :, _FAR_TIP], "tip_"),
    )


def hit_without_bar(plan: Plan, offset: ArrayLike) -> dict[str, Floats]:
    """The same with the bar taken out; a load inboard of the wing tip then acts on the tip.

    Args:
        plan: as ``front_plan`` makes it [SI].
        offset: of the load from the centreline to the struck side [m].

    Returns:
        ``spread``, ``shift``, ``tip_spread`` and ``tip_shift`` as in ``Hit`` [m/N].

    Raises:
        ValueError: an offset is NaN or lies on the far side.

    Leaves out: as ``hit``.
    Source: slope deflection, symmetric and antisymmetric halves of a portal; any text on frames.

    >>> metal = {name: (1e8, 1e5) for name in ("rail", "wing", "cross", "bar")}
    >>> plan = front_plan(0.9, 0.7, 0.15, 0.25, metal, 1.0)
    >>> bool(hit_without_bar(plan, 0.6)["tip_spread"][0, 0] > hit(plan, 0.6).tip_spread[0, 0])
    True
    """
    place = np.broadcast_to(within("offset", offset, 0, 3), plan.half_span.shape)
    lever = np.maximum(place, plan.half_span) - plan.half_span
    found = []
    for direction in _DIRECTIONS:
        x, y = direction[0], direction[1]
        at_tip = -lever * x  # moment of the force moved to the wing tip
        at_root = at_tip + plan.forward * y - plan.reach * x
        left, right = _portal(plan, (x, y, at_root))
        tip = _wing_tip(plan, left, (x, y, at_tip))
        found.append((left, right, tip, _wing_tip(plan, right, None)))
    left, right, tip, far = (np.stack([one[k] for one in found]) for k in range(4))
    return {**_parallel(left, right), **_parallel(tip, far, "tip_")}


def _portal(plan: Plan, load: tuple[Floats | float, ...]) -> tuple[Floats, Floats]:
    """Movement (samples, 3) of both rail ends under a load on the left one.

    Mirror symmetry parts the six equations into two sets of three, which is three times as quick
    as the general engine; the tests hold both against each other.
    """
    frame = plan.frame
    run = frame.nodes[:, _RAIL, 0]
    half = frame.nodes[:, _RAIL, 1]
    (ea, ei), (cross_ea, cross_ei) = ((frame.EA[:, m], frame.EIz[:, m]) for m in (0, 4))
    rail = np.zeros((len(run), 3, 3))
    rail[:, 0, 0] = ea / run
    rail[:, 1, 1], rail[:, 2, 2] = 12 * ei / run**3, 4 * ei / run
    rail[:, 1, 2] = rail[:, 2, 1] = -6 * ei / run**2
    alike, against = rail.copy(), rail.copy()
    alike[:, 1, 1] += cross_ea / half
    alike[:, 2, 2] += cross_ei / half
    against[:, 0, 0] += 3 * cross_ei / half**3
    against[:, 2, 2] += 3 * cross_ei / half
    against[:, 0, 2] += 3 * cross_ei / half**2
    against[:, 2, 0] += 3 * cross_ei / half**2
    force = np.stack([np.broadcast_to(part, run.shape) for part in load], axis=1)[:, :, None] / 2
    one, two = np.linalg.solve(alike, force)[:, :, 0], np.linalg.solve(against, force)[:, :, 0]
    mirror = np.array([1.0, -1.0, -1.0])
    return np.asarray(one + two), np.asarray(mirror * (one - two))


def _wing_tip(plan: Plan, root: Floats, load: tuple[Floats | float, ...] | None) -> Floats:
    """Movement of a wing's tip: carried by its root, and bent where a load stands on it."""
    side = 1.0 if load is not None else -1.0  # the loaded wing is the left one
    out = plan.reach * side
    moved = root.copy()
    moved[:, 0] -= root[:, 2] * out
    moved[:, 1] += root[:, 2] * plan.forward
    if load is not None:
        fx, fy, moment = load
        length = np.hypot(plan.reach, plan.forward)
        along, across = plan.forward / length, plan.reach / length
        ea, ei = plan.frame.EA[:, 2], plan.frame.EIz[:, 2]
        stretch = (fx * along + fy * across) * length / ea
        push = -fx * across + fy * along
        bend = push * length**3 / (3 * ei) + moment * length**2 / (2 * ei)
        moved[:, 0] += stretch * along - bend * across
        moved[:, 1] += stretch * across + bend * along
    return moved


def _on_tip(plan: Plan, place: Floats) -> list[Floats]:
    """Unit loads, rearward and inboard, moved to the struck wing tip."""
    loads = []
    for direction in _DIRECTIONS:
        nodal = np.zeros((len(place), 6, 6))
        nodal[:, _TIP, :3] = direction
        nodal[:, _TIP, 5] = (plan.half_span - place) * direction[0]
        loads.append(nodal)
    return loads


def _parallel(struck: Floats, other: Floats, prefix: str = "") -> dict[str, Floats]:
    return {
        f"{prefix}spread": struck[..., 1] - other[..., 1],
        f"{prefix}shift": other[..., 0] - struck[..., 0],
    }


def sign_turns_at(rearward: ArrayLike, inboard: ArrayLike) -> Floats:
    """Angle from straight rearward, inboard positive, at which a linear response changes sign.

    Args:
        rearward: response to a unit rearward force [any].
        inboard: response to a unit inboard force [any].

    Returns:
        Angle between -90 and 90 degrees [rad].

    Leaves out: nothing; the response to cos and sin of the angle is zero there.
    Source: superposition.

    >>> float(np.degrees(sign_turns_at(1.0, -1.0)))
    45.0
    """
    a, b = np.asarray(rearward, dtype=np.float64), np.asarray(inboard, dtype=np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(b == 0, np.pi / 2, np.arctan(-a / b)))
