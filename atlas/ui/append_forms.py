"""The forms in which an entry of a draft is written, read off what a pattern's fields are."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from atlas.casework.readings import read_probability
from atlas.catalogue.draft_faults import as_far_as_read
from atlas.catalogue.drafts import Content
from atlas.errors import BadInput
from atlas.ui import append_strings as words
from atlas.ui import strings
from atlas.ui.case_forms import pattern_named, titles
from atlas.ui.desk import Desk
from atlas.ui.dialog import Field, Values

Apply = Callable[[Values], Content]
Form = tuple[str, tuple[Field, ...], Apply]
TEXTS = ("summary", "does", "rationale")
LINES = ("other_names", "cautions")


@dataclass(frozen=True)
class Part:
    """One part of an entry: a line, a long text or one of a few options."""

    name: str
    long: bool = False
    options: Mapping[str, str] | None = None


ENTRIES: dict[str, tuple[Part, ...]] = {
    "cues": (
        Part("see", long=True), Part("look", options=strings.LOOKS),
        Part("telling", options=strings.TELLING), Part("mark"),
    ),
    "look_alikes": (Part("id"), Part("separates", long=True)),
    "load_cases": (Part("case"), Part("force", long=True), Part("path", long=True)),
    "trade_offs": (
        Part("axis", options=strings.AXES), Part("effect", options=words.EFFECT_WORDS),
        Part("why", long=True),
    ),
    "builds": (Part("material"), Part("process"), Part("joint"), Part("gauge_mm")),
    "calculations": (
        Part("calculator"), Part("question", long=True), Part("inputs", long=True),
        Part("expect", long=True),
    ),
    "settle": (
        Part("by", options=strings.BY), Part("do", long=True), Part("decides", long=True),
    ),
    "sources": (Part("kind", options=words.SOURCE_WORDS), Part("text"), Part("address")),
}  # fmt: skip


FIELDS = ("title", "zone", *TEXTS, *LINES, *ENTRIES, "likelihoods", "signature", "sketches")


def form(field: str, at: str, content: Content, desk: Desk) -> Form:
    """The form for a field, or for one entry of it.

    Args:
        field: name of the pattern's field.
        at: which entry: its place in the list, the observable, or nothing for a new one.
        content: the draft.
        desk: catalogue and calculators, for what is completed while typing.

    Returns:
        Title, fields, and what makes a new draft of what was filled in.

    Raises:
        BadInput: there is no form for it, since the catalogue has no such observable.
    """
    if field in ENTRIES:
        return _entry(field, int(at) if at else None, content, desk)
    if field in TEXTS or field in LINES:
        return _text(field, content)
    if field == "title":
        one = Field("title", words.FIELDS["title"], _text_in(content, "title"))
        return one.label, (one,), lambda values: {**content, "title": values["title"].strip()}
    if field == "zone":
        zones = {zone.id: zone.title for zone in desk.catalogue.zones.values()}
        chosen = _text_in(content, "zone")
        one = Field("zone", words.ZONE, chosen if chosen in zones else "", options=zones)
        return one.label, (one,), lambda values: {**content, "zone": values["zone"]}
    if field == "likelihoods":
        return _shares(at, content, desk) if at else _observable(content, desk)
    if field == "signature":
        return _signature(content, desk)
    assert field == "sketches"
    return _sketches(content, desk)


def without(field: str, at: str, content: Content) -> Content:
    """The draft without an entry, or without a whole text."""
    now = content.get(field)
    if not at:
        return {name: value for name, value in content.items() if name != field}
    if isinstance(now, Mapping):
        return {**content, field: {name: value for name, value in now.items() if name != at}}
    return {**content, field: [one for place, one in enumerate(now or ()) if str(place) != at]}


def _text_in(table: Mapping[str, Any], name: str) -> str:
    value = table.get(name, "")
    return value if isinstance(value, str) else ""


def _listed(content: Mapping[str, Any], name: str) -> list[Any]:
    value = content.get(name, ())
    return list(value) if isinstance(value, list | tuple) else []


def _text(field: str, content: Content) -> Form:
    lines = field in LINES
    value = (
        "\n".join(str(one) for one in _listed(content, field))
        if lines
        else _text_in(content, field)
    )

    def apply(values: Values) -> Content:
        text = values[field].strip()
        return {**content, field: [x.strip() for x in text.splitlines() if x.strip()] if lines
                else text}  # fmt: skip

    title = words.FIELDS[field]
    return title, (Field(field, title, value, hint=words.LONG_HINT[field], long=True),), apply


# ----------------------------------------------------------------------------------- list entries
def _entry(field: str, at: int | None, content: Content, desk: Desk) -> Form:
    entries = _listed(content, field)
    now = entries[at] if at is not None and at < len(entries) else {}
    now = now if isinstance(now, dict) else {}
    suggestions = {
        "id": titles(desk) if field == "look_alikes" else (),
        "calculator": tuple(sorted(desk.calculators)),
        "mark": _marks(content),
    }
    fields = tuple(
        Field(
            part.name, words.PARTS[part.name], _shown(field, part.name, now, desk),
            options=part.options, suggestions=suggestions.get(part.name, ()),
            hint=words.HINTS.get(part.name, ""), long=part.long,
        )
        for part in ENTRIES[field]
    )  # fmt: skip

    def apply(values: Values) -> Content:
        made = {part.name: _read(field, part.name, values[part.name], desk)
                for part in ENTRIES[field]}  # fmt: skip
        place = len(entries) if at is None else at
        return {**content, field: [*entries[:place], {**now, **made}, *entries[place + 1 :]]}

    return words.FIELDS[field], fields, apply


def _marks(content: Content) -> tuple[str, ...]:
    marks = [
        _text_in(shape, "mark")
        for sketch in _listed(content, "sketches")
        for shape in _listed(sketch if isinstance(sketch, dict) else {}, "shapes")
        if isinstance(shape, dict)
    ]
    return tuple(dict.fromkeys(mark for mark in marks if mark))


def _shown(field: str, part: str, now: Mapping[str, Any], desk: Desk) -> str:
    """A part of an entry as it is typed."""
    value = now.get(part, "")
    if part == "gauge_mm":
        return "" if not value else "..".join(f"{one:g}" for one in dict.fromkeys(value))
    if part == "inputs":
        return "\n".join(f"{name} = {one}" for name, one in dict(value or {}).items())
    if part == "expect":
        return "\n".join(
            f"{one['result']} {sign} {one[bound]:g}"
            for one in value or ()
            for bound, sign in (("above", ">"), ("below", "<"))
            if one.get(bound) is not None
        )
    if field == "look_alikes" and part == "id" and value:
        return desk.title(str(value))
    return str(value)


def _read(field: str, part: str, typed: str, desk: Desk) -> Any:
    """A part of an entry from what was typed."""
    text = typed.strip()
    if part == "gauge_mm":
        return _gauge(text)
    if part == "inputs":
        return dict(_assigned(line) for line in text.splitlines() if line.strip())
    if part == "expect":
        return [_bound(line) for line in text.splitlines() if line.strip()]
    if field == "look_alikes" and part == "id":
        return pattern_named(desk, text)
    if part == "calculator" and text not in desk.calculators:
        from atlas.catalogue.nearest import suggestion

        raise BadInput(f"no calculator {text[:40]!r}", words.PARTS[part],
                       suggestion(text, desk.calculators, "Calculators lists them"))  # fmt: skip
    return text


def _number(text: str, where: str, remedy: str) -> float:
    try:
        number = float(text.strip().replace(",", "."))
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise BadInput(f"cannot read {text.strip()[:40]!r}", where, remedy)
    return number


def _gauge(text: str) -> list[float] | None:
    if not text:
        return None
    remedy = "write 2.5, or a range as 1.8..2.5"
    ends = [_number(one, words.PARTS["gauge_mm"], remedy) for one in text.split("..")]
    if len(ends) > 2 or ends[0] > ends[-1]:
        raise BadInput(f"cannot read {text[:40]!r}", words.PARTS["gauge_mm"], remedy)
    return [ends[0], ends[-1]]


def _assigned(line: str) -> tuple[str, str]:
    name, sign, value = line.partition("=")
    if not sign or not value.strip():
        raise BadInput(f"cannot read {line[:40]!r}", words.PARTS["inputs"], "write name = value")
    return name.strip(), value.strip()


def _bound(line: str) -> dict[str, Any]:
    for sign, bound in ((">", "above"), ("<", "below")):
        name, found, value = line.partition(sign)
        if found and name.strip():
            remedy = "write result > number, or result < number"
            return {"result": name.strip(),
                    bound: _number(value, words.PARTS["expect"], remedy)}  # fmt: skip
    raise BadInput(f"cannot read {line[:40]!r}", words.PARTS["expect"],
                   "write result > number, or result < number")  # fmt: skip


# ------------------------------------------------------------------------------------ likelihoods
def _observable(content: Content, desk: Desk) -> Form:
    """Choose the question first; its states are asked for next."""
    open_ones = {
        one.question: name
        for name, one in desk.catalogue.observables.items()
        if name not in content.get("likelihoods", {})
    }

    def apply(values: Values) -> Content:
        typed = values["observable"].strip()
        folded = typed.casefold()
        exact = [name for asked, name in open_ones.items() if folded in (asked.casefold(), name)]
        part = [name for asked, name in open_ones.items() if folded and folded in asked.casefold()]
        if not exact and len(part) != 1:
            what = f"{typed[:40]!r} is part of {len(part)} questions" if part else (
                f"no question {typed[:40]!r}")  # fmt: skip
            raise BadInput(what, words.OBSERVABLE, "type more of one, tab or → completes it")
        name = (exact or part)[0]
        states = desk.catalogue.observables[name].states
        even = {state.id: round(1 / len(states), 4) for state in states}
        last = states[-1].id
        even[last] = round(1 - sum(even.values()) + even[last], 4)
        return {**content, "likelihoods": {**content.get("likelihoods", {}), name: even}}

    field = Field("observable", words.OBSERVABLE, suggestions=tuple(open_ones),
                  hint=words.OBSERVABLE_HINT)  # fmt: skip
    return words.FIELDS["likelihoods"], (field,), apply


def _shares(name: str, content: Content, desk: Desk) -> Form:
    observable = desk.catalogue.observables.get(name)
    if observable is None:
        raise BadInput(f"no question {name[:40]!r}", words.OBSERVABLE, "take it out with delete")
    now = content.get("likelihoods", {}).get(name, {})
    now = now if isinstance(now, dict) else {}
    fields = tuple(
        Field(state.id, state.text, f"{now[state.id]:.4g}" if state.id in now else "",
              hint=words.SHARE_HINT)
        for state in observable.states
    )  # fmt: skip

    def apply(values: Values) -> Content:
        given = {
            state.id: read_probability(values[state.id], state.text)
            for state in observable.states
            if values[state.id].strip()
        }
        rest, blank = 1 - sum(given.values()), [one.id for one in observable.states
                                                if one.id not in given]  # fmt: skip
        if rest < -0.005 or (rest > 0.005 and not blank):
            raise BadInput(f"the shares add up to {1 - rest:.3g}", observable.question,
                           "they should make 1, or 100%")  # fmt: skip
        shares = {**given, **dict.fromkeys(blank, round(max(rest, 0.0) / max(len(blank), 1), 4))}
        ordered = {state.id: shares[state.id] for state in observable.states}
        return {**content, "likelihoods": {**content.get("likelihoods", {}), name: ordered}}

    return observable.question, fields, apply


# ---------------------------------------------------------------------------- signature, sketches
def _signature(content: Content, desk: Desk) -> Form:
    now = content.get("signature")
    if not isinstance(now, dict) or not any(now.values()):
        now = _from_words(content, desk)
    terms = tuple(desk.catalogue.terms)
    fields = tuple(
        Field(role, title, ", ".join(now.get(role, ())), hint=words.SIGNATURE_HINT,
              suggestions=terms)
        for role, title in words.ROLES.items()
    )  # fmt: skip

    def apply(values: Values) -> Content:
        made = {
            role: [one.strip() for one in values[role].split(",") if one.strip()]
            for role in words.ROLES
        }
        for role, named in made.items():
            for term in named:
                if term.rstrip("!") not in desk.catalogue.terms:
                    from atlas.catalogue.nearest import suggestion

                    raise BadInput(f"no term {term[:40]!r}", words.ROLES[role],
                                   suggestion(term, terms, "the glossary has them"))  # fmt: skip
        return {**content, "signature": made}

    return words.FIELDS["signature"], fields, apply


def _from_words(content: Content, desk: Desk) -> dict[str, Any]:
    """The terms that title and cues name, as the search would take them without a signature."""
    import msgspec

    from atlas.identify.lexicon import Lexicon
    from atlas.identify.signatures import signature_of

    plain = as_far_as_read({**content, "signature": {}})
    found: dict[str, Any] = msgspec.to_builtins(
        signature_of(plain, Lexicon.of(desk.catalogue.terms))
    )
    return found


def _sketches(content: Content, desk: Desk) -> Form:
    import msgspec

    def apply(values: Values) -> Content:
        taken = desk.catalogue.pattern(pattern_named(desk, values["pattern"])).sketches
        return {**content, "sketches": [*_listed(content, "sketches"),
                                        *msgspec.to_builtins(taken)]}  # fmt: skip

    field = Field("pattern", words.FROM_PATTERN, suggestions=titles(desk),
                  hint=strings.PATTERN_HINT)  # fmt: skip
    return words.SKETCH_HOW, (field,), apply
