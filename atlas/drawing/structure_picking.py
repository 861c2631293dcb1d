"""Which member of a drawn structure is meant: nearest to a point, or next in a direction."""

import numpy as np

from atlas.catalogue.model import Point
from atlas.drawing.picture import Path, Picture


def nearest_mark(picture: Picture, point: Point) -> tuple[str, float]:
    """The mark of the marked line nearest to a point, and how far that is; empty where none is.

    Of lines that lie over one another the one drawn last counts, since it is the one seen.
    """
    best, nearest = "", np.inf
    for item in picture.items:
        if isinstance(item, Path) and item.mark:
            line = np.asarray(item.points)
            start, along = line[:-1], np.diff(line, axis=0)
            length = np.maximum((along**2).sum(axis=1), 1e-12)
            share = np.clip(((np.asarray(point) - start) * along).sum(axis=1) / length, 0, 1)
            foot = start + share[:, None] * along
            away = float(np.hypot(*(foot - point).T).min())
            if away <= nearest + 1e-9:
                best, nearest = item.mark, min(away, nearest)
    return best, float(nearest)


def middles(picture: Picture) -> dict[str, Point]:
    """Middle of each marked line, to walk from member to member over the sheet."""
    found = {}
    for item in picture.items:
        if isinstance(item, Path) and item.mark:
            line = np.asarray(item.points)
            found[item.mark] = halfway(line)
    return found


def neighbour(spots: dict[str, Point], name: str, across: float, up: float) -> str:
    """The next member from one in a direction on the sheet, itself where there is none.

    What lies straight ahead is preferred to what lies nearer but to the side.

    >>> spots = {"a": (0.0, 0.0), "b": (3.0, 0.5), "c": (1.0, 5.0)}
    >>> neighbour(spots, "a", 1, 0), neighbour(spots, "a", 0, 1), neighbour(spots, "a", -1, 0)
    ('b', 'c', 'a')
    """
    if name not in spots:
        return min(spots, default=name)
    here = spots[name]
    best, cost = name, np.inf
    for other, spot in spots.items():
        ahead = (spot[0] - here[0]) * across + (spot[1] - here[1]) * up
        aside = abs((spot[0] - here[0]) * up) + abs((spot[1] - here[1]) * across)
        if other != name and ahead > 1e-6 and ahead + 2.5 * aside < cost:
            best, cost = other, ahead + 2.5 * aside
    return best


def halfway(line: "np.typing.NDArray[np.float64]") -> Point:
    """The point at half the length of a line of (points, 2 or more)."""
    steps = np.hypot(*np.diff(line[:, :2], axis=0).T)
    far = np.concatenate([[0.0], np.cumsum(steps)])
    half = far[-1] / 2
    return (float(np.interp(half, far, line[:, 0])), float(np.interp(half, far, line[:, 1])))
