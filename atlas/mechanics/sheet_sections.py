"""Cross-sections of bent sheet and of plates: hat, channel and I.

Axes as in ``sections``; every shape broadcasts over its arguments.
"""

import numpy as np
from numpy.typing import ArrayLike

from .ranges import hollow, within
from .sections import Rectangle, Section, from_rectangles, strip_torsion


def hat(
    width: ArrayLike,
    height: ArrayLike,
    flange: ArrayLike,
    gauge: ArrayLike,
    plate_gauge: ArrayLike = 0.0,
) -> Section:
    """Top-hat with upright walls, open below or closed by a plate under its flanges.

    Args:
        width: outer width of the crown, along y [m].
        height: outer height of the hat without the plate [m].
        flange: width of each flange beyond the wall [m].
        gauge: thickness of the hat [m].
        plate_gauge: thickness of the closing plate [m]; 0 leaves the hat open.

    Returns:
        The section's properties [m2, m4, m3, m]; the lowest fibre is the plate's, or the flange's.

    Raises:
        ValueError: an entry is NaN or outside its range, or the walls fill the hat.

    Leaves out: corner radii, slope of the walls, slip between spot welds (which lowers the
    torsion constant of a closed hat below the seam-welded value given here).
    Source: area by rectangles, exact; torsion by Bredt on the middle line (closed), by the sum of
    strips (open): Roark's Formulas for Stress and Strain, torsion of thin-walled sections.

    >>> open_hat = hat(80e-3, 60e-3, 20e-3, 2e-3)
    >>> closed = hat(80e-3, 60e-3, 20e-3, 2e-3, 2e-3)
    >>> bool(closed.j > 200 * open_hat.j)
    True
    """
    b = within("width", width, 0, 2, above=True)
    h = within("height", height, 0, 2, above=True)
    f = within("flange", flange, 0, 1)
    t = within("gauge", gauge, 0, 1, above=True)
    p = within("plate_gauge", plate_gauge, 0, 1)
    hollow("gauge", t, np.minimum(b, 2 * h))
    b, h, f, t, p = np.broadcast_arrays(b, h, f, t, p)
    right = f + b
    rows: list[Rectangle] = [
        (f, right, p + h - t, p + h),
        (f, f + t, p + t, p + h - t),
        (right - t, right, p + t, p + h - t),
        (0 * f, f + t, p, p + t),
        (right - t, right + f, p, p + t),
    ]
    strips = (
        strip_torsion(b, t) + 2 * strip_torsion(h - t, t) + 2 * strip_torsion(f + 1e-9, t)
    )  # fmt: skip
    if np.any(p > 0):
        if not np.all(p > 0):
            raise ValueError("plate_gauge must be 0 or above 0 throughout")
        rows.append((0 * f, right + f, 0 * p, p))
        side, rise = b - t, h - t / 2 + p / 2
        bottom = side / p  # the plate alone closes the box: its flanges stand outside
        j = 4 * (side * rise) ** 2 / ((side + 2 * rise) / t + bottom)
        return from_rectangles(rows, j + 2 * strip_torsion(f + 1e-9, t + p) + b * t**3 / 3)
    return from_rectangles(rows, strips)


def channel(width: ArrayLike, height: ArrayLike, gauge: ArrayLike, lip: ArrayLike = 0.0) -> Section:
    """Channel with its web upright and flanges to the right, with lips turned inward if wanted.

    Args:
        width: outer width of the flanges, along y [m].
        height: outer height, along z [m].
        gauge: thickness [m].
        lip: outer height of each lip [m]; 0 for none.

    Returns:
        The section's properties [m2, m4, m3, m].

    Raises:
        ValueError: an entry is NaN or outside its range, or the lips meet.

    Leaves out: corner radii, warping; load off the shear centre twists it.
    Source: area by rectangles, exact; torsion by the sum of strips (Roark's Formulas).

    >>> round(float(channel(50e-3, 100e-3, 3e-3).area) * 1e6)
    582
    """
    b = within("width", width, 0, 2, above=True)
    h = within("height", height, 0, 2, above=True)
    t = within("gauge", gauge, 0, 1, above=True)
    c = within("lip", lip, 0, 1)
    hollow("gauge", t, np.minimum(2 * b, h))
    if np.any((c > 0) & (c < t)) or np.any(2 * c > h):
        raise ValueError("lip must be 0, or at least the gauge and at most half the height")
    b, h, t, c = np.broadcast_arrays(b, h, t, c)
    own = np.where(c > 0, c - t, 0.0)
    rows: list[Rectangle] = [
        (0 * b, t, t, h - t),
        (0 * b, b, 0 * h, t),
        (0 * b, b, h - t, h),
        (b - t, b, t, t + own),
        (b - t, b, h - t - own, h - t),
    ]
    j = strip_torsion(h - t, t) + 2 * strip_torsion(b - t / 2, t)
    return from_rectangles(rows, j + 2 * own * t**3 / 3)


def i_section(
    width: ArrayLike, height: ArrayLike, gauge: ArrayLike, web_gauge: ArrayLike
) -> Section:
    """Doubly symmetric I with sharp corners.

    Args:
        width: width of the flanges, along y [m].
        height: outer height, along z [m].
        gauge: thickness of the flanges [m].
        web_gauge: thickness of the web [m].

    Returns:
        The section's properties [m2, m4, m3, m].

    Raises:
        ValueError: an entry is NaN or outside its range, or the flanges meet.

    Leaves out: root fillets (they add to the torsion constant most), warping.
    Source: area by rectangles, exact; torsion by the sum of strips (Roark's Formulas).

    >>> round(float(i_section(60e-3, 80e-3, 5e-3, 4e-3).area) * 1e6)
    880
    """
    b = within("width", width, 0, 2, above=True)
    h = within("height", height, 0, 2, above=True)
    t = within("gauge", gauge, 0, 1, above=True)
    w = within("web_gauge", web_gauge, 0, 1, above=True)
    hollow("gauge", t, h)
    if np.any(w > b):
        raise ValueError("web_gauge must be at most the width")
    b, h, t, w = np.broadcast_arrays(b, h, t, w)
    left = (b - w) / 2
    rows: list[Rectangle] = [
        (0 * b, b, 0 * h, t),
        (0 * b, b, h - t, h),
        (left, left + w, t, h - t),
    ]
    return from_rectangles(rows, 2 * strip_torsion(b, t) + strip_torsion(h - 2 * t, w))
