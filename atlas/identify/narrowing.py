"""From observations to patterns: Bayesian narrowing, and which look to take next."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from atlas.catalogue.load import Catalogue, each_pattern
from atlas.catalogue.model import Observable
from atlas.catalogue.nearest import suggestion
from atlas.errors import BadInput

Floats = NDArray[np.float64]

# Answers that say "I cannot see it"; they change nothing and are not asked again.
UNKNOWN = ("unknown", "cannot-see", "?")
# What one look costs beside a glance from below: time, lifting, dismantling, destruction.
COST: dict[str, float] = {
    "below": 1.0,
    "above": 1.0,
    "front": 1.0,
    "side": 1.0,
    "touch": 1.2,
    "wheel-off": 2.5,
    "fascia-off": 3.5,
    "bench": 5.0,
    "section-cut": 12.0,
}
_SLIP = 0.04  # share of answers that say something else than what is there
_SILENT = ("none", "not-here", "no", "no-cradle", "no-bolts", "no-bolt", "not-across", "nothing")
_NONE = 0.05  # held back for "none of these" before anything is seen
_TOGETHER = 0.4  # two answers met together less often than this share of chance are pointed out


@dataclass(frozen=True)
class State:
    """Where the answers leave the candidates, likeliest first."""

    candidates: dict[str, float]
    none_of_these: float
    contradictions: tuple[str, ...]
    answers: dict[str, str]
    beliefs: Floats  # over all patterns in catalogue order, then none of these


@dataclass(frozen=True)
class Question:
    """A look worth taking: what it would tell, what it costs, and between whom it decides."""

    observable: Observable
    gain_bits: float
    cost: float
    why: str


class Narrowing:
    """Likelihoods of a catalogue, ready to be updated by answers.

    A pattern that says nothing of an observable is taken to show what the others show on average,
    with a lean toward "none" where the observable has such a state.
    """

    def __init__(self, catalogue: Catalogue) -> None:
        self._catalogue = catalogue
        self._patterns = catalogue.patterns.in_use()
        self._names = tuple(self._patterns)
        self._observables = tuple(catalogue.observables.values())

    def given(self, prior: Mapping[str, float] | None, answers: Mapping[str, str]) -> State:
        """Beliefs after the answers, in any order.

        Args:
            prior: probability of each pattern before; what they lack to 1 is left to none of them.
                None holds all patterns alike.
            answers: observable to state, or to one of ``UNKNOWN``.

        Raises:
            BadInput: no such observable or state; the message offers the nearest.
        """
        known = {name: state for name, state in answers.items() if self._checked(name, state)}
        rows = {name: self._row(name, state) for name, state in known.items()}
        start = np.log(self._start(prior))
        logs = start + sum((np.log(row) for row in rows.values()), np.zeros(len(start)))
        beliefs = np.exp(logs - logs.max())
        beliefs /= beliefs.sum()
        order = np.argsort(-beliefs[:-1], kind="stable")
        return State(
            candidates={self._names[i]: float(beliefs[i]) for i in order},
            none_of_these=float(beliefs[-1]),
            contradictions=self._contradictions(known, beliefs),
            answers=dict(answers),
            beliefs=beliefs,
        )

    def next_questions(
        self, state: State, count: int = 3, *, costs: bool = True
    ) -> tuple[Question, ...]:
        """The looks that would tell most for what they cost, best first.

        Args:
            state: what is believed now.
            count: how many questions at the most.
            costs: whether a cheap look goes before a dear one that tells as much.
        """
        gains = self._gains(state.beliefs)
        prices = np.array([self.price(one, state.answers) for one in self._observables])
        worth = gains / prices**0.75 if costs else gains
        for place, one in enumerate(self._observables):
            if one.id in state.answers:
                worth[place] = -1.0
        best = np.argsort(-worth, kind="stable")[:count]
        return tuple(
            Question(
                observable=self._observables[place],
                gain_bits=float(gains[place]),
                cost=float(prices[place]),
                why=self._why(place, state.beliefs),
            )
            for place in best
            if worth[place] > 1e-9
        )

    def price(self, observable: Observable, answers: Mapping[str, str]) -> float:
        """What a look costs now: a wheel that is off already need not come off again."""
        known = self._catalogue.observables
        opened = any(known[name].look == observable.look for name in answers if name in known)
        return min(COST[observable.look], COST["touch"]) if opened else COST[observable.look]

    def expected_best(self, state: State, observable: str) -> float:
        """How likely the best candidate will be after a look, on average over its answers."""
        place = next(i for i, one in enumerate(self._observables) if one.id == observable)
        joint = self._table[place] * state.beliefs
        return float(joint.max(axis=1).sum())

    # ---------------------------------------------------------------------------------- inner
    @cached_property
    def _table(self) -> Floats:
        """P(state | pattern): (observables, most states, patterns + 1), 0 past the last state."""
        return self._tables[0]

    @cached_property
    def _tables(self) -> tuple[Floats, NDArray[np.bool_]]:
        """The table, and which patterns say something of which observable."""
        widest = max((len(one.states) for one in self._observables), default=1)
        table = np.zeros((len(self._observables), widest, len(self._names) + 1))
        stated = np.zeros((len(self._observables), len(self._names)), dtype=bool)
        place = {one.id: i for i, one in enumerate(self._observables)}
        index = [{s.id: j for j, s in enumerate(one.states)} for one in self._observables]
        for column, pattern in enumerate(each_pattern(self._patterns)):
            for observable, states in pattern.likelihoods.items():
                row = place.get(observable)
                if row is None:
                    continue
                stated[row, column] = True
                for state, share in states.items():
                    if state in index[row]:
                        table[row, index[row][state], column] = share
        for row, one in enumerate(self._observables):
            self._fill(table[row], stated[row], one)
        return table, stated

    @staticmethod
    def _fill(table: Floats, stated: NDArray[np.bool_], one: Observable) -> None:
        count = len(one.states)
        flat = np.full(count, 1.0 / count)
        said = table[:count, :-1][:, stated]
        usual = said.mean(axis=1) if said.size else flat
        usual = 0.7 * usual / max(usual.sum(), 1e-12) + 0.3 * flat
        silent = [i for i, state in enumerate(one.states) if state.id in _SILENT]
        if silent:
            lean = np.zeros(count)
            lean[silent] = 1.0 / len(silent)
            usual = 0.5 * usual + 0.5 * lean
        table[:count, :-1][:, ~stated] = usual[:, None]
        table[:count, -1] = 0.5 * usual + 0.5 * flat
        table[:count] /= np.maximum(table[:count].sum(axis=0), 1e-12)
        table[:count] = (1 - _SLIP) * table[:count] + _SLIP / count

    def _start(self, prior: Mapping[str, float] | None) -> Floats:
        count = len(self._names)
        if prior is None:
            start = np.full(count + 1, (1 - _NONE) / max(count, 1))
            start[-1] = _NONE
            return start
        start = np.array([prior.get(name, 0.0) for name in self._names] + [0.0])
        start[-1] = max(1.0 - start.sum(), _NONE)
        # Words mislead now and then: nothing is ruled out before it is looked at.
        start[:-1] = 0.98 * start[:-1] + 0.02 * max(start[:-1].sum(), 1e-3) / max(count, 1)
        return np.asarray(start / start.sum())

    def _checked(self, name: str, state: str) -> bool:
        """Whether the answer says anything; refuses what is no answer."""
        known = self._catalogue.observables
        if name not in known:
            remedy = suggestion(name, known, "'atlas narrow' lists questions")
            raise BadInput(f"no observable {name[:60]!r}", "OBSERVABLE", remedy)
        if state in UNKNOWN:
            return False
        states = [one.id for one in known[name].states]
        if state not in states:
            raise BadInput(
                f"no state {state[:60]!r}", name, f"answer {', '.join(states)} or unknown"
            )
        return True

    def _row(self, name: str, state: str) -> Floats:
        place = next(i for i, one in enumerate(self._observables) if one.id == name)
        column = next(j for j, s in enumerate(self._observables[place].states) if s.id == state)
        return np.asarray(self._table[place, column])

    def _gains(self, beliefs: Floats) -> Floats:
        """Expected drop of entropy by each observable [bit]."""
        # Only candidates that still count take part; the others change nothing in the sums.
        live = beliefs > 1e-6
        weight = beliefs[live]
        with np.errstate(divide="ignore", invalid="ignore"):
            before = np.where(weight > 0, weight * np.log2(weight), 0.0).sum()
            gains = []
            for states in self._table:  # one observable at a time: all at once fill the memory
                joint = states @ beliefs  # P(state)
                post = states[:, live] * weight
                inner = np.where(post > 0, post * np.log2(post), 0.0).sum()
                outer = np.where(joint > 0, joint * np.log2(joint), 0.0).sum()
                gains.append(inner - outer - before)
        return np.asarray(np.maximum(np.array(gains), 0.0), dtype=np.float64)

    def _why(self, place: int, beliefs: Floats) -> str:
        one = self._observables[place]
        # Only candidates that say something of it; the others' states are a mere average.
        said = np.where(self._tables[1][place], beliefs[:-1], -1.0)
        order = [i for i in np.argsort(-said, kind="stable")[:6] if said[i] > 0]
        best: dict[int, int] = {}
        for column in order:
            state = int(np.argmax(self._table[place, : len(one.states), column]))
            best.setdefault(state, int(column))
        titles = self._catalogue.patterns.title
        if len(best) > 1:
            parts = [
                f'"{one.states[state].text}" speaks for {titles(self._names[column])}'
                for state, column in list(best.items())[:3]
            ]
            return "; ".join(parts) + "."
        return one.why

    def _contradictions(self, known: Mapping[str, str], beliefs: Floats) -> tuple[str, ...]:
        """Pairs of answers that hardly any pattern shows together, however likely each is alone."""
        places = {one.id: i for i, one in enumerate(self._observables)}
        texts = {
            name: next(s.text for s in self._observables[places[name]].states if s.id == state)
            for name, state in known.items()
        }
        stated = self._tables[1]
        found = []
        for one, other in combinations(known, 2):
            both = stated[places[one]] & stated[places[other]]
            if both.sum() < 6:
                continue  # too few patterns speak of both to call it a contradiction
            a = self._row(one, known[one])[:-1][both]
            b = self._row(other, known[other])[:-1][both]
            together = float(np.mean(a * b) / (np.mean(a) * np.mean(b)))
            # A candidate that explains both keeps them from being called contradictory.
            if together < _TOGETHER and float(np.max(a * b * beliefs[:-1][both])) < 0.2:
                found.append(
                    f'{one} = "{texts[one]}" and {other} = "{texts[other]}" hardly go together: '
                    "look at both again."
                )
        return tuple(found)
