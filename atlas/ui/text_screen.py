"""A record as the text of its file, over the screen that it belongs to."""

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Label, Static, TextArea

from atlas.errors import AtlasError
from atlas.ui import append_strings as words
from atlas.ui import strings
from atlas.ui.steady import SteadyArea


class TextScreen(ModalScreen[bool]):
    """Hands the text to ``save``; stays open while ``save`` refuses it.

    Args:
        title: name of the record.
        text: as it is stored.
        save: stores another text, or refuses it.
        now: what was already made of it elsewhere.
        note: why that is not stored yet.
    """

    CSS_PATH = "append.tcss"
    BINDINGS: ClassVar = [
        Binding("ctrl+g", "save", words.TEXT_SAVE, id="text.save", tooltip=words.TEXT_KEYS),
        # First, since an area in which tab indents keeps escape to itself.
        Binding("escape", "leave", strings.LEAVE, id="text.leave", tooltip=strings.LEAVE_TIP,
                priority=True),
    ]  # fmt: skip

    def __init__(
        self,
        title: str,
        text: str,
        save: Callable[[str], object],
        now: str | None = None,
        note: str = "",
    ) -> None:
        super().__init__()
        self._title, self._text, self._save = title, text, save
        self._now = text if now is None else now
        self._first_note = note
        self._warned = text

    def compose(self) -> ComposeResult:
        """Title, text, and a line for what is wrong with it."""
        with Vertical(id="text"):
            yield Label(Content(self._title), id="text--title")
            yield SteadyArea(self._now, show_line_numbers=True, tab_behavior="indent",
                             compact=True, id="text--area")  # fmt: skip
            yield Static(Content(words.TEXT_KEYS), id="text--note", markup=False)

    def on_mount(self) -> None:
        """Say what already stands against the text."""
        if self._first_note:
            self._note(self._first_note)

    def action_save(self) -> None:
        """Take the text over, if it can be read."""
        try:
            self._save(self.query_one(TextArea).text)
        except AtlasError as error:
            self._note(str(error))
            return
        self.dismiss(True)

    def action_leave(self) -> None:
        """Leave; what was changed is not dropped by one stray key."""
        text = self.query_one(TextArea).text
        if text not in (self._text, self._warned):
            self._warned = text
            self._note(words.TEXT_LEFT)
        else:
            self.dismiss(False)

    def _note(self, line: str) -> None:
        note = self.query_one("#text--note", Static)
        note.add_class("-wrong")
        note.update(Content(line))
