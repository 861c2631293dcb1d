"""Sizes off a photo, against exact projections and published procedures."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.mechanics.photogrammetry import (
    breadth,
    homography,
    line_map,
    project,
    sides,
    within_hull,
)
from tests.validation import Check

UNIT = [[0, 0], [1, 0], [1, 1], [0, 1]]
# Equations of the direct linear transformation as general-purpose vision libraries document them
# (answers.opencv.org/answers/5019); eight unknowns solved with the last element 1.
DOCUMENTED = [
    (
        [[100, 100], [400, 120], [380, 300], [120, 280]],
        [0.25, 0.75],
        [181.984732824, 244.580152672],
    ),
    ([[10, 20], [210, 20], [170, 140], [50, 140]], [0.5, 0.5], [110.0, 95.0]),
]
SOURCE = "DLT as documented for vision libraries; Hartley and Zisserman 2004, ch. 4"


def _rectified() -> float:
    h = homography(
        [[120, 80], [520, 110], [500, 390], [140, 360]], [[0, 0], [300, 0], [300, 200], [0, 200]]
    )
    a, b = project(h, [[200, 200], [420, 260]])
    return float(np.linalg.norm(a - b))


def _fourth_on_line() -> float:
    a, b, c = line_map([50, 130, 230], [0, 100, 250])
    return float((a * 300 + b) / (c * 300 + 1))


CHECKS = [
    *(
        Check(f"photo.dlt-{i}-{axis}", "photo-scale", SOURCE, expected[k], 1e-9,
              lambda corners=corners, at=at, k=k: project(homography(UNIT, corners), at)[k], "px")
        for i, (corners, at, expected) in enumerate(DOCUMENTED)
        for k, axis in enumerate("xy")
    ),
    Check("photo.rectified", "photo-scale",
          "planar rectification, Criminisi, Reid, Zisserman, Single View Metrology (2000), worked "
          "from memory", 175.994, 1e-5, _rectified, "mm"),
    Check("photo.cross-ratio", "photo-scale",
          "cross ratio of four points kept in a picture, worked by hand", 376.506, 1e-6,
          _fourth_on_line, "mm"),
]  # fmt: skip


def camera(points, tilt, turn, distance, focal):
    """An independent pinhole camera: rotate, move away, divide by depth."""
    cx, sx, cy, sy = np.cos(tilt), np.sin(tilt), np.cos(turn), np.sin(turn)
    about_x = np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]])
    about_y = np.array([[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]])
    space = np.c_[points, np.zeros(len(points))] @ (about_x @ about_y).T + [0, 0, distance]
    return focal * space[:, :2] / space[:, 2:] + [960, 540]


@settings(max_examples=40, deadline=None)
@given(st.floats(-0.7, 0.7), st.floats(-0.7, 0.7), st.floats(2.5, 8), st.integers(0, 10_000))
def test_a_pinhole_picture_gives_the_lengths_back(tilt, turn, distance, seed):
    rng = np.random.default_rng(seed)
    known = np.array([[-0.5, -0.3], [0.5, -0.3], [0.5, 0.3], [-0.5, 0.3], [0.1, 0.0]])
    wanted = rng.uniform(-0.5, 0.5, (2, 2))
    seen = camera(np.vstack([known, wanted]), tilt, turn, distance, 1500)
    flat = project(homography(seen[:5], known), seen[5:])
    assert np.allclose(flat, wanted, atol=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.1, 10), st.floats(0, 6.28), st.floats(-500, 500))
def test_the_picture_may_be_turned_scaled_and_moved(scale, angle, shift):
    corners = np.array(DOCUMENTED[0][0], dtype=float)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    moved = scale * corners @ turn.T + shift
    point = np.array([250.0, 200.0])
    before = project(homography(corners, UNIT), point)
    after = project(homography(moved, UNIT), scale * turn @ point + shift)
    assert np.allclose(before, after, atol=1e-8)


def test_one_call_serves_a_batch():
    rng = np.random.default_rng(1)
    corners = np.array(DOCUMENTED[0][0]) + rng.normal(0, 1, (50, 4, 2))
    batch = homography(corners, UNIT)
    assert batch.shape == (50, 3, 3)
    assert np.allclose(batch[7], homography(corners[7], UNIT))


@pytest.mark.parametrize(
    ("image", "match"),
    [
        (UNIT[:3], "at least 4"),
        ([[0, 0], [1, 0], [2, 0], [3, 0]], "one line"),
        ([[0, 0], [1, 0], [2, 0], [3, 5]], "one line"),
        ([[5, 5]] * 4, "coincide"),
    ],
)
def test_points_that_fix_nothing_are_refused(image, match):
    with pytest.raises(ValueError, match=match):
        homography(image, UNIT[: len(image)])


def test_known_points_out_of_order_lie_on_both_sides_of_the_horizon():
    corners = np.array(DOCUMENTED[0][0], dtype=float)
    fair = sides(homography(corners, UNIT), corners)
    crossed = sides(homography(corners[[0, 2, 1, 3]], UNIT), corners[[0, 2, 1, 3]])
    assert abs(fair.sum()) == 4
    assert abs(crossed.sum()) < 4


@pytest.mark.parametrize(
    ("points", "expected", "source"),
    [
        (UNIT, 0.5, "half the diagonal's height: by hand"),
        ([[0, 0], [4, 0], [4, 3], [0, 3]], 3 * 4 / 5 / 5, "3-4-5 triangle: by hand"),
        ([[0, 0], [1, 0], [2, 0], [1, 5]], 0.0, "limit: three on one line"),
        ([*UNIT, [0.5, 0.5], [2, 0]], 0.5, "a fifth and sixth point do no harm"),
        ([[3 * i % 7, i * i % 11] for i in range(12)], None, "more than ten: none on one line"),
    ],
)
def test_breadth_is_what_the_best_four_have(points, expected, source):
    found = breadth(points)
    assert found == pytest.approx(expected, abs=1e-12) if expected is not None else found > 0.05
    assert breadth(np.array(points)[::-1] * 300 + 17) == pytest.approx(found), source


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000))
def test_the_hull_agrees_with_a_general_library(seed):
    from scipy.spatial import Delaunay

    rng = np.random.default_rng(seed)
    corners, points = rng.uniform(0, 1, (6, 2)), rng.uniform(-0.3, 1.3, (20, 2))
    theirs = Delaunay(corners).find_simplex(points) >= 0
    assert np.array_equal(within_hull(points, corners), theirs)
    assert within_hull(corners, corners).all()


def test_a_general_imaging_library_rectifies_the_picture_with_our_map():
    # Pillow's PERSPECTIVE transform takes the eight coefficients of (a x + b y + c)/(g x + h y + 1)
    # from a pixel of the result to a pixel of the picture: the inverse of a homography, carried out
    # by code that is not ours. The plate must come out as the rectangle that it is.
    from PIL import Image

    from tests.plate_picture import CORNERS, camera, picture

    flat = np.add(CORNERS, (350, 150))  # one pixel of the result to a millimetre
    matrix = homography(flat, camera(CORNERS))
    done = picture().transform(
        (700, 300), Image.Transform.PERSPECTIVE, matrix.ravel()[:8].tolist(),
        Image.Resampling.BILINEAR,
    )  # fmt: skip
    seen = np.asarray(done.convert("L"), dtype=float)
    assert np.mean(np.abs(seen - 154) < 12) > 0.97  # the plate's grey, all but the line on it
    # The line's ends are 360 mm apart, half-way down.
    bright = np.flatnonzero(seen[148:153].max(axis=0) > 180)
    assert np.ptp(bright) == pytest.approx(360, abs=6)
    outer = homography(flat * 0.9 + [35, 15], camera(CORNERS))  # drawn with a margin of floor
    wide = picture().transform((700, 300), Image.Transform.PERSPECTIVE, outer.ravel()[:8].tolist())
    grey = np.asarray(wide.convert("L"), dtype=float) > 100
    assert np.ptp(np.flatnonzero(grey.any(axis=0))) == pytest.approx(630, abs=4)
    assert np.ptp(np.flatnonzero(grey.any(axis=1))) == pytest.approx(270, abs=4)
