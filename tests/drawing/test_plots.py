import re
from xml.etree import ElementTree

import numpy as np
import pytest
from matplotlib.ticker import MaxNLocator
from shapely.geometry import LineString, box

from atlas.calculators.figure import Axis, Bar, Curve, Figure, Points, SignMap
from atlas.drawing.axes import Scale, scale, tick_text
from atlas.drawing.picture import Note, Picture, Text
from atlas.drawing.plot import _clip, _Frame, overlay, plot
from atlas.drawing.svg import to_svg
from atlas.drawing.terminal import draw

X = np.linspace(1.0, 5.0, 50)


def figure(**parts) -> Figure:
    return Figure("title", Axis("gauge", "mm"), Axis("force", "kN"), **parts)


def show(one: Figure, columns: int = 60, rows: int = 16) -> str:
    return draw(plot(one, columns, rows), columns, rows).text()


def test_axes_say_what_and_in_which_unit():
    shown = show(figure(curves=(Curve("a", X, X**2),)))
    assert "force, kN" in shown
    assert "gauge, mm" in shown


@pytest.mark.parametrize(("low", "high"), [(0.0, 1.0), (0.13, 0.97), (-40.0, 1200.0), (3e-5, 9e-5)])
def test_ticks_are_round_numbers_inside_the_limits(low, high):
    ticks = Scale(low, high).ticks(5)
    # matplotlib's locator with the same steps is an independent reading of "round".
    rounds = MaxNLocator(nbins=20, steps=[1, 2, 5, 10]).tick_values(low, high)
    assert 2 <= len(ticks) <= 7
    step = ticks[1] - ticks[0]
    mantissa = step / 10 ** np.floor(np.log10(step) + 1e-9)
    assert min(abs(mantissa - m) for m in (1, 2, 5)) < 1e-6
    assert all(low - 1e-12 <= t <= high + 1e-12 for t in ticks)
    assert len(rounds) > len(ticks) - 2


def test_log_axes_tick_decades():
    assert Scale(0.5, 2000.0, log=True).ticks(8) == pytest.approx([1, 10, 100, 1000])
    assert np.isnan(Scale(1.0, 10.0, log=True).share(np.array([-1.0]))[0])


@pytest.mark.parametrize(
    ("value", "step", "text"), [(0.0, 1.0, "0"), (2.5, 0.5, "2.5"), (1200.0, 200.0, "1200")]
)
def test_ticks_are_written_short(value, step, text):
    assert tick_text(value, step) == text


def test_limits_hold_everything_and_constants_too():
    one = scale(Axis("a"), [np.array([3.0, 3.0])])
    assert one.low < 3.0 < one.high
    assert scale(Axis("a", low=-1.0, high=2.0), [X]).high == 2.0
    assert scale(Axis("a"), []).high > 0


def test_a_band_is_drawn_and_a_certain_curve_has_none():
    sure = plot(figure(curves=(Curve("a", X, X, X, X),)), 60, 16)
    unsure = plot(figure(curves=(Curve("a", X, X, 0.8 * X, 1.2 * X),)), 60, 16)
    assert not any(getattr(item, "style", "") == "band" for item in sure.items)
    assert any(getattr(item, "style", "") == "band" for item in unsure.items)


@pytest.mark.parametrize("seed", range(8))
def test_clipping_agrees_with_a_general_library(seed):
    rng = np.random.default_rng(seed)
    frame = _Frame(2.0, 3.0, 12.0, 9.0, Scale(0, 1), Scale(0, 1))
    a, b = rng.uniform(-4, 18, (2, 2))
    cut = _clip(a, b, frame)
    expected = LineString([a, b]).intersection(box(2.0, 3.0, 12.0, 9.0))
    if cut is None:
        assert expected.length < 1e-9
    else:
        assert LineString(cut).length == pytest.approx(expected.length, abs=1e-9)


def test_gaps_stay_gaps():
    y = np.where((X > 2) & (X < 3), np.nan, X)
    picture = plot(figure(curves=(Curve("a", X, y),)), 60, 16)
    pieces = [item for item in picture.items if getattr(item, "style", "") == "series-1"]
    assert len(pieces) == 2


def test_bars_show_their_limit_and_their_range():
    bars = (Bar("slip", 0.4, 0.3, 0.5, 1.0), Bar("shear", 0.7, 0.6, 0.9, 1.0))
    shown = show(Figure("t", Axis("utilisation"), Axis(""), bars=bars))
    assert "slip" in shown
    assert "shear" in shown
    assert "utilisation" in shown


def test_the_sign_map_turns_where_the_field_is_zero():
    x, y = np.linspace(-1, 1, 41), np.linspace(0, 1, 21)
    field = SignMap(x, y, np.add.outer(np.zeros(21), x), "pulled", "pushed")
    shown = show(Figure("t", Axis("x"), Axis("y"), sign_map=field))
    rows = [row for row in shown.splitlines() if "+" in row and "−" in row][:-1]
    assert rows
    assert all(row.rindex("−") < row.index("+") for row in rows)
    assert "pulled" in shown
    assert "pushed" in shown


def test_equal_scales_draw_a_circle_round():
    turn = np.linspace(0, 2 * np.pi, 100)
    one = Figure("t", Axis("x"), Axis("y"), curves=(Curve("", np.cos(turn), np.sin(turn)),),
                 equal=True)  # fmt: skip
    path = next(i for i in plot(one, 80, 24).items if getattr(i, "style", "") == "series-1")
    points = np.array(path.points)
    wide, tall = np.ptp(points, axis=0)
    assert wide == pytest.approx(2 * tall, rel=0.02)


def test_two_settings_lie_over_each_other_under_their_names():
    one = figure(curves=(Curve("mean", X, X), Curve("limit", X, X * 0 + 3, style="limit")))
    both = overlay(one, figure(curves=(Curve("mean", X, 2 * X),)), "held")
    assert [curve.name for curve in both.curves] == ["mean", "limit", "mean, held"]
    shown = show(both, 80, 20)
    assert "mean, held" in shown


@pytest.mark.parametrize("size", [(4, 2), (16, 6), (200, 60)])
def test_any_size_is_laid_out(size):
    one = figure(curves=(Curve("a", X, X),), points=(Points("here", X[:1], X[:1]),))
    draw(plot(one, *size), *size)


def test_svg_of_a_plot_is_well_formed():
    one = figure(curves=(Curve("a <b>", X, X, 0.9 * X, 1.1 * X), Curve("c", X, 2 * X)))
    root = ElementTree.fromstring(to_svg(plot(one, 78, 24), title=True))
    words = [node.text for node in root.iter("{http://www.w3.org/2000/svg}text")]
    assert "a <b>" in words


def test_on_paper_a_label_keeps_off_words_that_stand_already():
    words = Text((40.0, 5.0), "load, from the centre line, mm", "axis", "middle")
    label = Note((40.0, 5.0), "as read", (40.0, 8.0), "mark")
    svg = to_svg(Picture(80.0, 20.0, (words, label), stretch=True))
    spots = {
        text: (float(x), float(y))
        for x, y, text in re.findall(r'<text x="([\d.]+)" y="([\d.]+)"[^>]*>([^<]*)<', svg)
    }
    (x, y), (label_x, label_y) = spots[words.text], spots[label.text]
    half = 1.5 * (len(words.text) + len(label.text)) / 2  # of both, at about 1.5 mm a letter
    assert abs(label_y - y) > 2.5 or abs(label_x - x) > half
