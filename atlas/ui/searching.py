"""What words and answers lead to, step by step; run in a thread."""

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from textual.message import Message

from atlas.ui.desk import Desk

LIMIT = 12
PAUSE = 0.2  # from the last key to the next question [s]
QUESTIONS = 8


@dataclass(frozen=True)
class Asked:
    """What was asked: answers to it are shown only while it still stands."""

    words: str = ""
    answers: tuple[tuple[str, str], ...] = ()
    zone: str | None = None

    @property
    def nothing(self) -> bool:
        """Whether there are neither words nor answers."""
        return not self.words.strip() and not self.answers


@dataclass
class Searched(Message):
    """Matches of the words; then, with ``state``, the candidates after the answers."""

    asked: Asked
    found: Any
    state: Any = None
    questions: tuple[Any, ...] = ()


@dataclass
class Refused(Message):
    """A search or a narrowing could not be done."""

    why: str


def search(desk: Desk, asked: Asked, overtaken: Callable[[], bool]) -> Iterator[Searched]:
    """Yield the matches as soon as they are there, then candidates and questions.

    Args:
        desk: catalogue, search and narrowing.
        asked: words, answers and zone.
        overtaken: whether something else was asked meanwhile.
    """
    found = prior = None
    if asked.words.strip():
        found = desk.finder().find(asked.words, zone=asked.zone, limit=LIMIT)
        if overtaken():
            return
        if not asked.answers:
            yield Searched(asked, found)
        if _wait(overtaken):  # somebody who is still typing wants matches, not questions
            return
        prior = desk.finder().prior(asked.words)
    elif asked.zone is not None:
        names = desk.catalogue.in_zone(asked.zone)
        prior = dict.fromkeys(names, 0.95 / len(names)) if names else None
    narrowing = desk.narrowing()
    state = narrowing.given(prior, dict(asked.answers))
    if overtaken():
        return
    questions = tuple(narrowing.next_questions(state, QUESTIONS))
    if not overtaken():
        yield Searched(asked, found, state, questions)


def _wait(overtaken: Callable[[], bool]) -> bool:
    end = time.monotonic() + PAUSE
    while time.monotonic() < end:
        if overtaken():
            return True
        time.sleep(0.02)
    return overtaken()
