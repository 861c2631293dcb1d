"""The rough shape of a draft's table, below which it can be neither shown nor written in forms.

A form shows a wrong word in its place, to be mended there. Where a list of tables is a number there
is no place: the text has to be mended first.
"""

from collections.abc import Mapping
from typing import Any, TypedDict

import msgspec

from atlas.catalogue.checking import Fault
from atlas.catalogue.draft_faults import plain_refusal

Table = dict[str, Any]


class _Cue(TypedDict, total=False):
    mark: str


class _LookAlike(TypedDict, total=False):
    id: str


class _Build(TypedDict, total=False):
    gauge_mm: list[float] | None


class _Bound(TypedDict, total=False):
    result: str
    above: float | None
    below: float | None


class _Calculation(TypedDict, total=False):
    inputs: Table
    expect: list[_Bound]


class _Provenance(TypedDict, total=False):
    status: str
    variant_of: str
    seen_in: list[str]


_SHAPES: dict[str, Any] = {
    **dict.fromkeys(("other_names", "cautions"), list[Any]),
    **dict.fromkeys(("load_cases", "trade_offs", "settle", "sources", "sketches"), list[Table]),
    "cues": list[_Cue],
    "look_alikes": list[_LookAlike],
    "builds": list[_Build],
    "calculations": list[_Calculation],
    "likelihoods": dict[str, dict[str, float]],
    "signature": dict[str, list[str]],
    "provenance": _Provenance,
}


def misshapen(content: Mapping[str, Any], name: str) -> list[Fault]:
    """What of a draft has no shape that a form could take, by field."""
    found = []
    for key, shape in _SHAPES.items():
        if key in content:
            try:
                msgspec.convert(content[key], shape)
            except msgspec.ValidationError as error:
                found.append(Fault(name, *plain_refusal(key, error)))
    return found
