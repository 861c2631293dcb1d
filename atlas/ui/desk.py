"""What the screens work with: catalogue, search, narrowing, cases; each made when first used."""

import gc
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from threading import Lock
from typing import TYPE_CHECKING, Any, Protocol

from atlas.catalogue.library import Library
from atlas.catalogue.load import Catalogue, load
from atlas.catalogue.model import Calculation, Observable
from atlas.catalogue.visible import visible

if TYPE_CHECKING:  # the first screen should not wait for it
    from atlas.casework.cases import Cases


class Match(Protocol):
    """One pattern that words led to."""

    pattern_id: str
    title: str
    zone: str
    score: float
    because: tuple[str, ...]


class Found(Protocol):
    """What words led to; ``nearest`` where they led to nothing."""

    matches: tuple[Match, ...]
    nearest: tuple[str, ...]


class Question(Protocol):
    """A look worth taking."""

    observable: Observable
    gain_bits: float
    why: str


class State(Protocol):
    """Where the answers leave the candidates."""

    candidates: Mapping[str, float]
    none_of_these: float
    contradictions: tuple[str, ...]


class Search(Protocol):
    """Words to patterns."""

    def find(self, text: str, zone: str | None = None, limit: int = 8) -> Any:
        """Return the matches."""

    def prior(self, text: str) -> Any:
        """Return how likely the words make each pattern."""


class Narrow(Protocol):
    """Answers to probabilities."""

    def given(self, prior: Any, answers: Mapping[str, str]) -> Any:
        """Return the candidates after the answers."""

    def next_questions(self, state: Any, count: int) -> Any:
        """Return the looks that would tell most."""


@dataclass(frozen=True)
class Preset:
    """Inputs with which a calculator answers a pattern's question."""

    pattern_id: str
    name: str
    question: str
    inputs: tuple[tuple[str, str], ...]


@dataclass
class Desk:
    """One library on the table.

    Search and narrowing can be handed in, so that a test can use its own.
    """

    library: Library | None
    who: str = ""
    search: Search | None = None
    narrow: Narrow | None = None
    today: Callable[[], date] = date.today  # the day by which study is due
    _lock: Any = field(default_factory=Lock, repr=False)
    _presets: dict[str, list[Preset]] = field(default_factory=dict, repr=False)

    @cached_property
    def catalogue(self) -> Catalogue:
        """Patterns, observables, vocabulary."""
        return load(self.library)

    @cached_property
    def cases(self) -> "Cases | None":
        """The library's cases."""
        from atlas.casework.cases import Cases

        return Cases(self.library, self.who) if self.library is not None else None

    @cached_property
    def calculators(self) -> frozenset[str]:
        """Ids of the calculators; none of them is imported for it."""
        from atlas.calculators.registry import calculator_ids

        return frozenset(calculator_ids())

    def renew(self) -> None:
        """Read the catalogue anew, once it has been written to; what was built on it goes."""
        with self._lock:
            self.__dict__.pop("catalogue", None)
            self.search = self.narrow = None
            self._presets = {}
        _ = self.catalogue

    def finder(self) -> Search:
        """The search; building its index is work for a thread."""
        with self._lock:
            if self.search is None:
                from atlas.identify.text import Finder

                self.search = Finder(self.catalogue)
                # The index and the patterns live as long as the application: the collector need
                # not walk them again, which would be felt between two keys.
                gc.freeze()
            return self.search

    def narrowing(self) -> Narrow:
        """The narrowing; building it is work for a thread."""
        with self._lock:
            if self.narrow is None:
                from atlas.identify.narrowing import Narrowing

                self.narrow = Narrowing(self.catalogue)
            return self.narrow

    def preset(self, pattern_id: str, index: int) -> Preset:
        """A pattern's own preset, by its place on the pattern's page."""
        pattern = self.catalogue.pattern(pattern_id)
        return _preset(pattern_id, pattern.title, pattern.calculations[index])

    def presets(self, calculator_id: str) -> tuple[Preset, ...]:
        """All presets for a calculator; reads every pattern, so it is work for a thread."""
        if not self._presets:
            for name, pattern in self.catalogue.patterns.passing():
                for sum_ in pattern.calculations:
                    found = self._presets.setdefault(sum_.calculator, [])
                    found.append(_preset(name, pattern.title, sum_))
        return tuple(self._presets.get(calculator_id, ()))

    def told(self, problem: Exception) -> str:
        """A problem in one line; the library is known here, and its folder would break names."""
        line = str(problem)
        if self.library is not None:
            line = line.replace(f"{self.library.root}{os.sep}", "")
        return visible(line)

    def title(self, pattern_id: str) -> str:
        """Title of a pattern, or its id where the catalogue holds none of that id."""
        return self.catalogue.patterns.called(pattern_id)

    def zone_title(self, pattern_id: str) -> str:
        """Title of the zone that a pattern belongs to."""
        zone = self.catalogue.patterns.zone(pattern_id)
        known = self.catalogue.zones.get(zone)
        return known.title if known else zone


def _preset(pattern_id: str, title: str, sum_: Calculation) -> Preset:
    inputs = tuple((name, str(value)) for name, value in sum_.inputs.items())
    return Preset(pattern_id, title, sum_.question, inputs)
