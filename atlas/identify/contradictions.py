"""Answers that do not go together: pointed out, not averaged away."""

from collections.abc import Mapping, Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from .sightings import Sightings

_RARE = 0.10  # chance of an answer, given all others, below which it is surprising
_RATHER = 0.35  # and how far below its chance before any look
_APART = 0.40  # two answers together, against what chance would give if they had nothing in common
_ENOUGH = 6  # patterns that speak of both, below which nothing is said


def contradictions(
    sightings: Sightings,
    weights: NDArray[np.float64],
    answers: Mapping[str, str],
    titles: Sequence[str],
) -> tuple[str, ...]:
    """One line for each pair of answers, or single answer, that no candidate explains.

    Args:
        sightings: chances of answers under each pattern.
        weights: chances of the patterns before the answers; the last is 'none of these'.
        answers: state by observable.
        titles: the patterns' titles.
    """
    chances = {name: sightings.chance(name, state) for name, state in sorted(answers.items())}
    flat = np.full(len(weights), 1 / len(weights))
    lines: list[str] = []
    told: set[str] = set()
    for a, b in combinations(chances, 2):
        both = sorted(sightings.speakers(a) & sightings.speakers(b))
        if len(both) < _ENOUGH:
            continue
        one, other = chances[a][both], chances[b][both]
        if float(np.mean(one * other)) < _APART * float(np.mean(one) * np.mean(other)):
            told.update((a, b))
            lines.append(
                f"{a}={answers[a]} and {b}={answers[b]} hardly go together in any pattern: "
                f"look at both again"
            )
    for name, chance in chances.items():
        others = weights.copy()
        for other, factor in chances.items():
            if other != name:
                others = others * factor
        others = others / others.sum()
        expected = float(chance @ others)
        if name in told or len(chances) < 2:
            continue
        if expected < _RARE and expected < _RATHER * float(chance @ flat):
            best = int(np.argmax(others[:-1])) if titles else -1
            lead = f", and points to '{titles[best]}'" if titles else ""
            lines.append(
                f"{name}={answers[name]} surprises: the rest gives it {expected:.0%}{lead}"
            )
    return tuple(lines)
