"""Reading what people type."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.calculators.values import normal_quantile, read_value
from atlas.errors import BadInput


@pytest.mark.parametrize(
    ("text", "kind", "centre", "low", "high"),
    [
        ("2.5", "fixed", 2.5, 2.5, 2.5),
        (" 2,5 ", "fixed", 2.5, 2.5, 2.5),
        ("-3e-2", "fixed", -0.03, -0.03, -0.03),
        ("−3", "fixed", -3, -3, -3),
        (".5", "fixed", 0.5, 0.5, 0.5),
        ("2.2..2.8", "uniform", 2.5, 2.2, 2.8),
        ("2.2…2.8", "uniform", 2.5, 2.2, 2.8),
        ("2.2 .. 2.8 mm", "uniform", 2.5, 2.2, 2.8),
        ("-5..5", "uniform", 0, -5, 5),
        ("2.2..2.4..2.8", "triangular", 2.4, 2.2, 2.8),
        ("2..2..3", "triangular", 2, 2, 3),
        ("2.5+-0", "fixed", 2.5, 2.5, 2.5),
        ("0.1in", "fixed", 2.54, 2.54, 2.54),
        ("1..2 cm", "uniform", 15, 10, 20),
        ("3 @photo", "fixed", 3, 3, 3),
        (4, "fixed", 4, 4, 4),
        (4.5, "fixed", 4.5, 4.5, 4.5),
    ],
)
def test_forms(text, kind, centre, low, high):
    spread = read_value(text, "mm", "gauge")
    assert spread.kind == kind
    assert (spread.centre, spread.low, spread.high) == pytest.approx((centre, low, high))


@pytest.mark.parametrize("text", ["2.5+-0.2", "2.5 ± 0.2 mm", "2.5+/-0.2", "2.5+-8%"])
def test_tolerances(text):
    spread = read_value(text, "mm", "gauge")
    assert spread.kind == "normal"
    assert (spread.centre, spread.sd) == pytest.approx((2.5, 0.2))
    low, high = spread.interval
    assert (high - low) / 2 == pytest.approx(0.2 * 1.6449, rel=1e-4)


def test_a_scale_that_ties_readings_is_kept():
    assert read_value("900+-10@photo", "mm", "length").tie == "photo"
    assert read_value("900..910 mm @ photo-2", "mm", "length").tie == "photo-2"


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "about two",
        "2.5.5",
        "2..",
        "..2",
        "2.8..2.2",
        "2..2",
        "3..2..4",
        "nan",
        "inf",
        "-inf",
        "1e999",
        "2.5 kN",
        "2.5+-",
        "2.5+--1",
        "1,2,3",
        "0x10",
        "2.5\n",
        "\x1b[31m2",
        "2 .. 3 .. 4 .. 5",
        "1_000",
        "2;3",
        "__import__('os')",
        pytest.param("9" * 5000, id="endless"),
        True,
    ],
)
def test_refused_by_name_in_one_line(text):
    if text == "2.5\n":  # a line's end is no more than a blank
        assert read_value(text, "mm", "gauge").centre == 2.5
        return
    with pytest.raises(BadInput, match="gauge") as caught:
        read_value(text, "mm", "gauge")
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 400


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text):
    try:
        spread = read_value(text, "mm", "gauge")
    except BadInput:
        return
    assert np.isfinite([spread.centre, spread.low, spread.high]).all()
    assert spread.low <= spread.centre <= spread.high


@given(st.floats(-1e6, 1e6, allow_nan=False))
def test_a_number_survives_being_typed(number):
    assert read_value(repr(number), "mm", "gauge").centre == number


@given(st.floats(0.001, 0.999))
def test_normal_quantile_agrees_with_scipy(p):
    """Source: scipy.special.ndtri."""
    from scipy.special import ndtri

    assert normal_quantile(np.array(p)) == pytest.approx(ndtri(p), rel=1e-8, abs=1e-9)


def test_normal_quantile_agrees_with_scipy_far_out():
    """Source: scipy.special.ndtri."""
    from scipy.special import ndtri

    p = np.array([1e-9, 1e-6, 1e-4, 0.02424, 0.02426, 0.97574, 0.97576, 1 - 1e-6])
    assert normal_quantile(p) == pytest.approx(ndtri(p), rel=1e-7)


@pytest.mark.parametrize("text", ["2..3", "2..2.2..3", "2.5+-0.2"])
def test_quantiles_have_the_mean_and_scatter_of_their_distribution(text):
    """Source: scipy.stats (uniform, triang, norm)."""
    from scipy import stats

    spread = read_value(text, "mm", "gauge")
    theirs = {
        "uniform": stats.uniform(2, 1),
        "triangular": stats.triang(0.2, 2, 1),
        "normal": stats.norm(2.5, 0.2),
    }[spread.kind]
    p = (np.arange(10_000) + 0.5) / 10_000
    assert spread.at(p) == pytest.approx(theirs.ppf(p), rel=1e-7)


@pytest.mark.parametrize(
    ("text", "interval"),
    [("9cm..11cm", (90, 110)), ("9cm..110mm", (90, 110)), ("2in±0.1in", (46.6221, 54.9779))],
)
def test_either_end_may_carry_its_unit(text, interval):
    assert read_value(text, "mm", "depth").interval == pytest.approx(interval, abs=1e-3)


@pytest.mark.parametrize("text", ["70-110", "70 to 110", "70 – 110"])
def test_a_range_written_another_way_is_told_how_it_is_written_here(text):
    with pytest.raises(BadInput, match=r"depth: cannot read .*; write a range as 70\.\.110"):
        read_value(text, "mm", "depth")


def test_a_unit_on_the_first_end_alone_is_refused():
    with pytest.raises(BadInput, match="end it in cm"):
        read_value("9cm..11", "mm", "depth")
