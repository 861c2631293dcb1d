"""Cross-sections given by an outline with holes, straight edges."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from .sections import Section

Floats = NDArray[np.float64]


def outline_section(
    outline: Sequence[tuple[float, float]], *holes: Sequence[tuple[float, float]]
) -> Section:
    """Properties of a polygon with holes.

    Args:
        outline: corners of the outer edge in turn, either way round [m].
        holes: corners of each hole [m]; they lie inside and do not touch.

    Returns:
        The section's properties about the horizontal and vertical centroidal axes [m2, m4, m3, m].

    Raises:
        ValueError: fewer than three corners, no area, crossing edges, or a hole outside.

    Leaves out: product of inertia (see ``outline_product``); torsion is approximate: a solid by
    Saint-Venant's A^4 / (40 I_p), one with holes by Bredt on the wall around them.
    Source: Green's theorem for polygons, exact; Saint-Venant's approximation as in Timoshenko and
    Goodier, Theory of Elasticity, torsion (from memory).

    >>> s = outline_section([(0, 0), (0.3, 0), (0, 0.6)])
    >>> round(float(s.iy), 6), round(float(s.centre_z), 3)
    (0.0018, 0.2)
    """
    rings = [_ring("outline", outline), *(_ring("hole", hole) for hole in holes)]
    for hole in rings[1:]:
        if not all(_inside(point, rings[0]) for point in hole):
            raise ValueError("a hole reaches outside the outline")
    signed = [(1.0 if k == 0 else -1.0, ring) for k, ring in enumerate(rings)]
    area, sy, sz, iyy, izz = np.sum([sign * _moments(ring) for sign, ring in signed], axis=0)[:5]
    if area <= 0:
        raise ValueError("the holes take all of the outline's area")
    cy, cz = sz / area, sy / area
    iy, iz = iyy - area * cz**2, izz - area * cy**2
    low, high = rings[0].min(axis=0), rings[0].max(axis=0)
    return Section(
        *(
            np.asarray(v, dtype=np.float64)
            for v in (
                area, iy, iz, _torsion(rings, area, iy + iz),
                iy / max(high[1] - cz, cz - low[1]), iz / max(high[0] - cy, cy - low[0]),
                _plastic(signed, 1, area), _plastic(signed, 0, area), cy - low[0], cz - low[1],
            )
        )
    )  # fmt: skip


def outline_product(
    outline: Sequence[tuple[float, float]], *holes: Sequence[tuple[float, float]]
) -> float:
    """Product of inertia of a polygon with holes about its centroid [m4].

    Args:
        outline: corners of the outer edge in turn [m].
        holes: corners of each hole [m].

    Leaves out: nothing.
    Source: Green's theorem for polygons, exact.

    >>> round(outline_product([(0, 0), (1, 0), (0, 1)]), 6)
    -0.013889
    """
    rings = [_ring("outline", outline), *(_ring("hole", hole) for hole in holes)]
    total = np.sum([(1.0 if k == 0 else -1.0) * _moments(r) for k, r in enumerate(rings)], axis=0)
    return float(total[5] - total[1] * total[2] / total[0])


def _ring(name: str, points: Sequence[tuple[float, float]]) -> Floats:
    ring = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    if len(ring) > 1 and np.allclose(ring[0], ring[-1]):
        ring = ring[:-1]
    if not 3 <= len(ring) <= 400:
        raise ValueError(f"{name} needs 3 to 400 corners, got {len(ring)}")
    if not np.all(np.isfinite(ring)) or np.max(np.abs(ring)) > 10:
        raise ValueError(f"{name} has a corner that is no number or farther off than 10 m")
    area = _moments(ring)[0]
    if abs(area) < 1e-12:
        raise ValueError(f"{name} encloses no area")
    if _crosses(ring):
        raise ValueError(f"{name} crosses itself; give its corners in turn")
    return ring if area > 0 else ring[::-1]


def _crosses(ring: Floats) -> bool:
    a, b = ring, np.roll(ring, -1, axis=0)

    def side(p: Floats, q: Floats, r: Floats) -> Floats:
        return np.asarray(
            np.sign((q - p)[..., 0] * (r - p)[..., 1] - (q - p)[..., 1] * (r - p)[..., 0])
        )

    p, q, r, s = a[:, None], b[:, None], a[None], b[None]
    return bool(np.any((side(p, q, r) * side(p, q, s) < 0) & (side(r, s, p) * side(r, s, q) < 0)))


def _inside(point: Floats, ring: Floats) -> bool:
    y, z = point
    a, b = ring, np.roll(ring, -1, axis=0)
    spans = (a[:, 1] > z) != (b[:, 1] > z)
    rise = np.where(spans, b[:, 1] - a[:, 1], 1.0)
    cross = a[:, 0] + (z - a[:, 1]) * (b[:, 0] - a[:, 0]) / rise
    return bool(np.sum(spans & (y < cross)) % 2)


def _moments(ring: Floats) -> Floats:
    """Area, first moments about y and z, second moments about y and z, product."""
    y, z = ring.T
    y2, z2 = np.roll(y, -1), np.roll(z, -1)
    c = y * z2 - y2 * z
    return np.array(
        [
            c.sum() / 2,
            (c * (z + z2)).sum() / 6,
            (c * (y + y2)).sum() / 6,
            (c * (z * z + z * z2 + z2 * z2)).sum() / 12,
            (c * (y * y + y * y2 + y2 * y2)).sum() / 12,
            (c * (y * z2 + 2 * y * z + 2 * y2 * z2 + y2 * z)).sum() / 24,
        ]
    )


def _cut(ring: Floats, axis: int, level: float) -> Floats:
    """The part of a polygon below a level (may be degenerate, its moments are still right)."""
    kept: list[Floats] = []
    for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        if a[axis] <= level:
            kept.append(a)
        if (a[axis] <= level) != (b[axis] <= level):
            kept.append(a + (b - a) * (level - a[axis]) / (b[axis] - a[axis]))
    return np.array(kept) if len(kept) > 2 else np.zeros((3, 2))


def _plastic(signed: list[tuple[float, Floats]], axis: int, area: float) -> float:
    low, high = signed[0][1][:, axis].min(), signed[0][1][:, axis].max()
    total = np.sum([sign * _moments(ring) for sign, ring in signed], axis=0)

    def below(level: float) -> Floats:
        return np.asarray(
            np.sum([s * _moments(_cut(ring, axis, level)) for s, ring in signed], axis=0)
        )

    for _ in range(60):
        middle = (low + high) / 2
        if below(middle)[0] < area / 2:
            low = middle
        else:
            high = middle
    first = 1 if axis == 1 else 2
    return float(total[first] - 2 * below(middle)[first])


def _torsion(rings: list[Floats], area: float, polar: float) -> float:
    if len(rings) == 1:
        return float(area**4 / (40 * polar))
    outer, inner = rings[0], _hull(np.concatenate(rings[1:]))
    enclosed = (_moments(outer)[0] + _moments(inner)[0]) / 2
    girth = (_girth(outer) + _girth(inner)) / 2
    wall = (_moments(outer)[0] - _moments(inner)[0]) / girth
    return float(4 * enclosed**2 * wall / girth + girth * wall**3 / 3)


def _girth(ring: Floats) -> float:
    return float(np.hypot(*(np.roll(ring, -1, axis=0) - ring).T).sum())


def _hull(points: Floats) -> Floats:
    ordered = sorted(map(tuple, points.tolist()))

    def half(run: list[tuple[float, ...]]) -> list[tuple[float, ...]]:
        kept: list[tuple[float, ...]] = []
        for p in run:
            while (
                len(kept) > 1
                and (
                    (kept[-1][0] - kept[-2][0]) * (p[1] - kept[-2][1])
                    - (kept[-1][1] - kept[-2][1]) * (p[0] - kept[-2][0])
                )
                <= 0
            ):
                kept.pop()
            kept.append(p)
        return kept[:-1]

    return np.array(half(ordered) + half(ordered[::-1]))
