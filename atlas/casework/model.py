"""What a case holds. A record of each kind is one TinyDB document, keyed by a number of its own.

Keys are drawn at random, so that two people who add to the same case offline never collide.
"""

from typing import Annotated, Any, Literal

import msgspec
from msgspec import Meta, Struct

from atlas.casework.verdicts import Verdicts

Probability = Annotated[float, Meta(ge=0.0, le=1.0)]
EvidenceKind = Literal["text", "photo", "point", "weight", "look"]
How = Literal["look", "measure", "weigh", "test", "cut", "unbolt", "document"]


class Head(Struct, frozen=True):
    """What the case is about and how it stands."""

    id: str
    title: str
    opened: str  # ISO 8601, UTC
    vehicle: str = ""
    place: str = ""
    date: str = ""  # day of the inspection
    people: tuple[str, ...] = ()
    closed: str = ""


class Evidence(Struct, frozen=True):
    """Something seen, photographed, measured or weighed."""

    kind: EvidenceKind
    text: str
    at: str
    by: str
    about: str = ""  # which structure of the vehicle
    path: str = ""
    sha256: str = ""
    value: float | None = None
    unit: str = ""
    observable: str = ""  # of a look: the question and the state seen
    state: str = ""
    low: float | None = None  # 5th and 95th percentile of a value that is known as a range
    high: float | None = None
    reading: str = ""  # the value as a calculator's input takes it, with its tie

    @property
    def measured(self) -> str:
        """The value with its unit, and its range where it has one; empty where none was read."""
        if self.value is None:
            return ""
        span = "" if self.low is None or self.high is None else f" ({self.low:g} to {self.high:g})"
        return f"{self.value:g} {self.unit}{span}".strip()


class Suspicion(Struct, frozen=True):
    """A stated probability that a structure is an example of a pattern."""

    about: str
    pattern: str
    probability: Probability
    at: str
    by: str
    why: str = ""


class Calculation(Struct, frozen=True):
    """A calculation as it was run, complete enough to be run again."""

    calculator: str
    inputs: dict[str, str | int | float]
    samples: int
    seed: int
    results: dict[str, Any]
    findings: tuple[str, ...]
    at: str
    by: str
    about: str = ""
    version: str = ""
    question: str = ""
    photo: str = ""  # SHA-256 of the photo whose marks it was run on


class Question(Struct, frozen=True):
    """Something still open, and the look that would settle it."""

    text: str
    look: str
    at: str
    by: str
    about: str = ""
    answer: str = ""


class Verdict(Struct, frozen=True):
    """What the teardown showed a structure to be. An empty pattern: none of the catalogue's.

    ``corrects`` are the keys of the verdicts on the structure that its writer had before him and
    did not leave standing; None where that was not recorded: then all with a smaller key.
    """

    about: str
    pattern: str
    found: str
    how: How
    at: str
    by: str
    corrects: tuple[int, ...] | None = None


class Choice(Struct, frozen=True):
    """Which of several verdicts on a structure stands, where nobody had known of the others'."""

    about: str
    chosen: int  # keys of verdicts
    over: tuple[int, ...]
    at: str
    by: str


class Edit(Struct, frozen=True):
    """One record's change; None where it was not there before or is not there after."""

    table: str
    key: int
    before: dict[str, Any] | None
    after: dict[str, Any] | None


class Change(Struct, frozen=True):
    """One entry of the history: who did what, when, and enough to take it back."""

    what: str
    at: str
    by: str
    edits: tuple[Edit, ...]
    undoes: int = 0  # key of the change that this one took back


TABLES: dict[str, type[Struct]] = {
    "head": Head,
    "evidence": Evidence,
    "suspicion": Suspicion,
    "calculation": Calculation,
    "question": Question,
    "verdict": Verdict,
    "choice": Choice,
    "history": Change,
}


class Case(Struct, frozen=True):
    """A case as read: records by key, in the order in which they were made."""

    head: Head
    evidence: dict[int, Evidence]
    suspicion: dict[int, Suspicion]
    calculation: dict[int, Calculation]
    question: dict[int, Question]
    verdict: dict[int, Verdict]
    choice: dict[int, Choice]
    history: dict[int, Change]

    @property
    def id(self) -> str:
        """The case's id."""
        return self.head.id

    @property
    def revision(self) -> int:
        """Changes with every change, also with one of others that a sync brought; 0 before any."""
        return sum(self.history) % (1 << 53)

    @property
    def latest(self) -> Change:
        """The latest change; an empty one where there is no history."""
        return self.history[max(self.history)] if self.history else Change("", "", "", ())

    @property
    def structures(self) -> tuple[str, ...]:
        """The structures that the case speaks of, in order of first mention."""
        tables = (self.evidence, self.suspicion, self.calculation, self.verdict)
        named: list[str] = [one.about for table in tables for one in table.values()]
        return tuple(dict.fromkeys(name for name in named if name))

    @property
    def status(self) -> str:
        """``settled`` once every suspected structure has an undisputed verdict, else ``open``."""
        suspected = {one.about for one in self.suspicion.values()}
        judged = {one.about for one in self.verdict.values()}
        decided = judged.difference(self.in_dispute)
        return "settled" if decided and suspected | judged <= decided else "open"

    @property
    def in_dispute(self) -> tuple[str, ...]:
        """Structures whose standing verdicts contradict each other, in order of first verdict."""
        names = dict.fromkeys(one.about for one in self.verdict.values())
        return tuple(name for name in names if self.disputed(name))

    def beliefs(self, about: str) -> dict[str, Suspicion]:
        """The latest suspicion of each pattern for a structure, likeliest first."""
        latest = {one.pattern: one for one in self.suspicion.values() if one.about == about}
        return dict(sorted(latest.items(), key=lambda pair: -pair[1].probability))

    def verdicts(self, about: str) -> Verdicts:
        """All verdicts on a structure, and which of them stand."""
        return Verdicts(
            {key: one for key, one in self.verdict.items() if one.about == about},
            {key: one for key, one in self.choice.items() if one.about == about},
        )

    def disputed(self, about: str) -> dict[int, Verdict]:
        """The verdicts on a structure that wait for a choice, by key; empty where none do."""
        return self.verdicts(about).disputed

    def verdict_on(self, about: str) -> Verdict | None:
        """The verdict on a structure that stands; None where there is none, or a dispute."""
        return self.verdict.get(self.verdicts(about).key)

    def verdict_key(self, about: str) -> int:
        """Key from which on a structure was settled, 0 where it is not.

        What has a smaller key was on record before it: nobody draws a key below what he has seen,
        while clocks may disagree by hours. Of verdicts among which one was chosen it is the first:
        what was stated after any of them may have been stated with the parts in sight.
        """
        return self.verdicts(about).since


def plain(record: Struct) -> dict[str, Any]:
    """A record as the JSON-ready document that TinyDB stores."""
    document: dict[str, Any] = msgspec.to_builtins(record)
    return document
