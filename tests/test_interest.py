"""Corners and middles of holes, against shapes drawn finely and averaged to pixels."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.mechanics.interest import distinct_point

FINE = 8  # parts of a pixel in which the shapes are drawn: an independent, exact rendering


def averaged(inside, size=60):
    """A picture of a region, each pixel the share of it that lies inside."""
    rows, columns = (np.mgrid[: size * FINE, : size * FINE] + 0.5) / FINE
    return inside(columns, rows).reshape(size, FINE, size, FINE).mean(axis=(1, 3)).astype(float)


def corner(x, y, angle, opening):
    def inside(c, r):
        turn = np.mod(np.arctan2(r - y, c - x) - angle, 2 * np.pi)
        return turn < opening

    return averaged(inside)


@settings(max_examples=25, deadline=None)
@given(
    st.floats(27, 33), st.floats(27, 33), st.floats(0, 6.28), st.floats(1.0, 2.2),
    st.floats(-3, 3), st.floats(-3, 3),
)  # fmt: skip
def test_a_corner_is_found_to_a_fraction_of_a_pixel(x, y, angle, opening, dx, dy):
    found = distinct_point(corner(x, y, angle, opening), [x + dx, y + dy], 8)
    # An acute or obtuse corner is rounded by pixels as large as the camera's: a third of one.
    assert np.hypot(found[0] - x, found[1] - y) < 0.35


@settings(max_examples=25, deadline=None)
@given(st.floats(27, 33), st.floats(27, 33), st.floats(4, 9), st.floats(-3, 3), st.floats(-3, 3))
def test_the_middle_of_a_hole_is_found(x, y, radius, dx, dy):
    hole = averaged(lambda c, r: np.hypot(c - x, r - y) > radius)
    found = distinct_point(hole, [x + dx, y + dy], 1.2 * radius + 3)
    assert np.hypot(found[0] - x, found[1] - y) < 0.1
    assert found[2] < 0.1  # what runs round the spot leaves next to nothing over


def test_noise_is_borne_and_told():
    rng = np.random.default_rng(3)
    clean = corner(30.3, 29.6, 0.4, np.pi / 2) * 120 + 60
    misses, told = [], []
    for _ in range(30):
        found = distinct_point(clean + rng.normal(0, 6, clean.shape), [31.5, 28.5], 8)
        misses.append(np.hypot(found[0] - 30.3, found[1] - 29.6))
        told.append(found[2])
    assert np.sqrt(np.mean(np.square(misses))) < 0.4
    assert 0.01 < np.median(told) < 0.5


def test_turned_and_mirrored_the_point_goes_along():
    picture = corner(28.2, 31.1, 0.7, 1.4)
    x, y, _ = distinct_point(picture, [29, 30], 8)
    again = distinct_point(picture[:, ::-1], [60 - 29, 30], 8)
    assert again[:2] == pytest.approx([60 - x, y], abs=1e-3)
    turned = distinct_point(picture.T, [30, 29], 8)
    assert turned[:2] == pytest.approx([y, x], abs=1e-3)


@pytest.mark.parametrize(
    "picture",
    [np.zeros((40, 40)), np.tile(np.arange(40) > 19, (40, 1)).astype(float), np.full((9, 9), 7.0)],
    ids=["nothing", "one straight edge", "small and plain"],
)
def test_where_nothing_stands_out_it_says_so(picture):
    with pytest.raises(ValueError, match="stands out"):
        distinct_point(picture, [20, 20], 8)
