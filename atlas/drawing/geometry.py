"""Points along curves and arcs, dashes along a path, and the inside of a polygon."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from atlas.catalogue.model import Point

Dots = NDArray[np.int64]
# Rounds halves up, and what is a half but for the last bits of a sum with it: a picture is the
# same whichever way those bits fall.
_HALF = 0.5 + 1e-6


def smooth(points: Sequence[Point], steps: int = 10) -> list[Point]:
    """Pass a centripetal-looking spline (Catmull-Rom) through all ``points``.

    >>> smooth([(0.0, 0.0), (1.0, 0.0)])
    [(0.0, 0.0), (1.0, 0.0)]
    """
    if len(points) < 3:
        return list(points)
    p = np.asarray(points, dtype=np.float64)
    padded = np.vstack([2 * p[0] - p[1], p, 2 * p[-1] - p[-2]])
    t = np.linspace(0.0, 1.0, steps, endpoint=False)[:, None]
    pieces = []
    for a, b, c, d in zip(padded, padded[1:], padded[2:], padded[3:], strict=False):
        pieces.append(
            0.5
            * (
                2 * b
                + (c - a) * t
                + (2 * a - 5 * b + 4 * c - d) * t**2
                + (3 * b - a - 3 * c + d) * t**3
            )
        )
    return [(float(x), float(y)) for x, y in np.vstack([*pieces, p[-1:]])]


def arc(at: Point, radius: float, start: float = 0.0, end: float = 360.0) -> list[Point]:
    """Return points on a circular arc, anticlockwise from ``start`` to ``end`` degrees."""
    sweep = (end - start) % 360.0 or 360.0
    count = max(8, math.ceil(sweep / 9.0))
    angles = np.radians(np.linspace(start, start + sweep, count + 1))
    return [
        (float(at[0] + radius * math.cos(a)), float(at[1] + radius * math.sin(a))) for a in angles
    ]


def towards(at: Point, angle: float, length: float) -> Point:
    """Return the point ``length`` away from ``at`` in the direction ``angle`` [degrees]."""
    a = math.radians(angle)
    return (at[0] + length * math.cos(a), at[1] + length * math.sin(a))


def angle_of(tail: Point, head: Point) -> float:
    """Direction from tail to head [degrees], -180 to 180."""
    return math.degrees(math.atan2(head[1] - tail[1], head[0] - tail[0]))


def dots_along(path: NDArray[np.float64]) -> Dots:
    """Return the dots, in order and each once, that a straight-edged path runs through."""
    path = np.asarray(path, dtype=np.float64)
    if len(path) < 2:
        return np.floor(path + _HALF).astype(np.int64)
    start, along = path[:-1], np.diff(path, axis=0)
    reach = np.abs(np.diff(np.floor(path + _HALF), axis=0)).max(axis=1)
    counts = np.clip(reach, 1, 20_000).astype(np.int64) + 1
    piece = np.repeat(np.arange(len(counts)), counts)
    place = np.arange(len(piece)) - np.repeat(np.cumsum(counts) - counts, counts)
    t = place / (counts - 1)[piece]
    dots = np.floor(start[piece] + along[piece] * t[:, None] + _HALF).astype(np.int64)
    fresh = np.ones(len(dots), dtype=bool)
    fresh[1:] = np.any(dots[1:] != dots[:-1], axis=1)
    return np.asarray(dots[fresh])


def inside(path: NDArray[np.float64], width: int, height: int) -> NDArray[np.bool_]:
    """Mask, ``height`` by ``width``, of the dots whose centre lies in a closed path (even-odd)."""
    mask = np.zeros((height, width), dtype=bool)
    x0, y0 = np.clip(np.floor(path.min(axis=0)), 0, [width, height]).astype(int)
    x1, y1 = np.clip(np.ceil(path.max(axis=0)) + 1, 0, [width, height]).astype(int)
    if x0 >= x1 or y0 >= y1:
        return mask
    xs, ys = np.meshgrid(np.arange(x0, x1), np.arange(y0, y1))
    hit = np.zeros(xs.shape, dtype=bool)
    for (ax, ay), (bx, by) in zip(path, np.roll(path, -1, axis=0), strict=True):
        if ay == by:
            continue
        crosses = (ay > ys) != (by > ys)
        hit ^= crosses & (xs < (bx - ax) * (ys - ay) / (by - ay) + ax)
    mask[y0:y1, x0:x1] = hit
    return mask
