"""Words of the trade."""

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Footer, Input

from atlas.catalogue.model import Term
from atlas.catalogue.visible import visible
from atlas.errors import AtlasError
from atlas.ui import strings
from atlas.ui.desk import Desk
from atlas.ui.page import Block, Page
from atlas.ui.places import Go, Place, WayBack
from atlas.ui.top_bar import TopBar


class GlossaryScreen(Screen[None]):
    """Terms that hold what was typed, in any of their spellings."""

    BINDINGS: ClassVar = [
        Binding("slash", "words", strings.WORDS, id="glossary.words", tooltip=strings.WORD_TIP),
        Binding("escape", "outward", strings.LEAVE, id="glossary.out", show=False,
                tooltip=strings.BACK_TIP),
    ]  # fmt: skip

    def __init__(self, desk: Desk, term: str = "", text: str = "") -> None:
        super().__init__()
        self._desk = desk
        self._term = term
        self._start = text
        self._terms: dict[str, Term] = {}

    def compose(self) -> ComposeResult:
        """A word to look for, and what is found."""
        yield TopBar("glossary")
        words = Input(self._start, placeholder=strings.WORD_HINT, id="word", compact=True)
        yield words
        page = Page(id="terms", classes="pane")
        page.border_title = strings.GLOSSARY
        yield page
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Show all, or stand on the term that was asked for."""
        try:
            self._terms = dict(self._desk.catalogue.terms)
        except AtlasError as error:
            self.query_one(Page).show([Block(Content(visible(str(error))), lead="! ")])
            return
        self._show(self._start)
        if self._term:
            self.query_one(Page).focus()
        else:
            self.query_one("#word", Input).focus()

    @on(Input.Changed, "#word")
    def _typed(self, event: Input.Changed) -> None:
        self._show(event.value)

    @on(Input.Submitted, "#word")
    def _entered(self) -> None:
        self.query_one(Page).focus()

    def _show(self, text: str) -> None:
        wanted = text.casefold().strip()
        found = [
            one
            for one in self._terms.values()
            if not wanted or any(wanted in word.casefold() for word in (one.term, *one.also))
        ]
        found.sort(
            key=lambda one: (not one.term.casefold().startswith(wanted), one.term.casefold())
        )
        blocks: list[Block] = []
        for one in found:
            also = f"\n{strings.ALSO_CALLED}{', '.join(one.also)}" if one.also else ""
            words = Content.assemble(
                (visible(one.term), "bold"), (f"  {strings.KINDS[one.kind]}", "$muted"),
                f"\n{visible(one.definition)}", (visible(also), "$muted"),
            )  # fmt: skip
            blocks.append(Block(words, "text", f"term:{one.id}"))
            for name in one.see:
                if name in self._desk.catalogue.patterns:
                    title = visible(self._desk.title(name), lines=False)
                    blocks.append(Block(Content(title), "item", f"pattern:{name}", "  → "))
                elif name in self._terms:
                    title = visible(self._terms[name].term, lines=False)
                    blocks.append(Block(Content(title), "item", f"see:{name}", "  → "))
        page = self.query_one(Page)
        page.border_subtitle = strings.TERM_COUNT.format(count=len(found))
        page.show(blocks or [Block(Content(strings.NO_TERM))], f"term:{self._term}")

    @on(Page.Chosen)
    def _follow(self, event: Page.Chosen) -> None:
        kind, _, name = event.block.key.partition(":")
        if kind == "pattern":
            self.post_message(Go(Place("find", name)))
        elif kind == "see":
            self._term = name
            self.query_one("#word", Input).value = ""
            self._show("")

    def action_words(self) -> None:
        """Go to the word."""
        self.query_one("#word", Input).focus()

    def action_outward(self) -> None:
        """Back to where one came from."""
        self.post_message(WayBack())

    @property
    def place(self) -> Place:
        """Where one is."""
        block = self.query_one(Page).current
        term = block.key.partition(":")[2] if block is not None else ""
        return Place("glossary", term, self.query_one("#word", Input).value)
