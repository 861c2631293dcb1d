from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.casework.calibration import (
    Statement,
    by,
    misleading,
    score,
    statements,
    verdict_in_words,
)
from atlas.casework.cases import Cases


def said(*pairs, who="AB"):
    return [Statement("c", "x", "p", who, p, right, "p") for p, right in pairs]


def test_brier_score_of_a_worked_example():
    # Five forecasts of rain, worked by hand from Brier's definition for one class:
    # 0.9 yes, 0.8 no, 0.6 yes, 0.3 no, 0.1 no -> (0.01 + 0.64 + 0.16 + 0.09 + 0.01) / 5.
    found = score(said((0.9, True), (0.8, False), (0.6, True), (0.3, False), (0.1, False)))
    assert found.brier == pytest.approx(0.182)
    assert found.uncertainty == pytest.approx(0.4 * 0.6)


@given(st.lists(st.tuples(st.floats(0, 1), st.booleans()), min_size=1, max_size=60))
def test_murphys_parts_add_up(pairs):
    found = score(said(*pairs))
    parts = found.reliability - found.resolution + found.uncertainty + found.within
    assert parts == pytest.approx(found.brier, abs=1e-12)
    assert found.reliability >= 0 and found.resolution >= 0
    assert found.brier == pytest.approx(np.mean([(p - o) ** 2 for p, o in pairs]))


@given(st.lists(st.tuples(st.sampled_from([0.1, 0.4, 0.7]), st.booleans()), min_size=1))
def test_nothing_is_lost_within_bins_of_one_value(pairs):
    assert score(said(*pairs)).within == pytest.approx(0, abs=1e-12)


def test_perfect_statements_score_zero_and_the_base_rate_its_uncertainty():
    assert score(said((1.0, True), (0.0, False))).brier == 0
    base = score(said(*[(0.3, i < 3) for i in range(10)]))
    assert base.brier == pytest.approx(base.uncertainty)
    assert base.resolution == pytest.approx(0)


def test_too_few_is_said_and_overconfidence_named():
    assert "too few" in verdict_in_words(score(said((0.9, True))))
    assert "too sure" in verdict_in_words(score(said(*[(0.9, i < 5) for i in range(12)])))
    assert "too doubtful" in verdict_in_words(score(said(*[(0.3, i < 9) for i in range(12)])))
    assert score([]) is None


def test_only_the_last_statement_before_the_verdict_counts(library):
    start = datetime(2026, 1, 1, tzinfo=UTC)
    minutes = iter(range(1000))
    cases = Cases(library, "AB", clock=lambda: start + timedelta(minutes=next(minutes)))
    case = cases.new("x")
    cases.suspect(case.id, "rear-x-plate", 0.2, about="brace")
    cases.suspect(case.id, "rear-x-plate", 0.8, about="brace")
    cases.suspect(case.id, "rear-v-brace", 0.1, about="brace")
    cases.settle(case.id, "rear-x-plate", about="brace", found="f", how="look")
    cases.suspect(case.id, "rear-x-plate", 1.0, about="brace")
    rows = statements([cases.get(case.id)])
    assert {(row.pattern, row.probability, row.right) for row in rows} == {
        ("rear-x-plate", 0.8, True),
        ("rear-v-brace", 0.1, False),
    }


def test_groups_come_by_size_and_misleading_reasons_are_counted(library):
    groups = by([*said((0.5, True)), *said((0.6, True), (0.7, False), who="CD")], lambda s: s.by)
    assert list(groups) == ["CD", "AB"]
    cases = Cases(library, "AB")
    case = cases.new("x")
    cases.note(case.id, "a plate", about="brace")
    cases.suspect(case.id, "rear-x-plate", 0.8, about="brace")
    cases.settle(case.id, "skid-plate-metal", about="brace", found="f", how="look")
    found = cases.get(case.id)
    reasons = misleading(
        statements([found]), {found.id: found}, lambda text, pattern: (f"{text} met {pattern}",)
    )
    assert reasons == [("rear-x-plate", "a plate met rear-x-plate", 1)]
