"""How likely each answer is if a pattern is there, for all patterns at once."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from atlas.catalogue.model import Observable

Floats = NDArray[np.float64]

_MISSEEN = 0.04  # share of answers that are slips of the eye or the finger, over all states
_FLAT = 0.5  # how far a pattern that is silent on an observable leans on the others' average


class Sightings:
    """One table an observable: states by patterns, with 'none of these' as the last column."""

    def __init__(
        self,
        observables: Mapping[str, Observable],
        likelihoods: Sequence[Mapping[str, Mapping[str, float]]],
    ) -> None:
        self._places: dict[str, dict[str, int]] = {}
        self._tables: dict[str, NDArray[np.float32]] = {}
        self._doubt: dict[str, Floats] = {}
        self._speakers: dict[str, frozenset[int]] = {}
        given: dict[str, tuple[list[int], list[Mapping[str, float]]]] = {}
        for row, one in enumerate(likelihoods):
            for name, states in one.items():
                rows, tables = given.setdefault(name, ([], []))
                rows.append(row)
                tables.append(states)
        for name, observable in observables.items():
            places = {state.id: i for i, state in enumerate(observable.states)}
            self._places[name] = places
            rows, tables = given.get(name, ([], []))
            self._tables[name] = _table(places, rows, tables, len(likelihoods))
            self._speakers[name] = frozenset(rows)
        for name, table in self._tables.items():
            self._doubt[name] = _entropy(table)

    def table(self, observable: str) -> NDArray[np.float32]:
        """Chance of each state (rows) under each pattern and none of them (columns)."""
        return self._tables[observable]

    def chance(self, observable: str, state: str) -> Floats:
        """Chance of one answer under each pattern and none of them."""
        row = self._tables[observable][self._places[observable][state]]
        return np.asarray(row, np.float64)

    def speakers(self, observable: str) -> frozenset[int]:
        """Which patterns say something of the observable; the others' chances are an average."""
        return self._speakers[observable]

    def gains(self, weights: Floats) -> Floats:
        """Bits that each observable's answer is expected to tell.

        The mutual information of answer and pattern: the answer's entropy less what of it remains
        once the pattern is known (Cover and Thomas, Elements of Information Theory, 2.4).
        """
        return np.array(
            [
                max(0.0, float(_entropy(table @ weights) - self._doubt[name] @ weights))
                for name, table in self._tables.items()
            ]
        )


def _table(
    places: Mapping[str, int],
    rows: Sequence[int],
    tables: Sequence[Mapping[str, float]],
    size: int,
) -> NDArray[np.float32]:
    count = len(places)
    given = np.zeros((count, len(rows)))
    for column, states in enumerate(tables):
        for state, chance in states.items():
            if state in places:
                given[places[state], column] = chance
    sums = given.sum(axis=0)
    given = np.where(sums > 0, given / np.where(sums > 0, sums, 1), 1 / count)
    average = given.mean(axis=1) if rows else np.full(count, 1 / count)
    other = _FLAT * average + (1 - _FLAT) / count
    table = np.repeat(other[:, None], size + 1, axis=1)
    table[:, rows] = given
    return np.asarray((1 - _MISSEEN) * table + _MISSEEN / count, np.float32)


def _entropy(chances: NDArray[np.floating]) -> Floats:
    return np.asarray(-(chances * np.log2(chances)).sum(axis=0), np.float64)
