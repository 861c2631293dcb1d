"""Append: patterns are drafted, reviewed and taught here by what teardowns showed."""

from dataclasses import dataclass
from typing import Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.reactive import reactive
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import ContentSwitcher, Footer

from atlas.catalogue.drafts import Content, Drafts
from atlas.catalogue.visible import visible
from atlas.errors import AtlasError
from atlas.ui import append_strings as words
from atlas.ui import strings
from atlas.ui.append_beside import Beside, Kept, OpenLine, ask
from atlas.ui.append_pages import list_blocks
from atlas.ui.append_reading import own_patterns
from atlas.ui.append_ways import begin_form, give_up_form
from atlas.ui.desk import Desk
from atlas.ui.draft_page import DraftPage
from atlas.ui.own_page import OwnPage
from atlas.ui.page import Page
from atlas.ui.places import CatalogueChanged, Go, Place, WayBack
from atlas.ui.shelf_page import ShelfPage
from atlas.ui.sketch_view import SketchView
from atlas.ui.top_bar import PaneTabs, TopBar, bring_to_front, stand_on, titled


class AppendScreen(Screen[None]):
    """Drafts and patterns on the left, one of them in the middle, the nearest on the right.

    Args:
        desk: catalogue, library and search.
        start: line of the list to stand on, or ``case:ID`` to draft from that case.
        ascii_only: draw with ASCII characters only.
    """

    CSS_PATH = "append.tcss"
    HORIZONTAL_BREAKPOINTS = [  # noqa: RUF012
        (0, "-narrow"), (100, "-middle"), (130, "-wide"), (160, "-roomy")
    ]  # fmt: skip
    BINDINGS: ClassVar = [
        Binding("n", "new", words.NEW_KEY, id="append.new", tooltip=words.NEW_TIP),
        Binding("delete", "give_up", words.GIVE_UP_DO, id="append.give-up", show=False,
                tooltip=words.GIVE_UP_TIP),
        Binding("f3,1", "pane('drafts')", words.DRAFTS, id="append.drafts", show=False,
                tooltip=words.DRAFTS_TIP),
        Binding("f4,2", "pane('written')", words.WRITTEN, id="append.written", show=False,
                tooltip=words.PAGE_TIP),
        Binding("f5,3", "pane('near')", words.NEAR, id="append.near", show=False,
                tooltip=words.NEAR_TIP),
        Binding("f6,4", "pane('sketch')", strings.SKETCH, id="append.sketch", show=False,
                tooltip=strings.SKETCH),
        Binding("escape", "outward", strings.LEAVE, id="append.out", show=False,
                tooltip=strings.OUTWARD_TIP),
    ]  # fmt: skip
    KEYS_OF: ClassVar = ((words.KEYS_DRAFT, DraftPage), (words.KEYS_OWN, OwnPage))

    pane: reactive[str] = reactive("drafts")

    @dataclass
    class Listed(Message):
        """The library's own patterns were looked through: id, title, status."""

        rows: list[tuple[str, str, str]]

    def __init__(self, desk: Desk, start: str = "", ascii_only: bool = False) -> None:
        super().__init__()
        assert desk.library is not None
        self._desk, self._ascii = desk, ascii_only
        self._drafts = Drafts(desk.library)
        kind, _, case_id = start.partition(":")
        self._case_id = case_id if kind == "case" else ""
        self._key = "cases" if self._case_id else start
        self._shown = ""
        self._own: list[tuple[str, str, str]] = []

    def compose(self) -> ComposeResult:
        """List, page, and what is beside it."""
        yield TopBar("append")
        yield PaneTabs(words.PANES)
        with Horizontal(id="work"):
            yield titled(Page(id="drafts"), words.DRAFTS)
            with ContentSwitcher(initial="shelf", id="written"):
                yield DraftPage(self._desk, self._drafts, id="draft")
                yield OwnPage(self._desk, self._drafts, id="own")
                yield ShelfPage(self._desk, self._drafts, id="shelf")
            with Vertical(id="beside"):
                yield titled(Page(id="near"), words.NEAR)
                yield titled(SketchView(id="sketch", ascii_only=self._ascii), strings.SKETCH)
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """List what there is; a case that one came from is asked for its structures."""
        bring_to_front(self, "", "drafts")
        self._list()
        self._look_through()
        self.query_one("#drafts").focus()
        if self._case_id:
            self._open("cases")
            self.action_pane("written")

    # ----------------------------------------------------------------------------------- list
    def _list(self) -> None:
        blocks = list_blocks(list(self._drafts.every()), self._own, self._desk)
        self.query_one("#drafts", Page).show(blocks, self._key or None)

    @work(thread=True, exclusive=True, group="list")
    def _look_through(self) -> None:
        try:
            rows = own_patterns(self._drafts.library)
        except AtlasError:
            return  # what cannot be read is named where the application starts
        self.post_message(self.Listed(rows))

    @on(Listed)
    def _own_known(self, event: Listed) -> None:
        if event.rows != self._own:
            self._own = event.rows
            self._list()

    @on(Page.Moved, "#drafts")
    def _passed(self, event: Page.Moved) -> None:
        # New rows put the cursor on the first line where the wanted one is not there yet.
        if event.by_user or not self._key:
            self._open(event.block.key)
        elif event.block.key == self._key != self._shown:
            self._open(self._key)

    @on(Page.Chosen, "#drafts")
    def _picked(self, event: Page.Chosen) -> None:
        if event.block.key == "new":
            self.action_new()
        else:
            self.action_pane("written")

    def _open(self, key: str) -> None:
        """Show what a line of the list stands for."""
        if key != "cases":
            self._case_id = ""
        self._key = self._shown = key
        kind, _, name = key.partition(":")
        self.query_one("#near", Page).show([])
        self.query_one("#sketch", SketchView).show(())
        switch = self.query_one("#written", ContentSwitcher)
        switch.current = kind if kind in ("draft", "own") else "shelf"
        if kind == "draft":
            self.query_one(DraftPage).open(name)
        elif kind == "own":
            self.query_one(OwnPage).open(name)
        else:
            self.query_one(ShelfPage).open(key, self._case_id)

    @on(Kept)
    def _relist(self) -> None:
        self._list()

    @on(OpenLine)
    def _go_on(self, event: OpenLine) -> None:
        if event.catalogue_changed:
            self.post_message(CatalogueChanged())
        self._key = event.key
        self._list()
        self._look_through()
        self.call_later(self._open_and_stand, event.key)

    def _open_and_stand(self, key: str) -> None:
        self._open(key)
        self.action_pane("written")

    @on(Beside)
    def _show_beside(self, event: Beside) -> None:
        sketch = self.query_one("#sketch", SketchView)
        if event.blocks is not None:
            self.query_one("#near", Page).show(event.blocks)
        if event.sketches is not None:
            sketch.show(event.sketches)
        if event.lit is not None:
            sketch.light(event.lit)

    @on(Page.Chosen, "#near")
    def _followed(self, event: Page.Chosen) -> None:
        kind, _, name = event.block.key.partition(":")
        if kind == "pattern":
            self.post_message(Go(Place("find", name)))

    # -------------------------------------------------------------------------------- actions
    def action_new(self) -> None:
        """Describe a structure that the catalogue may not have."""
        begun: list[str] = []

        def begin(content: Content) -> None:
            begun.append(self._drafts.begin(content))

        ask(self, words.NEW, begin_form(self._desk, begin), words.BEGIN,
            lambda: self.post_message(OpenLine(f"draft:{begun[-1]}")))  # fmt: skip

    def action_give_up(self) -> None:
        """Give the draft under the cursor of the list up."""
        kind, _, name = self._key.partition(":")
        if kind != "draft" or self.pane != "drafts":
            return

        def then() -> None:
            self.notify(words.GONE.format(name=visible(name)), markup=False)
            self._key = ""
            self._list()

        ask(self, words.GIVE_UP, give_up_form(self._drafts, name), words.GIVE_UP_DO, then)

    def watch_pane(self, old: str, new: str) -> None:
        """Tell the style sheet which pane is in front."""
        if self.is_mounted:
            bring_to_front(self, old, new)

    def on_descendant_focus(self, event: Any) -> None:
        """The pane that has the focus is the one in front."""
        for widget in (event.widget, *event.widget.ancestors):
            if getattr(widget, "id", None) in words.PANES:
                self.pane = widget.id
                return

    def action_pane(self, pane: str) -> None:
        """Bring a pane to the front."""
        self.pane = pane
        found: Widget = self.query_one(f"#{pane}")
        if isinstance(found, ContentSwitcher):
            found = found.visible_content or found
        stand_on(self, found)

    def action_outward(self) -> None:
        """From a pane to the page, to the list, and back."""
        if self.pane in ("near", "sketch"):
            self.action_pane("written")
        elif self.pane == "written":
            self.action_pane("drafts")
        else:
            self.post_message(WayBack())

    @property
    def place(self) -> Place:
        """Where one is."""
        return Place("append", self._key)
