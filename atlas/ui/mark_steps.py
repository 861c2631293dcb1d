"""Steps in marking a photo: back, forward, and a mark that is held but not yet set down."""

from dataclasses import dataclass, field

from atlas.casework.marks import Marks

_MOST = 500


@dataclass
class MarkSteps:
    """The marks as they are, as they were, and as they will be again.

    >>> steps = MarkSteps(Marks())
    >>> steps.change(Marks(scatter="2")); steps.undo(); steps.now.scatter
    ''
    >>> steps.redo(); steps.now.scatter
    '2'
    """

    now: Marks
    held: Marks | None = None  # the marks before one was taken up
    _past: list[Marks] = field(default_factory=list)
    _future: list[Marks] = field(default_factory=list)
    _typing: str = ""  # the field that the last change was typed in

    def change(self, marks: Marks, typing: str = "") -> None:
        """Take new marks as one step; typing on in one field stays the same step."""
        if marks == self.now:
            return
        if not typing or typing != self._typing:
            self._remember(self.now)
        self._typing = typing
        self._future.clear()
        self.now = marks

    def hold(self) -> None:
        """Take a mark up: what follows is one step, whatever the way."""
        if self.held is None:
            self.held = self.now

    def drift(self, marks: Marks) -> None:
        """Marks as they are while one is held."""
        self.now = marks

    def set_down(self) -> None:
        """Let go of the held mark where it is."""
        held, self.held = self.held, None
        if held is not None and held != self.now:
            self._remember(held)
            self._typing = ""
            self._future.clear()

    def undo(self) -> None:
        """One step back; a held mark is only put back."""
        if self.held is not None:
            self.now, self.held = self.held, None
        elif self._past:
            self._future.append(self.now)
            self._typing = ""
            self.now = self._past.pop()

    def redo(self) -> None:
        """One step forward again."""
        if self.held is None and self._future:
            self._past.append(self.now)
            self._typing = ""
            self.now = self._future.pop()

    def _remember(self, marks: Marks) -> None:
        self._past.append(marks)
        del self._past[:-_MOST]
