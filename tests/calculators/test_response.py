"""The curve of a result over one input, with the band of the rest."""

import numpy as np
import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.response import response, setting
from atlas.calculators.running import run

SECTION = calculator("section")


def sampled(**given):
    return run(SECTION, given, samples=300).sampled


def test_curve_is_the_formula_itself_where_nothing_else_varies():
    fixed = {"width": "60", "height": "80", "gauge": "2.5", "yield_strength": "300"}
    curve = response(SECTION, sampled(**fixed), "gauge", "iy", span=(1.0, 4.0), points=4)
    assert curve.low is None
    for gauge, iy in zip(curve.x, curve.y, strict=True):
        alone = run(SECTION, {**fixed, "gauge": repr(float(gauge))}).results["iy"].value
        assert iy == pytest.approx(alone)


def test_band_holds_the_spread_of_the_other_readings():
    curve = response(SECTION, sampled(), "gauge", "iy", span=(1.0, 4.0), points=5)
    assert curve.low is not None and curve.high is not None
    assert np.all(curve.low < curve.y)
    assert np.all(curve.y < curve.high)


def test_axis_stays_inside_the_bounds_and_round_the_reading():
    curve = response(SECTION, sampled(gauge="0.35"), "gauge", "iy")
    assert curve.x[0] >= 0.3
    assert curve.x[0] <= 0.35 <= curve.x[-1]


def test_gaps_where_the_formula_refuses():
    curve = response(SECTION, sampled(width="20", height="20"), "gauge", "iy", span=(1.0, 30.0))
    assert len(curve.x) < 31
    assert curve.x[-1] <= 10.01  # a wall of half the width fills the tube
    assert np.all(np.isfinite(curve.y))


def test_setting_is_the_run_itself():
    run_ = sampled(gauge="2.5", width="60", height="80", yield_strength="300")
    point = setting(run_, "gauge", "iy")
    assert point.x[0] == pytest.approx(2.5)
    assert point.y[0] == pytest.approx(run_.median("iy"))
