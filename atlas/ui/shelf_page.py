"""What the library's cases hold for the catalogue: structures to draft from, and lessons."""

from collections.abc import Sequence
from dataclasses import dataclass

from textual import on, work
from textual.content import Content as Words
from textual.message import Message

from atlas.casework.learning import Taught, learn, taught
from atlas.catalogue.drafts import Content, Drafts
from atlas.catalogue.load import load
from atlas.catalogue.visible import visible
from atlas.errors import AtlasError, Conflict
from atlas.ui import append_strings as words
from atlas.ui.append_beside import OpenLine, ask, titled_page
from atlas.ui.append_pages import case_blocks, learn_blocks
from atlas.ui.append_ways import observed_form
from atlas.ui.desk import Desk
from atlas.ui.page import Block, Page
from atlas.ui.places import CatalogueChanged


class ShelfPage(Page):
    """Reads the cases in a thread; writes only on the choice of a line."""

    @dataclass
    class Read(Message):
        """The cases were read."""

        asked: tuple[str, str]
        blocks: Sequence[Block]
        found: Taught | None = None

    @dataclass
    class Learned(Message):
        """Lessons were written, or why not."""

        name: str
        refused: AtlasError | None = None

    def __init__(self, desk: Desk, drafts: Drafts, *, id: str | None = None) -> None:
        super().__init__(id=id, classes="pane")
        self._desk, self._drafts = desk, drafts
        self._asked = ("", "")
        self._found: Taught | None = None

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
        found = None
        try:
            if what == "learn":
                found = taught(library, load(library))
                blocks = learn_blocks(found, self._desk)
            else:
                cases, _ = self._desk.cases.every()
                wanted = [case for case in cases if case_id in ("", case.id)]
                blocks = case_blocks(wanted[::-1], self._desk)
        except AtlasError as error:
            blocks = [Block(Words(self._desk.told(error)), lead="! ", lead_style="bold $error")]
        self.post_message(self.Read((what, case_id), blocks, found))

    @on(Read)
    def _show_read(self, event: Read) -> None:
        if event.asked == self._asked:
            self._found = event.found
            self.show(event.blocks)

    @on(Page.Chosen)
    def _chosen(self, event: Page.Chosen) -> None:
        kind, _, rest = event.block.key.partition(":")
        if kind == "case":
            case_id, _, about = rest.partition(":")
            self._from_case(case_id, about)
        elif kind == "learn" and self._found is not None:
            self._learn(rest, self._found.about(rest))

    def _from_case(self, case_id: str, about: str) -> None:
        assert self._desk.cases is not None
        begun: list[str] = []

        def begin(content: Content) -> None:
            begun.append(self._drafts.begin(content))

        try:
            way = observed_form(self._desk, self._desk.cases.get(case_id), about, begin)
        except AtlasError as error:  # another took the case away meanwhile
            self._say_why(error)
            return
        ask(self.screen, words.FROM_CASE, way, words.BEGIN,
            lambda: self.post_message(OpenLine(f"draft:{begun[-1]}")))  # fmt: skip

    @work(thread=True, exclusive=True, group="learn")
    def _learn(self, name: str, shown: Taught) -> None:
        """Write what was shown, as long as the cases still teach just that."""
        library = self._drafts.library
        refused = None
        try:
            catalogue = load(library)
            now = taught(library, catalogue).about(name)
            if (now.lessons, now.said) != (shown.lessons, shown.said):
                raise Conflict(words.LEARN_MOVED, "", words.LEARN_MOVED_DO)
            learn(library, catalogue, now)
        except AtlasError as error:
            refused = error
        self.post_message(self.Learned(name, refused))

    @on(Learned)
    def _learned(self, event: Learned) -> None:
        if event.refused is not None:
            self._say_why(event.refused)
            if self._asked[0] == "learn":
                self.open(*self._asked)
            return
        title = visible(self._desk.title(event.name), lines=False)
        self.notify(words.LEARNED.format(title=title), markup=False)
        self.post_message(CatalogueChanged())
        if self._asked[0] == "learn":
            self.post_message(OpenLine("learn"))

    def _say_why(self, error: AtlasError) -> None:
        self.notify(self._desk.told(error), severity="error", markup=False, timeout=10)
