"""What a learner is to find out must not stand in what is shown before the answer."""

import re
from collections.abc import Iterable

from atlas.catalogue.model import Pattern
from atlas.catalogue.visible import visible

HIDDEN = "(name hidden)"
_ASIDE = re.compile(r"\s*\([^)]*\)")
_WORD = re.compile(r"\w+")


def names_of(pattern: Pattern) -> tuple[str, ...]:
    """Everything that a pattern is called: id, title and other names."""
    return (pattern.id, pattern.title, *pattern.other_names)


def hidden(text: str, names: Iterable[str]) -> str:
    """The text with names taken out, however they are spaced, hyphenated, cased or in plural.

    >>> hidden("Took it for an X  Brace at first, then rear_x-plates.", ["X brace", "rear-x-plate"])
    'Took it for an (name hidden) at first, then (name hidden).'
    """
    shown = visible(text)
    found = {_pattern(name) for name in names}
    for one in sorted(found - {""}, key=len, reverse=True):
        shown = re.sub(one, HIDDEN, shown, flags=re.IGNORECASE)
    return shown


def _pattern(name: str) -> str:
    words = [part for word in _WORD.findall(_ASIDE.sub("", name)) for part in word.split("_")]
    joined = r"[\W_]*".join(re.escape(word) for word in words if word)
    return rf"(?<![^\W_]){joined}(?:e?s)?(?![^\W_])" if joined else ""
