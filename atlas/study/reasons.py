"""What follows an answer: what it is, what separates it, which cue told, why, and the number."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol

from atlas.calculators.presets import preset
from atlas.catalogue.library import Library
from atlas.catalogue.load import Catalogue
from atlas.catalogue.model import Pattern
from atlas.errors import AtlasError
from atlas.study.items import Item, Shown
from atlas.vehicles.bearing import bear_out

_SAMPLES = 500
_LIMIT = 0.999  # beyond it, odds say more of rounding than of the cue


class Words(Protocol):
    """Words to a probability of each pattern."""

    def prior(self, text: str) -> Mapping[str, float] | None:
        """Chance of each pattern by a description; None where that says nothing."""


class Given(Protocol):
    """Where answers leave the candidates."""

    @property
    def candidates(self) -> Mapping[str, float]:
        """Probability of each pattern, likeliest first."""


class Answers(Protocol):
    """Looks to a probability of each pattern."""

    def given(self, prior: Mapping[str, float] | None, answers: Mapping[str, str]) -> Given:
        """Beliefs after the answers."""


@dataclass(frozen=True)
class Separation:
    """What tells the pattern from one that it is mistaken for."""

    other: str
    title: str
    text: str
    taken: bool  # the learner took it for this one


@dataclass(frozen=True)
class Number:
    """The calculation that goes with it, as run."""

    calculator: str
    question: str
    findings: tuple[str, ...]
    says: str  # what it says of the first guess; empty where there was none
    cautions: tuple[str, ...]
    leaves_out: str


@dataclass(frozen=True)
class Reasons:
    """Everything that is said once the answer is out."""

    pattern: Pattern
    right: bool
    said: str  # title of what it was taken for; empty where the learner passed
    first_guess: str  # title; empty where none is known or it was right
    separations: tuple[Separation, ...]
    course: tuple[float, ...]  # the catalogue's own probability before any cue and after each
    telling: int | None  # place of the cue with which that rose most
    number: Number | None
    no_number: str  # why there is none
    cautions: tuple[str, ...]


def reasons(
    item: Item, said: str, catalogue: Catalogue, library: Library | None, words: Words,
    answers: Answers,
) -> Reasons:  # fmt: skip
    """What follows an answer; runs a calculation, so it is work for a thread.

    Args:
        item: what was asked.
        said: id of the pattern that it was taken for, empty where the learner passed.
        catalogue: where the patterns are.
        library: where the item's vehicle may lie.
        words: the search by words.
        answers: the narrowing by looks.
    """
    pattern = catalogue.pattern(item.pattern)
    wrong = [one for one in (said, item.first_guess) if one and one != item.pattern]
    course = course_of(item.cues, item.pattern, words, answers)
    number, no_number = _number(item, pattern, library)
    cautions = dict.fromkeys((*pattern.cautions, *(number.cautions if number else ())))
    guess = item.first_guess if item.first_guess != item.pattern else ""
    return Reasons(
        pattern=pattern,
        right=said == item.pattern,
        said=catalogue.patterns.called(said) if said else "",
        first_guess=catalogue.patterns.called(guess) if guess else "",
        separations=separations(pattern, tuple(dict.fromkeys(wrong)), said, catalogue),
        course=course,
        telling=telling(course),
        number=number,
        no_number=no_number,
        cautions=tuple(cautions),
    )


def separations(
    pattern: Pattern, wrong: Sequence[str], said: str, catalogue: Catalogue
) -> tuple[Separation, ...]:
    """What tells it from what it was taken for, and from its look-alikes; the former first."""
    others = dict.fromkeys((*wrong, *(one.id for one in pattern.look_alikes)))
    return tuple(
        Separation(one, catalogue.patterns.title(one), between(pattern, one, catalogue),
                   one == said)
        for one in others
        if one in catalogue.patterns
    )  # fmt: skip


def between(pattern: Pattern, other_id: str, catalogue: Catalogue) -> str:
    """The one observation that separates two patterns, as either of them says it.

    Where neither names the other, the look whose answer they differ in most; empty where the
    catalogue knows of none.
    """
    other = catalogue.patterns[other_id]
    for one, name in ((pattern, other_id), (other, pattern.id)):
        for alike in one.look_alikes:
            if alike.id == name:
                return alike.separates
    best, text = 0.3, ""  # a smaller difference separates nobody
    for name in pattern.likelihoods.keys() & other.likelihoods.keys():
        observable = catalogue.observables.get(name)
        if observable is None:
            continue
        here, there = pattern.likelihoods[name], other.likelihoods[name]
        states = {state.id: state.text for state in observable.states}
        gap = max((abs(here.get(s, 0.0) - there.get(s, 0.0)) for s in states), default=0.0)
        if (gap, name) > (best, ""):
            mine, theirs = (max(states, key=lambda s: one.get(s, 0.0)) for one in (here, there))
            if mine != theirs:
                best = gap
                text = f"{observable.question} Here {states[mine]}, there {states[theirs]}."
    return text


def course_of(
    cues: Sequence[Shown], pattern: str, words: Words, answers: Answers
) -> tuple[float, ...]:
    """How likely the catalogue's own matching held the pattern, before any cue and after each.

    Probabilities, 0 to 1, one more than there are cues. The words so far give the prior, the looks
    so far narrow it down, as in finding and narrowing.
    """
    said: list[str] = []
    looked: dict[str, str] = {}
    course = [answers.given(None, {}).candidates.get(pattern, 0.0)]
    for cue in cues:
        if cue.observable:
            looked[cue.observable] = cue.state
        else:
            said.append(cue.text)
        prior = words.prior(", ".join(said))
        course.append(answers.given(prior, looked).candidates.get(pattern, 0.0))
    return tuple(course)


def telling(course: Sequence[float]) -> int | None:
    """Place of the cue with which the odds rose most; None where none raised them by a half.

    >>> telling([0.01, 0.02, 0.9, 0.88])
    1
    """
    rises = [_log_odds(after) - _log_odds(before) for before, after in pairwise(course)]
    best = max(range(len(rises)), key=rises.__getitem__, default=0)
    return best if rises and rises[best] > math.log(1.5) else None


def _log_odds(share: float) -> float:
    kept = min(max(share, 1 - _LIMIT), _LIMIT)
    return math.log(kept / (1 - kept))


def _number(item: Item, pattern: Pattern, library: Library | None) -> tuple[Number | None, str]:
    try:
        if item.calculation is not None:
            borne = bear_out(item.calculation, item.vehicle, library)
            outcome, question, says = borne.outcome, item.calculation.question, borne.says
        elif pattern.calculations:
            calculation = pattern.calculations[0]
            outcome, question, says = preset(calculation, _SAMPLES), calculation.question, ""
        else:
            return None, "the pattern names no calculation"
    except AtlasError as error:
        return None, str(error)
    one = outcome.calculator
    return Number(one.id, question, outcome.findings, says, one.cautions, one.leaves_out), ""
