"""The way through a zone: the frequent before the rare, look-alikes one after the other."""

import zlib
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from atlas.casework.settled import Settled
from atlas.catalogue.load import Catalogue, each_pattern
from atlas.catalogue.model import Cue, Pattern
from atlas.study.concealing import hidden, names_of
from atlas.vehicles.framing import patterns_on
from atlas.vehicles.model import Vehicle

TELLING = ("weak", "supports", "strong", "settles")
_OPTIONS = 4


@dataclass(frozen=True)
class Asked:
    """The question after a pattern: which of these shows what is described?"""

    text: str
    options: tuple[str, ...]  # pattern ids
    answer: str


def met(vehicles: Iterable[Vehicle], settled: Iterable[Settled]) -> Counter[str]:
    """How many vehicles and settled structures show each pattern: what there is to go by."""
    counts: Counter[str] = Counter()
    for vehicle in vehicles:
        counts.update(patterns_on(vehicle))
    counts.update(one.pattern for one in settled)
    return counts


def resembling(catalogue: Catalogue) -> dict[str, tuple[str, ...]]:
    """The patterns that each pattern is mistaken for; none of them is kept in memory for it."""
    return {
        pattern.id: tuple(other.id for other in pattern.look_alikes)
        for pattern in each_pattern(catalogue.patterns)
    }


def path_through(
    names: Sequence[str], seen: Mapping[str, int], alike: Mapping[str, Sequence[str]]
) -> tuple[str, ...]:
    """Patterns of a zone in the order in which they are best learnt.

    Begins with the pattern that is met most often; goes on to its look-alikes, the most often met
    of them first; then to the most often met of the rest. Where as many show one as the other, the
    one that more patterns are mistaken for comes first.

    Args:
        names: the zone's patterns, in catalogue order.
        seen: how often each is met, as ``met`` counts it.
        alike: what each is mistaken for, as ``resembling`` tells it.

    >>> path_through(["a", "b", "c"], {"b": 2}, {"b": ["c"]})
    ('b', 'c', 'a')
    """
    named = Counter(other for others in alike.values() for other in others)
    rank = {name: (-seen.get(name, 0), -named[name], place) for place, name in enumerate(names)}
    left = sorted(names, key=rank.__getitem__)
    order: list[str] = []
    while left:
        near = alike.get(order[-1], ()) if order else ()
        found = next((name for name in left if name in near), left[0])
        left.remove(found)
        order.append(found)
    return tuple(order)


def question(pattern: Pattern, catalogue: Catalogue) -> Asked | None:
    """The question to answer before going on; None where nothing resembles the pattern.

    It gives the most telling cue of the pattern or of one that it is mistaken for, always the same
    one, and asks whose it is.
    """
    alike = [one.id for one in pattern.look_alikes if one.id in catalogue.patterns]
    if not alike:
        return None
    options = sorted([pattern.id, *alike[: _OPTIONS - 1]], key=catalogue.patterns.title)
    chosen = options[zlib.crc32(pattern.id.encode()) % len(options)]
    shown = catalogue.patterns[chosen]
    names = [name for one in options for name in names_of(catalogue.patterns[one])]
    return Asked(hidden(most_telling(shown.cues).see, names), tuple(options), chosen)


def most_telling(cues: tuple[Cue, ...]) -> Cue:
    """The cue that tells most; the first of several."""
    return max(cues, key=lambda cue: TELLING.index(cue.telling))
