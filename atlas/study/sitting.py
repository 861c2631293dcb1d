"""One sitting of a learner: what lies on the table now, and what the next step makes of it."""

from datetime import date
from typing import Literal

from atlas.catalogue.model import Pattern
from atlas.errors import Refused
from atlas.study.items import Item
from atlas.study.path import Asked, question
from atlas.study.practice import Queue, Study
from atlas.study.progress import Answer, Progress

Doing = Literal["", "asking", "answered", "reading", "questioned", "stepped"]


class Sitting:
    """Practice of an item or a step of a path; everything that is done is on the disk at once.

    ``doing`` says which: an item is ``asking`` until it is ``answered``; a pattern of a path is
    ``reading``, then its question is ``questioned``, and after the right answer it is ``stepped``.

    Args:
        study: what there is to study.
        zone: where; empty for all zones.
    """

    def __init__(self, study: Study, zone: str = "") -> None:
        self.study = study
        self.zone = zone
        self.doing: Doing = ""
        self.item: Item | None = None
        self.given: Answer | None = None
        self.step = ""  # pattern of the path
        self.wrong: set[str] = set()  # answers to its question that were not right
        self.progress: Progress = study.learner.get()

    def rest(self, zone: str) -> None:
        """Leave what lies on the table, and look at a zone; it comes back as it was left."""
        self.zone, self.doing = zone, ""
        self.progress = self.study.learner.get()

    def queue(self, day: date) -> Queue:
        """What there is to practise in the zone."""
        return self.study.queue(self.progress, day, self.zone)

    # ------------------------------------------------------------------------------- practice
    def practise(self, day: date) -> bool:
        """Take up the next item; whether there is one."""
        self.progress = self.study.learner.get()
        name = self.queue(day).next
        self.item, self.given = self.study.items.get(name), None
        self.doing = "asking" if self.item else ""
        return self.item is not None

    @property
    def shown(self) -> int:
        """How many cues are uncovered; the first always is."""
        return max(self.progress.shown(self._asked.id), 1)

    def next_cue(self) -> bool:
        """Uncover one more cue; whether there was one."""
        if self.shown >= len(self._asked.cues):
            return False
        self.progress = self.study.learner.uncover(self._asked.id, self.shown + 1)
        return True

    def answer(self, said: str, sure: float | None, day: date) -> Answer:
        """Commit to an answer; nothing said is a pass."""
        item = self._asked
        self.progress = self.study.answer(item, said, sure, self.shown, day)
        self.given = next(one for one in reversed(self.progress.answers) if one.item == item.id)
        self.doing = "answered"
        return self.given

    @property
    def _asked(self) -> Item:
        if self.item is None:
            raise Refused("no item lies on the table", remedy="begin to practise")
        return self.item

    # ----------------------------------------------------------------------------------- path
    def read(self) -> bool:
        """Take up the next pattern of the zone's path; whether there is one."""
        self.progress = self.study.learner.get()
        known = self.zone in self.study.paths
        self.step = self.study.next_step(self.progress, self.zone) if known else ""
        self.wrong = set()
        self.doing = "reading" if self.step else ""
        return bool(self.step)

    @property
    def pattern(self) -> Pattern:
        """The pattern that may be seen: of the answered item, or of the path."""
        name = self._asked.pattern if self.doing == "answered" else self.step
        return self.study.catalogue.pattern(name)

    @property
    def question(self) -> Asked | None:
        """What is asked of the path's pattern; None where nothing resembles it."""
        return question(self.study.catalogue.pattern(self.step), self.study.catalogue)

    def ask(self, day: date) -> None:
        """Put the question of the path's pattern; without one, the step is done."""
        if self.question is None:
            self.choose(self.step, day)
        else:
            self.doing = "questioned"

    def choose(self, said: str, day: date) -> bool:
        """Answer the question; whether that was right."""
        right = self.study.take_step(self.zone, said, day)
        if right:
            self.progress = self.study.learner.get()
            self.doing = "stepped"
        else:
            self.wrong.add(said)
        return right

    @property
    def following(self) -> str:
        """The pattern of the path after this one; empty at its end."""
        return self.study.next_step(self.progress, self.zone)
