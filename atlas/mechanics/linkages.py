"""Front-view linkages of a wheel: double wishbone and strut, exact circles.

Coordinates of one side at design height: y outward from the car's middle, z up from the ground.
Points are pairs of arrays that broadcast over samples.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Point = tuple[Floats, Floats]


@dataclass(frozen=True)
class Pose:
    """A wheel at some travel, relative to the body.

    ``solved`` is false where the linkage cannot reach that travel; the rest is then NaN.
    """

    camber: Floats  # [rad] top outward positive, change from design
    patch_y: Floats  # [m] lateral place of the contact patch
    patch_z: Floats  # [m] height of the contact patch; the travel
    lower: Point  # [m] outer lower joint
    upper: Point  # [m] outer upper joint, or the strut's top mount
    arm_angle: Floats  # [rad] lower arm against its design attitude
    roll_centre: Floats  # [m] height over the ground
    swing_arm: Floats  # [m] front-view swing-arm length, positive to the inside
    solved: NDArray[np.bool_]


def double_wishbone(
    lower_inner: Point,
    lower_outer: Point,
    upper_inner: Point,
    upper_outer: Point,
    patch: Point,
    arm_turn: Floats,
) -> Pose:
    """Wheel pose of a double wishbone when its lower arm has turned.

    Args:
        lower_inner: pivot of the lower arm on the body [m].
        lower_outer: lower ball joint at design height [m].
        upper_inner: pivot of the upper arm on the body [m].
        upper_outer: upper ball joint at design height [m].
        patch: middle of the contact patch at design height [m].
        arm_turn: turn of the lower arm, outer end upward positive [rad].

    Returns:
        The pose [m, rad].

    Leaves out: bush give, steer, anti-dive (one transverse plane only).
    Source: planar four-bar, closure by intersecting circles; J. C. Dixon, Suspension Geometry and
    Computation, front-view analysis (from memory).

    >>> li, lo, ui, uo = (0.35, 0.19), (0.72, 0.19), (0.42, 0.43), (0.69, 0.48)
    >>> pose = double_wishbone(li, lo, ui, uo, (0.76, 0.0), np.array([0.0, 0.1]))
    >>> pose.camber.round(4)
    array([ 0.    , -0.0256])
    """
    ly, lz = _turned(lower_inner, lower_outer, arm_turn)
    upright = np.hypot(upper_outer[0] - lower_outer[0], upper_outer[1] - lower_outer[1])
    arm = np.hypot(upper_outer[0] - upper_inner[0], upper_outer[1] - upper_inner[1])
    side = _side(lower_outer, upper_inner, upper_outer)
    uy, uz, solved = _meet((ly, lz), upright, upper_inner, arm, side)
    return _pose(
        lower_inner,
        lower_outer,
        (ly, lz),
        upper_inner,
        upper_outer,
        (uy, uz),
        patch,
        arm_turn,
        solved,
    )


def strut(
    lower_inner: Point,
    lower_outer: Point,
    top: Point,
    patch: Point,
    arm_turn: Floats,
) -> Pose:
    """Wheel pose of a strut (one lower arm, a sliding leg up to the body) when the arm has turned.

    Args:
        lower_inner: pivot of the lower arm on the body [m].
        lower_outer: lower ball joint at design height [m].
        top: the strut's top mount on the body [m].
        patch: middle of the contact patch at design height [m].
        arm_turn: turn of the lower arm, outer end upward positive [rad].

    Returns:
        The pose [m, rad].

    Leaves out: bush give, steer, anti-dive (one transverse plane only).
    Source: slider-crank inversion, exact; J. C. Dixon, Suspension Geometry and Computation.

    >>> pose = strut((0.35, 0.19), (0.72, 0.18), (0.6, 0.85), (0.76, 0.0), np.array([0.0, 0.1]))
    >>> bool(pose.camber[1] < 0)
    True
    """
    # Whatever angle the sliding axis has to the line from joint to top mount, it keeps.
    lower = _turned(lower_inner, lower_outer, arm_turn)
    solved = np.ones(np.broadcast_shapes(np.shape(lower[0]), np.shape(top[0])), dtype=bool)
    return _pose(lower_inner, lower_outer, lower, None, top, top, patch, arm_turn, solved)


def _pose(
    lower_inner: Point, lower_outer: Point, lower: Point, upper_inner: Point | None,
    upper_outer: Point, upper: Point, patch: Point, turn: Floats, solved: NDArray[np.bool_],
) -> Pose:  # fmt: skip
    before = np.arctan2(upper_outer[0] - lower_outer[0], upper_outer[1] - lower_outer[1])
    camber = np.arctan2(upper[0] - lower[0], upper[1] - lower[1]) - before
    c, s = np.cos(camber), np.sin(camber)
    dy, dz = patch[0] - lower_outer[0], patch[1] - lower_outer[1]
    py, pz = lower[0] + c * dy + s * dz, lower[1] - s * dy + c * dz
    # Instant centre: the lower arm's line meets the upper arm's, or the normal of the leg.
    a = (lower[0] - lower_inner[0], lower[1] - lower_inner[1])
    if upper_inner is None:
        leg = (upper[0] - lower[0], upper[1] - lower[1])
        b = (leg[1], -leg[0])
    else:
        b = (upper[0] - upper_inner[0], upper[1] - upper_inner[1])
    det = a[0] * b[1] - a[1] * b[0]
    gap = (upper[0] - lower[0], upper[1] - lower[1])
    with np.errstate(divide="ignore", invalid="ignore"):
        along = (gap[0] * b[1] - gap[1] * b[0]) / det
        centre_y, centre_z = lower[0] + along * a[0], lower[1] + along * a[1]
        swing = py - centre_y
        slope = (centre_z - pz) / swing
        # Parallel links: the centre lies at infinity in their direction.
        slope = np.where(np.abs(det) < 1e-12, -a[1] / a[0], slope)
    return Pose(
        np.where(solved, camber, np.nan),
        np.where(solved, py, np.nan),
        np.where(solved, pz, np.nan),
        lower,
        upper,
        np.asarray(turn),
        np.where(solved, slope * py, np.nan),
        np.where(np.abs(det) < 1e-12, np.inf, swing),
        solved,
    )


def _turned(pivot: Point, outer: Point, turn: Floats) -> Point:
    dy, dz = outer[0] - pivot[0], outer[1] - pivot[1]
    c, s = np.cos(turn), np.sin(turn)
    return np.asarray(pivot[0] + c * dy - s * dz), np.asarray(pivot[1] + s * dy + c * dz)


def _side(centre: Point, other: Point, point: Point) -> Floats:
    """On which side of the line between two circles' centres the design point lies."""
    cross = (other[0] - centre[0]) * (point[1] - centre[1]) - (other[1] - centre[1]) * (
        point[0] - centre[0]
    )
    return np.asarray(np.where(cross >= 0, 1.0, -1.0))


def _meet(
    one: Point, radius: Floats, other: Point, reach: Floats, side: Floats
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    dy, dz = other[0] - one[0], other[1] - one[1]
    gap = np.hypot(dy, dz)
    along = (radius**2 - reach**2 + gap**2) / (2 * gap)
    square = radius**2 - along**2
    across = side * np.sqrt(np.maximum(square, 0.0))
    y = one[0] + along * dy / gap - across * dz / gap
    z = one[1] + along * dz / gap + across * dy / gap
    return y, z, np.asarray(square >= 0)
