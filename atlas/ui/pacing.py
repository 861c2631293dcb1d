"""Work that follows changes: a moment after the last of them, one run at a time."""

from collections.abc import Callable

from textual.message_pump import MessagePump
from textual.timer import Timer

_PAUSE = 0.08  # from the last change to the run [s]


class Pacing:
    """Says when to run; what was changed during a run is run next.

    Args:
        owner: whose timer it is.
        begin: begins a run on things as they are and says whether one is under way now.
    """

    def __init__(self, owner: MessagePump, begin: Callable[[], bool]) -> None:
        self._owner, self._begin = owner, begin
        self._timer: Timer | None = None
        self._busy = self._again = False

    def soon(self) -> None:
        """Run once no more is changed."""
        if self._timer is not None:
            self._timer.stop()
        self._timer = self._owner.set_timer(_PAUSE, self.now)

    def now(self) -> None:
        """Run, or note that it is to be done again."""
        if self._busy:
            self._again = True
        else:
            self._busy = self._begin()

    def over(self) -> bool:
        """Note that the run is over; say whether its result still counts."""
        again, self._busy, self._again = self._again, False, False
        if again:
            self.now()
        return not again
