"""What is practised: structures of demo vehicles, settled structures, patterns by their cues."""

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from atlas.casework.model import Evidence
from atlas.casework.settled import Settled
from atlas.catalogue.load import Catalogue
from atlas.catalogue.model import Pattern, Viewpoint
from atlas.catalogue.visible import visible
from atlas.study.concealing import hidden, names_of
from atlas.study.path import TELLING
from atlas.vehicles.model import Look, Structure, Vehicle

Kind = Literal["vehicle", "case", "pattern"]
_LEAST = 12  # characters; shorter pieces of a description are no cue of their own


@dataclass(frozen=True)
class Shown:
    """One cue as the learner gets it: words, or a look with its answer."""

    text: str
    look: Viewpoint | None = None
    observable: str = ""
    state: str = ""
    mark: str = ""  # sketch shapes that show it, once the answer is out


@dataclass(frozen=True)
class Item:
    """Something to recognise. All but ``cues``, ``about`` and ``where`` is for afterwards."""

    id: str  # says nothing of the pattern
    kind: Kind
    zone: str
    about: str
    where: str  # vehicle or case; empty for the catalogue's own
    cues: tuple[Shown, ...]
    pattern: str
    found: str = ""
    how: str = ""
    first_guess: str = ""
    vehicle: str = ""
    calculation: Look | None = None


def items_of(
    catalogue: Catalogue, vehicles: Iterable[Vehicle], settled: Iterable[Settled]
) -> dict[str, Item]:
    """Everything that can be practised, by id; what the catalogue no longer holds is left out."""
    found: dict[str, Item] = {}
    for item in _all(catalogue, vehicles, settled):
        if item.cues:
            found.setdefault(item.id, item)
    return found


def item_id(kind: str, *names: str) -> str:
    """An id that is the same on every machine and does not say what the answer is."""
    return hashlib.sha256("\0".join((kind, *names)).encode()).hexdigest()[:10]


def _all(
    catalogue: Catalogue, vehicles: Iterable[Vehicle], settled: Iterable[Settled]
) -> Iterator[Item]:
    patterns = catalogue.patterns
    for vehicle in vehicles:
        for structure in vehicle.structures:
            if structure.pattern in patterns:
                yield _of_vehicle(vehicle, structure, patterns[structure.pattern], catalogue)
    for one in settled:
        if one.pattern in patterns:
            yield _of_case(one, patterns[one.pattern], catalogue)
    for name in patterns:
        if not patterns[name].provenance.superseded_by:
            yield _of_pattern(patterns[name])


def _of_vehicle(vehicle: Vehicle, one: Structure, pattern: Pattern, catalogue: Catalogue) -> Item:
    names = names_of(pattern)
    cues = [Shown(hidden(piece, names)) for piece in pieces(one.described)]
    looks = [_look(name, state, catalogue, names) for name, state in one.looks.items()]
    cues += sorted((look for look in looks if look), key=lambda cue: _tells(cue, pattern))
    return Item(
        id=item_id("vehicle", vehicle.id, one.about),
        kind="vehicle",
        zone=pattern.zone,
        about=hidden(one.about, names),
        where=hidden(vehicle.title, names),
        cues=tuple(cues),
        pattern=pattern.id,
        found=one.found,
        how=one.how,
        first_guess=one.first_guess,
        vehicle=vehicle.id,
        calculation=one.calculation,
    )


def _of_case(one: Settled, pattern: Pattern, catalogue: Catalogue) -> Item:
    names = names_of(pattern)
    cues = [_evidence(each, catalogue, names) for each in one.seen]
    return Item(
        id=item_id("case", one.case, one.about),
        kind="case",
        zone=pattern.zone,
        about=hidden(one.about, names),
        where=hidden(one.title, names),
        cues=tuple(cue for cue in cues if cue),
        pattern=pattern.id,
        found=one.found,
        how=one.how,
        first_guess=one.believed,
    )


def _of_pattern(pattern: Pattern) -> Item:
    names = names_of(pattern)
    ordered = sorted(pattern.cues, key=lambda cue: TELLING.index(cue.telling))
    return Item(
        id=item_id("pattern", pattern.id),
        kind="pattern",
        zone=pattern.zone,
        about="",
        where="",
        cues=tuple(Shown(hidden(c.see, names), c.look, mark=c.mark) for c in ordered),
        pattern=pattern.id,
    )


def pieces(text: str) -> list[str]:
    """A description in the pieces in which it was said, each long enough to mean something.

    >>> pieces("thick solid bar across the nose, ends stick out past both rails, no holes")
    ['thick solid bar across the nose', 'ends stick out past both rails, no holes']
    """
    found: list[str] = []
    for part in visible(text, lines=False).replace(";", ",").split(", "):
        piece = part.strip(" ,")
        if found and (len(piece) < _LEAST or len(found[-1]) < _LEAST):
            found[-1] = f"{found[-1]}, {piece}" if piece else found[-1]
        elif piece:
            found.append(piece)
    return found


def _look(name: str, state: str, catalogue: Catalogue, names: tuple[str, ...]) -> Shown | None:
    observable = catalogue.observables.get(name)
    if observable is None:
        return None
    text = next((one.text for one in observable.states if one.id == state), None)
    if text is None:
        return None
    words = hidden(f"{observable.question} {text[:1].upper()}{text[1:]}.", names)
    return Shown(words, observable.look, name, state)


def _tells(cue: Shown, pattern: Pattern) -> float:
    """How far what was seen is the pattern's own; what it says nothing of comes first."""
    return pattern.likelihoods.get(cue.observable, {}).get(cue.state, 0.0)


def _evidence(one: Evidence, catalogue: Catalogue, names: tuple[str, ...]) -> Shown | None:
    if one.observable:
        found = _look(one.observable, one.state, catalogue, names)
        if found is not None:
            return found
    reading = f"{one.value:g} {one.unit}".strip() if one.value is not None else ""
    words = " ".join(part for part in (one.text.strip(), reading) if part)
    return Shown(hidden(words, names)) if words else None
