"""Steer of a wheel that its bushes and its rack let happen, seen in plan."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]


class Steer(NamedTuple):
    """What a unit of side force does; signs as in ``lateral_steer``."""

    toe: Floats
    from_arm: Floats
    from_rack: Floats
    tie_rod: Floats
    front_bush: Floats
    rear_bush: Floats


def arm_compliance(
    front_stiffness: ArrayLike, rear_stiffness: ArrayLike, front_at: ArrayLike, rear_at: ArrayLike
) -> Floats:
    """Sideways give of the ball joint of a rigid arm on two bushes.

    Args:
        front_stiffness: sideways stiffness of the front bush [N/m], above 0.
        rear_stiffness: sideways stiffness of the rear bush [N/m], above 0.
        front_at: front bush ahead of the ball joint [m], -1 to 1.
        rear_at: rear bush ahead of the ball joint, so usually below 0 [m], -1 to 1.

    Returns:
        Movement a unit of force [m/N]; the arguments broadcast.

    Raises:
        ValueError: outside a range, or the rear bush not behind the front one.

    Leaves out: bending of the arm, fore-aft give, bush tilt.
    Source: statics of a beam on two springs.

    >>> float(arm_compliance(1e7, 1e6, 0.0, -0.3) * 1e7)
    1.0
    """
    k1 = within("front_bush", front_stiffness, 0, 1e11, above=True)
    k2 = within("rear_bush", rear_stiffness, 0, 1e11, above=True)
    x1 = within("front_bush_at", front_at, -1, 1)
    x2 = within("rear_bush_at", rear_at, -1, 1)
    apart = within("distance between the bushes", x1 - x2, 0, 2, above=True)
    return np.asarray(((x2 / apart) ** 2 / k1) + ((x1 / apart) ** 2 / k2))


def lateral_steer(
    front_stiffness: ArrayLike,
    rear_stiffness: ArrayLike,
    front_at: ArrayLike,
    rear_at: ArrayLike,
    rack_stiffness: ArrayLike,
    tie_at: ArrayLike,
    trail: ArrayLike,
) -> Steer:
    """Steer of a wheel a unit of side force that pushes it toward the car.

    The knuckle is rigid, held sideways by the arm's ball joint and by the tie rod; the force acts
    ``trail`` behind the steering axis. That is the outer wheel of a turn.

    Args:
        front_stiffness: sideways stiffness of the front bush [N/m], above 0.
        rear_stiffness: sideways stiffness of the rear bush [N/m], above 0.
        front_at: front bush ahead of the ball joint [m], -1 to 1.
        rear_at: rear bush ahead of the ball joint [m], -1 to 1.
        rack_stiffness: tie rod, rack and its mounts in line with the tie rod [N/m], above 0.
        tie_at: tie rod's outer joint ahead of the steering axis, below 0 for behind
            [m], 0.03 to 0.5 either way.
        trail: of the force behind the axis [m], -0.1 to 0.2.

    Returns:
        toe, positive for toe-in, and the parts of it from arm and rack [rad/N]; force in tie rod
        and bushes, positive toward the car's middle on the body side [N/N].

    Raises:
        ValueError: outside a range; the message names the argument.

    Leaves out: fore-aft and vertical give, kingpin inclination, tyre moment beside the trail.
    Source: plane statics of the knuckle about its steering axis.

    >>> ahead = lateral_steer(1e7, 1e6, 0.0, -0.3, 1e7, 0.12, 0.02)
    >>> behind = lateral_steer(1e7, 1e6, 0.0, -0.3, 1e7, -0.12, 0.02)
    >>> bool(ahead.toe < 0), bool(behind.toe > 0)
    (True, True)
    """
    give = arm_compliance(front_stiffness, rear_stiffness, front_at, rear_at)
    rack = within("rack", rack_stiffness, 0, 1e11, above=True)
    tie = within("tie rod position", tie_at, -0.5, 0.5)
    within("distance of the tie rod from the axis", np.abs(tie), 0.03, 0.5)
    behind = within("trail", trail, -0.1, 0.2)
    rod = -behind / tie
    ball = 1.0 - rod
    from_rack = rod / rack / tie
    from_arm = -ball * give / tie
    x1 = np.asarray(front_at, dtype=np.float64)
    x2 = np.asarray(rear_at, dtype=np.float64)
    front = ball * -x2 / (x1 - x2)
    return Steer(from_arm + from_rack, from_arm, from_rack, rod, front, ball - front)
