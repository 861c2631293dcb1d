"""The patterns that a new one is nearest to, by what it says of itself."""

from collections.abc import Mapping
from typing import Any

from atlas.identify.text import Finder, Match

_CUES = 3  # the first ones carry what is seen; later ones repeat it from other sides


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


def nearest(content: Mapping[str, Any], finder: Finder, limit: int = 5) -> tuple[Match, ...]:
    """The patterns that its words find, itself left out, best first."""
    found = finder.find(words_of(content), limit=limit + 1).matches
    return tuple(one for one in found if one.pattern_id != content.get("id"))[:limit]
