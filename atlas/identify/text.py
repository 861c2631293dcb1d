"""From words to patterns: the search behind ``atlas find`` and the find screen."""

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Protocol

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from atlas.catalogue.load import Patterns, each_pattern
from atlas.catalogue.model import Pattern, Signature, Term

from .fulltext import FullText
from .heard import Heard, on_record
from .lexicon import Lexicon
from .likelihood import Likelihood
from .plain_words import EVERYDAY
from .reading import Evidence, Reading, read
from .reasons import reasons
from .signatures import signature_of
from .words import NUMBERS

# Weights of full-text search and of what was heard before, beside the terms; and how far the sum
# is trusted: terms in one description lean on one another, so naive log-odds are too sure of
# themselves. All set on the two thirds of the development set and the descriptions of our own,
# see tests/benchmarks.
_FULL_TEXT = 0.4
_HEARD = 0.4
_TRUST = 0.8
# Log-odds that a description must reach before a pattern is more likely than none of them, and
# what each word raises it by that neither the vocabulary nor any pattern knows.
_NONE = 2.2
_STRANGE = 0.9
_LEAST = 0.01
_GUESS = 0.1  # a best match below this that hangs on a mended spelling is no match
# Kinds of term that say that a structure is meant; shapes and places are words for anything.
_ANCHORS = frozenset(("part", "joint", "material", "process", "test"))


class CatalogueLike(Protocol):
    """What the search needs of a catalogue."""

    @property
    def patterns(self) -> Mapping[str, Pattern]:
        """Patterns by id."""

    @property
    def terms(self) -> Mapping[str, Term]:
        """Vocabulary by id."""

    @property
    def folders(self) -> Sequence[Path]:
        """Folders of patterns, where descriptions are on record as well."""


class Match(Struct, frozen=True):
    """A pattern that a text may describe; ``score`` is the chance that it does."""

    pattern_id: str
    title: str
    zone: str = ""
    score: float = 0.0
    because: tuple[str, ...] = ()


class Found(Struct, frozen=True):
    """Matches, best first; words that nothing knew; and the nearest terms where none matched."""

    matches: tuple[Match, ...] = ()
    unknown: tuple[str, ...] = ()
    nearest: tuple[str, ...] = ()


class _Scored(Struct, frozen=True):
    reading: Reading
    shares: list[tuple[Evidence, NDArray[np.float32]]]
    chances: NDArray[np.float64]
    none: float


class Finder:
    """Index of a catalogue; every search after the first build is a few milliseconds."""

    def __init__(self, catalogue: CatalogueLike) -> None:
        every = catalogue.patterns
        # What was replaced is found as what replaced it, which has its names and what was said.
        replaced = every.replaced if isinstance(every, Patterns) else {}
        self._patterns = every.in_use() if isinstance(every, Patterns) else every
        self._ids = list(self._patterns)
        self._lexicon = Lexicon.of(catalogue.terms)
        zones: list[str] = []
        signatures: list[Signature] = []

        def passing() -> Iterator[Pattern]:
            # One at a time: ten thousand decoded patterns would take half a gigabyte.
            for pattern in each_pattern(self._patterns):
                zones.append(pattern.zone)
                signatures.append(signature_of(pattern, self._lexicon))
                yield pattern

        self._full_text = FullText(passing())
        self._zones = np.array(zones, dtype=object)
        self._likelihood = Likelihood(signatures)
        self._heard = Heard(self._ids, on_record(catalogue.folders), replaced)
        self._words = self._full_text.words | self._heard.stems

    def find(self, text: str, zone: str | None = None, limit: int = 8) -> Found:
        """Patterns that a description may mean.

        Args:
            text: a description in any words; markup and control characters are plain characters.
            zone: look in one zone only.
            limit: at most so many matches.
        """
        scored = self._score(text, zone)
        if scored is None:
            reading = read(text, self._lexicon, self._words)
            return self._nothing(reading)
        order = np.argsort(-scored.chances, kind="stable")[:limit]
        best = float(scored.chances[order[0]]) if order.size else 0.0
        if best < scored.none * 0.75 or (best < _GUESS and scored.reading.mended):
            return self._nothing(scored.reading)
        matches: list[Match] = []
        for row in order:
            chance = float(scored.chances[row])
            if chance < _LEAST and matches:
                break
            pattern = self._patterns[self._ids[row]]
            heard = self._heard.telling(scored.reading.words, int(row))
            because = reasons(
                pattern, int(row), scored.reading, scored.shares, self._lexicon, heard
            )
            matches.append(Match(pattern.id, pattern.title, pattern.zone, chance, because))
        return Found(tuple(matches), scored.reading.unknown)

    def prior(self, text: str) -> dict[str, float]:
        """Chance of each pattern by a description alone; what is left to 1 is 'none of these'."""
        scored = self._score(text, None)
        if scored is None:
            return {name: 0.5 / max(len(self._ids), 1) for name in self._ids}
        return {name: float(chance) for name, chance in zip(self._ids, scored.chances, strict=True)}

    def _score(self, text: str, zone: str | None) -> _Scored | None:
        reading = read(text, self._lexicon, self._words)
        odds, shares = self._likelihood.score(reading.evidence)
        odds = odds + _FULL_TEXT * self._full_text.score(reading.words)
        odds = odds + _HEARD * self._heard.score(reading.words)
        if zone is not None:
            odds = np.where(self._zones == zone, odds, -np.inf)
        known = any(not one.denied and one.weight > 0.2 for one, _ in shares)
        stems = self._heard.stems
        worded = any(
            key in stems or self._full_text.holds(key)
            for key in reading.words
            if key not in EVERYDAY
        )
        if not np.isfinite(odds).any() or not (known or worded):
            return None
        strange = sum(word not in EVERYDAY and word not in NUMBERS for word in reading.unknown)
        if self._is_elsewhere(strange, [one for one, _ in shares if not one.denied]):
            return None
        bar = _NONE + _STRANGE * strange
        powers = np.append(odds.astype(np.float64), bar) * _TRUST
        powers -= powers.max()
        chances = np.exp(powers)
        chances /= chances.sum()
        return _Scored(reading, shares, chances[:-1], float(chances[-1]))

    def _is_elsewhere(self, strange: int, said: list[Evidence]) -> bool:
        """Whether a text with strange words in it is about something else altogether."""
        anchored = any(
            self._lexicon.terms[term].kind in _ANCHORS for one in said for term in one.terms
        )
        words = {word for one in said for word in one.words.split()}
        return strange > 0 and (not anchored or strange > len(words))

    def _nothing(self, reading: Reading) -> Found:
        words = [*reading.unknown, *(one.words for one in reading.evidence), *reading.words]
        return Found((), reading.unknown, self._lexicon.nearest(dict.fromkeys(words)))
