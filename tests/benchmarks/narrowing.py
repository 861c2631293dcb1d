"""How many looks an observer needs: ``python tests/benchmarks/narrowing.py [RUNS]``.

An observer stands before one pattern and answers from its likelihoods, says "cannot see" now and
then and is wrong now and then. Counted is the cost and the number of looks until the right pattern
holds 90 %, for the questions that the program asks, for the same without regard to cost, and for
questions in random order, in one run with the same dice.
"""

import sys

import numpy as np

from atlas.catalogue.load import load
from atlas.identify.narrowing import Narrowing

MOST = 40
WRONG, UNSEEN = 0.05, 0.15


def answer(pattern, observable, narrowing, rng) -> str:
    if rng.random() < UNSEEN:
        return "unknown"
    states = [state.id for state in observable.states]
    if rng.random() < WRONG:
        return str(rng.choice(states))
    said = pattern.likelihoods.get(observable.id)
    if said is None:
        column = narrowing._names.index(pattern.id)
        place = narrowing._observables.index(observable)
        weights = narrowing._table[place, : len(states), column]
    else:
        weights = np.array([said.get(state, 0.0) for state in states])
    return str(rng.choice(states, p=weights / weights.sum()))


def looks(pattern, narrowing, way: str, seed: int) -> tuple[int, float]:
    rng = np.random.default_rng(seed)
    order = rng.permutation(len(narrowing._observables))
    answers: dict[str, str] = {}
    cost = 0.0
    for count in range(1, MOST + 1):
        state = narrowing.given(None, answers)
        if way == "random":
            observable = narrowing._observables[order[count - 1]]
        else:
            observable = narrowing.next_questions(state, 1, costs=way == "ours")[0].observable
        cost += narrowing.price(observable, answers)
        answers[observable.id] = answer(pattern, observable, narrowing, rng)
        if narrowing.given(None, answers).candidates[pattern.id] >= 0.9:
            return count, cost
    return MOST + 1, cost


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 2
    catalogue = load()
    narrowing = Narrowing(catalogue)
    patterns = [p for p in catalogue.patterns.values() if len(p.likelihoods) >= 5]
    print(f"{len(patterns)} patterns, {runs} runs each; {WRONG:.0%} wrong, {UNSEEN:.0%} unseen")
    print(f"{'questions':24}{'median looks':>14}{'median cost':>14}{'not in 40':>12}")
    medians = {}
    for way, name in (
        ("ours", "gain for cost"),
        ("free", "gain alone"),
        ("random", "random order"),
    ):
        found = [
            looks(pattern, narrowing, way, 1000 * i + run)
            for i, pattern in enumerate(patterns)
            for run in range(runs)
        ]
        counts, costs = np.array(found).T
        medians[way] = np.median(counts), np.median(costs)
        missed = np.mean(counts > MOST)
        print(f"{name:24}{np.median(counts):14.0f}{np.median(costs):14.1f}{missed:12.0%}")
    print(f"looks against random order: {medians['ours'][0] / medians['random'][0]:.2f}")
    print(f"cost against gain alone: {medians['ours'][1] / medians['free'][1]:.2f}")


if __name__ == "__main__":
    main()
