"""Every outside check of every test module, one test each."""

import pytest
from validation import Check, checks, kind, report

from atlas.calculators.registry import calculator_ids

ALL = list(checks())


@pytest.mark.parametrize("check", ALL, ids=[check.id for check in ALL])
def test_outside_check(check: Check):
    got = check.got()
    assert check.holds(got), f"{check.source}: expected {check.expected}, got {got}"


@pytest.mark.parametrize("name", calculator_ids())
def test_every_calculator_has_three_values_from_outside(name):
    """Looked up or computed by a general library; what is remembered or done by hand is extra."""
    outside = [
        one for one in ALL if one.calculator == name and kind(one) in ("published", "library")
    ]
    assert len(outside) >= 3


def test_report_shows_source_error_and_what_is_out():
    good = Check("a", "brace", "by hand", 2.0, 0.01, lambda: 2.01, "mm")
    bad = Check("b", "brace", "by hand", 0.0, 0.0, lambda: 0.2, "mm", absolute=0.1)
    text = report([good, bad])
    assert "| a | by hand | 2 mm | 2.01 mm | +0.50% | 0.01 |" in text
    assert "**out**" in text


def test_nan_never_passes():
    assert not Check("a", "x", "s", 1.0, 1e9, lambda: float("nan")).holds(float("nan"))
