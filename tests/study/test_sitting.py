"""One sitting: steps follow each other, and whatever is left is found again."""

from datetime import date, timedelta

import pytest

from atlas.errors import AtlasError, BadInput
from atlas.study.practice import stated
from atlas.study.sitting import Sitting

DAY = date(2026, 3, 2)


def test_an_item_is_uncovered_answered_and_followed_by_the_next(study):
    sitting = Sitting(study, "rear-mount")
    assert sitting.practise(DAY)
    first = sitting.item
    assert (sitting.doing, sitting.shown) == ("asking", 1)
    for count in range(2, len(first.cues) + 1):
        assert sitting.next_cue()
        assert sitting.shown == count
    assert not sitting.next_cue()
    given = sitting.answer(first.pattern, 0.8, DAY)
    assert (given.cues, given.of, given.right) == (len(first.cues), len(first.cues), True)
    assert sitting.doing == "answered"
    assert sitting.pattern.id == first.pattern
    assert sitting.practise(DAY)
    assert sitting.item.id != first.id


def test_one_may_leave_at_any_moment_and_finds_it_as_it_was(study):
    sitting = Sitting(study, "rear-mount")
    sitting.practise(DAY)
    left = sitting.item.id
    sitting.next_cue()
    sitting.rest("rails")
    assert sitting.doing == ""
    sitting.practise(DAY)
    assert sitting.item.zone == "rails"
    again = Sitting(study, "rear-mount")
    again.practise(DAY + timedelta(days=3))
    assert (again.item.id, again.shown) == (left, 2)


def test_a_path_is_read_asked_and_stepped(study):
    sitting = Sitting(study, "shield")
    seen = []
    while sitting.read():
        seen.append(sitting.step)
        assert sitting.pattern.id == sitting.step
        sitting.ask(DAY)
        assert sitting.doing == "questioned"
        asked = sitting.question
        for name in asked.options:
            if name != asked.answer:
                assert not sitting.choose(name, DAY)
                assert sitting.doing == "questioned"
        assert sitting.wrong == set(asked.options) - {asked.answer}
        assert sitting.choose(asked.answer, DAY)
        assert sitting.doing == "stepped"
        assert sitting.following != sitting.step
    assert tuple(seen) == study.paths["shield"]
    assert (sitting.doing, sitting.step) == ("", "")


def test_without_a_zone_there_is_no_path_and_without_an_item_no_answer(study):
    sitting = Sitting(study)
    assert not sitting.read()
    for act in (sitting.next_cue, lambda: sitting.answer("rear-x-plate", 0.5, DAY)):
        with pytest.raises(AtlasError):
            act()


def test_a_refused_answer_leaves_the_item_on_the_table(study):
    sitting = Sitting(study)
    sitting.practise(DAY)
    with pytest.raises(BadInput):
        sitting.answer(sitting.item.pattern, 7.0, DAY)
    assert sitting.doing == "asking"
    assert not study.learner.get().answers


@pytest.mark.parametrize(
    ("text", "value"),
    [("70", 0.7), ("100", 1.0), ("1", 1.0), ("0", 0.0), ("0.35", 0.35), ("35 %", 0.35),
     ("0,2", 0.2), (" 2 ", 0.02)],
)  # fmt: skip
def test_a_probability_is_read_as_it_is_meant(text, value):
    assert stated(text) == pytest.approx(value)


@pytest.mark.parametrize(
    "text", ["", "x", "101", "-1", "150%", "nan", "inf", "1e9", "²", "٧٠", "[/"]
)
def test_what_is_no_probability_is_refused(text):
    with pytest.raises(BadInput, match="PROBABILITY"):
        stated(text)
