"""Full-text search over the patterns' own fields, each with its weight (BM25F)."""

from array import array
from collections.abc import Iterable, Mapping

import numpy as np
from numpy.typing import NDArray

from atlas.catalogue.model import Pattern

from .plain_words import EMPTY
from .words import stem

_K1 = 1.2
_B = 0.6
_CLEAN = str.maketrans(dict.fromkeys("-–—/.,;:!?()[]'’\"“”", " "))


def _texts(pattern: Pattern) -> Iterable[tuple[str, float]]:
    yield pattern.title, 3.0
    for name in pattern.other_names:
        yield name, 3.0
    yield pattern.summary, 1.5
    for cue in pattern.cues:
        yield cue.see, 1.5
    yield pattern.does, 1.0


class FullText:
    """Inverted index: for each stem, the patterns that hold it and how much it counts there."""

    def __init__(self, patterns: Iterable[Pattern]) -> None:
        # Packed numbers: as lists of objects they would take hundreds of megabytes at 10,000.
        rows: dict[str, array[int]] = {}
        counts: dict[str, array[float]] = {}
        lengths: list[float] = []
        words: set[str] = set()
        for row, pattern in enumerate(patterns):
            bag: dict[str, float] = {}
            for text, worth in _texts(pattern):
                for word in text.lower().translate(_CLEAN).split():
                    words.add(word)
                    if word not in EMPTY:
                        bag[word] = bag.get(word, 0.0) + worth
            merged: dict[str, float] = {}
            for word, count in bag.items():
                key = stem(word)
                merged[key] = merged.get(key, 0.0) + count
            lengths.append(float(sum(merged.values())))
            for key, count in merged.items():
                if key not in rows:
                    rows[key], counts[key] = array("i"), array("f")
                rows[key].append(row)
                counts[key].append(count)
        self.words = frozenset(words)
        self.size = len(lengths)
        length = np.array(lengths or [1.0], np.float32)
        norm = _K1 * (1 - _B + _B * length / length.mean())
        self._postings: dict[str, tuple[NDArray[np.int32], NDArray[np.float32]]] = {}
        while rows:
            key, where = rows.popitem()
            at = np.array(where, np.int32)
            held = np.array(counts.pop(key), np.float32)
            rarity = np.log(1 + (self.size - len(where) + 0.5) / (len(where) + 0.5))
            score = rarity * held * (_K1 + 1) / (held + norm[at])
            self._postings[key] = (at, score.astype(np.float32))

    def score(self, words: Mapping[str, float]) -> NDArray[np.float32]:
        """Score of every pattern for weighted stems."""
        total = np.zeros(self.size, np.float32)
        for key, weight in words.items():
            posting = self._postings.get(key)
            if posting is not None:
                total[posting[0]] += posting[1] * weight
        return total

    def holds(self, key: str) -> bool:
        """Whether any pattern holds the stem."""
        return key in self._postings
