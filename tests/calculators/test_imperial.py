"""Findings and plots in imperial units agree with the results."""

import numpy as np
import pytest

from atlas.calculators.imperial import in_both, in_imperial
from atlas.calculators.registry import calculator, calculator_ids
from atlas.calculators.running import run
from atlas.calculators.units import IMPERIAL


@pytest.mark.parametrize(
    ("said", "both"),
    [
        # NIST SP 811 (2008), appendix B.8: 1 in = 25.4 mm, 1 lbf = 4.448 222 N, 1 lb = 0.4536 kg,
        # from memory; the factors themselves are held against pint in test_units.py.
        ("gap of 254 mm", "gap of 254 mm [10 in]"),
        ("44.482 (22.241 to 88.964) kN", "44.482 (22.241 to 88.964) kN [10 (5 to 20) kip]"),
        ("from 2.54 to 5.08 mm", "from 2.54 to 5.08 mm [0.1 to 0.2 in]"),
        ("for 4.536 kg.", "for 4.536 kg [10 lb]."),
        ("1,210 (-25.4 to 2,540) mm", "1,210 (-25.4 to 2,540) mm [47.6 (-1 to 100) in]"),
        ("1,355.8 N m it is", "1,355.8 N m [1,000 lbf ft] it is"),
        ("1 kN/mm", "1 kN/mm [5.71 kip/in]"),
        # Nothing to say, or not a quantity of ours.
        ("at 30 Hz, 12 deg, 5 %, 20 g", "at 30 Hz, 12 deg, 5 %, 20 g"),
        ("M10 N and S355 MPa-like", "M10 N and S355 MPa-like"),
        ("12 kN/m3 and 5 kg/m3", "12 kN/m3 and 5 kg/m3"),
    ],
)  # fmt: skip
def test_quantities_in_a_sentence_are_told_twice(said, both):
    assert in_both(said) == both


@pytest.mark.parametrize("name", calculator_ids())
def test_a_plot_keeps_its_shape_and_its_axes_their_numbers(name):
    trade = run(calculator(name), {}, samples=40).figure
    shown = in_imperial(trade)
    by_x, by_y = (
        IMPERIAL[axis.unit][1] if axis.unit in IMPERIAL and axis.unit != "g" else 1.0
        for axis in (trade.x, trade.y)
    )
    for one, other in zip(trade.curves, shown.curves, strict=True):
        assert np.allclose(one.x * by_x, other.x, equal_nan=True)
        assert np.allclose(one.y * by_y, other.y, equal_nan=True)
    for one, other in zip(trade.bars, shown.bars, strict=True):
        assert other.value == pytest.approx(one.value * by_x)
    assert shown.x.unit == IMPERIAL.get(trade.x.unit, (trade.x.unit,))[0] or trade.x.unit == "g"
