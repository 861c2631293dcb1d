"""Where one is in the application, the way back, and how a screen asks to be left."""

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from textual.message import Message

if TYPE_CHECKING:  # the first screen should not wait for these
    from atlas.calculators.running import Outcome
    from atlas.casework.marks import Marks
    from atlas.casework.model import Calculation


class WayBack(Message):
    """A screen is done with; go back to where one came from."""


@dataclass
class SumWanted(Message):
    """A calculation of a pattern was chosen."""

    pattern_id: str
    index: int


@dataclass
class CaseWanted(Message):
    """A pattern is to be stated in a case."""

    pattern_id: str
    words: str


@dataclass
class Attach(Message):
    """A run is to go into a case."""

    outcome: "Outcome"
    given: dict[str, str]
    question: str
    about: str = ""  # the structure that it is about, where that is known


@dataclass
class RunAgain(Message):
    """A calculation of a case is to be opened."""

    record: "Calculation"


@dataclass
class PhotoWanted(Message):
    """A photo is to be opened, with these marks on it."""

    marks: "Marks"


@dataclass
class TourStep(Message):
    """Do a step of the tour: the first types its words, the others bring a pane to the front."""

    number: int
    what: str


class CatalogueChanged(Message):
    """The library's patterns were written to."""


@dataclass
class Go(Message):
    """Go to a place."""

    place: "Place"


@dataclass(frozen=True)
class Place:
    """A page that can be gone to and come back to.

    Args:
        kind: ``find``, ``calculators``, ``calculator``, ``vehicles``, ``vehicle``, ``cases``,
            ``case``, ``photo``, ``glossary``, ``study`` or ``append``.
        id: the pattern, calculator, vehicle, case, path of the photo, term or zone.
        text: words typed there.
        inputs: what was entered there, by name.
    """

    kind: str
    id: str = ""
    text: str = ""
    inputs: tuple[tuple[str, str], ...] = ()

    def same(self, other: "Place") -> bool:
        """Whether both are the same page, whatever was typed there."""
        return self.kind == other.kind and self.id == other.id


@dataclass
class Trail:
    """Places in the order of going, with a finger on the present one."""

    places: list[Place] = field(default_factory=lambda: [Place("find")])
    at: int = 0

    @property
    def here(self) -> Place:
        """The present place."""
        return self.places[self.at]

    def update(self, place: Place) -> None:
        """Remember how the present place looks as it is left."""
        self.places[self.at] = place

    def go(self, place: Place) -> None:
        """Go on from here; what lay ahead is forgotten.

        >>> trail = Trail()
        >>> trail.go(Place("case", "a")); trail.go(Place("glossary"))
        >>> trail.back().id, trail.forward().kind
        ('a', 'glossary')
        """
        if place.same(self.here):
            self.places[self.at] = place
            return
        del self.places[self.at + 1 :]
        self.places.append(place)
        self.at += 1

    def back(self) -> Place | None:
        """Step back; None at the beginning."""
        if self.at == 0:
            return None
        self.at -= 1
        return self.here

    def forward(self) -> Place | None:
        """Step forward; None at the end."""
        if self.at + 1 >= len(self.places):
            return None
        self.at += 1
        return self.here
