"""Every outside check of every test module, one test each."""

import pytest
from validation import Check, checks, report

ALL = list(checks())


@pytest.mark.parametrize("check", ALL, ids=[check.id for check in ALL])
def test_outside_check(check: Check):
    got = check.got()
    assert check.holds(got), f"{check.source}: expected {check.expected}, got {got}"


def test_report_shows_source_error_and_what_is_out():
    good = Check("a", "brace", "by hand", 2.0, 0.01, lambda: 2.01, "mm")
    bad = Check("b", "brace", "by hand", 0.0, 0.0, lambda: 0.2, "mm", absolute=0.1)
    text = report([good, bad])
    assert "| a | by hand | 2 mm | 2.01 mm | +0.50% | 0.01 |" in text
    assert "**out**" in text


def test_nan_never_passes():
    assert not Check("a", "x", "s", 1.0, 1e9, lambda: float("nan")).holds(float("nan"))
