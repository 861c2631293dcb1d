"""A picture in cells, and where its points stand."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from atlas.drawing.photo import Photo
from atlas.drawing.tones import DOTS, cells_of, dots_of
from atlas.drawing.viewport import NEAREST, Viewport


def photo_of(array):
    image = Image.fromarray(np.asarray(array, dtype=np.uint8)).convert("RGB")
    return Photo(None, "", "PNG", *image.size, sizes=(image,))


def whole(photo, columns, rows, mode):
    across, down, tall = dots_of(columns, rows, mode)
    return Viewport(photo.width, photo.height, across, down, tall=tall).placed()


sizes = st.integers(1, 9000)


@settings(max_examples=150, deadline=None)
@given(
    sizes, sizes, st.integers(1, 400), st.integers(1, 200), st.sampled_from([1.0, 2.0]),
    st.lists(
        st.one_of(
            st.tuples(st.just("nearer"), st.floats(0.1, 10), st.floats(0, 1), st.floats(0, 1)),
            st.tuples(st.just("moved"), st.floats(-500, 500), st.floats(-500, 500)),
            st.tuples(st.just("resized"), st.integers(1, 400), st.integers(1, 200)),
            st.tuples(st.just("showing"), st.floats(0, 1), st.floats(0, 1)),
        ),
        max_size=8,
    ),
)  # fmt: skip
def test_whatever_is_done_the_window_stays_on_the_picture(
    width, height, columns, rows, tall, steps
):
    view = Viewport(width, height, columns, rows, tall=tall).placed()
    for what, *how in steps:
        if what == "nearer":
            view = view.nearer(how[0], (how[1] * width, how[2] * height))
        elif what == "moved":
            view = view.moved(*how)
        elif what == "resized":
            view = view.resized(*how, tall)
        else:
            at = how[0] * width, how[1] * height
            view = view.showing(*at)
            column, row = view.dot(*at)
            assert -1e-6 <= column <= view.columns + 1e-6
            assert -1e-6 <= row <= view.rows + 1e-6
        assert NEAREST <= view.scale <= max(view.farthest, NEAREST)
        assert 0 <= view.x <= width
        assert 0 <= view.y <= height
        point = view.point(*view.dot(width / 3, height / 4))
        assert point == pytest.approx((width / 3, height / 4), rel=1e-9, abs=1e-6)


def test_the_point_under_the_pointer_stays_there_when_one_goes_nearer():
    view = Viewport(4000, 3000, 160, 100).placed().nearer(2, (1000, 900))
    before = view.dot(1200, 1100)
    assert view.nearer(2, (1200, 1100)).dot(1200, 1100) == pytest.approx(before)


def test_a_resize_and_back_changes_nothing():
    view = Viewport(4000, 3000, 160, 100).placed().nearer(4, (2000, 1500))
    assert view.resized(60, 30, 1.0).resized(160, 100, 1.0) == view


def test_two_pixels_a_cell_come_out_as_they_are():
    rng = np.random.default_rng(1)
    array = rng.integers(0, 256, (12, 20, 3))
    photo = photo_of(array)
    cells = cells_of(photo, whole(photo, 20, 6, "colour"), "colour")
    assert np.array_equal(cells.upper, array[0::2])
    assert np.array_equal(cells.lower, array[1::2])
    assert cells.signs == ("▀" * 20,) * 6


def test_beside_the_picture_there_is_nothing():
    photo = photo_of(np.full((10, 10, 3), 200))
    cells = cells_of(photo, whole(photo, 30, 5, "colour"), "colour")
    assert np.all(cells.upper[:, 10:20] == 200)
    assert not cells.upper[:, :10].any()
    letters = cells_of(photo, whole(photo, 30, 5, "letters"), "letters")
    assert all(row.strip() == row[10:20].strip() for row in letters.signs)


@pytest.mark.parametrize("mode", ["dots", "letters"])
@pytest.mark.parametrize("light_ground", [False, True])
def test_light_and_dark_are_told_apart_without_colour(mode, light_ground):
    array = np.zeros((40, 80))
    array[:, 40:] = 255
    photo = photo_of(array)
    across, down, tall = DOTS[mode]
    view = whole(photo, 80 // across, int(40 / (down * tall)), mode)
    cells = cells_of(photo, view, mode, light_ground=light_ground)
    row = cells.signs[len(cells.signs) // 2].strip() if mode == "letters" else cells.signs[0]
    dense = "@" if mode == "letters" else "⣿"
    assert row.count(dense) > 0.3 * len(row)
    assert row.isascii() == (mode == "letters")
    last = cells.signs[len(cells.signs) // 2][len(cells.signs[0]) * 3 // 4]
    assert (last == dense) != light_ground


def test_a_grey_wedge_has_as_many_dots_lit_as_it_is_light():
    wedge = np.tile(np.linspace(0, 255, 320), (80, 1))
    photo = photo_of(wedge)
    cells = cells_of(photo, whole(photo, 160, 20, "dots"), "dots")
    lit = np.array([[bin(ord(c) - 0x2800).count("1") for c in row] for row in cells.signs])
    share = lit.reshape(20, 16, 10).mean(axis=(0, 2)) / 8
    assert share == pytest.approx((np.arange(16) + 0.5) / 16, abs=0.05)


def test_dark_parts_come_out_lighter_on_request():
    photo = photo_of(np.full((8, 8, 3), 40))
    view = whole(photo, 8, 4, "colour")
    assert cells_of(photo, view, "colour", 2.0).upper.min() > 90


@pytest.mark.parametrize(
    ("colour", "share"), [((255, 0, 0), 0.2126), ((0, 255, 0), 0.7152), ((0, 0, 255), 0.0722)]
)
def test_how_light_a_colour_is_follows_the_standard(colour, share):
    """Source: ITU-R BT.709, luma of the three primaries (from memory)."""
    image = Image.new("RGB", (8, 8), colour)
    photo = Photo(Path("x"), "", "PNG", 8, 8, sizes=(image,))
    cells = cells_of(photo, Viewport(8, 8, 8, 8).placed(), "letters")
    assert cells.bright == pytest.approx(share, abs=1e-3)


def test_a_point_is_brought_into_sight_alike_both_ways():
    wide = Viewport(1000, 1000, 40, 40, scale=2.0, x=500, y=500)
    for margin in (0.0, 3.0):
        moved = wide.showing(900, 900, margin)
        assert moved.x == moved.y == pytest.approx(900 - (20 - margin) * 2)
        moved = wide.showing(100, 100, margin)
        assert moved.x == moved.y == pytest.approx(100 + (20 - margin) * 2)
