"""Bayes and information against hand-worked and textbook values."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference import band, rows, source
from validation import Check

from atlas.calculators.models.material_id import FAMILIES, TESTS
from atlas.mechanics.evidence import entropy, expected_gain, posterior, reading_likelihood

(_ROW,) = rows("material_id", "matid.bayes.example")


def _example(k):
    i = _ROW["inputs"]
    close = reading_likelihood(i["density_g_cm3"], i["class_density_g_cm3"], i["rel_sigma"])
    return posterior(i["prior"], i["magnetic_likelihood"], close)[k]


DISEASE = "textbook screening test by hand: 1 % prior, 99 % and 5 % positive: 0.0099 / 0.0594"
MACKAY = "D. J. C. MacKay, Information Theory, ch. 9: binary symmetric channel, 1 - H2(0.15)"

CHECKS = [
    *(
        Check(
            f"matid.bayes.{k}",
            "material-id",
            source(_ROW),
            _ROW["expected"]["posterior"][k],
            band(_ROW)[0],
            lambda k=k: _example(k),
        )
        for k in range(3)
    ),
    Check(
        "bayes.screening",
        "material-id",
        DISEASE,
        1 / 6,
        1e-9,
        lambda: posterior([0.01, 0.99], [0.99, 0.05])[0],
    ),
    Check(
        "information.channel",
        "material-id",
        MACKAY,
        0.39,
        0.005,
        lambda: expected_gain([0.5, 0.5], [[0.85, 0.15], [0.15, 0.85]]),
        "bit",
    ),
    *(
        Check(
            row["id"],
            "material-id",
            source(row),
            row["expected"]["density_g_cm3"],
            0.04,
            lambda n=name: FAMILIES[n][0] / 1e3,
            "g/cm3",
        )
        for row in rows("material_id", "matid.density.")
        for key, name in (
            ("iron", "carbon steel"),
            ("aluminium", "aluminium sheet or profile"),
            ("magnesium", "magnesium casting"),
        )
        if row["id"].endswith(f".{key}")
    ),
]

share = st.lists(st.floats(0.01, 1), min_size=3, max_size=3)


@given(share, share, share)
def test_order_of_evidence_does_not_matter(prior, one, other):
    p = np.array(prior) / sum(prior)
    assert posterior(p, one, other) == pytest.approx(posterior(posterior(p, other), one))
    assert posterior(p, one).sum() == pytest.approx(1)


@given(
    share, st.lists(st.lists(st.floats(0.01, 1), min_size=3, max_size=3), min_size=2, max_size=4)
)
def test_no_test_is_expected_to_mislead_or_to_tell_more_than_there_is(prior, table):
    p = np.array(prior) / sum(prior)
    states = np.array(table) / np.sum(table, axis=0)
    assert 0 <= expected_gain(p, states) <= entropy(p) + 1e-9


def test_entropy_agrees_with_scipy():
    """Source: scipy.stats.entropy."""
    from scipy.stats import entropy as theirs

    p = np.random.default_rng(3).dirichlet(np.ones(6), size=20)
    assert entropy(p) == pytest.approx(theirs(p, base=2, axis=1))


@pytest.mark.parametrize("name", TESTS)
def test_states_of_each_look_add_up(name):
    table = np.array(list(TESTS[name].values()))
    assert table.shape[1] == len(FAMILIES)
    assert table.sum(axis=0) == pytest.approx(1.0, abs=0.1)


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: posterior([0.5, -0.5], [1, 1]), "prior"),
        (lambda: posterior([0.5, 0.5], [0, 0]), "no class"),
        (lambda: reading_likelihood(float("nan"), 1, 0.1), "reading"),
        (lambda: reading_likelihood(1, 1, 0), "error"),
        (lambda: expected_gain([1.0], [[0.5]]), "states"),
    ],
)
def test_refuses_by_name(call, word):
    with pytest.raises(ValueError, match=word):
        call()
