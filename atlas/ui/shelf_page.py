"""What the library's cases hold for the catalogue: structures to draft from, and lessons."""

from collections.abc import Sequence
from dataclasses import dataclass

from textual import on, work
from textual.content import Content as Words
from textual.message import Message

from atlas.casework.learning import learn, taught
from atlas.catalogue.drafts import Content, Drafts
from atlas.catalogue.load import load
from atlas.catalogue.visible import visible
from atlas.errors import AtlasError
from atlas.ui import append_strings as words
from atlas.ui.append_beside import OpenLine, ask, titled_page
from atlas.ui.append_pages import case_blocks, learn_blocks
from atlas.ui.append_ways import observed_form
from atlas.ui.desk import Desk
from atlas.ui.page import Block, Page


class ShelfPage(Page):
    """Reads the cases in a thread; writes only on the choice of a line."""

    @dataclass
    class Read(Message):
        """The cases were read."""

        asked: tuple[str, str]
        blocks: Sequence[Block]

    def __init__(self, desk: Desk, drafts: Drafts, *, id: str | None = None) -> None:
        super().__init__(id=id, classes="pane")
        self._desk, self._drafts = desk, drafts
        self._asked = ("", "")

    def open(self, what: str, case_id: str = "") -> None:
        """Show what the cases hold.

        Args:
            what: ``cases`` to draft from, ``learn`` for what they teach, or ``new``.
            case_id: one case only.
        """
        self._asked = (what, case_id)
        titles = {"cases": words.FROM_CASE, "learn": words.LEARN}
        self.border_title = titled_page(titles.get(what, words.NEW))
        if what == "new":
            self.show([Block(Words(words.NEW_ABOUT))])
        else:
            self.show([Block(Words(words.READING))])
            self._read(what, case_id)

    @work(thread=True, exclusive=True, group="cases")
    def _read(self, what: str, case_id: str) -> None:
        library = self._drafts.library
        assert self._desk.cases is not None
        try:
            if what == "learn":
                blocks = learn_blocks(taught(library, load(library)), self._desk)
            else:
                cases, _ = self._desk.cases.every()
                wanted = [case for case in cases if case_id in ("", case.id)]
                blocks = case_blocks(wanted[::-1], self._desk)
        except AtlasError as error:
            blocks = [Block(Words(self._desk.told(error)), lead="! ", lead_style="bold $error")]
        self.post_message(self.Read((what, case_id), blocks))

    @on(Read)
    def _show_read(self, event: Read) -> None:
        if event.asked == self._asked:
            self.show(event.blocks)

    @on(Page.Chosen)
    def _chosen(self, event: Page.Chosen) -> None:
        kind, _, rest = event.block.key.partition(":")
        if kind == "case":
            case_id, _, about = rest.partition(":")
            self._from_case(case_id, about)
        elif kind == "learn":
            self._learn(rest)

    def _from_case(self, case_id: str, about: str) -> None:
        assert self._desk.cases is not None
        begun: list[str] = []

        def begin(content: Content) -> None:
            begun.append(self._drafts.begin(content))

        way = observed_form(self._desk, self._desk.cases.get(case_id), about, begin)
        ask(self.screen, words.FROM_CASE, way, words.BEGIN,
            lambda: self.post_message(OpenLine(f"draft:{begun[-1]}")))  # fmt: skip

    def _learn(self, name: str) -> None:
        library = self._drafts.library
        catalogue = load(library)
        try:
            learn(library, catalogue, taught(library, catalogue).about(name))
        except AtlasError as error:
            self.notify(self._desk.told(error), severity="error", markup=False, timeout=10)
            return
        title = visible(self._desk.title(name), lines=False)
        self.notify(words.LEARNED.format(title=title), markup=False)
        self.post_message(OpenLine("learn", catalogue_changed=True))
