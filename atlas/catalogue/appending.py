"""How the catalogue grows: drafts, reviews, replacements, and likelihoods learned from cases."""

import contextlib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any

import msgspec
import rtoml
from msgspec.structs import replace

from atlas.catalogue.library import Library
from atlas.catalogue.load import HEARD, Catalogue, read_heard
from atlas.catalogue.model import LookAlike, Pattern
from atlas.catalogue.reading import read_record
from atlas.catalogue.visible import accepted, storable, texts
from atlas.catalogue.writing import locked, sync_folder, write_durably
from atlas.errors import BadInput, Conflict, NotThere

# How many observations a written likelihood is worth beside counted ones.
WORTH = 12.0


def as_toml(pattern: Pattern) -> str:
    """The pattern as a file's text; what is empty or left at its default is left out."""
    return rtoml.dumps(filled(msgspec.to_builtins(pattern, builtin_types=(date,))), pretty=True)


def filled(value: Any) -> Any:
    """A record's table without what is empty.

    >>> filled({"a": "", "b": [{"c": None, "d": 1}]})
    {'b': [{'d': 1}]}
    """
    if isinstance(value, dict):
        kept = {k: filled(v) for k, v in value.items()}
        return {k: v for k, v in kept.items() if v not in (None, "", [], {})}
    if isinstance(value, list | tuple):
        return [filled(v) for v in value]
    return value


def change_pattern(library: Library, before: Pattern | None, after: Pattern) -> None:
    """Write a pattern, if nobody changed it since ``before`` was read (None: it was not there).

    Where its zone is another than before, the file in the old zone's folder goes.

    Raises:
        Conflict: somebody did; nothing was written.
        BadInput: the library's own file of it cannot be read.
    """
    for text in texts(msgspec.to_builtins(after)):
        storable(text, after.id)
    target = library.patterns / after.zone / f"{after.id}.toml"
    with contextlib.ExitStack() as held:
        # By its id alone first: two who put one id into two zones would each find their file free.
        held.enter_context(locked(library.patterns / target.name))
        paths = {target, *library.patterns.glob(f"*/{target.name}")}
        for path in sorted(paths):
            held.enter_context(locked(path))
        now = {path: read_record(path, Pattern) for path in paths if path.exists()}
        # Where the library has none, the shipped one is what was read.
        if now and before not in now.values():
            raise Conflict(
                "somebody changed it since you read it", str(next(iter(now))),
                f"'atlas review {after.id}' shows it; then repeat your change",
            )  # fmt: skip
        write_durably(target, as_toml(after).encode())
        for path, pattern in now.items():
            if path != target and pattern in (before, after):
                path.unlink()
                sync_folder(path.parent)


def drafted(pattern: Pattern, author: str, today: date) -> Pattern:
    """The pattern as somebody's draft, whatever status its file gave it."""
    provenance = replace(
        pattern.provenance, status="draft", written=today, author=author, reviewed=None, reviewer=""
    )
    return replace(pattern, provenance=provenance)


def reviewed(pattern: Pattern, reviewer: str, today: date) -> Pattern:
    """The pattern with a review by another person than its author.

    Raises:
        BadInput: no reviewer, or the author himself.
    """
    reviewer = accepted(reviewer, "--by", most=40)
    if reviewer.casefold() == pattern.provenance.author.strip().casefold():
        raise BadInput(f"{reviewer} wrote {pattern.id}", "--by", "another person has to review it")
    provenance = replace(pattern.provenance, status="reviewed", reviewed=today, reviewer=reviewer)
    return replace(pattern, provenance=provenance)


def superseded(old: Pattern, new: Pattern) -> tuple[Pattern, Pattern]:
    """Both patterns with the link between them; the new one takes over names and finds.

    The old one stays readable, so that no case and no link loses what it points at.

    Raises:
        BadInput: a pattern would replace itself, or one would that is replaced itself: links that
            lead on must end somewhere.
    """
    last = new.provenance.superseded_by
    if old.id == new.id or last:
        remedy = f"name {last}, which replaced it" if last not in ("", old.id) else ""
        raise BadInput(
            f"{old.id} cannot be replaced by {new.id}", "NEW", remedy or "name another pattern"
        )
    names = tuple(dict.fromkeys((*new.other_names, old.title, *old.other_names)))
    listed = tuple(dict.fromkeys((*new.provenance.supersedes, old.id)))
    seen = tuple(dict.fromkeys((*new.provenance.seen_in, *old.provenance.seen_in)))
    return (
        replace(old, provenance=replace(old.provenance, superseded_by=new.id)),
        replace(
            new,
            other_names=tuple(name for name in names if name != new.title),
            provenance=replace(new.provenance, supersedes=listed, seen_in=seen),
        ),
    )


def named_in_return(pattern: Pattern, catalogue: Catalogue) -> list[tuple[Pattern, Pattern]]:
    """Its look-alikes that do not name it yet, before and after they do.

    Who compares two patterns may come from either: the one observation that separates them is the
    same both ways.
    """
    found = []
    for other in pattern.look_alikes:
        known = catalogue.patterns.get(other.id)
        if known is not None and all(one.id != pattern.id for one in known.look_alikes):
            back = (*known.look_alikes, LookAlike(pattern.id, other.separates))
            found.append((known, replace(known, look_alikes=back)))
    return found


def compared_with(pattern: Pattern, catalogue: Catalogue, shipped: Catalogue) -> Pattern | None:
    """What a review holds a pattern against: the shipped one, else what it is a variant of."""
    origin = catalogue.patterns.get(pattern.provenance.variant_of)
    return shipped.patterns.get(pattern.id) or origin


def differences(before: Pattern | None, after: Pattern) -> list[tuple[str, str, str]]:
    """Field by field: path, text before, text after; everything where nothing was before.

    Entries of a list are compared with those that they came from, so that one put in first does not
    make all that follow look changed.
    """
    old = {} if before is None else msgspec.to_builtins(before)
    return list(_changes("", old, msgspec.to_builtins(after)))


def _changes(path: str, old: Any, new: Any) -> Iterator[tuple[str, str, str]]:
    if old == new:
        return
    if isinstance(new, dict) and isinstance(old, dict):
        for key in dict.fromkeys((*old, *new)):
            yield from _changes(f"{path}.{key}" if path else key, old.get(key), new.get(key))
    elif any(isinstance(one, dict) for one in (*_entries(old), *_entries(new))):
        yield from _entry_changes(path, _entries(old), _entries(new))
    elif told(old) != told(new):
        yield path, told(old), told(new)


def _entries(value: Any) -> Sequence[Any]:
    return value if isinstance(value, list | tuple) else ()


def _entry_changes(
    path: str, old: Sequence[Any], new: Sequence[Any]
) -> Iterator[tuple[str, str, str]]:
    steps = SequenceMatcher(None, [repr(x) for x in old], [repr(x) for x in new], autojunk=False)
    for kind, first, last, start, end in steps.get_opcodes():
        if kind == "equal":
            continue
        for step in range(max(last - first, end - start)):
            gone = old[first + step] if first + step < last else None
            came = new[start + step] if start + step < end else None
            where = f"{path}[{start + step if came is not None else first + step}]"
            if gone is None or came is None:
                yield where, told(gone), told(came)
            else:
                yield from _changes(where, gone, came)


def told(value: Any) -> str:
    """A field's value in a line, without what is empty.

    >>> told({"see": "four arms", "mark": "", "at": (1.0, 2.5)})
    'see: four arms; at: 1, 2.5'
    """
    if isinstance(value, dict):
        parts = {key: told(one) for key, one in value.items()}
        return "; ".join(f"{key}: {text}" for key, text in parts.items() if text)
    if isinstance(value, list | tuple):
        return ", ".join(told(one) for one in value)
    return "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)


@dataclass(frozen=True)
class Lesson:
    """What settled cases say of one observable of one pattern."""

    pattern: str
    observable: str
    counts: dict[str, int]
    before: dict[str, float]
    after: dict[str, float]
    looks: tuple[str, ...] = ()


def lessons(seen: Iterable[tuple[str, str, str, str]], catalogue: Catalogue) -> list[Lesson]:
    """Likelihoods moved by counting: a Dirichlet prior worth ``WORTH`` observations, plus counts.

    Args:
        seen: pattern that it turned out to be, observable, state, and a name for the look; a look
            that the pattern's likelihoods have counted is not counted again.
        catalogue: what was written.

    Source: conjugate updating of a multinomial, A. Gelman et al., Bayesian Data Analysis, 3rd ed.,
    section 3.4 (from memory).
    """
    counted: dict[tuple[str, str], Counter[str]] = {}
    looks: dict[tuple[str, str], list[str]] = {}
    for pattern, observable, state, look in seen:
        if pattern not in catalogue.patterns or observable not in catalogue.observables:
            continue
        if look not in catalogue.patterns[pattern].provenance.counted:
            counted.setdefault((pattern, observable), Counter())[state] += 1
            looks.setdefault((pattern, observable), []).append(look)
    found = []
    for (pattern, observable), counts in sorted(counted.items()):
        states = [one.id for one in catalogue.observables[observable].states]
        written = catalogue.patterns[pattern].likelihoods.get(observable, {})
        before = {state: written.get(state, 0.0) for state in states}
        if not written:
            before = dict.fromkeys(states, 1 / len(states))
        total = sum(counts[state] for state in states)
        if not total:
            continue
        after = {
            state: round((WORTH * before[state] + counts[state]) / (WORTH + total), 4)
            for state in states
        }
        names = tuple(looks[pattern, observable])
        found.append(Lesson(pattern, observable, dict(counts), before, after, names))
    return found


def not_on_record(
    library: Library, said: Mapping[str, Sequence[str]]
) -> dict[str, tuple[str, ...]]:
    """Of descriptions by pattern, those that the library's search does not count yet."""
    kept = _heard(library.patterns / HEARD)
    new = {
        name: tuple(text for text in lines if text not in kept.get(name, ()))
        for name, lines in said.items()
    }
    return {name: lines for name, lines in new.items() if lines}


def put_on_record(library: Library, said: Mapping[str, Sequence[str]]) -> None:
    """Add descriptions to those that the library's search counts; what is there stays.

    Raises:
        BadInput: the library's file of descriptions cannot be read, or a text cannot be stored.
    """
    path = library.patterns / HEARD
    with locked(path):
        kept = _heard(path)
        for name, lines in said.items():
            for text in lines:
                storable(text, name)
            kept[name] = tuple(dict.fromkeys([*kept.get(name, ()), *lines]))
        content = {name: list(lines) for name, lines in sorted(kept.items())}
        write_durably(path, rtoml.dumps(content, pretty=True).encode())


def _heard(path: Path) -> dict[str, tuple[str, ...]]:
    with contextlib.suppress(NotThere):
        return read_heard(path)
    return {}


def learned(pattern: Pattern, taught: Iterable[Lesson]) -> Pattern:
    """The pattern with the likelihoods of the lessons about it."""
    likelihoods = dict(pattern.likelihoods)
    counted = dict.fromkeys(pattern.provenance.counted)
    for lesson in taught:
        if lesson.pattern == pattern.id:
            likelihoods[lesson.observable] = lesson.after
            counted.update(dict.fromkeys(lesson.looks))
    provenance = replace(pattern.provenance, counted=tuple(counted))
    return replace(pattern, likelihoods=likelihoods, provenance=provenance)
