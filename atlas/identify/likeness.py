"""The patterns that a new one is nearest to, by what it says of itself."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Protocol

_CUES = 3  # the first ones carry what is seen; later ones repeat it from other sides


class Finds(Protocol):
    """Finds patterns by words."""

    def find(self, text: str, zone: str | None = None, limit: int = 8) -> Any:
        """Return the matches, best first."""

    def prior(self, text: str) -> Any:
        """Return how likely the words make each pattern."""


@dataclass(frozen=True)
class Near:
    """A pattern that words lead to; ``because`` is empty where they hardly do."""

    pattern_id: str
    score: float
    because: tuple[str, ...] = ()


def words_of(content: Mapping[str, Any]) -> str:
    """What a pattern's table, complete or not, says of the structure in words.

    >>> words_of({"title": "Flat brace", "cues": [{"see": "a sheet with four arms"}]})
    'Flat brace. a sheet with four arms'
    """
    told = [content.get("title", ""), content.get("summary", "")]
    cues = content.get("cues", ())
    if isinstance(cues, list | tuple):
        told += [cue.get("see", "") for cue in cues[:_CUES] if isinstance(cue, Mapping)]
    return ". ".join(text for text in told if isinstance(text, str) and text)


def nearest(content: Mapping[str, Any], finder: Finds, limit: int = 5) -> tuple[Near, ...]:
    """The patterns nearest to its words, itself left out, best first.

    Where the words find fewer than ``limit``, the next likely ones follow: whoever writes a new
    page should have seen more than the one that he thought of.
    """
    words, name = words_of(content), content.get("id")
    found = {one.pattern_id: Near(one.pattern_id, one.score, tuple(one.because))
             for one in finder.find(words, limit=limit + 1).matches}  # fmt: skip
    chances = finder.prior(words) or {}
    for other in sorted(chances, key=lambda key: -chances[key])[: limit + 1] if found else ():
        found.setdefault(other, Near(other, chances[other]))
    return tuple(one for one in found.values() if one.pattern_id != name)[:limit]
