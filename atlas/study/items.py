"""What is practised: structures of demo vehicles, settled structures, patterns by their cues."""

import hashlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from atlas.casework.model import Evidence
from atlas.casework.settled import Settled
from atlas.catalogue.load import Catalogue, each_pattern
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
class Face:
    """What is shown of an item before the answer; it names nothing of it."""

    about: str
    where: str  # vehicle or case; empty for the catalogue's own
    cues: tuple[Shown, ...]


@dataclass(frozen=True)
class Item:
    """Something to recognise. All but its face is for afterwards."""

    id: str  # says nothing of the pattern
    kind: Kind
    zone: str
    pattern: str
    make: Callable[[], Face] = field(repr=False)  # names are hidden when they would be shown
    found: str = ""
    how: str = ""
    first_guess: str = ""
    vehicle: str = ""
    calculation: Look | None = None

    @cached_property
    def face(self) -> Face:
        """What is shown before the answer."""
        return self.make()

    @property
    def about(self) -> str:
        """Which structure it is, as far as that may be said."""
        return self.face.about

    @property
    def where(self) -> str:
        """On which vehicle or in which case it was seen; empty for the catalogue's own."""
        return self.face.where

    @property
    def cues(self) -> tuple[Shown, ...]:
        """The cues in the order in which they are uncovered."""
        return self.face.cues


def items_of(
    catalogue: Catalogue, vehicles: Iterable[Vehicle], settled: Iterable[Settled]
) -> dict[str, Item]:
    """Everything that can be practised, by id; what the catalogue no longer holds is left out."""
    found: dict[str, Item] = {}
    for item in _all(catalogue, vehicles, settled):
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
            if structure.pattern in patterns and pieces(structure.described):
                yield _of_vehicle(vehicle, structure, catalogue)
    for one in settled:
        if one.pattern in patterns and any(_words(each) for each in one.seen):
            yield _of_case(one, catalogue)
    for pattern in each_pattern(patterns):
        if not pattern.provenance.superseded_by:
            yield _of_pattern(pattern.id, pattern.zone, catalogue)


def _of_vehicle(vehicle: Vehicle, one: Structure, catalogue: Catalogue) -> Item:
    def make() -> Face:
        pattern = catalogue.patterns[one.pattern]
        names = names_of(pattern)
        cues = [Shown(hidden(piece, names)) for piece in pieces(one.described)]
        looks = [_look(name, state, catalogue, names) for name, state in one.looks.items()]
        cues += sorted((look for look in looks if look), key=lambda cue: _tells(cue, pattern))
        return Face(hidden(one.about, names), hidden(vehicle.title, names), tuple(cues))

    return Item(
        id=item_id("vehicle", vehicle.id, one.about),
        kind="vehicle",
        zone=catalogue.patterns.zone(one.pattern),
        pattern=one.pattern,
        make=make,
        found=one.found,
        how=one.how,
        first_guess=one.first_guess,
        vehicle=vehicle.id,
        calculation=one.calculation,
    )


def _of_case(one: Settled, catalogue: Catalogue) -> Item:
    def make() -> Face:
        names = names_of(catalogue.patterns[one.pattern])
        cues = [_evidence(each, catalogue, names) for each in one.seen if _words(each)]
        return Face(hidden(one.about, names), hidden(one.title, names), tuple(cues))

    return Item(
        id=item_id("case", one.case, one.about),
        kind="case",
        zone=catalogue.patterns.zone(one.pattern),
        pattern=one.pattern,
        make=make,
        found=one.found,
        how=one.how,
        first_guess=one.believed,
    )


def _of_pattern(name: str, zone: str, catalogue: Catalogue) -> Item:
    def make() -> Face:
        pattern = catalogue.patterns[name]
        names = names_of(pattern)
        ordered = sorted(pattern.cues, key=lambda cue: TELLING.index(cue.telling))
        cues = (Shown(hidden(cue.see, names), cue.look, mark=cue.mark) for cue in ordered)
        return Face("", "", tuple(cues))

    return Item(item_id("pattern", name), "pattern", zone, name, make)


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


def _evidence(one: Evidence, catalogue: Catalogue, names: tuple[str, ...]) -> Shown:
    look = _look(one.observable, one.state, catalogue, names)
    return look or Shown(hidden(_words(one), names))


def _words(one: Evidence) -> str:
    """What was noted; empty where there is nothing that could be a cue."""
    seen = f"{one.observable}: {one.state}" if one.observable and not one.text.strip() else ""
    return " ".join(part for part in (one.text.strip(), seen, one.measured) if part)
