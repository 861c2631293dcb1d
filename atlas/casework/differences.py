"""Where two versions of a field differ, so that nobody has to compare pages of numbers by eye."""

import json
from collections.abc import Iterator, Sequence
from typing import Any

_MOST = 12  # places that are told one by one


def told_apart(value: Any, others: Sequence[Any]) -> str:
    """Those parts of a nested value that are otherwise in any of the others, in words.

    Args:
        value: as JSON has it: tables, lists, texts, numbers.
        others: the other versions.

    >>> told_apart([{"title": "X", "at": [1, 2]}], [[{"title": "Y", "at": [1, 2]}]])
    '1.title: X'
    >>> told_apart(["a"], [["a", "b"]])
    '2: (not there)'
    """
    mine = dict(_leaves(value, ()))
    theirs = [dict(_leaves(other, ())) for other in others]
    nothing = object()
    places = [
        place
        for place in dict.fromkeys(one for leaves in (mine, *theirs) for one in leaves)
        if any(leaves.get(place, nothing) != mine.get(place, nothing) for leaves in theirs)
    ]
    said = [f"{_named(place)}: {_text(mine.get(place, _GONE))}" for place in places[:_MOST]]
    more = [f"and {len(places) - _MOST} more"] if len(places) > _MOST else []
    return "; ".join([*said, *more])


_GONE: Any = object()


def _leaves(
    value: Any, place: tuple[str | int, ...]
) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    if isinstance(value, dict) and value:
        for name, inner in value.items():
            yield from _leaves(inner, (*place, name))
    elif isinstance(value, list) and any(isinstance(one, dict | list) for one in value):
        for number, inner in enumerate(value, 1):
            yield from _leaves(inner, (*place, number))
    elif isinstance(value, list) and not all(isinstance(one, int | float) for one in value):
        for number, inner in enumerate(value, 1):
            yield (*place, number), inner
    else:
        yield place, value


def _named(place: tuple[str | int, ...]) -> str:
    return ".".join(map(str, place)) or "whole"


def _text(value: Any) -> str:
    if value is _GONE:
        return "(not there)"
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
