import unicodedata

import numpy as np
import pytest
from matplotlib.path import Path as ReferencePath

from atlas.drawing.canvas import BRAILLE, Canvas
from atlas.drawing.geometry import angle_of, arc, dots_along, inside, smooth, towards


def test_braille_bits_agree_with_the_unicode_names():
    # The Unicode Character Database names each pattern by the dots that are raised:
    # dots 1-2-3-7 down the left column, 4-5-6-8 down the right one.
    numbers = [[1, 4], [2, 5], [3, 6], [7, 8]]
    for row in range(4):
        for column in range(2):
            char = chr(0x2800 + int(BRAILLE[row][column]))
            assert unicodedata.name(char) == f"BRAILLE PATTERN DOTS-{numbers[row][column]}"


@pytest.mark.parametrize("seed", range(6))
def test_inside_agrees_with_a_general_library(seed):
    rng = np.random.default_rng(seed)
    polygon = rng.uniform(-5, 45, (7, 2))
    mask = inside(polygon, 40, 40)
    # matplotlib.path fills by winding number; a star that crosses itself is filled differently,
    # so the polygon is made simple by sorting its corners round their middle.
    middle = polygon.mean(axis=0)
    turn = np.arctan2(*(polygon - middle).T[::-1])
    simple = polygon[np.argsort(turn)]
    mask = inside(simple, 40, 40)
    xs, ys = np.meshgrid(np.arange(40), np.arange(40))
    expected = ReferencePath(simple).contains_points(np.c_[xs.ravel(), ys.ravel()])
    assert (mask.ravel() == expected).mean() > 0.998  # corners that lie on a dot may differ


def test_a_curve_passes_through_its_points():
    points = [(0.0, 0.0), (3.0, 1.0), (4.0, 5.0), (9.0, 2.0)]
    curve = np.array(smooth(points))
    for point in points:
        assert np.min(np.hypot(*(curve - point).T)) < 1e-12


@pytest.mark.parametrize(("start", "end", "length"), [(0, 360, 2 * np.pi), (350, 10, np.pi / 9)])
def test_an_arc_has_the_length_of_its_angle(start, end, length):
    points = np.array(arc((2.0, 3.0), 10.0, start, end))
    steps = np.hypot(*np.diff(points, axis=0).T).sum()
    assert steps == pytest.approx(10.0 * length, rel=2e-3)  # a polygon is a little shorter
    assert np.allclose(np.hypot(*(points - (2.0, 3.0)).T), 10.0)


def test_dots_of_a_line_touch_each_other_and_reach_both_ends():
    dots = dots_along(np.array([[0.2, 0.1], [13.4, 7.9], [2.0, 30.0]]))
    assert np.all(np.abs(np.diff(dots, axis=0)).max(axis=1) == 1)
    assert dots[0].tolist() == [0, 0]
    assert dots[-1].tolist() == [2, 30]


def test_directions_go_there_and_back():
    tip = towards((1.0, 2.0), 37.0, 5.0)
    assert angle_of((1.0, 2.0), tip) == pytest.approx(37.0)


def test_what_lies_outside_the_canvas_is_cut_off():
    canvas = Canvas(4, 2)
    canvas.stroke(np.array([[-50.0, 3.0], [50.0, 3.0]]), "own")
    canvas.put(-1, 0, "abcdefgh", "label")
    canvas.put(0, 9, "never", "label")
    grid = canvas.grid()
    assert grid.chars[0] == "bcde"
    assert grid.width == 4
    assert grid.height == 2
