import math

from atlas.catalogue.load import load

CATALOGUE = load(cached=False)


def test_there_are_enough_questions_and_each_is_used():
    used = {name for pattern in CATALOGUE.patterns.values() for name in pattern.likelihoods}
    assert len(CATALOGUE.observables) >= 60
    assert used == set(CATALOGUE.observables)


def test_answers_are_few_and_told_apart():
    for observable in CATALOGUE.observables.values():
        names = [state.id for state in observable.states]
        assert 2 <= len(names) == len(set(names)) <= 6
        assert not {"unknown", "cannot-see"} & set(names)


def test_likelihoods_speak_of_known_states_and_add_up():
    for pattern in CATALOGUE.patterns.values():
        for name, states in pattern.likelihoods.items():
            assert set(states) <= {s.id for s in CATALOGUE.observables[name].states}, pattern.id
            assert math.isclose(sum(states.values()), 1, abs_tol=2e-3), (pattern.id, name)


def test_no_two_patterns_look_alike_in_every_answer():
    seen = [repr(sorted(p.likelihoods.items())) for p in CATALOGUE.patterns.values()]
    assert len(seen) == len(set(seen))


def test_the_vocabulary_is_wide_and_its_links_lead_somewhere():
    words = {word for term in CATALOGUE.terms.values() for word in (term.term, *term.also)}
    assert len(words) >= 400
    known = CATALOGUE.terms.keys() | CATALOGUE.patterns.keys()
    assert all(link in known for term in CATALOGUE.terms.values() for link in term.see)
