"""Study on one library: what comes next, what an answer changes."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from atlas.casework.readings import read_probability
from atlas.casework.settled import Settled, settled
from atlas.catalogue.library import Library
from atlas.catalogue.load import Catalogue
from atlas.catalogue.nearest import suggestion
from atlas.errors import AtlasError, BadInput, NotThere
from atlas.study.items import Item, items_of
from atlas.study.path import met, path_through, question, resembling
from atlas.study.progress import Learner, Progress
from atlas.vehicles.loading import all_vehicles
from atlas.vehicles.model import Vehicle

_LEAST, _NEAR = 60.0, 45.0  # of a fit: the least that is one, and how far behind the best
_KINDS = {"vehicle": 0, "case": 1, "pattern": 2}


@dataclass(frozen=True)
class Queue:
    """What there is to do on a day: left open, due, and never asked."""

    open: tuple[str, ...]
    due: tuple[str, ...]
    new: tuple[str, ...]

    @property
    def next(self) -> str:
        """The item that comes next; empty where nothing is open, due or new."""
        return next(iter((*self.open, *self.due, *self.new)), "")


class Study:
    """What one person can study in a library, and how far they are.

    Args:
        catalogue: the patterns.
        library: where cases, vehicles and progress lie.
        who: initials of the learner.
    """

    def __init__(self, catalogue: Catalogue, library: Library, who: str) -> None:
        self.catalogue = catalogue
        self.library = library
        self.learner = Learner(library, who)

    # -------------------------------------------------------------------------------- reading
    @cached_property
    def _sources(self) -> tuple[tuple[Vehicle, ...], tuple[Settled, ...], tuple[AtlasError, ...]]:
        vehicles, broken = all_vehicles(self.library)
        cases, damaged = settled(self.library)
        return tuple(vehicles.values()), cases, (*broken, *damaged)

    @cached_property
    def items(self) -> dict[str, Item]:
        """Everything to practise, by id."""
        vehicles, cases, _ = self._sources
        return items_of(self.catalogue, vehicles, cases)

    @property
    def problems(self) -> tuple[AtlasError, ...]:
        """Why vehicles and cases were set aside."""
        return self._sources[2]

    @cached_property
    def paths(self) -> dict[str, tuple[str, ...]]:
        """The path through each zone."""
        vehicles, cases, _ = self._sources
        seen, alike = met(vehicles, cases), resembling(self.catalogue)
        zones = self.catalogue.zones
        return {one: path_through(self.catalogue.in_zone(one), seen, alike) for one in zones}

    def zone(self, name: str, otherwise: Iterable[str] = ()) -> str:
        """A zone by id or title.

        Raises:
            NotThere: there is none; the message offers the nearest.
        """
        zones = self.catalogue.zones
        wanted = " ".join(name.split()).casefold()
        for one in zones.values():
            if wanted in (one.id.casefold(), one.title.casefold()):
                return one.id
        remedy = suggestion(name[:100], [*zones, *otherwise], f"zones are {', '.join(zones)}")
        raise NotThere(f"no zone {name[:60]!r}", "ZONE", remedy)

    def item(self, name: str) -> Item:
        """An item by its id or the beginning of it.

        Raises:
            NotThere: there is none.
            BadInput: several begin so.
        """
        found = [one for one in self.items if name and one.startswith(name)]
        if len(found) > 1:
            raise BadInput(f"{name[:20]!r} begins {len(found)} items", "ITEM", "give more of it")
        if not found:
            raise NotThere(f"no item {name[:60]!r}", "ITEM", "'atlas study --json' gives the next")
        return self.items[found[0]]

    def queue(self, progress: Progress, day: date, zone: str = "") -> Queue:
        """What is open, due and new on a day, each in the order in which it is asked.

        Due items come by box, the least known first, then by how long they have been due. Of new
        ones, those whose pattern was read on its path come first, and structures of vehicles and
        cases before the catalogue's own cues; then they follow the paths.
        """
        asked = [one for one in self.items.values() if zone in ("", one.zone)]
        ids = {one.id for one in asked}
        opened = tuple(name for name in progress.open if name in ids)
        states = {one.id: progress.standing(one.id) for one in asked}
        due = [one.id for one in asked if states[one.id].is_due(day) and one.id not in opened]
        due.sort(key=lambda name: (states[name].box, states[name].due, name))
        new = [one for one in asked if not states[one.id].box and one.id not in opened]
        new.sort(key=lambda one: (one.pattern not in progress.read, *self._place(one)))
        return Queue(opened, tuple(due), tuple(one.id for one in new))

    @cached_property
    def _places(self) -> dict[str, tuple[int, int]]:
        return {
            name: (number, place)
            for number, path in enumerate(self.paths.values())
            for place, name in enumerate(path)
        }

    def _place(self, item: Item) -> tuple[int, ...]:
        return (_KINDS[item.kind], *self._places.get(item.pattern, (99, 0)))

    def choices(self, zone: str) -> tuple[str, ...]:
        """Patterns that an answer is chosen from, in order of title."""
        patterns = self.catalogue.patterns
        return tuple(sorted(self.catalogue.in_zone(zone), key=lambda n: patterns.title(n).lower()))

    def next_step(self, progress: Progress, zone: str) -> str:
        """The pattern of the zone's path that comes next; empty where all were read."""
        return next((name for name in self.paths[zone] if name not in progress.read), "")

    # ------------------------------------------------------------------------------- answering
    def take_step(self, zone: str, said: str, day: date) -> bool:
        """Answer the question of the path's next pattern; whether that was right.

        A pattern that nothing resembles has no question: naming it goes on.

        Raises:
            NotThere: the path is walked to its end.
            BadInput: the answer is none of the options.
        """
        name = self.next_step(self.learner.get(), zone)
        if not name:
            raise NotThere("the path is walked to its end", zone, "practise it now")
        asked = question(self.catalogue.pattern(name), self.catalogue)
        options = asked.options if asked else (name,)
        if said not in options:
            raise BadInput(f"{said!r} is none of the answers", "--answer",
                           f"say {', '.join(options)}")  # fmt: skip
        right = said == (asked.answer if asked else name)
        self.learner.step(name, said, right, day=day)
        return right

    def answer(
        self, item: Item, said: str, sure: float | None, cues: int, day: date
    ) -> Progress:  # fmt: skip
        """Commit to an answer.

        Args:
            item: what was asked.
            said: pattern id; empty to pass.
            sure: stated probability, 0 to 1; None only where nothing is said.
            cues: how many were uncovered.
            day: the learner's day.

        Raises:
            NotThere: no such pattern; the message offers the nearest.
            BadInput: a pattern without a probability, or the other way round.
        """
        if said:
            self.catalogue.pattern(said)
        if bool(said) != (sure is not None):
            what = "no probability was stated" if said else "no pattern was named"
            raise BadInput(what, "--sure" if said else "PATTERN", "say both, or pass")
        shown = min(max(cues, 1), len(item.cues))
        return self.learner.answer(
            item.id, item.zone, item.pattern, said, sure, cues=shown, of=len(item.cues), day=day
        )


def stated(text: str) -> float:
    """A probability as a learner types it; above 1, a bare number is per cent.

    Raises:
        BadInput: no number, or outside 0 to 100 %.

    >>> stated("70"), stated("0.7"), stated("70 %"), stated("1")
    (0.7, 0.7, 0.7, 1.0)
    """
    shown = text.strip()
    whole = shown.isascii() and shown.isdecimal() and len(shown) <= 3 and int(shown) > 1
    return read_probability(f"{shown}%" if whole else shown)


def matching(typed: str, names: Sequence[str], catalogue: Catalogue) -> tuple[str, ...]:
    """Patterns whose id, title or other name fits what was typed, best first; all for nothing."""
    wanted = typed.strip().casefold()
    if not wanted:
        return tuple(names)
    if wanted in names:
        return (wanted,)
    scored = []
    for place, name in enumerate(names):
        called = (catalogue.patterns.title(name), name, *catalogue.patterns[name].other_names)
        score = max(_score(wanted, one.casefold()) for one in called)
        scored.append((-score, place, name))
    best = -min(scored)[0] if scored else 0.0
    least = max(_LEAST, best - _NEAR)
    return tuple(name for score, _, name in sorted(scored) if -score >= least)


def _score(wanted: str, name: str) -> float:
    """How well typed words fit a name, 0 to 200: words that begin the name's count most."""
    from rapidfuzz import fuzz

    words = re.findall(r"\w+", name)
    begun = all(any(one.startswith(part) for one in words) for part in re.findall(r"\w+", wanted))
    return float(fuzz.WRatio(wanted, name)) + 100.0 * begun
