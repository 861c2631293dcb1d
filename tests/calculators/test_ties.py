"""Correlated readings: one common cause behind several results."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.calculators.sampling import draw, factors, unit_sample
from atlas.calculators.ties import loadings, tied_readings
from atlas.calculators.values import read_value
from atlas.errors import BadInput

WIDE = dict.fromkeys("abc", (-1000000000.0, 1000000000.0))


@given(st.lists(st.floats(0.3, 0.95), min_size=3, max_size=6), st.integers(0, 63))
@settings(max_examples=40, deadline=None)
def test_loadings_of_one_factor_are_found_again(shares, signs):
    made = np.array([f * (-1 if signs >> i & 1 else 1) for i, f in enumerate(shares)])
    made *= np.sign(made[0])
    r = np.outer(made, made)
    np.fill_diagonal(r, 1)
    assert loadings(r) == pytest.approx(made, abs=1e-3)


@pytest.mark.parametrize("shared", [0.64, -0.64, 0.0, -1.0])
def test_two_results_are_met_exactly_also_where_one_falls_as_the_other_grows(shared):
    first, second = loadings([[1, shared], [shared, 1]])
    assert first * second == pytest.approx(shared) and first >= 0


def test_loadings_agree_with_a_published_table():
    # Spearman's own example: school marks with one general factor; correlations and saturations
    # from C. Spearman, Am. J. Psychol. 15 (1904), as reprinted in textbooks (from memory).
    r = [
        [1, 0.83, 0.78, 0.70, 0.66, 0.63],
        [0.83, 1, 0.67, 0.67, 0.65, 0.57],
        [0.78, 0.67, 1, 0.64, 0.54, 0.51],
        [0.70, 0.67, 0.64, 1, 0.45, 0.51],
        [0.66, 0.65, 0.54, 0.45, 1, 0.40],
        [0.63, 0.57, 0.51, 0.51, 0.40, 1],
    ]
    assert loadings(r) == pytest.approx([0.96, 0.88, 0.80, 0.75, 0.69, 0.65], abs=0.02)


@pytest.mark.parametrize(("first", "second"), [(0.8, 0.5), (0.8, -0.5), (1, 0.6), (1, -1), (0, 1)])
def test_readings_correlate_by_the_product_of_what_they_follow(first, second):
    found = {
        "a": read_value(f"100+-5@photo:{first}", "mm", "a"),
        "b": read_value(f"20+-1@photo:{second}", "mm", "b"),
        "c": read_value("7+-1", "mm", "c"),
    }
    causes = factors(found)
    unit = unit_sample(8000, len(causes), np.random.default_rng(1))
    values = draw(found, WIDE, unit)
    r = np.corrcoef([values["a"], values["b"], values["c"]])
    assert r[0, 1] == pytest.approx(first * second, abs=0.03)
    assert abs(r[0, 2]) < 0.03
    assert values["a"].std() == pytest.approx(5, rel=0.03)
    assert values["b"].mean() == pytest.approx(20, abs=0.1)


def test_a_range_that_follows_in_part_keeps_its_ends():
    found = {"a": read_value("2..3@photo:0.7", "mm", "a"), "b": read_value("5+-1@photo", "mm", "b")}
    values = draw(found, WIDE, unit_sample(4000, 2, np.random.default_rng(1)))
    assert values["a"].min() >= 2
    assert values["a"].max() <= 3
    assert np.histogram(values["a"], 4, (2, 3))[0] == pytest.approx([1000] * 4, rel=0.08)


def test_results_come_out_as_readings_that_can_be_read_again():
    rng = np.random.default_rng(1)
    scale = rng.normal(1, 0.01, 5000)
    rows = [200 * scale, 0 * scale + 5, 40 * scale + rng.normal(0, 0.5, 5000)]
    texts = tied_readings(rows, "mm", "photo-ab")
    assert texts[1] == "5mm"
    one, _, two = (read_value(text, "mm", "x") for text in texts)
    assert (one.tie, two.tie) == ("photo-ab", "photo-ab")
    assert one.sd == pytest.approx(2, rel=0.05)
    assert one.follows * two.follows == pytest.approx(0.4 / np.hypot(0.4, 0.5), abs=0.04)


def test_more_than_wholly_is_refused_by_name():
    with pytest.raises(BadInput, match=r"gauge: '@photo:1\.5' follows by more than"):
        read_value("2..3@photo:1.5", "mm", "gauge")
