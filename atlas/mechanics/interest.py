"""Where a corner or the middle of a hole lies in a picture, to a fraction of a pixel."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def distinct_point(grey: ArrayLike, near: ArrayLike, reach: float) -> Floats:
    """The corner, or the middle of a round spot, next to a place in a picture.

    At a corner the edges run through the point; round a spot they run across the lines to it. For
    both the point follows by least squares from the gradients about it, the stronger the heavier;
    what leaves less over is taken, and the window moves there until it stays.

    Args:
        grey: brightness, shape (h, w); the pixel in row i, column j is centred on
            (j + 0.5, i + 0.5) [-].
        near: where to look, x and y [px].
        reach: radius of the window, 3 or more [px].

    Returns:
        x, y and its standard deviation, shape (3,) [px].

    Raises:
        ValueError: nothing stands out there: no edges, one straight edge, or the point runs away.

    Leaves out: that the image of a circle's middle is not quite the middle of its image.
    Source: W. Foerstner, E. Guelch, A fast operator for detection and precise location of distinct
    points, corners and centres of circular features, ISPRS workshop Interlaken 1987, 281-305 (page
    numbers from memory).

    >>> grey = np.zeros((40, 40)); grey[20:, 20:] = 1
    >>> distinct_point(grey, [23, 18], 8)[:2]
    array([20., 20.])
    """
    picture = _smoothed(np.asarray(grey, dtype=np.float64))
    start = np.asarray(near, dtype=np.float64)
    down, across = np.gradient(picture)
    rows, columns = np.mgrid[: picture.shape[0], : picture.shape[1]] + 0.5
    place = np.stack([columns, rows], axis=-1).reshape(-1, 2)
    slope = np.stack([across, down], axis=-1).reshape(-1, 2)
    turned = slope[:, ::-1] * [-1, 1]
    point = start
    for _ in range(30):
        away = np.sum((place - point) ** 2, axis=-1) / reach**2
        weight = np.where(away < 4, np.exp(-1.5 * away), 0.0)
        found = [_met(place, one, weight) for one in (slope, turned)]
        best, _, spread = min(found, key=lambda one: one[1])
        if not np.all(np.abs(best - start) <= 2 * reach):
            raise ValueError("no corner and no round spot stands out here")
        moved, point = np.max(np.abs(best - point)), best
        if moved < 1e-4:
            break
    return np.array([*point, spread])


def _met(place: Floats, slope: Floats, weight: Floats) -> tuple[Floats, float, float]:
    """The point that lines across the slopes come nearest to, the rest, and its deviation."""
    heavy = slope * weight[:, None]
    normal = heavy.T @ slope
    least, most = np.linalg.eigvalsh(normal)
    # All slopes alike are a straight edge; hardly any slope is a plain surface.
    if most <= 1e-9 * max(float(weight.sum()), 1e-300) or least < 0.1 * most:
        return np.full(2, np.inf), np.inf, np.inf
    right = heavy.T @ np.sum(slope * place, axis=-1)
    point = np.linalg.solve(normal, right)
    rest = float(np.sum(weight * np.sum(slope * (place - point), axis=-1) ** 2))
    count = max(float(weight.sum()) - 2, 1.0)
    spread = float(np.sqrt(rest / count * np.trace(np.linalg.inv(normal)) / 2))
    return point, rest, spread


def _smoothed(grey: Floats) -> Floats:
    """Binomial smoothing, which takes a little of the camera's noise."""
    padded = np.pad(grey, 1, mode="edge")
    rows = padded[:-2] + 2 * padded[1:-1] + padded[2:]
    return (rows[:, :-2] + 2 * rows[:, 1:-1] + rows[:, 2:]) / 16
