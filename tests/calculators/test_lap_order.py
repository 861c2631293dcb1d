import math
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput
from atlas.mechanics.orders import contradiction, one_order, sequences
from tests.validation import Check

LAPS = calculator("lap-order")
NOTHING = dict.fromkeys(("laps", "bolts", "hides", "paint", "together"), "")
# The lattice of subsets of three things: 48 linear extensions (OEIS A046873).
CUBE = [(a, b) for a in "01234567" for b in "01234567" if a != b and int(a) & int(b) == int(a)]


def catalan(n: int) -> int:
    """Orders of a 2 by n grid: the Catalan numbers (OEIS A000108)."""
    rows = [(f"a{i}", f"a{i + 1}") for i in range(n - 1)]
    rows += [(f"b{i}", f"b{i + 1}") for i in range(n - 1)]
    rows += [(f"a{i}", f"b{i}") for i in range(n)]
    return sequences([f"{r}{i}" for r in "ab" for i in range(n)], rows)


STANLEY = "Stanley, Enumerative Combinatorics vol. 1, ch. 3"
CHECKS = [
    Check("order.n-shaped", "lap-order", STANLEY, 5, 0,
          lambda: sequences("abcd", [("a", "c"), ("b", "c"), ("b", "d")])),
    Check("order.diamond", "lap-order", STANLEY, 2, 0,
          lambda: sequences("abcd", [("a", "b"), ("a", "c"), ("b", "d"), ("c", "d")])),
    Check("order.cube", "lap-order", "OEIS A046873", 48, 0, lambda: sequences("01234567", CUBE)),
    Check("order.grid-2x5", "lap-order", "OEIS A000108 (Catalan numbers)", 42, 0,
          lambda: catalan(5)),
    Check("order.antichain", "lap-order", "n! orders of n free parts", math.factorial(9), 0,
          lambda: sequences("abcdefghi", [])),
]  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.sets(st.tuples(st.integers(0, 4), st.integers(0, 4)).filter(lambda p: p[0] < p[1])))
def test_counting_agrees_with_trying_every_order(pairs):
    before = [(str(a), str(b)) for a, b in pairs]
    fitting = sum(
        all(order.index(a) < order.index(b) for a, b in before) for order in permutations("01234")
    )
    assert sequences("01234", before) == fitting
    assert contradiction(before) == []


@settings(max_examples=60, deadline=None)
@given(st.sets(st.tuples(st.sampled_from("abcde"), st.sampled_from("abcde"))))
def test_a_contradiction_is_a_ring_of_given_relations(pairs):
    before = sorted(pair for pair in pairs if pair[0] != pair[1])
    ring = contradiction(before)
    if sequences("abcde", before) > 0:
        assert ring == []
        placed = [part for step in one_order("abcde", before) for part in step]
        assert sorted(placed) == list("abcde")
        assert all(placed.index(a) < placed.index(b) for a, b in before)
    else:
        assert set(ring) <= set(before)
        assert all(x[1] == y[0] for x, y in zip(ring, [*ring[1:], ring[0]], strict=True))


def test_what_must_come_last_is_said():
    outcome = run(LAPS, {**NOTHING, "laps": "bar > cradle", "hides": "tray > bar"})
    assert "tray must have come last" in " ".join(outcome.findings)
    assert outcome.results["sequences"].value == 1


def test_a_contradiction_names_its_causes_and_the_weakest():
    outcome = run(
        LAPS,
        {**NOTHING, "laps": "bar > cradle; cradle > plate", "paint": "bar > cradle",
         "bolts": "plate > bar"},
    )  # fmt: skip
    said = " ".join(outcome.findings)
    assert outcome.results["contradictions"].value == 1
    assert "cannot all be true" in said
    assert "bar lies over cradle" in said and "the bolts of plate pass through bar" in said
    assert "only one reading" in said


def test_a_module_counts_as_one_part():
    free = run(LAPS, {**NOTHING, "laps": "bar > leg; pack > leg"})
    tied = run(LAPS, {**NOTHING, "laps": "bar > leg; pack > leg", "together": "bar + pack"})
    assert free.results["parts"].value == 3
    assert tied.results["parts"].value == 2


@pytest.mark.parametrize(
    ("given", "names"),
    [
        (NOTHING, "nothing is ordered"),
        ({**NOTHING, "laps": "bar"}, "laps"),
        ({**NOTHING, "hides": "bar >"}, "hides"),
        ({**NOTHING, "laps": "a > b", "together": "a"}, "together"),
        ({**NOTHING, "laps": "; ".join(f"p{i} > p{i + 1}" for i in range(30))}, "at most 24"),
    ],
)
def test_refusals_name_the_input(given, names):
    with pytest.raises(BadInput, match=names):
        run(LAPS, given)


def test_a_part_over_itself_is_refused():
    with pytest.raises(BadInput, match="'bar' stands on both sides"):
        run(calculator("lap-order"), {"laps": "bar > bar"})
