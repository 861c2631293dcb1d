"""What a rigid barrier of part overlap meets on the front of a vehicle, seen in plan."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]


def barrier_edge(width: ArrayLike, overlap: ArrayLike) -> Floats:
    """Distance of the barrier's inner edge from the vehicle's centre plane, struck side positive.

    Args:
        width: overall width without mirrors [m], 0.5 to 4.
        overlap: share of that width which the barrier covers [-], 0.01 to 1.

    Returns:
        Position of the edge; negative where the barrier reaches past the centre [m].

    Raises:
        ValueError: outside a range; the message names the argument.

    Leaves out: an approach at an angle.
    Source: the offset from the centre plane is (1/2 - overlap) of the width: offset barrier crash
    test protocol, version III, June 1996 (40 % overlap: 10 % of the width from the centre).

    >>> float(barrier_edge(2.0, 0.25))
    0.5
    """
    across = within("width", width, 0.5, 4)
    share = within("overlap", overlap, 0.01, 1)
    return across * (0.5 - share)


def recession(lateral: ArrayLike, edge: ArrayLike, radius: ArrayLike) -> Floats:
    """How far the barrier's rounded corner stands back from its flat face.

    Args:
        lateral: position across the car, struck side positive [m].
        edge: position of the barrier's inner edge [m].
        radius: of the corner [m], 0 to 1.

    Returns:
        Distance behind the face; infinite beside the barrier [m].

    Raises:
        ValueError: the radius is outside its range.

    Leaves out: the part of the corner that turns past 90 degrees.
    Source: circle tangent to the face and to the line of the edge.

    >>> recession([0.5, 0.65, 0.8, 0.4], 0.5, 0.15)
    array([0.15, 0. , 0. , inf])
    """
    bend = within("radius", radius, 0, 1)
    into = np.asarray(lateral, dtype=np.float64) - np.asarray(edge, dtype=np.float64)
    short = np.clip(bend - into, 0.0, bend)
    back = bend - np.sqrt(np.maximum(bend**2 - short**2, 0.0))
    return np.where(into >= -1e-12, back, np.inf)


def banded(low: ArrayLike, high: ArrayLike, band_low: ArrayLike, band_high: ArrayLike) -> Floats:
    """Share of a part's height that faces a barrier.

    Args:
        low: the part's lower edge above ground [m].
        high: its upper edge [m].
        band_low: the barrier's lower edge [m].
        band_high: its upper edge [m].

    Returns:
        Share of the part's height, 0 to 1 [-].

    Raises:
        ValueError: an upper edge is not above the lower one.

    Leaves out: dive, lift and crush of the barrier's edge.
    Source: geometry.

    >>> banded([0.4, 0.5, 0.6], [0.5, 0.6, 0.7], 0.45, 0.6).round(2)
    array([0.5, 1. , 0. ])
    """
    bottom, top = np.asarray(low, dtype=np.float64), np.asarray(high, dtype=np.float64)
    height = within("upper less lower edge", top - bottom, 0, 10, above=True)
    within("barrier's upper less lower edge", np.subtract(band_high, band_low), 0, 10, above=True)
    met = np.minimum(top, band_high) - np.maximum(bottom, band_low)
    return np.asarray(np.clip(met / height, 0.0, 1.0))


def travel_to_clear(into: ArrayLike, face: ArrayLike, friction: ArrayLike) -> Floats:
    """Travel until a slanted face has carried the car sideways past the barrier's edge.

    Args:
        into: how far the face's outer end lies inside the barrier's edge [m].
        face: its angle to the car's length [rad], above 0 to pi / 2.
        friction: between face and barrier [-], 0 to 2.

    Returns:
        Travel along the car; infinite where the face sticks instead of sliding [m].

    Raises:
        ValueError: outside a range; the message names the argument.

    Leaves out: give of the face and of what holds it, yaw of the car.
    Source: a rigid wedge: sideways over forward is the tangent of the face's angle, and it slides
    while that tangent stays below one over the friction (statics of a block on a slope).

    >>> travel_to_clear(0.1, np.radians([30.0, 45.0, 80.0]), 0.3).round(3)
    array([0.173, 0.1  ,   inf])
    """
    angle = within("face", face, 0, np.pi / 2, above=True)
    grip = within("friction", friction, 0, 2)
    inside = np.maximum(np.asarray(into, dtype=np.float64), 0.0)
    slope = np.tan(angle)
    return np.where(slope * grip < 1, inside / slope, np.inf)


def covered(inner: ArrayLike, outer: ArrayLike, edge: ArrayLike) -> Floats:
    """Share of a part's width that lies within the barrier.

    Args:
        inner: the part's inner side from the centre plane [m].
        outer: its outer side [m], above ``inner``.
        edge: the barrier's inner edge [m].

    Returns:
        Share of the width, 0 to 1 [-].

    Raises:
        ValueError: the outer side is not outside the inner one.

    Leaves out: height.
    Source: geometry.

    >>> covered([0.3, 0.45, 0.6], [0.5, 0.55, 0.8], 0.5)
    array([0. , 0.5, 1. ])
    """
    near = np.asarray(inner, dtype=np.float64)
    far = np.asarray(outer, dtype=np.float64)
    across = within("outer side less inner side", far - near, 0, 10, above=True)
    return np.asarray(np.clip((far - np.asarray(edge)) / across, 0.0, 1.0))
