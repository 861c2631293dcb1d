"""A pattern of the library under review: what it changes, what was said of it, what can be done."""

import time
from dataclasses import dataclass
from datetime import date
from typing import ClassVar

import msgspec
from textual import on, work
from textual.binding import Binding
from textual.content import Content as Words
from textual.message import Message
from textual.worker import get_current_worker

from atlas.catalogue.drafts import Drafts
from atlas.catalogue.visible import visible
from atlas.errors import AtlasError
from atlas.ui import append_strings as words
from atlas.ui import strings
from atlas.ui.append_beside import Beside, OpenLine, ask, pattern_beside, titled_page
from atlas.ui.append_pages import review_blocks
from atlas.ui.append_reading import Standing, standing_of
from atlas.ui.append_ways import accept_form, comment_form, replace_form
from atlas.ui.desk import Desk
from atlas.ui.page import Block, Page

_PASSING = 0.03  # seconds that the cursor stands on a line before what it means is read


class OwnPage(Page):
    """Shows how a pattern stands, and takes comments, acceptance and replacement."""

    BINDINGS: ClassVar = [
        Binding("y", "accept", words.ACCEPT, id="own.accept", tooltip=words.ACCEPT_TIP),
        Binding("c", "comment", words.COMMENT, id="own.comment", tooltip=words.COMMENT_TIP),
        Binding("w", "work", words.WORK, id="own.work", tooltip=words.DO_WORK_TIP),
        Binding("r", "replace", words.REPLACE_DO, id="own.replace", tooltip=words.DO_REPLACE_TIP),
    ]

    def __init__(self, desk: Desk, drafts: Drafts, *, id: str | None = None) -> None:
        super().__init__(id=id, classes="pane")
        self._desk, self._drafts = desk, drafts
        self._wanted = ""
        self._standing: Standing | None = None

    @dataclass
    class Stood(Message):
        """How a pattern stands was read, or why it cannot be."""

        name: str
        found: Standing | AtlasError

    def open(self, name: str) -> None:
        """Show a pattern of the library; until it is read, no key does anything to another."""
        self._wanted, self._standing = name, None
        self._read(name)

    @work(thread=True, exclusive=True, group="standing")
    def _read(self, name: str) -> None:
        worker = get_current_worker()
        time.sleep(_PASSING)
        if worker.is_cancelled:  # the cursor went on through the list
            return
        try:
            found: Standing | AtlasError = standing_of(self._drafts.library, name)
        except AtlasError as error:
            found = error
        if not worker.is_cancelled:
            self.post_message(self.Stood(name, found))

    @on(Stood)
    def _show_standing(self, event: Stood) -> None:
        name, found = event.name, event.found
        if name != self._wanted:
            return
        if isinstance(found, AtlasError):
            self.show([Block(Words(self._desk.told(found)), lead="! ", lead_style="bold $error")])
            return
        self._standing = found
        self.border_title = titled_page(found.pattern.title)
        self.show(review_blocks(
            found.pattern, found.against, found.changes, found.faults, found.comments
        ))  # fmt: skip
        shown = pattern_beside(self._desk, name) if name in self._desk.catalogue.patterns else None
        self.post_message(shown or Beside((), found.pattern.sketches))

    @on(Page.Chosen)
    def _chosen(self, event: Page.Chosen) -> None:
        acts = {"accept": self.action_accept, "comment": self.action_comment,
                "work": self.action_work, "replace": self.action_replace}  # fmt: skip
        if event.block.key in acts:
            acts[event.block.key]()

    def action_accept(self) -> None:
        """Accept it, as another person than its author."""
        found = self._standing
        if found is None or found.pattern.provenance.status != "draft":
            return
        try:
            way = accept_form(self._desk, self._drafts.library, found.pattern, found.faults)
        except AtlasError as error:
            self.notify(self._desk.told(error), severity="error", markup=False, timeout=10)
            return

        def then() -> None:
            self.notify(
                words.ACCEPTED.format(title=visible(found.pattern.title, lines=False)), markup=False
            )
            self.post_message(OpenLine(f"own:{found.pattern.id}", catalogue_changed=True))

        ask(self.screen, found.pattern.title, way, words.ACCEPT, then)

    def action_comment(self) -> None:
        """Say what should change."""
        if self._standing is not None:
            name = self._standing.pattern.id
            way = comment_form(self._desk, self._drafts.library, name)
            ask(self.screen, words.COMMENT, way, strings.ADD, lambda: self.open(name))

    def action_work(self) -> None:
        """Take it into work again."""
        if self._standing is None:
            return
        pattern = self._standing.pattern
        if pattern.id in self._drafts.names():  # somebody has it in work
            self.post_message(OpenLine(f"draft:{pattern.id}"))
            return
        try:
            name = self._drafts.begin(msgspec.to_builtins(pattern, builtin_types=(date,)), pattern)
        except AtlasError as error:
            self.notify(self._desk.told(error), severity="error", markup=False, timeout=10)
            return
        self.post_message(OpenLine(f"draft:{name}"))

    def action_replace(self) -> None:
        """Let another pattern replace it."""
        if self._standing is None:
            return
        old = self._standing.pattern

        def then() -> None:
            title = visible(old.title, lines=False)
            self.notify(words.REPLACED.format(old=title), markup=False)
            self.post_message(OpenLine(f"own:{old.id}", catalogue_changed=True))

        way = replace_form(self._desk, self._drafts.library, old.id)
        ask(self.screen, words.DO_REPLACE, way, words.REPLACE_DO, then)
