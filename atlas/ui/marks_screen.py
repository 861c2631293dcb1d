"""Patterns that were marked."""

from collections.abc import Mapping
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.content import Content
from textual.screen import ModalScreen

from atlas.catalogue.visible import visible
from atlas.ui import strings
from atlas.ui.page import Block, Page
from atlas.ui.places import Go, Place


class MarksScreen(ModalScreen[None]):
    """A list to choose from."""

    BINDINGS: ClassVar = [
        Binding("escape,M", "app.pop_screen", strings.LEAVE, id="marks.leave",
                tooltip=strings.LEAVE_TIP),
    ]  # fmt: skip

    def __init__(self, titles: Mapping[str, str]) -> None:
        super().__init__()
        self._titles = titles

    def compose(self) -> ComposeResult:
        """One page over the screen."""
        page = Page(id="marks", classes="pane")
        page.border_title = strings.MARKS
        yield page

    def on_mount(self) -> None:
        """Fill it."""
        blocks = [
            Block(Content(visible(title, lines=False)), "item", f"pattern:{name}", "★ ")
            for name, title in self._titles.items()
        ]
        page = self.query_one(Page)
        page.show(blocks or [Block(Content(strings.NO_MARKS))])
        page.focus()

    def on_click(self, event: events.Click) -> None:
        """A click beside it closes it, for whoever has the mouse in hand."""
        if event.widget is self:
            self.dismiss()

    @on(Page.Chosen)
    def _open(self, event: Page.Chosen) -> None:
        self.app.post_message(Go(Place("find", event.block.key.partition(":")[2])))
