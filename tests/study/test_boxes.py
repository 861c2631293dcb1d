"""The boxes held against the published rule, and what must hold whatever is answered."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.study.boxes import WAITS, Standing, after, standing

DAY = date(2026, 3, 2)
RULE = "https://en.wikipedia.org/wiki/Leitner_system, of S. Leitner, So lernt man lernen, 1972"


def test_the_boxes_are_as_wide_as_in_the_book():
    # RULE: "the size of the partitions in the learning box. These were 1, 2, 5, 8, and 14 cm."
    assert WAITS == (1, 2, 5, 8, 14), RULE


@pytest.mark.parametrize("box", [1, 2, 3, 4, 5])
def test_a_failure_sends_the_card_back_to_the_first_group(box):
    # RULE: "If they fail, they send it back to the first group."
    now = after(Standing(box, DAY), DAY, False)
    assert (now.box, now.due) == (1, DAY + timedelta(days=1)), RULE


@pytest.mark.parametrize("box", [1, 2, 3, 4])
def test_a_success_sends_the_card_to_the_next_group(box):
    # RULE: "If they succeed, they send the card to the next group."
    now = after(Standing(box, DAY), DAY, True)
    assert (now.box, now.due) == (box + 1, DAY + timedelta(days=WAITS[box])), RULE


def test_a_success_in_the_last_box_leaves_the_card_there():
    # http://www.flashcarddb.com/leitner: "If the flashcard was already in the last deck then it
    # remains there."
    now = after(Standing(5, DAY), DAY, True)
    assert (now.box, now.due) == (5, DAY + timedelta(days=14))


def test_a_card_by_example():
    # By hand with the rule above: always answered on its day, one failure in the third box.
    day, seen, now = DAY, [], Standing()
    for right in (True, True, False, True, True, True, True, True):
        now = after(now, day, right)
        seen.append((now.box, (now.due - day).days))
        day = now.due
    assert seen == [(2, 2), (3, 5), (1, 1), (2, 2), (3, 5), (4, 8), (5, 14), (5, 14)]


answers = st.lists(
    st.tuples(st.dates(date(2025, 1, 1), date(2027, 1, 1)), st.booleans()), max_size=40
)


@given(answers)
def test_whatever_is_answered_the_card_lies_in_a_box_and_comes_back(given_answers):
    found = standing(given_answers)
    assert found.right + found.wrong == len(given_answers)
    if not given_answers:
        assert found == Standing()
        return
    assert 1 <= found.box <= len(WAITS)
    latest = max(day for day, _ in given_answers)
    assert found.last == latest
    assert not found.is_due(date.min)
    assert found.due <= latest + timedelta(days=max(WAITS))


@given(answers, st.dates(date(2025, 1, 1), date(2027, 1, 1)))
def test_no_day_carries_a_card_further_than_one_box(given_answers, day):
    before = standing(given_answers)
    once = after(before, day, True)
    assert once.box - max(before.box, 1) in (0, 1)
    assert after(once, day, True).box == once.box, "twice on a day is once"
    assert after(once, day, True).due == once.due


@given(answers)
def test_a_wrong_answer_is_always_due_the_next_day(given_answers):
    before = standing(given_answers)
    day = (before.last or DAY) + timedelta(days=3)
    now = after(before, day, False)
    assert now.box == 1
    assert not now.is_due(day)
    assert now.is_due(day + timedelta(days=1))


@given(st.integers(1, 60))
def test_a_card_that_is_always_known_is_asked_ever_less_often(count):
    day, gaps, now = DAY, [], Standing()
    for _ in range(count):
        now = after(now, day, True)
        gaps.append((now.due - day).days)
        day = now.due
    assert gaps == sorted(gaps)


def test_the_end_of_the_calendar_is_no_fault():
    assert after(Standing(), date.max, True).due == date.max
