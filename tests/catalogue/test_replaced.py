"""A pattern that was replaced: what stands for it today is found, asked about and taught."""

import pytest

from atlas.casework.calibration import statements
from atlas.casework.cases import Cases
from atlas.casework.learning import learn, taught
from atlas.catalogue.appending import change_pattern, superseded
from atlas.catalogue.load import load
from atlas.identify.narrowing import Narrowing
from atlas.identify.text import Finder

OLD, NEW, LAST = "rear-diagonal-straps", "rear-v-brace", "rear-x-plate"
WORDS = "pair of diagonal straps, one a side, each with its own two bolts"


def replace(library, old, new):
    catalogue = load(library)
    first, second = superseded(catalogue.pattern(old), catalogue.pattern(new))
    change_pattern(library, catalogue.pattern(new), second)
    change_pattern(library, catalogue.pattern(old), first)
    return load(library)


@pytest.fixture
def catalogue(library):
    return replace(library, OLD, NEW)


def test_search_and_questions_lead_to_what_replaced_it(catalogue):
    assert Finder(load(None)).find(WORDS).matches[0].pattern_id == OLD
    finder = Finder(catalogue)
    assert finder.find(WORDS).matches[0].pattern_id == NEW, "it has the names and what was said"
    assert OLD not in finder.prior(WORDS)
    assert OLD not in Narrowing(catalogue).given(None, {}).candidates
    assert catalogue.pattern(OLD).provenance.superseded_by == NEW, "and it can still be read"


def test_links_are_followed_to_the_end_and_never_in_a_circle(library, catalogue):
    after = replace(library, NEW, LAST)
    assert after.patterns.current(OLD) == after.patterns.current(NEW) == LAST
    assert after.patterns.current("no-such") == "no-such"
    assert after.patterns.replaced == {OLD: LAST, NEW: LAST}
    # By three people who did not know of each other: the third one's copy had no link yet.
    last = after.pattern(LAST)
    first, _ = superseded(last, load(None).pattern(OLD))
    change_pattern(library, last, first)
    around = load(library)
    assert {around.patterns.current(name) for name in (OLD, NEW, LAST)} == {OLD}, "one stays"
    assert len(Finder(around).prior(WORDS)) == len(around.patterns.in_use())


def settled(library, suspected, found):
    cases = Cases(library, "AB")
    case = cases.new("x")
    cases.note(case.id, "two straps seen from below", about="strap")
    cases.note(case.id, "sticks", about="strap", observable="magnet", state="sticks")
    cases.suspect(case.id, suspected, 0.8, about="strap")
    cases.settle(case.id, found, about="strap", found="f", how="look")
    return cases


def test_cases_settled_as_the_old_one_teach_the_new_one(library, catalogue):
    settled(library, OLD, OLD)
    found = taught(library, catalogue)
    assert found.patterns == (NEW,)
    assert found.said == {NEW: ("two straps seen from below",)}
    learn(library, catalogue, found)
    after = load(library)
    assert after.pattern(NEW).provenance.counted and not after.pattern(OLD).provenance.counted
    assert not taught(library, after).patterns, "counted once"


def test_what_was_counted_before_the_replacement_is_not_said_again(library):
    settled(library, OLD, OLD)
    before = load(library)
    learn(library, before, taught(library, before))
    after = replace(library, OLD, NEW)
    assert taught(library, after).said == {}


@pytest.mark.parametrize(("suspected", "found"), [(OLD, NEW), (NEW, OLD), (OLD, OLD)])
def test_who_named_the_old_one_was_right(library, catalogue, suspected, found):
    cases, _ = settled(library, suspected, found).every()
    assert [one.right for one in statements(cases, catalogue.patterns.current)] == [True]
    assert [one.right for one in statements(cases)] == [suspected == found]
