"""Rules that span a pattern's fields, or several files."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from atlas.catalogue.load import HEARD, Catalogue, read_heard
from atlas.catalogue.model import Observable, Pattern, Sketch

WORDS = (250, 600)  # over all text fields
_SHINGLE = 6  # words in a row
_SAME = 0.35  # share of a text's shingles found in one other pattern's


@dataclass(frozen=True)
class Fault:
    """Something wrong with a record.

    ``severe`` faults are errors; the others say what is missing before the record is complete.
    """

    record: str
    field: str
    what: str
    severe: bool = True

    def __str__(self) -> str:
        return f"{self.record}: {self.field}: {self.what}"


def check_pattern(
    pattern: Pattern, catalogue: Catalogue, coming: Collection[str] = ()
) -> Iterator[Fault]:
    """Faults of one pattern by itself and of what it refers to.

    Args:
        pattern: what is looked at.
        catalogue: what there is.
        coming: ids of patterns that are not there yet and come together with it.
    """
    yield from _references(pattern, catalogue, {*catalogue.patterns, *coming})
    yield from _likelihoods(pattern, catalogue.observables)
    yield from _sketches(pattern)
    yield from _completeness(pattern)


def check_together(catalogue: Catalogue) -> Iterator[Fault]:
    """Faults that show only between records of the whole catalogue."""
    patterns = list(catalogue.patterns.values())
    yield from _asymmetric(catalogue)
    yield from _same_likelihoods(patterns)
    yield from _near_duplicates(patterns)
    used = {name for pattern in patterns for name in pattern.likelihoods}
    for name in catalogue.observables:
        if name not in used:
            yield Fault(name, "observable", "no pattern says how likely its states are", False)
    yield from check_heard(catalogue.folders, catalogue.patterns)
    known = {*catalogue.patterns, *catalogue.terms}
    for term in catalogue.terms.values():
        for name in term.see:
            if name not in known:
                yield Fault(term.id, "see", f"no pattern or term {name!r}")


def check_heard(folders: Iterable[Path], known: Collection[str]) -> Iterator[Fault]:
    """Faults of the descriptions on record: of no pattern, or the same one of two."""
    said: dict[str, str] = {}
    for path in (folder / HEARD for folder in folders):
        if not path.is_file():
            continue
        for name, texts in read_heard(path).items():
            if name not in known:
                yield Fault(HEARD, name, "no pattern of that id")
            for text in texts:
                other = said.setdefault(text.casefold(), name)
                if other != name:
                    yield Fault(HEARD, name, f"says of it what it says of {other!r}: {text[:60]!r}")


def text_of(pattern: Pattern) -> Iterator[tuple[str, str]]:
    """Every text of a pattern with the path of its field."""
    yield "summary", pattern.summary
    yield "does", pattern.does
    yield "rationale", pattern.rationale
    for i, cue in enumerate(pattern.cues):
        yield f"cues[{i}].see", cue.see
    for i, other in enumerate(pattern.look_alikes):
        yield f"look_alikes[{i}].separates", other.separates
    for i, case in enumerate(pattern.load_cases):
        yield f"load_cases[{i}]", f"{case.case}. {case.force} {case.path}"
    for i, trade in enumerate(pattern.trade_offs):
        yield f"trade_offs[{i}].why", trade.why
    for i, build in enumerate(pattern.builds):
        yield f"builds[{i}]", f"{build.material}; {build.process}; {build.joint}"
    for i, settle in enumerate(pattern.settle):
        yield f"settle[{i}]", f"{settle.do} {settle.decides}"
    for i, caution in enumerate(pattern.cautions):
        yield f"cautions[{i}]", caution


def _references(pattern: Pattern, catalogue: Catalogue, known: Collection[str]) -> Iterator[Fault]:
    name = pattern.id
    if pattern.zone not in catalogue.zones:
        yield Fault(name, "zone", f"no zone {pattern.zone!r}")
    for i, other in enumerate(pattern.look_alikes):
        if other.id == name:
            yield Fault(name, f"look_alikes[{i}].id", "names the pattern itself")
        elif other.id not in known:
            yield Fault(name, f"look_alikes[{i}].id", f"no pattern {other.id!r}")
    provenance = pattern.provenance
    for field, names in (
        ("provenance.supersedes", provenance.supersedes),
        ("provenance.superseded_by", (provenance.superseded_by,) * bool(provenance.superseded_by)),
        ("provenance.variant_of", (provenance.variant_of,) * bool(provenance.variant_of)),
    ):
        for other_name in names:
            if other_name not in known:
                yield Fault(name, field, f"no pattern {other_name!r}")
    if provenance.status == "reviewed" and provenance.reviewed is None:
        yield Fault(name, "provenance.reviewed", "reviewed, but no date")
    if catalogue.terms:
        signature = pattern.signature
        for field in signature.__struct_fields__:
            for term in getattr(signature, field):
                if term.rstrip("!") not in catalogue.terms:
                    yield Fault(name, f"signature.{field}", f"no term {term!r}")


def _likelihoods(pattern: Pattern, observables: dict[str, Observable]) -> Iterator[Fault]:
    for name, states in pattern.likelihoods.items():
        field = f"likelihoods.{name}"
        observable = observables.get(name)
        if observable is None:
            yield Fault(pattern.id, field, "no such observable")
            continue
        known = {state.id for state in observable.states}
        for state in states:
            if state not in known:
                yield Fault(pattern.id, f"{field}.{state}", f"states are {', '.join(known)}")
        total = sum(states.values())
        if abs(total - 1) > 0.005:
            yield Fault(pattern.id, field, f"the states' shares add up to {total:g}, not 1")


def _sketches(pattern: Pattern) -> Iterator[Fault]:
    marks = set()
    for i, sketch in enumerate(pattern.sketches):
        field = f"sketches[{i}]"
        for j, what in _misdrawn(sketch):
            yield Fault(pattern.id, f"{field}.shapes[{j}]", what)
        if not any(shape.role == "own" for shape in sketch.shapes):
            yield Fault(pattern.id, field, "no shape is the pattern's own")
        if sketch.scale_bar > sketch.width:
            yield Fault(pattern.id, f"{field}.scale_bar", "is longer than the sheet")
        marks |= {shape.mark for shape in sketch.shapes}
    for i, cue in enumerate(pattern.cues):
        if cue.mark and cue.mark not in marks:
            yield Fault(pattern.id, f"cues[{i}].mark", f"no shape has the mark {cue.mark!r}")


# Fields without which a shape of the kind cannot be drawn: least number of points, then others.
_NEEDS: dict[str, tuple[int, tuple[str, ...]]] = {
    "line": (2, ()),
    "curve": (2, ()),
    "polygon": (3, ()),
    "circle": (0, ("at", "radius")),
    "arc": (0, ("at", "radius")),
    "bolt": (0, ("at",)),
    "rivet": (0, ("at",)),
    "spot-weld": (0, ("at",)),
    "weld": (2, ()),
    "arrow": (2, ()),
    "dimension": (2, ("text",)),
    "label": (0, ("at", "text")),
}


def _misdrawn(sketch: Sketch) -> Iterator[tuple[int, str]]:
    for i, shape in enumerate(sketch.shapes):
        points, fields = _NEEDS[shape.kind]
        if len(shape.points) < points:
            yield i, f"a {shape.kind} needs {points} points"
        for field in fields:
            if not getattr(shape, field):
                yield i, f"a {shape.kind} needs {field}"
        reach = shape.radius or 0.0 if shape.kind == "circle" else 0.0
        spots = [*shape.points, *(spot for spot in (shape.at, shape.to) if spot)]
        for x, y in spots:
            if not (reach <= x <= sketch.width - reach and reach <= y <= sketch.height - reach):
                sheet = f"{sketch.width:g} by {sketch.height:g}"
                yield i, f"({x:g}, {y:g}) lies off the sheet of {sheet}"
                break


def _completeness(pattern: Pattern) -> Iterator[Fault]:
    def lacking(field: str, what: str) -> Fault:
        return Fault(pattern.id, field, what, severe=False)

    least = {
        "cues": 4, "look_alikes": 2, "load_cases": 1, "trade_offs": 2, "builds": 1, "settle": 2,
        "sources": 1, "sketches": 1, "likelihoods": 5,
    }  # fmt: skip
    for field, count in least.items():
        have = len(getattr(pattern, field))
        if have < count:
            yield lacking(field, f"{have} of at least {count}")
    words = sum(len(text.split()) for _, text in text_of(pattern))
    if not WORDS[0] <= words <= WORDS[1]:
        yield lacking("texts", f"{words} words; {WORDS[0]} to {WORDS[1]} are usual")
    if len(pattern.rationale.split()) < 60:
        yield lacking("rationale", "under 60 words argue nothing")
    if not any(cue.telling in {"settles", "strong"} for cue in pattern.cues):
        yield lacking("cues", "none settles or is strong")
    for i, calculation in enumerate(pattern.calculations):
        if not calculation.inputs:
            yield lacking(f"calculations[{i}].inputs", "no preset")
    if pattern.signature == type(pattern.signature)():
        yield lacking("signature", "empty")


def _asymmetric(catalogue: Catalogue) -> Iterator[Fault]:
    named = {
        name: {other.id for other in pattern.look_alikes}
        for name, pattern in catalogue.patterns.items()
    }
    for name, others in named.items():
        for other in sorted(others & named.keys()):
            if name not in named[other]:
                yield Fault(other, "look_alikes", f"{name} names it, it does not name {name}")


def check_variant(pattern: Pattern, origin: Pattern) -> Iterator[Fault]:
    """What a variant still says in its origin's words, and whether any look tells the two apart."""
    for field in ("summary", "does", "rationale"):
        if getattr(pattern, field) == getattr(origin, field):
            yield Fault(pattern.id, field, f"as it stands in {origin.id}", severe=False)
    yield from _same_likelihoods((origin, pattern))


def _same_likelihoods(patterns: Iterable[Pattern]) -> Iterator[Fault]:
    seen: dict[str, str] = {}
    for pattern in patterns:
        if not pattern.likelihoods:
            continue
        key = repr(sorted((n, sorted(s.items())) for n, s in pattern.likelihoods.items()))
        if key in seen:
            yield Fault(pattern.id, "likelihoods", f"the same as those of {seen[key]}")
        seen.setdefault(key, pattern.id)


def _near_duplicates(patterns: Iterable[Pattern]) -> Iterator[Fault]:
    """Texts that share many runs of words with another pattern's.

    A variant says of most things what its origin says, and what separates two look-alikes is the
    same from either side.
    """
    holders: dict[tuple[str, ...], set[str]] = defaultdict(set)
    texts: list[tuple[str, str, set[str], list[tuple[str, ...]]]] = []
    families: dict[str, set[str]] = defaultdict(set)
    for pattern in patterns:
        origin = pattern.provenance.variant_of or pattern.id
        families[pattern.id] |= {pattern.id, origin}
        families[origin] |= {pattern.id, origin}
        others = {f"look_alikes[{i}].separates": o.id for i, o in enumerate(pattern.look_alikes)}
        for field, text in text_of(pattern):
            words = text.lower().split()
            runs = [tuple(words[i : i + _SHINGLE]) for i in range(len(words) - _SHINGLE + 1)]
            if len(runs) < 4:
                continue
            texts.append((pattern.id, field, {pattern.id, others.get(field, pattern.id)}, runs))
            for run in runs:
                holders[run].add(pattern.id)
    for name, field, about, runs in texts:
        kin = set().union(*(families[one] for one in about))
        shared = Counter(other for run in runs for other in holders[run] if other not in kin)
        for other, count in shared.most_common(1):
            if count > _SAME * len(runs) and name < other:
                share = count / len(runs)
                yield Fault(name, field, f"{share:.0%} of its wording stands in {other} as well")
