"""Leitner boxes: what is known moves on and is asked less often, what is not starts again.

A right answer moves a card to the next box, a wrong one back to the first; a card that is right in
the last box stays there. In the book the compartments are 1, 2, 5, 8 and 14 cm wide and a
compartment is gone through when it is full; with the same amount of new cards each day that is
after about as many days as it is wide, so the widths are taken as days here.

Source: S. Leitner, So lernt man lernen, Freiburg 1972; rule and widths as restated in
https://en.wikipedia.org/wiki/Leitner_system, the last box in http://www.flashcarddb.com/leitner.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

WAITS = (1, 2, 5, 8, 14)  # days after which a card of each box is due again


@dataclass(frozen=True)
class Standing:
    """Where a card stands: its box, 0 before the first answer, and the day it is due."""

    box: int = 0
    due: date | None = None
    right: int = 0
    wrong: int = 0
    last: date | None = None

    def is_due(self, day: date) -> bool:
        """Whether it is to be asked on that day; a card that was never asked is new, not due."""
        return self.due is not None and self.due <= day


def after(standing: Standing, day: date, right: bool) -> Standing:
    """Where a card stands after an answer.

    A right answer ahead of its day says little and moves nothing: so practising more, or answering
    the same card in two places, never carries it on faster than the rule.

    >>> first = after(Standing(), date(2026, 3, 1), True)
    >>> first.box, first.due.isoformat()
    (2, '2026-03-03')
    >>> after(first, date(2026, 3, 2), True).due == first.due
    True
    >>> after(first, date(2026, 3, 3), False).box
    1
    """
    counts = (standing.right + right, standing.wrong + (not right))
    last = max(day, standing.last or day)
    if not right:
        return Standing(1, _later(last, 1), *counts, last)
    if standing.due is not None and not standing.is_due(day):
        return Standing(standing.box, standing.due, *counts, last)
    box = min(max(standing.box, 1) + 1, len(WAITS))
    return Standing(box, _later(last, box), *counts, last)


def standing(answers: Iterable[tuple[date, bool]]) -> Standing:
    """Where a card stands after all of its answers, oldest first."""
    found = Standing()
    for day, right in answers:
        found = after(found, day, right)
    return found


def _later(day: date, box: int) -> date:
    try:
        return day + timedelta(days=WAITS[box - 1])
    except OverflowError:
        return date.max  # a record with an impossible year is still a record
