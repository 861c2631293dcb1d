"""Order statistics and release loads against tables and scipy."""

import numpy as np
import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st
from validation import Check

from atlas.mechanics.release import (
    friction_and_metal,
    largest_normal,
    normal_cdf,
    pin_shear,
    released_below,
    tear_out,
)

SCORES = "H. A. David, Order Statistics / Pearson and Hartley tables of normal scores (from memory)"
AISC = "AISC 360-10, J3.10 (b): 1.2 l_c t F_u with l_c = 1 in, t = 0.5 in, F_u = 58 ksi"

LIBRARY = "scipy.stats (library): lognorm and binom"


def _let_go(load, count, every):
    one = scipy.stats.lognorm(0.2, scale=12e3).cdf(load)
    return scipy.stats.binom(count, one).sf(count - 1 if every else 0)


CHECKS = [
    *(
        Check(f"release.stats.{load:g}.{count}.{every}", "release-mount", LIBRARY,
              float(_let_go(load, count, every)), 1e-5,
              lambda load=load, count=count, every=every: released_below(
                  load, 12e3, 0.2, count, every))
        for load, count, every in ((10e3, 4, False), (13e3, 4, True), (15e3, 6, True))
    ),
    *(
        Check(
            f"release.score.{n}",
            "release-mount",
            SCORES,
            expected,
            0.0,
            lambda n=n: largest_normal(n),
            "",
            6e-5,
        )
        for n, expected in (
            (2, 0.5642),
            (3, 0.8463),
            (4, 1.0294),
            (5, 1.1630),
            (6, 1.2672),
            (8, 1.4236),
            (10, 1.5388),
        )
    ),
    Check(
        "release.normal.1.96",
        "release-mount",
        "standard normal table",
        0.975,
        0.0,
        lambda: normal_cdf(1.959964),
        "",
        1e-6,
    ),
    Check(
        "release.tear_out",
        "release-mount",
        AISC,
        34.8,
        1e-6,
        lambda: tear_out(0.0254, 0.0127, 58 * 6.894757e6) / 4448.2216,
        "kip",
    ),
]  # fmt: skip


def test_normal_distribution_agrees_with_scipy():
    """Source: scipy.special.ndtr."""
    from scipy.special import ndtr

    z = np.linspace(-5, 5, 201)
    assert normal_cdf(z) == pytest.approx(ndtr(z), abs=2e-7)


def test_first_and_last_agree_with_drawn_mounts():
    """Source: numpy's log-normal generator, 200,000 sets of four mounts."""
    drawn = np.random.default_rng(5).lognormal(np.log(10e3), 0.2, (200_000, 4))
    for load in (7e3, 10e3, 13e3):
        first = np.mean(drawn.min(axis=1) < load)
        last = np.mean(drawn.max(axis=1) < load)
        assert released_below(load, 10e3, 0.2, 4, every=False) == pytest.approx(first, abs=0.004)
        assert released_below(load, 10e3, 0.2, 4, every=True) == pytest.approx(last, abs=0.004)


@given(st.floats(1e3, 1e5), st.floats(1e3, 1e5), st.floats(0.02, 0.5), st.integers(1, 12))
def test_all_are_never_likelier_than_one(load, median, scatter, count):
    every = released_below(load, median, scatter, count, every=True)
    first = released_below(load, median, scatter, count, every=False)
    assert 0 <= every <= first + 1e-12 <= 1 + 1e-9


@given(st.floats(1e-3, 1e-2))
def test_pins_are_cut_in_proportion_to_their_planes(diameter):
    assert pin_shear(diameter, 60e6, 2) == pytest.approx(2 * pin_shear(diameter, 60e6, 1))


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: released_below(-1, 1, 0.1, 1, every=True), "load"),
        (lambda: released_below(1, 1, 0, 1, every=True), "scatter"),
        (lambda: largest_normal(0), "count"),
        (lambda: tear_out(0.01, float("nan"), 4e8), "gauge"),
        (lambda: pin_shear(0, 6e7, 1), "diameter"),
    ],
)
def test_refuses_by_name(call, word):
    with pytest.raises(ValueError, match=word):
        call()


@given(st.floats(0, 1e5), st.floats(0, 1e5), st.floats(0, 1))
def test_friction_and_metal_lie_between_the_larger_and_the_sum(friction, metal, kept):
    release = float(friction_and_metal(friction, metal, kept))
    assert max(friction, metal) <= release * (1 + 1e-12)
    assert release <= (friction + metal) * (1 + 1e-12)
    assert friction_and_metal(friction, metal, 1.0) == pytest.approx(friction + metal)
    assert friction_and_metal(friction, metal, 0.0) == pytest.approx(max(friction, metal))
