"""From observations to patterns: what the answers so far leave, and what to look at next."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from atlas.catalogue.model import Observable, Pattern
from atlas.errors import BadInput

from .contradictions import contradictions
from .sightings import Sightings

Floats = NDArray[np.float64]

UNKNOWN = frozenset(("unknown", "cannot-see", "not-seen", "?", ""))

# Share of the probability that some pattern outside the catalogue is there, before any look, and
# what a description can at most take away from every pattern: words are slips as often as that.
_NONE = 0.05
_SLIP = 0.05

# What a look costs against one from below, by judgement: minutes, tools and what is lost by it.
_COST = {
    "below": 1.0,
    "front": 1.0,
    "side": 1.0,
    "above": 1.2,
    "touch": 1.3,
    "wheel-off": 2.5,
    "fascia-off": 4.0,
    "bench": 8.0,
    "section-cut": 20.0,
}


class CatalogueLike(Protocol):
    """What narrowing needs of a catalogue."""

    @property
    def patterns(self) -> Mapping[str, Pattern]:
        """Patterns by id."""

    @property
    def observables(self) -> Mapping[str, Observable]:
        """Observables by id."""


@dataclass(frozen=True)
class State:
    """Where the answers leave the candidates, most likely first."""

    candidates: Mapping[str, float]
    none_of_these: float
    contradictions: tuple[str, ...] = ()
    answered: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Question:
    """A look worth taking: what it is expected to tell, and what it costs."""

    observable: Observable
    gain_bits: float
    cost: float
    why: str


class Narrowing:
    """Likelihoods of a catalogue, ready to be updated."""

    def __init__(self, catalogue: CatalogueLike) -> None:
        self._catalogue = catalogue
        self._ids = list(catalogue.patterns)
        self._titles = [catalogue.patterns[name].title for name in self._ids]
        self._sightings = Sightings(
            catalogue.observables,
            [catalogue.patterns[name].likelihoods for name in self._ids],
        )

    def given(self, prior: Mapping[str, float] | None, answers: Mapping[str, str]) -> State:
        """Candidates after a description and some answers.

        Args:
            prior: chance of each pattern by the description; None where there was none.
            answers: state by observable; 'unknown' leaves everything as it was.

        Raises:
            BadInput: there is no such observable or state; the message lists what there is.
        """
        known = {
            name: state
            for name, state in answers.items()
            if self._checked(name, state) not in UNKNOWN
        }
        weights = self._prior(prior)
        chances = self._posterior(weights, known)
        order = np.argsort(-chances[:-1], kind="stable")
        candidates = {self._ids[i]: float(chances[i]) for i in order}
        lines = contradictions(self._sightings, weights, known, self._titles)
        return State(candidates, float(chances[-1]), lines, dict(answers))

    def next_questions(self, state: State, count: int = 3) -> tuple[Question, ...]:
        """Looks that would tell most for their cost, best first.

        Args:
            state: where the answers left the candidates.
            count: at most so many.
        """
        rows = {name: row for row, name in enumerate(self._ids)}
        weights = np.zeros(len(self._ids) + 1)
        for name, chance in state.candidates.items():
            weights[rows[name]] = chance
        weights[-1] = state.none_of_these
        gains = self._sightings.gains(weights)
        asked = [
            (gain / _COST[observable.look], gain, observable)
            for observable, gain in zip(
                self._catalogue.observables.values(), gains.tolist(), strict=True
            )
            if observable.id not in state.answered and gain > 1e-6
        ]
        asked.sort(key=lambda one: (-one[0], one[2].id))
        return tuple(
            Question(observable, gain, _COST[observable.look], self._why(observable, weights))
            for _, gain, observable in asked[:count]
        )

    def expected_best(self, state: State, observable: str) -> float:
        """How likely the best candidate will be after a look, on average over its answers."""
        weights = np.array([state.candidates[name] for name in self._ids] + [state.none_of_these])
        return float((self._sightings.table(observable) * weights).max(axis=1).sum())

    def _checked(self, name: str, state: str) -> str:
        observable = self._catalogue.observables.get(name)
        if observable is None:
            from atlas.catalogue.nearest import suggestion

            remedy = suggestion(name[:100], self._catalogue.observables, "see 'atlas narrow'")
            raise BadInput(f"no observable {name[:60]!r}", remedy=remedy)
        if state not in UNKNOWN and all(state != one.id for one in observable.states):
            states = ", ".join(one.id for one in observable.states)
            raise BadInput(f"no state {state[:60]!r}", name, f"states are {states}, unknown")
        return state

    def _prior(self, prior: Mapping[str, float] | None) -> Floats:
        size = len(self._ids)
        weights = np.full(size + 1, (1 - _NONE) / max(size, 1))
        if prior is not None:
            told = np.array([prior.get(name, 0.0) for name in self._ids])
            none = min(max(1 - float(told.sum()), _NONE), 0.9)
            if told.sum() > 0:
                told = told / told.sum() * (1 - none)
                weights[:-1] = (1 - _SLIP) * told + _SLIP * (1 - none) / size
            weights[-1] = none
        else:
            weights[-1] = _NONE
        return np.asarray(weights / weights.sum())

    def _posterior(self, weights: Floats, answers: Mapping[str, str]) -> Floats:
        log = np.log(weights)
        for name, state in answers.items():
            log = log + np.log(self._sightings.chance(name, state))
        log -= log.max()
        chances = np.exp(log)
        return np.asarray(chances / chances.sum())

    def _why(self, observable: Observable, weights: Floats) -> str:
        """The two likely candidates that the answer would part best, and what each expects."""
        likely = [int(i) for i in np.argsort(-weights[:-1], kind="stable")[:6] if weights[i] > 0.01]
        table = self._sightings.table(observable.id)
        states = {one.id: one.text for one in observable.states}
        names = list(states)
        best: tuple[float, int, int] | None = None
        for place, a in enumerate(likely):
            for b in likely[place + 1 :]:
                apart = float(np.abs(table[:, a] - table[:, b]).sum()) * min(weights[a], weights[b])
                if best is None or apart > best[0]:
                    best = (apart, a, b)
        if best is None or best[0] <= 0:
            return observable.why
        _, a, b = best
        expect_a = states[names[int(np.argmax(table[:, a] - table[:, b]))]]
        expect_b = states[names[int(np.argmax(table[:, b] - table[:, a]))]]
        return (
            f"It parts '{self._titles[a]}' (then rather: {expect_a}) from "
            f"'{self._titles[b]}' (then rather: {expect_b}). {observable.why}"
        )
