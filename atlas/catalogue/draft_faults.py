"""What a draft still lacks to be a pattern."""

from collections.abc import Mapping
from datetime import date
from typing import Any, get_type_hints

import msgspec
from msgspec.structs import FieldInfo, fields

from atlas.catalogue.checking import Fault, check_pattern
from atlas.catalogue.load import Catalogue
from atlas.catalogue.model import Pattern, Provenance, path_of
from atlas.errors import BadInput

_HINTS = get_type_hints(Pattern, include_extras=True)
_FIELDS: dict[str, FieldInfo] = {field.name: field for field in fields(Pattern)}
_BLANK: dict[str, Any] = {
    name: () if name not in ("id", "title", "zone", "summary", "does", "rationale") else ""
    for name, field in _FIELDS.items()
    if field.required
} | {"provenance": Provenance("draft", date.min)}


def pattern_of(content: Mapping[str, Any], where: str) -> Pattern:
    """The finished pattern.

    Raises:
        BadInput: a field is missing, unknown or wrong.
    """
    try:
        return msgspec.convert(content, Pattern)
    except msgspec.ValidationError as error:
        what, field = path_of(error)
        raise BadInput(what, f"{where}: {field}" if field else where) from None


def faults_of(content: Mapping[str, Any], catalogue: Catalogue) -> list[Fault]:
    """What keeps a draft from being a pattern, and what a complete one has besides.

    Fields that can be read are checked though others cannot, so that a draft half written already
    says what it lacks.
    """
    name = str(content.get("id", ""))
    found = [Fault(name, key, "is no field of a pattern") for key in content if key not in _FIELDS]
    read: dict[str, Any] = {}
    for key, field in _FIELDS.items():
        if key not in content:
            if field.required:
                found.append(Fault(name, key, "is missing"))
            continue
        try:
            read[key] = msgspec.convert(content[key], _HINTS[key])
        except msgspec.ValidationError as error:
            what, path = path_of(error)
            joint = "" if not path or path.startswith("[") else "."
            found.append(Fault(name, f"{key}{joint}{path}", _plainer(what)))
    unread = {top(fault.field) for fault in found}
    for fault in check_pattern(Pattern(**(_BLANK | read)), catalogue):
        field_name = top(fault.field)
        if field_name not in unread and not (field_name == "texts" and unread):
            found.append(fault)
    return found


def top(path: str) -> str:
    """The field of the pattern in which a path lies.

    >>> top("cues[0].see"), top("likelihoods.magnet"), top("title")
    ('cues', 'likelihoods', 'title')
    """
    return path.partition("[")[0].partition(".")[0]


def _plainer(what: str) -> str:
    """A validation's words for whoever fills in a form.

    >>> _plainer("expected str of length >= 1")
    'is empty'
    """
    if what == "expected str of length >= 1":
        return "is empty"
    if what.startswith("object missing required field"):
        return "lacks " + what.rpartition("field ")[2].strip("`'\"")
    return what
