"""Cross-sections: area, second moments, moduli and torsion constant.

Axes as in EN 1993-1-1: y across, z upward, so that bending in the vertical plane is about y. Every
shape broadcasts over its arguments.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import hollow, within

Floats = NDArray[np.float64]
Rectangle = tuple[Floats, Floats, Floats, Floats]  # y from, y to, z from, z to


@dataclass(frozen=True)
class Section:
    """Properties of a cross-section, each an array of the arguments' common shape.

    ``centre_y`` and ``centre_z`` locate the centroid from the leftmost and lowest fibre.
    """

    area: Floats  # [m2]
    iy: Floats  # [m4] about the horizontal centroidal axis
    iz: Floats  # [m4] about the vertical centroidal axis
    j: Floats  # [m4] Saint-Venant torsion
    wel_y: Floats  # [m3] elastic, to the farther fibre
    wel_z: Floats  # [m3]
    wpl_y: Floats  # [m3] plastic
    wpl_z: Floats  # [m3]
    centre_y: Floats  # [m]
    centre_z: Floats  # [m]


def round_tube(diameter: ArrayLike, gauge: ArrayLike) -> Section:
    """Round tube or, where twice the gauge is the diameter, round bar.

    Args:
        diameter: outer diameter [m], up to 2.
        gauge: wall thickness [m], at most half the diameter.

    Returns:
        The section's properties [m2, m4, m3, m].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: ovality, seam.
    Source: EN 10219-2:2006, Annex B.2 (circular hollow sections), exact.

    >>> tube = round_tube(60.3e-3, 3.2e-3)
    >>> round(float(tube.area) * 1e6, 1), round(float(tube.iy) * 1e12, -2)
    (574.0, 234700.0)
    """
    outer = within("diameter", diameter, 0, 2, above=True)
    wall = within("gauge", gauge, 0, 1, above=True)
    hollow("gauge", wall, outer)
    outer, wall = np.broadcast_arrays(outer, wall)
    inner = np.maximum(outer - 2 * wall, 0.0)
    inertia = np.pi / 64 * (outer**4 - inner**4)
    elastic = 2 * inertia / outer
    plastic = (outer**3 - inner**3) / 6
    return Section(
        np.pi / 4 * (outer**2 - inner**2), inertia, inertia, 2 * inertia,
        elastic, elastic, plastic, plastic, outer / 2, outer / 2,
    )  # fmt: skip


def box(
    width: ArrayLike,
    height: ArrayLike,
    gauge: ArrayLike,
    outer_radius: ArrayLike = 0.0,
    inner_radius: ArrayLike | None = None,
) -> Section:
    """Rectangular hollow section with rounded corners.

    Args:
        width: outer width, along y [m].
        height: outer height, along z [m].
        gauge: wall thickness [m], at most half the smaller side.
        outer_radius: corner radius outside [m], at most half the smaller side.
        inner_radius: corner radius inside [m]; outer less gauge if not given.

    Returns:
        The section's properties [m2, m4, m3, m].

    Raises:
        ValueError: an entry is NaN or outside its range, inner larger than outer.

    Leaves out: seam, differing gauges.
    Source: EN 10219-2:2006, Annex B.3 (square and rectangular hollow sections).

    >>> rhs = box(60e-3, 120e-3, 4e-3, 8e-3, 4e-3)
    >>> round(float(rhs.area) * 1e4, 1), round(float(rhs.iy) * 1e8), round(float(rhs.j) * 1e8)
    (13.3, 241, 201)
    """
    b = within("width", width, 0, 2, above=True)
    h = within("height", height, 0, 2, above=True)
    t = within("gauge", gauge, 0, 1, above=True)
    ro = within("outer_radius", outer_radius, 0, 1)
    sharp = np.zeros(()) if not np.any(ro) else np.maximum(ro - t, 0)
    ri = sharp if inner_radius is None else inner_radius
    ri = within("inner_radius", ri, 0, 1)
    hollow("gauge", t, np.minimum(b, h))
    if np.any(2 * ro > np.minimum(b, h) * (1 + 1e-12)):
        raise ValueError("outer_radius must be at most half the smaller side")
    if np.any(2 * ri > np.minimum(b, h) - 2 * t + 1e-12):
        raise ValueError("inner_radius must be at most half the smaller inner side")
    # Radii keep their own shape: those of sharp corners are one zero, which spares much.
    shape = np.broadcast_shapes(b.shape, h.shape, t.shape, ro.shape, ri.shape)
    b, h, t = (np.broadcast_to(one, shape) for one in (b, h, t))
    bi, hi = b - 2 * t, h - 2 * t
    area = b * h - bi * hi - (4 - np.pi) * (ro**2 - ri**2)
    iy = _rounded_inertia(b, h, ro) - _rounded_inertia(bi, hi, ri)
    iz = _rounded_inertia(h, b, ro) - _rounded_inertia(hi, bi, ri)
    wpl_y = _rounded_plastic(b, h, ro) - _rounded_plastic(bi, hi, ri)
    wpl_z = _rounded_plastic(h, b, ro) - _rounded_plastic(hi, bi, ri)
    mean_radius = (ro + ri) / 2
    girth = 2 * ((b - t) + (h - t)) - 2 * mean_radius * (4 - np.pi)
    enclosed = (b - t) * (h - t) - mean_radius**2 * (4 - np.pi)
    j = t * t * t * girth / 3 + 4 * enclosed**2 * t / girth
    return Section(
        area, iy, iz, j, 2 * iy / h, 2 * iz / b, wpl_y, wpl_z, b / 2, h / 2
    )  # fmt: skip


def _rounded_inertia(b: Floats, h: Floats, r: Floats) -> Floats:
    """Solid rectangle with rounded corners, about its horizontal axis."""
    lost = (1 - np.pi / 4) * r**2
    arm = h / 2 - (10 - 3 * np.pi) / (12 - 3 * np.pi) * r
    own = (1 / 3 - np.pi / 16 - 1 / (3 * (12 - 3 * np.pi))) * r**4
    return np.asarray(b * h * h * h / 12 - 4 * (own + lost * arm**2))


def _rounded_plastic(b: Floats, h: Floats, r: Floats) -> Floats:
    lost = (1 - np.pi / 4) * r**2
    arm = h / 2 - (10 - 3 * np.pi) / (12 - 3 * np.pi) * r
    return np.asarray(b * h**2 / 4 - 4 * lost * arm)


def multi_cell(
    width: ArrayLike,
    height: ArrayLike,
    gauge: ArrayLike,
    web_gauge: ArrayLike,
    cells_wide: int,
    cells_high: int,
) -> Section:
    """Rectangular extrusion divided into equal cells by inner webs; sharp corners.

    Args:
        width: outer width, along y [m].
        height: outer height, along z [m].
        gauge: thickness of the outer wall [m].
        web_gauge: thickness of the inner webs [m].
        cells_wide: cells side by side [-], 1 to 6.
        cells_high: cells on top of each other [-], 1 to 6.

    Returns:
        The section's properties [m2, m4, m3, m].

    Raises:
        ValueError: an entry is NaN or outside its range, or the walls fill the profile.

    Leaves out: corner radii; the walls' own thin-wall torsion where it is below 1 %.
    Source: area by rectangles, exact; torsion by Bredt's shear flows with one flow a cell
    (T. H. G. Megson, Aircraft Structures, multi-cell tubes in torsion; from memory).

    >>> two = multi_cell(0.1, 0.05, 2e-3, 2e-3, 2, 1)
    >>> one = multi_cell(0.1, 0.05, 2e-3, 2e-3, 1, 1)
    >>> bool(two.iy > one.iy), round(float(two.j / one.j), 3)
    (True, 1.0)
    """
    b = within("width", width, 0, 2, above=True)
    h = within("height", height, 0, 2, above=True)
    t = within("gauge", gauge, 0, 1, above=True)
    w = within("web_gauge", web_gauge, 0, 1, above=True)
    if not (1 <= cells_wide <= 6 and 1 <= cells_high <= 6):
        raise ValueError("cells_wide and cells_high must be 1 to 6")
    b, h, t, w = np.broadcast_arrays(b, h, t, w)
    clear_b = (b - 2 * t - (cells_wide - 1) * w) / cells_wide
    clear_h = (h - 2 * t - (cells_high - 1) * w) / cells_high
    if np.any(clear_b <= 0) or np.any(clear_h <= 0):
        raise ValueError("gauge and web_gauge leave no room for the cells")
    rows: list[Rectangle] = [(0 * b, b, 0 * h, t), (0 * b, b, h - t, h)]
    for i in range(cells_high - 1):
        low = t + (i + 1) * clear_h + i * w
        rows.append((t, b - t, low, low + w))
    for k in range(cells_high):
        low = t + k * (clear_h + w)
        rows.append((0 * b, t, low, low + clear_h))
        rows.append((b - t, b, low, low + clear_h))
        for i in range(cells_wide - 1):
            left = t + (i + 1) * clear_b + i * w
            rows.append((left, left + w, low, low + clear_h))
    # Side walls beside the horizontal webs.
    for i in range(cells_high - 1):
        low = t + (i + 1) * clear_h + i * w
        rows.append((0 * b, t, low, low + w))
        rows.append((b - t, b, low, low + w))
    walls = 2 * t**3 * (b + h - 2 * t) / 3
    return from_rectangles(rows, _bredt(b, h, t, w, cells_wide, cells_high) + walls)


def _bredt(b: Floats, h: Floats, t: Floats, w: Floats, across: int, up: int) -> Floats:
    """Torsion constant of a grid of cells on the walls' middle lines."""
    side, rise = (b - t) / across, (h - t) / up
    count = across * up
    matrix = np.zeros((*b.shape, count, count))
    for k in range(count):
        col, row = k % across, k // across
        for neighbour, inside, length in (
            (k - 1, col > 0, rise),
            (k + 1, col < across - 1, rise),
            (k - across, row > 0, side),
            (k + across, row < up - 1, side),
        ):
            share = length / (w if inside else t)
            matrix[..., k, k] += share
            if inside:
                matrix[..., k, neighbour] -= share
    area = side * rise
    flow = np.linalg.solve(matrix, np.broadcast_to(2 * area[..., None, None], (*b.shape, count, 1)))
    return np.asarray(2 * area * flow[..., 0].sum(axis=-1))


def solid_rectangle(width: ArrayLike, height: ArrayLike) -> Section:
    """Solid rectangle: flat bar, forging, plate strip.

    Args:
        width: along y [m].
        height: along z [m].

    Returns:
        The section's properties [m2, m4, m3, m].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: edge radii.
    Source: exact; torsion see ``strip_torsion``.

    >>> round(float(solid_rectangle(0.05, 0.1).j) * 1e12, -4)
    2860000.0
    """
    b = within("width", width, 0, 2, above=True)
    h = within("height", height, 0, 2, above=True)
    b, h = np.broadcast_arrays(b, h)
    return from_rectangles([(0 * b, b, 0 * h, h)], strip_torsion(b, h))


def strip_torsion(side: ArrayLike, other: ArrayLike) -> Floats:
    """Torsion constant of a solid rectangle of any proportion.

    Args:
        side: one side [m].
        other: the other side [m].

    Returns:
        Saint-Venant torsion constant [m4].

    Leaves out: nothing for a lone rectangle; where strips join, the fillet's part.
    Source: Roark's Formulas for Stress and Strain, torsion of a solid rectangle:
    a b^3 (16/3 - 3.36 b/a (1 - b^4 / (12 a^4))) with half-sides a, b; within 0.5 % of the series.

    >>> round(float(strip_torsion(1.0, 1.0)), 3)
    0.141
    """
    long = np.maximum(side, other) / 2
    short = np.minimum(side, other) / 2
    ratio = short / np.maximum(long, 1e-30)
    return np.asarray(long * short**3 * (16 / 3 - 3.36 * ratio * (1 - ratio**4 / 12)))


def from_rectangles(rectangles: Sequence[Rectangle], torsion: ArrayLike) -> Section:
    """A section put together from rectangles along the axes that do not overlap.

    Args:
        rectangles: y from, y to, z from, z to of each [m].
        torsion: torsion constant, which rectangles alone do not tell [m4].

    Returns:
        The section's properties [m2, m4, m3, m].

    Raises:
        ValueError: the rectangles have no area.

    Leaves out: product of inertia (for sections with an axis of symmetry it is nil).
    Source: parallel-axis theorem; plastic modulus as first moment about the equal-area axis.

    >>> s = from_rectangles([(np.array(0.), np.array(2.), np.array(0.), np.array(1.))], 0.0)
    >>> float(s.wpl_y), float(s.wel_y)
    (0.5, 0.333333)
    """
    y0, y1, z0, z1 = (
        np.stack(np.broadcast_arrays(*(r[i] for r in rectangles)), axis=-1) for i in range(4)
    )
    y0, y1, z0, z1 = np.broadcast_arrays(y0, y1, z0, z1)
    pieces = (y1 - y0) * (z1 - z0)
    area = pieces.sum(axis=-1)
    if np.any(area <= 0):
        raise ValueError("the section has no area")
    centre_z, iy, wel_y, wpl_y, low_z = _about(pieces, z0, z1, area)
    centre_y, iz, wel_z, wpl_z, low_y = _about(pieces, y0, y1, area)
    return Section(
        area, iy, iz, np.broadcast_to(np.asarray(torsion, dtype=np.float64), area.shape),
        wel_y, wel_z, wpl_y, wpl_z, centre_y - low_y, centre_z - low_z,
    )  # fmt: skip


def _about(
    pieces: Floats, low: Floats, high: Floats, area: Floats
) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Centroid, second moment and moduli in one direction, and the outermost fibre."""
    filled = pieces > 0
    bottom = np.where(filled, low, np.inf).min(axis=-1)
    top = np.where(filled, high, -np.inf).max(axis=-1)
    middle = (low + high) / 2
    centre = (pieces * middle).sum(axis=-1) / area
    inertia = (pieces * ((high - low) ** 2 / 12 + (middle - centre[..., None]) ** 2)).sum(axis=-1)
    elastic = inertia / np.maximum(top - centre, centre - bottom)
    # The area below an axis is piecewise linear in it, so the equal-area axis lies between two
    # neighbouring edges and follows by interpolation.
    edges = np.sort(np.concatenate([low, high], axis=-1), axis=-1)
    depth = np.maximum(high - low, 1e-30)
    below = np.stack(
        [
            (pieces * np.clip((edge[..., None] - low) / depth, 0, 1)).sum(axis=-1)
            for edge in np.moveaxis(edges, -1, 0)
        ],
        axis=-1,
    )
    half = area[..., None] / 2
    index = np.clip((below < half - 1e-12 * half).sum(axis=-1), 1, edges.shape[-1] - 1)[..., None]
    upper, lower = (np.take_along_axis(edges, index - k, -1)[..., 0] for k in (0, 1))
    more, less = (np.take_along_axis(below, index - k, -1)[..., 0] for k in (0, 1))
    gap = np.maximum(more - less, 1e-30)
    axis = lower + (upper - lower) * (area / 2 - less) / gap
    above = np.maximum(high - np.maximum(low, axis[..., None]), 0)
    beneath = np.maximum(np.minimum(high, axis[..., None]) - low, 0)
    breadth = pieces / depth
    plastic = (
        breadth
        * (
            above * (np.maximum(low, axis[..., None]) + above / 2 - axis[..., None])
            + beneath * (axis[..., None] - np.minimum(high, axis[..., None]) + beneath / 2)
        )
    ).sum(axis=-1)
    return centre, inertia, elastic, plastic, bottom
