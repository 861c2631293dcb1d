"""Which verdicts on one structure stand, and whether they contradict each other.

A verdict stands over those that its writer had before him (he corrects them) and over those that
somebody did not choose when he chose it. Two that nobody knew of each other both stand; where they
name different patterns that is a dispute, which lasts until one is chosen. All of it follows from
records that are only ever added, so that clones which have the same records agree.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from atlas.casework.model import Choice, Verdict


@dataclass(frozen=True)
class Overruled:
    """A verdict that stands no longer: not chosen, or corrected by a later one."""

    verdict: "Verdict"
    choice: "Choice | None"  # by which it was not chosen; None: corrected


@dataclass(frozen=True)
class Verdicts:
    """The verdicts on one structure and the choices between them, by key.

    >>> from atlas.casework.model import Verdict
    >>> def said(pattern, corrects):
    ...     return Verdict("plate", pattern, "", "cut", "", "", corrects)
    >>> sorted(Verdicts({1: said("x", ()), 2: said("v", ())}, {}).disputed)
    [1, 2]
    >>> Verdicts({1: said("x", ()), 2: said("v", (1,))}, {}).key
    2
    """

    given: "dict[int, Verdict]"
    choices: "dict[int, Choice]"

    @cached_property
    def standing(self) -> "dict[int, Verdict]":
        """Verdicts over which none stands, in order of key.

        Where two people chose opposite ones of a pair, each would stand over the other: both stand.
        """
        if len(self.given) < 2:
            return self.given
        below = {key: self._below(key) for key in self.given}
        return {
            key: one
            for key, one in self.given.items()
            if not any(key in below[other] and other not in below[key] for other in below)
        }

    @cached_property
    def disputed(self) -> "dict[int, Verdict]":
        """The verdicts that wait for a choice: those that stand, if they name several patterns."""
        patterns = {one.pattern for one in self.standing.values()}
        return self.standing if len(patterns) > 1 else {}

    @property
    def key(self) -> int:
        """Key of the verdict that stands, the latest of those that agree; 0 where none does."""
        return 0 if self.disputed else max(self.standing, default=0)

    @property
    def since(self) -> int:
        """The smallest key of the verdict that stands and of those it was chosen over."""
        found, todo = {self.key}, [self.key]
        while todo:
            over = self._not_chosen.get(todo.pop(), set()) - found
            found |= over
            todo += over
        return min(found)

    @property
    def overruled(self) -> tuple[Overruled, ...]:
        """Verdicts that stand no longer and name another pattern than those that do, by key."""
        patterns = {one.pattern for one in self.standing.values()}
        return tuple(
            Overruled(one, self._against(key))
            for key, one in self.given.items()
            if key not in self.standing and one.pattern not in patterns
        )

    def settling(self, key: int) -> tuple[set[int], tuple[int, ...]]:
        """What choosing a verdict takes: choices that it replaces, verdicts that it stands over."""
        rivals = set(self.disputed)
        replaced = {name for name, one in self.choices.items() if rivals & {one.chosen, *one.over}}
        over = rivals.union(*(self.choices[name].over for name in replaced)) - {key}
        return replaced, tuple(sorted(over & self.given.keys()))

    # ---------------------------------------------------------------------------------- inner
    @cached_property
    def _not_chosen(self) -> dict[int, set[int]]:
        """By verdict: those over which it was chosen."""
        found: dict[int, set[int]] = {}
        for one in self.choices.values():
            if one.chosen in self.given:  # else it was taken back
                found.setdefault(one.chosen, set()).update(self.given.keys() & set(one.over))
        return found

    def _over(self, key: int) -> set[int]:
        corrects = self.given[key].corrects
        earlier = {other for other in self.given if other < key}
        known = earlier if corrects is None else earlier & set(corrects)
        # Who chose had this verdict before him, whatever its own writer had before him.
        known -= {other for other in known if key in self._not_chosen.get(other, ())}
        return known | self._not_chosen.get(key, set())

    def _below(self, key: int) -> set[int]:
        found: set[int] = set()
        todo = [key]
        while todo:
            over = self._over(todo.pop()) - found
            found |= over
            todo += over
        return found

    def _against(self, key: int) -> "Choice | None":
        return next((one for one in self.choices.values() if key in one.over), None)
