"""All calculators and the questions that they answer."""

from collections import Counter
from dataclasses import dataclass
from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.content import Content
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Footer

from atlas.calculators.declare import Calculator
from atlas.catalogue.visible import visible
from atlas.ui import strings
from atlas.ui.desk import Desk
from atlas.ui.page import Block, Page
from atlas.ui.places import Go, Place, WayBack
from atlas.ui.top_bar import TopBar


class CalculatorsScreen(Screen[None]):
    """A list to choose from."""

    BINDINGS: ClassVar = [
        Binding("escape", "outward", strings.LEAVE, id="calcs.out", show=False,
                tooltip=strings.BACK_TIP),
    ]  # fmt: skip

    @dataclass
    class Read(Message):
        """The declarations are imported."""

        calculators: tuple[Calculator, ...]
        uses: Counter[str]

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk

    def compose(self) -> ComposeResult:
        """One page."""
        yield TopBar("calculators")
        page = Page(id="calculators", classes="pane")
        page.border_title = strings.CALCULATORS
        yield page
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Import the declarations in a thread: together they take a while."""
        self.query_one(Page).show([Block(Content(strings.READING_CALCULATORS))])
        self.query_one(Page).focus()
        self._read()

    @work(thread=True)
    def _read(self) -> None:
        from atlas.calculators.registry import calculator

        found = tuple(calculator(name) for name in sorted(self._desk.calculators))
        uses = Counter({one.id: len(self._desk.presets(one.id)) for one in found})
        self.post_message(self.Read(found, uses))

    @on(Read)
    def _show(self, event: Read) -> None:
        blocks = []
        for one in event.calculators:
            count = event.uses[one.id]
            uses = strings.USED_BY_ONE if count == 1 else strings.USED_BY.format(count=count)
            words = Content.assemble(
                (visible(one.question), "bold"),
                (f"\n{one.id} · {visible(one.title)} · {uses}", "$muted"),
            )
            blocks.append(Block(words, "item", f"calculator:{one.id}", "∑ "))
        self.query_one(Page).show(blocks)

    @on(Page.Chosen)
    def _open(self, event: Page.Chosen) -> None:
        self.post_message(Go(Place("calculator", event.block.key.partition(":")[2])))

    def action_outward(self) -> None:
        """Back to where one came from."""
        self.post_message(WayBack())

    @property
    def place(self) -> Place:
        """Where one is."""
        return Place("calculators")
