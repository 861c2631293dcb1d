"""Lengths from one picture: the map between a plane, or a line, and its image."""

from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
_UNDETERMINED = (
    "known: three of the points lie on one line, or stand in another order than their places; take "
    "four corners and go round the same way in both"
)


def homography(image: ArrayLike, world: ArrayLike) -> Floats:
    """Map from picture to plane that takes each marked point to its known place.

    Args:
        image: marked points, shape (..., k, 2) with k at least 4 [px].
        world: their places on the plane, shape (k, 2) or (..., k, 2) [m].

    Returns:
        Matrices of shape (..., 3, 3), lower right element 1; least squares where k > 4 [-].

    Raises:
        ValueError: fewer than four points, three of four on one line, or out of order.

    Leaves out: lens distortion; points that lie off the plane.
    Source: R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed. 2004, section 4.1 (direct
    linear transformation with normalised points; section from memory).

    >>> h = homography([[0, 0], [10, 0], [10, 10], [0, 10]], [[0, 0], [1, 0], [1, 1], [0, 1]])
    >>> project(h, [5, 5])
    array([0.5, 0.5])
    """
    seen = np.asarray(image, dtype=np.float64)
    place = np.broadcast_to(np.asarray(world, dtype=np.float64), seen.shape)
    if seen.shape[-2] < 4:
        raise ValueError(f"known: {seen.shape[-2]} points; a plane needs at least 4")
    to_unit_image, u = _normalised(seen)
    to_unit_world, w = _normalised(place)
    x, y = u[..., 0], u[..., 1]
    one, zero = np.ones_like(x), np.zeros_like(x)
    rows_x = np.stack([x, y, one, zero, zero, zero, -w[..., 0] * x, -w[..., 0] * y], axis=-1)
    rows_y = np.stack([zero, zero, zero, x, y, one, -w[..., 1] * x, -w[..., 1] * y], axis=-1)
    system = np.concatenate([rows_x, rows_y], axis=-2)
    right = np.concatenate([w[..., 0], w[..., 1]], axis=-1)
    turned = np.swapaxes(system, -1, -2)
    normal = turned @ system
    # Collinear places, or a horizon through the midst of the marks, leave the map undetermined.
    spread = np.linalg.eigvalsh(normal)  # symmetric: a third of the time of singular values
    if not np.all(spread[..., 0] > 1e-13 * spread[..., -1]):
        raise ValueError(_UNDETERMINED)
    h = np.linalg.solve(normal, (turned @ right[..., None]))[..., 0]
    unit = np.concatenate([h, np.ones((*h.shape[:-1], 1))], axis=-1).reshape(*h.shape[:-1], 3, 3)
    if not np.all(np.linalg.cond(unit) < 1e10):  # collinear marks squeeze the picture to a line
        raise ValueError(_UNDETERMINED)
    full = np.linalg.inv(to_unit_world) @ unit @ to_unit_image
    return np.asarray(full / full[..., 2:, 2:])


def project(matrix: ArrayLike, points: ArrayLike) -> Floats:
    """Where a homography takes points.

    Args:
        matrix: homographies, shape (..., 3, 3) [-].
        points: shape (..., 2) or (..., k, 2) [px].

    Returns:
        Places on the plane, shape as the points [m].

    Raises:
        ValueError: a point lies on the plane's horizon; ``sides`` tells one beyond it.

    Leaves out: lens distortion.
    Source: Hartley and Zisserman 2004, section 2.3 (section from memory).

    >>> project(np.eye(3), [3, 4])
    array([3., 4.])
    """
    h = np.asarray(matrix, dtype=np.float64)
    p = np.asarray(points, dtype=np.float64)
    single = p.ndim == 1
    if single:
        p = p[None]
    lifted = np.concatenate([p, np.ones((*p.shape[:-1], 1))], axis=-1)
    mapped = lifted @ np.swapaxes(h, -1, -2)
    depth = mapped[..., 2:]
    if np.any(np.abs(depth) < 1e-12):
        raise ValueError("wanted: a point lies on the horizon of the plane")
    flat = mapped[..., :2] / depth
    return np.asarray(flat[..., 0, :] if single else flat)


def sides(matrix: ArrayLike, points: ArrayLike) -> Floats:
    """On which side of the plane's horizon points of the picture lie.

    Args:
        matrix: homographies, shape (..., 3, 3) [-].
        points: shape (..., k, 2) [px].

    Returns:
        1, -1, or 0 on the horizon itself, shape (..., k) [-]. All that one camera sees of one
        plane lies on one side; known points on both say that they were marked in another order
        than their places were given.

    Leaves out: lens distortion.
    Source: the line at infinity maps to the horizon; Hartley and Zisserman 2004, section 8.6
    (section from memory).

    >>> sides(np.eye(3), [[0, 0], [5, 5]])
    array([1., 1.])
    """
    h = np.asarray(matrix, dtype=np.float64)
    p = np.asarray(points, dtype=np.float64)
    depth = np.einsum("...kd,...d->...k", p, h[..., 2, :2]) + h[..., 2, 2, None]
    return np.asarray(np.sign(depth))


def breadth(image: ArrayLike) -> float:
    """How far from one line the best four of several points keep.

    Args:
        image: marked points, shape (k, 2) with k at least 4 [px].

    Returns:
        Of four points, the least height of a triangle of three over its longest side; of more,
        that of the four where it is greatest [-]. A square has 0.5; 0 fixes no plane.

    Raises:
        ValueError: fewer than four points.

    Leaves out: from eleven points on, the four are sought among the ten that lie farthest apart.
    Source: geometry of the triangle; three collinear points leave a homography undetermined,
    Hartley and Zisserman 2004, section 4.1.3 (section from memory).

    >>> breadth([[0, 0], [1, 0], [1, 1], [0, 1]])
    0.5
    """
    p = np.asarray(image, dtype=np.float64)
    if len(p) < 4:
        raise ValueError(f"known: {len(p)} points; a plane needs at least 4")
    if len(p) > 10:
        p = _scattered(p, 10)
    fours = p[list(combinations(range(len(p)), 4))]
    threes = fours[:, list(combinations(range(4), 3))]
    edges = np.roll(threes, -1, axis=2) - threes
    longest = np.max(np.sum(edges**2, axis=-1), axis=-1)
    twice = np.abs(edges[..., 0, 0] * edges[..., 1, 1] - edges[..., 0, 1] * edges[..., 1, 0])
    height = np.divide(twice, longest, out=np.zeros_like(twice), where=longest > 0)
    return float(np.max(np.min(height, axis=-1)))


def within_hull(points: ArrayLike, corners: ArrayLike) -> NDArray[np.bool_]:
    """Whether points lie inside the convex hull of others.

    Args:
        points: shape (m, 2) [px].
        corners: points that span the hull, shape (k, 2) with k at least 3 [px].

    Returns:
        One truth value each, its rim included, shape (m,) [-].

    Leaves out: nothing.
    Source: a point lies outside exactly where some line through it has all corners on one side;
    the widest angle between neighbouring directions is then more than half a turn.

    >>> within_hull([[1, 1], [3, 1]], [[0, 0], [2, 0], [2, 2], [0, 2]])
    array([ True, False])
    """
    p = np.asarray(points, dtype=np.float64)
    c = np.asarray(corners, dtype=np.float64)
    away = c[None] - p[:, None]
    on_corner = np.any(np.all(np.abs(away) < 1e-9, axis=-1), axis=-1)
    turn = np.sort(np.arctan2(away[..., 1], away[..., 0]), axis=-1)
    gaps = np.diff(np.concatenate([turn, turn[:, :1] + 2 * np.pi], axis=-1), axis=-1)
    return np.asarray((np.max(gaps, axis=-1) <= np.pi + 1e-9) | on_corner)


def _scattered(points: Floats, count: int) -> Floats:
    """So many of the points, each the farthest from those taken before."""
    taken = [int(np.argmax(np.linalg.norm(points - points.mean(axis=0), axis=-1)))]
    while len(taken) < count:
        nearest = np.min(np.linalg.norm(points[:, None] - points[taken], axis=-1), axis=-1)
        taken.append(int(np.argmax(nearest)))
    return np.asarray(points[taken])


def line_map(image: ArrayLike, world: ArrayLike) -> Floats:
    """Map from position along a line's image to position along the line.

    Args:
        image: positions along the image of the line, shape (..., k) with k at least 3 [px].
        world: known positions along the line, shape (k,) [m].

    Returns:
        Coefficients (a, b, c) of x = (a u + b) / (c u + 1), shape (..., 3) [-].

    Raises:
        ValueError: fewer than three points, or two that coincide.

    Leaves out: lens distortion.
    Source: the cross ratio of four points on a line is kept in a picture; Hartley and Zisserman
    2004, section 2.5 (section from memory).

    >>> a, b, c = line_map([0, 1, 2], [0, 1, 2])
    >>> float((a * 3 + b) / (c * 3 + 1))
    3.0
    """
    u = np.asarray(image, dtype=np.float64)
    x = np.broadcast_to(np.asarray(world, dtype=np.float64), u.shape)
    if u.shape[-1] < 3:
        raise ValueError(f"known: {u.shape[-1]} points; a line needs at least 3")
    size = np.max(np.abs(u), axis=-1, keepdims=True)
    scaled = u / size
    system = np.stack([scaled, np.ones_like(u), -x * scaled], axis=-1)
    turned = np.swapaxes(system, -1, -2)
    normal = turned @ system
    if np.any(np.abs(np.linalg.det(normal)) < 1e-18):
        raise ValueError("known: two of the points on the line coincide")
    found = np.linalg.solve(normal, turned @ x[..., None])[..., 0]
    return np.asarray(found / np.concatenate([size, np.ones_like(size), size], axis=-1))


def _normalised(points: Floats) -> tuple[Floats, Floats]:
    """Matrix that centres points and scales their mean distance to sqrt 2, and the points so."""
    centre = points.mean(axis=-2, keepdims=True)
    away = points - centre
    mean = np.linalg.norm(away, axis=-1).mean(axis=-1)
    if np.any(mean <= 0):
        raise ValueError("known: all points coincide")
    scale = np.sqrt(2) / mean
    matrix = np.zeros((*scale.shape, 3, 3))
    matrix[..., 0, 0] = matrix[..., 1, 1] = scale
    matrix[..., 0, 2] = -scale * centre[..., 0, 0]
    matrix[..., 1, 2] = -scale * centre[..., 0, 1]
    matrix[..., 2, 2] = 1.0
    return matrix, away * scale[..., None, None]
