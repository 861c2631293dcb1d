"""How likely each pattern is to be described in the terms that a text holds.

A naive Bayes model of descriptions. A signature says which terms people use of a pattern; each has
a chance of being named, higher for those that one would hardly leave out, and by the part that the
term plays: the described thing itself or its neighbours. A term's log-ratio to its average over all
patterns is what it counts for, so a term that everything has counts for little.
"""

from collections.abc import Iterable, Mapping

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from atlas.catalogue.model import Signature

from .reading import Evidence

Floats = NDArray[np.float32]

# Chance that a describer names the term: (as the thing itself, as a neighbour or otherwise).
_OWN = (0.40, 0.16)
_OWN_ESSENTIAL = (0.70, 0.30)
_TIED = (0.10, 0.22)
_TIED_ESSENTIAL = (0.22, 0.45)
_OTHER = (0.16, 0.16)
_OTHER_ESSENTIAL = (0.45, 0.45)
_UNLISTED = 0.012  # slips, loose talk, what the signature forgot
_AGAINST = 0.0035
# Chance that a describer denies the term.
_DENIED_LISTED = 0.004
_DENIED_ESSENTIAL = 0.0015
_DENIED_UNLISTED = 0.02
_DENIED_AGAINST = 0.12
_SPREAD = 0.5  # of the average, lent to patterns that do not list the term
_UNSAID = 0.35  # how much an essential term that was not named counts

_FIELDS = ("place", "shape", "joint", "material", "process", "serves", "count")


class _Column(Struct, frozen=True):
    """One term over all patterns: rows that list it, and log-ratios; ``rest`` for all others."""

    rows: NDArray[np.int32]
    own: Floats
    near: Floats
    denied: Floats
    rest: tuple[float, float, float]
    essential: NDArray[np.int32]


class Likelihood:
    """Signatures of all patterns, by term."""

    def __init__(self, signatures: Iterable[Signature]) -> None:
        listed: dict[str, dict[int, tuple[float, float, float, bool]]] = {}
        same: dict[tuple[float, float, float, bool], tuple[float, float, float, bool]] = {}
        self.size = 0
        for row, signature in enumerate(signatures):
            self.size = row + 1
            _enter(signature, row, listed, same)
        self._columns = {
            term: _column(entries, self.size) for term, entries in listed.items() if entries
        }

    def knows(self, term: str) -> bool:
        """Whether any pattern lists the term."""
        return term in self._columns

    def score(self, evidence: Iterable[Evidence]) -> tuple[Floats, list[tuple[Evidence, Floats]]]:
        """Log-odds of every pattern, and what each piece of evidence gave to it."""
        total = np.zeros(self.size, np.float32)
        shares: list[tuple[Evidence, Floats]] = []
        affirmed: set[str] = set()
        for one in evidence:
            share = self._share(one)
            if share is None:
                continue
            total += share
            shares.append((one, share))
            if not one.denied and one.weight > 0.4:
                affirmed.update(one.terms)
        for term, column in self._columns.items():
            if column.essential.size and term not in affirmed:
                total[column.essential] -= _UNSAID
        return total, shares

    def _share(self, one: Evidence) -> Floats | None:
        columns = [self._columns[t] for t in one.terms if t in self._columns]
        if not columns or one.weight <= 0:
            return None
        parts = np.empty((len(columns), self.size), np.float32)
        for part, column in zip(parts, columns, strict=True):
            which = 2 if one.denied else 1 if one.context else 0
            part[:] = column.rest[which]
            part[column.rows] = (column.own, column.near, column.denied)[which]
            if one.denied is False:
                part[column.rows] = column.near if one.context else column.own
        if len(columns) == 1:
            share = parts[0]
        elif one.denied:
            share = parts.mean(axis=0)
        else:
            share = np.log(np.exp(parts).mean(axis=0))
        return np.asarray(share * one.weight, np.float32)


def _enter(
    signature: Signature,
    row: int,
    listed: dict[str, dict[int, tuple[float, float, float, bool]]],
    same: dict[tuple[float, float, float, bool], tuple[float, float, float, bool]],
) -> None:
    def put(term: str, plain: tuple[float, float], essential: tuple[float, float]) -> None:
        name = term.rstrip("!")
        must = term.endswith("!")
        own, near = essential if must else plain
        denied = _DENIED_ESSENTIAL if must else _DENIED_LISTED
        entry = (own, near, denied, must)  # a handful of different ones stand for all
        listed.setdefault(name, {}).setdefault(row, same.setdefault(entry, entry))

    for term in signature.part:
        put(term, _OWN, _OWN_ESSENTIAL)
    for term in signature.ties:
        put(term, _TIED, _TIED_ESSENTIAL)
    for name in _FIELDS:
        for term in getattr(signature, name):
            put(term, _OTHER, _OTHER_ESSENTIAL)
    for term in signature.absent:
        listed.setdefault(term.rstrip("!"), {}).setdefault(
            row, (_AGAINST, _AGAINST, _DENIED_AGAINST, False)
        )


def _column(entries: Mapping[int, tuple[float, float, float, bool]], size: int) -> _Column:
    rows = np.fromiter(entries, np.int32, len(entries))
    chances = np.array([entry[:3] for entry in entries.values()], np.float64)
    unlisted = np.array([_UNLISTED, _UNLISTED, _DENIED_UNLISTED])
    mean = (chances.sum(axis=0) + (size - len(rows)) * unlisted) / size
    rest = unlisted + _SPREAD * np.maximum(mean - unlisted, 0) * np.array([1, 1, 0])
    chances[:, :2] = np.where(
        chances[:, :2] > _UNLISTED, np.maximum(chances[:, :2], rest[:2]), chances[:, :2]
    )
    ratios = np.log(chances / mean).astype(np.float32)
    low = np.log(rest / mean)
    must = np.fromiter((entry[3] for entry in entries.values()), bool, len(entries))
    return _Column(
        rows,
        ratios[:, 0].copy(),
        ratios[:, 1].copy(),
        ratios[:, 2].copy(),
        (float(low[0]), float(low[1]), float(low[2])),
        rows[must],
    )
