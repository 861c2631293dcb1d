"""The vocabulary as an index of phrases, and the mending of words that are not in it."""

from collections.abc import Iterable, Mapping
from functools import cached_property

import numpy as np
from rapidfuzz.distance import OSA
from rapidfuzz.process import cdist

from atlas.catalogue.model import Term

from .plain_words import EVERYDAY
from .words import ARTICLES, NUMBERS, PAUSES, letters_joined, stem, tokens

# Relations that make a place of a part: "ahead of" and "wheel" make "ahead-of-wheel".
RELATIONS = ("ahead-of", "behind", "above", "below-of")
_PARTED = str.maketrans("-/", "  ")


class Lexicon:
    """Terms by the stems of the words that stand for them."""

    def __init__(self, terms: Mapping[str, Term]) -> None:
        self.terms = terms
        self.phrases: dict[tuple[str, ...], list[str]] = {}
        self.longest: dict[str, int] = {}
        self.words: set[str] = set()

    @classmethod
    def of(cls, terms: Mapping[str, Term]) -> "Lexicon":
        """Index the vocabulary."""
        lexicon = cls(terms)
        phrases, longest, words = lexicon.phrases, lexicon.longest, lexicon.words
        for term in terms.values():
            for phrase in (term.term, *term.also):
                if not (
                    phrase.isascii() and phrase.islower() and phrase.replace(" ", "").isalpha()
                ):
                    phrase = letters_joined(phrase.lower()).translate(_PARTED)
                elif phrase.startswith("a "):
                    phrase = letters_joined(phrase)
                plain = phrase.split()
                words.update(plain)
                key = tuple([stem(w) for w in plain if w not in ARTICLES])
                if not key:
                    continue
                known = phrases.get(key)
                if known is None:
                    phrases[key] = [term.id]
                    if len(key) > longest.get(key[0], 0):
                        longest[key[0]] = len(key)
                elif term.id not in known:
                    known.append(term.id)
        return lexicon

    def match(self, stems: list[str], at: int) -> tuple[int, list[str]]:
        """Longest phrase that starts at a place: how many words, and which terms."""
        for size in range(min(self.longest.get(stems[at], 0), len(stems) - at), 0, -1):
            found = self.phrases.get(tuple(stems[at : at + size]))
            if found is not None:
                return size, found
        return 0, []

    @cached_property
    def stems(self) -> frozenset[str]:
        """Stems of all words of the vocabulary."""
        return frozenset(stem(word) for word in self.words)

    @cached_property
    def _candidates(self) -> list[str]:
        return sorted(word for word in self.words if len(word) >= 4 and word.isalpha())

    def knows(self, word: str) -> bool:
        """Whether a word needs no mending."""
        return (
            len(word) <= 3
            or not word.isalpha()
            or word in self.words
            or word in EVERYDAY
            or word in NUMBERS
            or stem(word) in self.stems
        )

    def mend(self, word: str, others: frozenset[str] = frozenset()) -> tuple[str, ...]:
        """The words that were probably meant, or nothing where none is near.

        Args:
            word: a word that the vocabulary does not know.
            others: further words that need no mending (those of the patterns' texts).
        """
        if self.knows(word) or word in others or len(word) > 40:
            return ()
        for cut in range(3, len(word) - 2):
            halves = (word[:cut], word[cut:])
            if all(half in self.words or stem(half) in self.stems for half in halves):
                return halves
        if "'" in word or len(word) < 4:
            return ()
        allowed = 1 if len(word) < 8 else 2
        distances = cdist(
            [word], self._candidates, scorer=OSA.distance, score_cutoff=allowed, dtype=np.int32
        )[0]
        near = [
            (int(distances[i]), self._candidates[i][0] != word[0], self._candidates[i])
            for i in np.flatnonzero(distances <= allowed)
        ]
        if len(word) == 4:
            near = [one for one in near if not one[1] and sorted(one[2]) == sorted(word)]
        return (min(near)[2],) if near else ()

    def nearest(self, words: Iterable[str], limit: int = 5) -> tuple[str, ...]:
        """Terms of the trade nearest to words that mean nothing here."""
        wanted = [word for word in words if len(word) > 2 and word not in PAUSES][:8]
        names = [term.term for term in self.terms.values()]
        if not wanted or not names:
            return ()
        from rapidfuzz.fuzz import WRatio

        scores = cdist(wanted, names, scorer=WRatio, dtype=np.float32).max(axis=0)
        best = np.argsort(-scores, kind="stable")[:limit]
        return tuple(names[i] for i in best if scores[i] > 40)

    def words_of(self, text: str) -> list[str]:
        """Stems of a text, for indexing."""
        return [token.stem for token in tokens(text.lower()) if token.word not in PAUSES]
