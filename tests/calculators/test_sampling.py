"""Samples: stratified, seeded, tied, cut off where the formula ends."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.calculators.sampling import draw, factors, unit_sample
from atlas.calculators.values import read_value

WIDE = {"a": (-1e9, 1e9), "b": (-1e9, 1e9)}


def spreads(**texts):
    return {name: read_value(text, "mm", name) for name, text in texts.items()}


@given(st.integers(2, 200), st.integers(1, 6), st.integers(0, 2**32 - 1))
def test_every_stratum_holds_exactly_one_point(count, dimensions, seed):
    """Source: McKay, Beckman and Conover (1979), the defining property of the Latin hypercube."""
    unit = unit_sample(count, dimensions, np.random.default_rng(seed))
    assert unit.shape == (count, dimensions)
    assert np.all((unit > 0) & (unit < 1))
    cells = np.sort(np.floor(unit * count).astype(int), axis=0)
    assert np.all(cells == np.arange(count)[:, None])


def test_same_seed_same_points():
    one, two, other = (unit_sample(50, 3, np.random.default_rng(s)) for s in (7, 7, 8))
    assert np.array_equal(one, two)
    assert not np.array_equal(one, other)


def test_mean_is_far_steadier_than_with_plain_sampling():
    means = [unit_sample(200, 1, np.random.default_rng(s)).mean() for s in range(50)]
    plain = [np.random.default_rng(s).random(200).mean() for s in range(50)]
    assert np.std(means) < 0.05 * np.std(plain)


def test_columns_do_not_hang_together():
    unit = unit_sample(5000, 2, np.random.default_rng(1))
    assert abs(np.corrcoef(unit.T)[0, 1]) < 0.05


def test_readings_off_one_scale_move_together():
    found = spreads(a="100+-5@photo", b="200+-10@photo", c="3..4")
    assert factors(found) == {"@photo": ("a", "b"), "c": ("c",)}
    unit = unit_sample(1000, 2, np.random.default_rng(1))
    values = draw(found, {**WIDE, "c": (0, 10)}, unit)
    assert np.corrcoef(values["a"], values["b"])[0, 1] == pytest.approx(1.0)
    assert abs(np.corrcoef(values["a"], values["c"])[0, 1]) < 0.1


def test_fixed_readings_take_no_column():
    found = spreads(a="5", b="2..3")
    assert factors(found) == {"b": ("b",)}
    values = draw(found, WIDE, unit_sample(10, 1, np.random.default_rng(1)))
    assert np.all(values["a"] == 5)


def test_a_tail_past_the_bounds_is_cut_off_not_piled_up():
    """Source: scipy.stats.truncnorm."""
    from scipy.stats import truncnorm

    found = spreads(a="1+-1")
    unit = unit_sample(20_000, 1, np.random.default_rng(1))
    values = draw(found, {"a": (0.0, 10.0)}, unit)["a"]
    assert values.min() > 0
    theirs = truncnorm(-1, 9, loc=1, scale=1)
    assert values.mean() == pytest.approx(theirs.mean(), rel=1e-3)
    assert values.std() == pytest.approx(theirs.std(), rel=1e-3)
    assert np.mean(values < 0.01) < 0.01
