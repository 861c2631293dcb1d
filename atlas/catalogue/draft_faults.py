"""What a draft still lacks to be a pattern."""

from collections.abc import Mapping
from datetime import date
from typing import Any, get_type_hints

import msgspec
from msgspec.structs import FieldInfo, fields

from atlas.catalogue.checking import Fault, check_pattern, check_variant
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


def as_far_as_read(content: Mapping[str, Any]) -> Pattern:
    """The pattern that a draft is so far: what is missing or wrong in it is left blank."""
    return Pattern(**(_BLANK | _read(content)[0]))


def _read(content: Mapping[str, Any]) -> tuple[dict[str, Any], list[tuple[str, str]]]:
    """Fields that can be read; path and fault of those that cannot."""
    read: dict[str, Any] = {}
    refused = []
    for key, field in _FIELDS.items():
        if key not in content:
            if field.required:
                refused.append((key, "is missing"))
            continue
        try:
            read[key] = msgspec.convert(content[key], _HINTS[key])
        except msgspec.ValidationError as error:
            read[key], wrong = _entries(key, content[key])
            refused += wrong or [plain_refusal(key, error)]
            if not read[key]:
                del read[key]
    return read, refused


def _entries(key: str, value: Any) -> tuple[Any, list[tuple[str, str]]]:
    """Entries of a list or table that can be read; path and fault of each that cannot."""
    read: list[Any] = []
    refused = []
    if isinstance(value, Mapping) and key == "likelihoods":
        return _rows(key, value)
    for place, entry in enumerate(value if isinstance(value, list | tuple) else ()):
        try:
            read += msgspec.convert([entry], _HINTS[key])
        except msgspec.ValidationError as error:
            path, what = plain_refusal(key, error)
            refused.append((path.replace("[0]", f"[{place}]", 1), what))
    return tuple(read), refused


def _rows(key: str, table: Mapping[str, Any]) -> tuple[Any, list[tuple[str, str]]]:
    read: dict[str, Any] = {}
    refused = []
    for name, row in table.items():
        try:
            read |= msgspec.convert({name: row}, _HINTS[key])
        except msgspec.ValidationError as error:
            # Which row it is, the refusal leaves out: a table's keys are "[...]" to it.
            refused.append((f"{key}.{name}", plain_refusal(key, error)[1]))
    return read, refused


def plain_refusal(key: str, error: msgspec.ValidationError) -> tuple[str, str]:
    """Path and fault of a field that could not be read."""
    what, path = path_of(error)
    joint = "" if not path or path.startswith("[") else "."
    return f"{key}{joint}{path}", what


def faults_of(content: Mapping[str, Any], catalogue: Catalogue) -> list[Fault]:
    """What keeps a draft from being a pattern, and what a complete one has besides.

    Fields that can be read are checked though others cannot, so that a draft half written already
    says what it lacks.
    """
    name = str(content.get("id", ""))
    found = [Fault(name, key, "is no field of a pattern") for key in content if key not in _FIELDS]
    read, refused = _read(content)
    found += [Fault(name, path, what) for path, what in refused]
    unread = {top(fault.field) for fault in found}
    draft = Pattern(**(_BLANK | read))
    origin = catalogue.patterns.get(draft.provenance.variant_of)
    besides = check_variant(draft, origin) if origin is not None else ()
    for fault in (*check_pattern(draft, catalogue), *besides):
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
