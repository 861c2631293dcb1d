import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.catalogue.load import load
from atlas.errors import BadInput
from atlas.identify.narrowing import UNKNOWN, Narrowing

CATALOGUE = load(cached=False)
NARROWING = Narrowing(CATALOGUE)
OBSERVABLES = list(CATALOGUE.observables.values())
answers = st.dictionaries(
    st.sampled_from(OBSERVABLES), st.integers(0, 10), min_size=1, max_size=6
).map(lambda d: {o.id: o.states[i % len(o.states)].id for o, i in d.items()})


def total(state):
    return sum(state.candidates.values()) + state.none_of_these


@settings(max_examples=50, deadline=None)
@given(answers)
def test_probabilities_add_up_whatever_is_answered(given_answers):
    state = NARROWING.given(None, given_answers)
    assert total(state) == pytest.approx(1)
    assert min(state.candidates.values()) >= 0
    assert list(state.candidates.values()) == sorted(state.candidates.values(), reverse=True)


@settings(max_examples=50, deadline=None)
@given(answers)
def test_the_order_of_answers_does_not_matter(given_answers):
    forward = NARROWING.given(None, given_answers)
    backward = NARROWING.given(None, dict(reversed(given_answers.items())))
    assert np.allclose(forward.beliefs, backward.beliefs)


@settings(max_examples=30, deadline=None)
@given(answers, st.sampled_from(UNKNOWN))
def test_cannot_see_changes_nothing_and_is_not_asked_again(given_answers, unknown):
    blind = next(o.id for o in OBSERVABLES if o.id not in given_answers)
    before = NARROWING.given(None, given_answers)
    after = NARROWING.given(None, {**given_answers, blind: unknown})
    assert np.array_equal(before.beliefs, after.beliefs)
    asked = {q.observable.id for q in NARROWING.next_questions(after, 100)}
    assert blind not in asked
    assert not asked & given_answers.keys()


@settings(max_examples=30, deadline=None)
@given(answers)
def test_a_look_never_loses_information_and_its_gain_is_the_expected_one(given_answers):
    state = NARROWING.given(None, given_answers)

    def entropy(p):
        p = p[p > 0]
        return float(-(p * np.log2(p)).sum())

    for question in NARROWING.next_questions(state, 2):
        # By the definition: entropy now less the mean entropy after each answer.
        expected = entropy(state.beliefs)
        rows = [NARROWING._row(question.observable.id, s.id) for s in question.observable.states]
        for row in rows:
            joint = state.beliefs * row
            expected -= joint.sum() * entropy(joint / joint.sum())
        assert question.gain_bits == pytest.approx(expected, abs=1e-4)
        assert 0 <= question.gain_bits <= np.log2(len(question.observable.states)) + 1e-9


def test_bayes_by_hand():
    # Two answers, the posterior worked from the likelihoods themselves.
    one, two = OBSERVABLES[0], OBSERVABLES[1]
    said = {one.id: one.states[0].id, two.id: two.states[0].id}
    first = NARROWING._row(one.id, one.states[0].id)
    second = NARROWING._row(two.id, two.states[0].id)
    start = NARROWING.given(None, {}).beliefs
    expected = start * first * second
    assert np.allclose(NARROWING.given(None, said).beliefs, expected / expected.sum())


def test_truthful_answers_lead_to_the_pattern():
    for name in list(CATALOGUE.patterns)[::7]:
        likelihoods = CATALOGUE.patterns[name].likelihoods
        if len(likelihoods) < 6:
            continue
        said = {o: max(states, key=states.__getitem__) for o, states in likelihoods.items()}
        state = NARROWING.given(None, said)
        assert list(state.candidates).index(name) < 3, name


def test_words_before_the_looks_count():
    prior = {"rear-x-plate": 0.6, "rear-v-brace": 0.3}
    state = NARROWING.given(prior, {})
    assert next(iter(state.candidates)) == "rear-x-plate"
    assert state.candidates["rear-x-plate"] == pytest.approx(0.6, abs=0.05)
    assert state.none_of_these > 0.04


def test_answers_that_contradict_are_pointed_out_not_averaged_away():
    state = NARROWING.given(None, {"magnet": "sticks", "skin": "extruded"})
    assert any("magnet" in line and "skin" in line for line in state.contradictions)
    calm = NARROWING.given(None, {"magnet": "none", "skin": "extruded"})
    assert calm.contradictions == ()


def test_a_dear_look_gives_way_to_a_cheap_one():
    state = NARROWING.given(None, {})
    cheap = NARROWING.next_questions(state, 10)
    blind = NARROWING.next_questions(state, 10, costs=False)
    assert sum(q.cost for q in cheap) < sum(q.cost for q in blind)
    assert all(q.why.strip() for q in cheap)


@pytest.mark.parametrize(
    ("said", "names"),
    [({"magnetic": "sticks"}, "magnet"), ({"magnet": "maybe"}, "sticks"), ({"": ""}, "observable")],
)
def test_what_is_no_answer_is_refused_by_name(said, names):
    with pytest.raises(BadInput, match=names):
        NARROWING.given(None, said)
