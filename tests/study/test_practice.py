"""What comes next, what an answer changes, and the reasons that follow."""

from datetime import date, timedelta

import pytest

from atlas.errors import BadInput, NotThere
from atlas.identify.narrowing import Narrowing
from atlas.identify.text import Finder
from atlas.study.items import item_id
from atlas.study.overview import overview, said_to_be
from atlas.study.practice import matching
from atlas.study.reasons import between, course_of, reasons, telling

DAY = date(2026, 3, 2)
PLATE = item_id("vehicle", "demo-pickup", "rear plate")


@pytest.fixture(scope="module")
def matchers(catalogue):
    return Finder(catalogue), Narrowing(catalogue)


def give(study, item, said, sure=0.7, day=DAY, cues=1):
    return study.answer(study.items[item], said, sure, cues, day)


# ------------------------------------------------------------------------------------ what is next
def test_new_items_begin_with_real_structures_and_what_was_read(study):
    queue = study.queue(study.learner.get(), DAY)
    assert not queue.open
    assert not queue.due
    assert len(queue.new) == len(study.items)
    kinds = [study.items[name].kind for name in queue.new]
    assert kinds == sorted(kinds, key=["vehicle", "case", "pattern"].index)
    study.learner.step("tow-socket", "tow-socket", True, day=DAY)
    first = study.queue(study.learner.get(), DAY).new[0]
    assert study.items[first].pattern == "tow-socket"


def test_open_before_due_before_new(study):
    new = study.queue(study.learner.get(), DAY, "rear-mount").new
    give(study, new[0], study.items[new[0]].pattern)
    give(study, new[1], "", None)
    study.learner.uncover(new[4], 2)
    assert study.queue(study.learner.get(), DAY, "rear-mount").next == new[4]
    later = study.queue(study.learner.get(), DAY + timedelta(days=2), "rear-mount")
    assert later.due == (new[1], new[0]), "the first box before the second"
    assert later.next == new[4]
    assert set(later.new) == set(new) - {new[0], new[1], new[4]}
    elsewhere = study.queue(study.learner.get(), DAY + timedelta(days=2), "rails")
    assert not elsewhere.open
    assert not elsewhere.due


def test_an_answer_is_refused_unless_pattern_and_probability_stand_together(study):
    for said, sure, named in (
        ("rear-x-plate", None, "--sure"), ("", 0.5, "PATTERN"),
        ("rear-x-plte", 0.5, "rear-x-plate"),
        ("rear-x-plate", 1.5, "--sure"), ("[/", 0.5, "no pattern"),
    ):  # fmt: skip
        with pytest.raises((BadInput, NotThere), match=named):
            give(study, PLATE, said, sure)
    assert not study.learner.get().answers


def test_the_number_of_cues_is_kept_within_what_there_was(study):
    give(study, PLATE, "rear-x-plate", cues=99)
    give(study, PLATE, "rear-x-plate", cues=-3)
    assert [(one.cues, one.of) for one in study.learner.get().answers] == [(6, 6), (1, 6)]


def test_items_are_named_by_the_beginning_of_their_id(study):
    assert study.item(PLATE[:7]).id == PLATE
    for nonsense in ("", "zzz", "[/", "0" * 500):
        with pytest.raises((NotThere, BadInput)):
            study.item(nonsense)
    with pytest.raises(BadInput, match="begins"):
        study.item(PLATE[:1])


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("x plate", "rear-x-plate"),
        ("butterfly", "rear-x-plate"),
        ("V brac", "rear-v-brace"),
        ("sheer panel", "rear-shear-panel"),
        ("rear-apex-tie", "rear-apex-tie"),
        ("sleve", "rear-mount-sleeve"),
    ],
)
def test_a_pattern_is_found_by_part_of_any_of_its_names(study, typed, first):
    names = study.choices("rear-mount")
    assert matching(typed, names, study.catalogue)[0] == first


def test_matching_takes_anything(study):
    names = study.choices("rear-mount")
    assert matching("", names, study.catalogue) == names
    for nonsense in ("[/", "\0", "qqqqqq", "(", "\u202e", "x" * 5000, "***", "终端"):
        assert set(matching(nonsense, names, study.catalogue)) <= set(names)
    assert matching("a", (), study.catalogue) == ()


# ------------------------------------------------------------------------------------ the reasons
def test_the_reasons_say_what_it_is_and_what_separates_it(study, matchers):
    item = study.items[PLATE]
    why = reasons(item, "rear-v-brace", study.catalogue, study.library, *matchers)
    assert not why.right
    assert why.pattern.id == "rear-x-plate"
    assert why.said == study.catalogue.patterns.title("rear-v-brace")
    assert why.first_guess == study.catalogue.patterns.title("skid-plate-metal")
    first = why.separations[0]
    assert (first.other, first.taken) == ("rear-v-brace", True)
    assert first.text == "Count feet: a V has three, one shared on the tunnel; an X has four."
    assert len(why.course) == len(item.cues) + 1
    assert why.number is not None
    assert why.number.findings
    assert why.cautions, "whoever unbolts a brace is told to prop the cradle"


def test_a_structure_s_own_calculation_is_run_on_its_vehicle(study, matchers):
    item = study.items[item_id("vehicle", "demo-pickup", "front bar")]
    why = reasons(item, item.pattern, study.catalogue, study.library, *matchers)
    assert why.right
    assert why.number.calculator == "front-bar"
    assert why.number.says in (item.calculation.supports, item.calculation.refutes)


def test_any_item_has_a_course(study, matchers):
    for item in [*study.items.values()][::6]:
        course = course_of(item.cues, item.pattern, *matchers)
        assert all(0 <= share <= 1 for share in course)
        assert telling(course) in (None, *range(len(item.cues)))


def test_patterns_that_do_not_name_each_other_are_parted_by_a_look(study):
    catalogue = study.catalogue
    text = between(catalogue.pattern("overlap-wide-front-bar"), "front-bar-module-carried",
                   catalogue)  # fmt: skip
    assert "Where do its ends lie" in text


def test_the_telling_cue_is_the_one_with_which_the_odds_rose_most():
    assert telling([0.01, 0.5, 0.6, 0.62]) == 0
    # By hand: from 1:999 to 1:9 is 111 times the odds, from there to 3:2 only 13.5 times.
    assert telling([0.001, 0.1, 0.6]) == 0
    assert telling([0.5, 0.5, 0.55]) is None
    # From even odds to 1.44 is less than half as much again, to 1.56 more.
    assert (telling([0.5, 0.59]), telling([0.5, 0.61])) == (None, 0)
    assert telling([0.9, 0.2, 0.8]) == 1
    assert telling([0.3]) is None
    assert telling([]) is None


# ------------------------------------------------------------------------------------ the overview
def test_the_overview_counts_what_was_done(study):
    give(study, PLATE, "rear-v-brace", 0.8)
    give(study, PLATE, "rear-x-plate", 0.6, DAY + timedelta(days=1))
    bar = item_id("vehicle", "demo-pickup", "front bar")
    give(study, bar, "front-bar-module-carried", 0.9)
    socket = item_id("pattern", "tow-socket")
    give(study, socket, "", None)
    study.learner.step("rear-x-plate", "rear-x-plate", True, day=DAY)
    found = overview(study, study.learner.get(), DAY + timedelta(days=1))
    whole = found.whole
    assert (whole.seen, whole.answers, whole.right, whole.due) == (3, 4, 1, 2)
    assert whole.boxes == (2, 1, 0, 0, 0)
    # One cue was taken each time, of the six, six, and as many as bar and socket have.
    counts = [6, 6, *(len(study.items[name].cues) for name in (bar, socket))]
    assert whole.cues == pytest.approx(sum(1 / count for count in counts) / 4)
    assert (whole.read, whole.path) == (1, len(study.catalogue.patterns))
    assert sum(row.items for row in found.zones) == whole.items == len(study.items)
    # By hand: ((0.8 - 0)^2 + (0.6 - 1)^2 + (0.9 - 0)^2) / 3, after G. W. Brier, Monthly Weather
    # Review 78 (1950); passing states nothing and is not scored.
    assert whole.score.count == 3
    assert whole.score.brier == pytest.approx((0.64 + 0.16 + 0.81) / 3)
    rear = next(row for row in found.zones if row.zone == "rear-mount")
    assert (rear.answers, rear.hits) == (2, 0.5)
    assert [one.said for one in found.confusions] == ["front-bar-module-carried"], "learnt since"
    assert found.next[0].startswith("2 are due today, 1 of them in "), "in two zones"


def test_always_half_sure_scores_a_quarter(study):
    # Brier (1950): a constant 0.5 gives 0.25 whatever happens.
    for said in ("rear-x-plate", "rear-v-brace", "rear-x-plate"):
        give(study, PLATE, said, 0.5)
    found = overview(study, study.learner.get(), DAY)
    assert found.whole.score.brier == pytest.approx(0.25)
    assert found.whole.score.few


def test_nothing_done_is_an_overview_too(study):
    found = overview(study, study.learner.get(), DAY)
    assert found.whole.score is None
    assert found.whole.hits is None
    assert found.confusions == ()
    assert found.next
    assert not said_to_be(())


def test_answers_to_what_is_gone_stay_and_do_no_harm(study):
    study.learner.answer(
        "gone000000", "no-zone", "gone", "rear-x-plate", 0.5, cues=1, of=1, day=DAY
    )
    found = overview(study, study.learner.get(), DAY)
    assert found.whole.answers == 1
    assert found.confusions[0].title == "gone"
    assert study.queue(study.learner.get(), DAY + timedelta(days=9)).due == ()
