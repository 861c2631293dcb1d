"""A probability and a measured value, as people type them."""

import re

from atlas.casework.model import EvidenceKind
from atlas.errors import BadInput

_MEASURED = re.compile(r"\s*([+-]?\d+(?:[.,]\d+)?)\s*([A-Za-z°%/0-9]{1,10})\s*")
_WEIGHTS = {"kg", "g", "t", "lb", "oz"}


def read_probability(text: str, where: str = "PROBABILITY") -> float:
    """A probability as typed: 0.7, 70% or 70 %.

    Raises:
        BadInput: no number, or outside 0 to 1.

    >>> read_probability("70 %")
    0.7
    """
    shown, scale = text.strip(), 1.0
    if shown.endswith("%"):
        shown, scale = shown[:-1], 100.0
    try:
        value = float(shown.replace(",", ".")) / scale
    except ValueError:
        raise BadInput(f"cannot read {text[:40]!r}", where, "give 0 to 1, or 70%") from None
    if not 0 <= value <= 1:
        remedy = f"write {value:g}%" if scale == 1 and 1 < value <= 100 else "give 0 to 1, or 70%"
        raise BadInput(f"{text[:40]} is no probability", where, remedy)
    return value


def measured(text: str) -> tuple[float | None, str, EvidenceKind]:
    """A measured value, its unit, and what kind of evidence it is; nothing for no text.

    Raises:
        BadInput: not a number with a unit.

    >>> measured("3.2 kg"), measured("42mm"), measured("")
    ((3.2, 'kg', 'weight'), (42.0, 'mm', 'point'), (None, '', 'text'))
    """
    if not text.strip():
        return None, "", "text"
    found = _MEASURED.fullmatch(text)
    if not found:
        raise BadInput(f"cannot read {text[:40]!r}", "--measured", "write 42mm or 3.2kg")
    kind: EvidenceKind = "weight" if found[2] in _WEIGHTS else "point"
    return float(found[1].replace(",", ".")), found[2], kind
