"""True places of points that a part or a tool offers: corners, bolt circles, rulers."""

import math

from atlas.errors import BadInput

Places = tuple[tuple[float, ...], ...]


def rectangle(width: float, height: float) -> Places:
    """Corners in turn, from the first: along the width, then the height.

    Args:
        width, height: between the corners [mm].

    Raises:
        BadInput: a size of nothing, or of more than 100 m.

    >>> rectangle(700, 300)
    ((0.0, 0.0), (700.0, 0.0), (700.0, 300.0), (0.0, 300.0))
    """
    w, h = _size(width, "width"), _size(height, "height")
    return ((0.0, 0.0), (w, 0.0), (w, h), (0.0, h))


def bolt_circle(count: int, diameter: float) -> Places:
    """Holes evenly round a circle, clockwise from the top, from its middle.

    Args:
        count: holes, 4 to 12 (three fix no plane).
        diameter: of the circle through their middles [mm].

    Raises:
        BadInput: too few or too many holes, or such a size.

    >>> bolt_circle(4, 100)
    ((0.0, -50.0), (50.0, 0.0), (0.0, 50.0), (-50.0, 0.0))
    """
    if not 4 <= count <= 12:
        raise BadInput(f"{count} holes", "bolt circle", "give 4 to 12")
    radius = _size(diameter, "diameter") / 2
    turns = [2 * math.pi * i / count for i in range(count)]
    return tuple(
        (round(radius * math.sin(a), 3) + 0.0, round(-radius * math.cos(a), 3) + 0.0)
        for a in turns
    )  # fmt: skip


def ruler(count: int, step: float) -> Places:
    """Marks along an edge, evenly from nought.

    Args:
        count: marks, at least 3.
        step: between two of them [mm].

    Raises:
        BadInput: too few or too many marks, or such a step.

    >>> ruler(3, 100)
    ((0.0,), (100.0,), (200.0,))
    """
    if not 3 <= count <= 40:
        raise BadInput(f"{count} marks", "ruler", "give 3 to 40")
    each = _size(step, "step")
    return tuple((i * each,) for i in range(count))


def _size(value: float, name: str) -> float:
    if not 0 < value <= 100_000:
        raise BadInput(f"{value:g} mm", name, "give more than 0, up to 100000 mm")
    return float(value)
