"""What somebody answered, kept in the library: one file a person, nothing in it ever changed.

An answer is added and never altered, and boxes and scores are worked out from the answers. So two
machines that were both used offline merge into the union of what was answered on each.
"""

import hashlib
import re
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path

from msgspec import Struct

from atlas.casework.clock import Clock, stamp, utc_now
from atlas.casework.model import Probability, plain
from atlas.casework.storage import DurableStorage, Tables, next_key, read_tables, records_of
from atlas.catalogue.library import Library
from atlas.catalogue.visible import accepted
from atlas.catalogue.writing import locked
from atlas.errors import BadInput, Damaged
from atlas.study.boxes import Standing, standing


class Head(Struct, frozen=True):
    """Whose progress it is."""

    who: str


class Answer(Struct, frozen=True):
    """One answer to a practice item. Nothing said: the learner passed."""

    item: str
    zone: str
    pattern: str  # what it is
    said: str
    sure: Probability | None  # stated before the reasons were shown; None where nothing was said
    cues: int  # after how many of them
    of: int  # how many there were
    day: date  # the learner's own day, by which the boxes go
    at: str  # ISO 8601, UTC

    @property
    def right(self) -> bool:
        """Whether it is what it was said to be."""
        return self.said == self.pattern


class Step(Struct, frozen=True):
    """A pattern of a path was read and its question answered."""

    pattern: str
    said: str
    right: bool
    day: date
    at: str


class Look(Struct, frozen=True):
    """How many cues of an item are uncovered; taken out when it is answered."""

    item: str
    shown: int
    at: str


TABLES: dict[str, type[Struct]] = {"head": Head, "answer": Answer, "step": Step, "look": Look}


@dataclass(frozen=True)
class Progress:
    """What one person did, oldest first."""

    who: str
    answers: tuple[Answer, ...] = ()
    steps: tuple[Step, ...] = ()
    looks: tuple[Look, ...] = ()

    @cached_property
    def _standings(self) -> dict[str, Standing]:
        days: dict[str, list[tuple[date, bool]]] = {}
        for one in self.answers:
            days.setdefault(one.item, []).append((one.day, one.right))
        return {item: standing(given) for item, given in days.items()}

    @cached_property
    def read(self) -> frozenset[str]:
        """Patterns whose question on the path was answered rightly."""
        return frozenset(one.pattern for one in self.steps if one.right)

    def standing(self, item: str) -> Standing:
        """Box and due day of an item."""
        return self._standings.get(item, Standing())

    @cached_property
    def _open(self) -> dict[str, int]:
        """Items with cues uncovered since their last answer, in order of the last look."""
        answered = {one.item: one.at for one in self.answers}
        found: dict[str, int] = {}
        for one in self.looks:
            if one.at >= answered.get(one.item, ""):  # merged from a machine that lagged behind
                found[one.item] = max(found.pop(one.item, 0), one.shown)
        return found

    def shown(self, item: str) -> int:
        """How many of its cues were uncovered since it was last answered; 0 if it is not open."""
        return self._open.get(item, 0)

    @property
    def open(self) -> tuple[str, ...]:
        """Items that were left with cues uncovered, the last one first."""
        return tuple(reversed(self._open))


class Learner:
    """One person's progress in one library.

    Args:
        library: where it lies.
        who: initials; they name the file.
        clock: tells the time of the record; the day that counts is handed in with each answer.
    """

    def __init__(self, library: Library, who: str, clock: Clock = utc_now) -> None:
        self.library = library
        self.who = accepted(who, "--by", most=40)
        self._clock = clock

    @property
    def path(self) -> Path:
        """The person's file: named by the initials, told apart where letters alone do not do it."""
        plain_name = "-".join(re.findall(r"[a-z0-9]+", self.who.lower()))
        if plain_name != self.who.lower():
            digest = hashlib.sha256(self.who.encode()).hexdigest()[:6]
            plain_name = f"{plain_name}-{digest}".strip("-")
        return self.library.root / "study" / f"{plain_name}.json"

    def get(self) -> Progress:
        """The progress so far; empty where nothing was answered yet.

        Raises:
            Damaged: the file cannot be read; it is left as it is.
        """
        if not self.path.exists():
            return Progress(self.who)
        return _progress(read_tables(self.path), self.path, self.who)

    def answer(
        self, item: str, zone: str, pattern: str, said: str, sure: float | None, *,
        cues: int, of: int, day: date,
    ) -> Progress:  # fmt: skip
        """Add an answer; the item is no longer open then.

        Raises:
            BadInput: a probability outside 0 to 1.
            Damaged: the file cannot be read; nothing is written.
        """
        if sure is not None and not 0 <= sure <= 1:
            raise BadInput(f"{sure:g} is no probability", "--sure", "give 0 to 1, or 70%")
        record = Answer(item, zone, pattern, said, sure, cues, of, day, self._stamp())
        return self._add("answer", record, closes=item)

    def step(self, pattern: str, said: str, right: bool, *, day: date) -> Progress:
        """Add an answer to a question of a path."""
        return self._add("step", Step(pattern, said, right, day, self._stamp()))

    def uncover(self, item: str, shown: int) -> Progress:
        """Remember how many cues are uncovered, so that one can leave and come back."""
        return self._add("look", Look(item, shown, self._stamp()), closes=item)

    def _add(self, table: str, record: Struct, closes: str = "") -> Progress:
        path = self.path
        with locked(path):
            tables = read_tables(path) if path.exists() else {}
            before = _progress(tables, path, self.who)  # refuses before anything is written
            if isinstance(record, Look) and before.shown(closes) >= record.shown:
                return before
            draft = {name: dict(rows) for name, rows in tables.items()}
            draft.setdefault("head", {}).setdefault("1", plain(Head(self.who)))
            if closes:
                draft["look"] = {
                    key: row
                    for key, row in draft.get("look", {}).items()
                    if row.get("item") != closes
                }
            draft.setdefault(table, {})[str(next_key(draft))] = plain(record)
            DurableStorage(path).write(draft)
        return _with(before, record, closes)

    def _stamp(self) -> str:
        return stamp(self._clock())


def _with(before: Progress, record: Struct, closes: str) -> Progress:
    """The progress after a record was added: what was read once need not be read again."""
    answers, steps = before.answers, before.steps
    looks = tuple(one for one in before.looks if not closes or one.item != closes)
    if isinstance(record, Answer):
        answers = (*answers, record)
    elif isinstance(record, Step):
        steps = (*steps, record)
    elif isinstance(record, Look):
        looks = (*looks, record)
    return Progress(before.who, answers, steps, looks)


def _progress(tables: Tables, path: Path, who: str) -> Progress:
    parts = records_of(tables, TABLES, path)
    for head in parts.pop("head").values():
        if head.who.casefold() != who.casefold():
            raise Damaged(f"holds the progress of {head.who!r}", str(path), "name it after them")
    # By time; of one second by key, in which order ``records_of`` has them.
    answers, steps, looks = (
        tuple(sorted(rows.values(), key=lambda one: one.at)) for rows in parts.values()
    )
    return Progress(who, answers, steps, looks)
