"""A draft on its page: decided on, written entry by entry, taken back, appended."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import on, work
from textual.binding import Binding
from textual.content import Content as Words
from textual.message import Message

from atlas.catalogue.checking import Fault
from atlas.catalogue.draft_faults import as_far_as_read, faults_of
from atlas.catalogue.draft_shape import misshapen
from atlas.catalogue.drafting import as_new, as_variant
from atlas.catalogue.drafts import Content, Drafts, undecided
from atlas.catalogue.visible import visible
from atlas.errors import AtlasError
from atlas.identify.likeness import Near
from atlas.ui import append_strings as words
from atlas.ui import strings
from atlas.ui.append_beside import Beside, Kept, OpenLine, ask, pattern_beside, titled_page
from atlas.ui.append_draft import THIN, WRONG, draft_blocks
from atlas.ui.append_forms import FIELDS, form, without
from atlas.ui.append_pages import decision_blocks, near_blocks
from atlas.ui.append_ways import append_form, same_form
from atlas.ui.desk import Desk
from atlas.ui.dialog import Dialog
from atlas.ui.page import Block, Page
from atlas.ui.places import CaseWanted


class DraftPage(Page):
    """Every change is kept at once; what is missing stands where it is missing."""

    BINDINGS: ClassVar = [
        Binding("f", "next_fault", words.NEXT_FAULT, id="draft.fault",
                tooltip=words.NEXT_FAULT_TIP),
        Binding("t", "text", words.TEXT, id="draft.text", tooltip=words.TEXT_TIP),
        Binding("e", "editor", words.EDITOR, id="draft.editor", show=False,
                tooltip=words.EDITOR_TIP),
        Binding("a", "append", words.APPEND, id="draft.append", tooltip=words.APPEND_TIP),
        Binding("delete,backspace,x", "remove", words.REMOVE, id="draft.remove",
                tooltip=words.REMOVE_TIP),
        Binding("u,ctrl+z", "undo", strings.UNDO, id="draft.undo", tooltip=strings.UNDO_TIP),
    ]  # fmt: skip

    @dataclass
    class Judged(Message):
        """What was worked out of a draft as it stood: slower faults, and the nearest patterns."""

        content: Content
        faults: list[Fault]
        matches: tuple[Near, ...]

    def __init__(self, desk: Desk, drafts: Drafts, *, id: str | None = None) -> None:
        super().__init__(id=id, classes="pane")
        self._desk, self._drafts = desk, drafts
        self.draft = ""  # name of the draft that is open
        self._content: Content | None = None
        self._revises = False
        self._past: list[Content] = []
        self._faults: list[Fault] = []
        self._matches: tuple[Near, ...] = ()

    def open(self, name: str) -> None:
        """Show a draft, decided or not; a file that is no TOML says where it breaks."""
        before = self._content if name == self.draft else None
        self.draft, self._content, self._faults, self._matches = name, None, [], ()
        try:
            content = self._drafts.read(name)
            self._revises = self._drafts.before(name) is not None
        except AtlasError as error:
            self._show_broken([self._desk.told(error)])
            return
        if content != before:  # what another wrote since is not taken back unseen
            self._past = []
        wrong = misshapen(content, name)
        if wrong:
            self._show_broken([visible(f"{one.field}: {one.what}") for one in wrong])
            return
        self._content = content
        self._show()
        self._judge(self._content)

    def _show_broken(self, why: Sequence[str]) -> None:
        """A draft that can only be mended as text."""
        self.border_title = titled_page(self.draft)
        self.refresh_bindings()
        lines = [Block(Words(one), lead="! ", lead_style="bold $error") for one in why]
        self.show([Block(Words(words.BROKEN)), *lines])

    def _show(self, at: str = "", keep: bool = False) -> None:
        content = self._content
        self.refresh_bindings()
        if content is None:
            return
        self.border_title = titled_page(str(content.get("title", self.draft)))
        if undecided(content):
            self.show(decision_blocks(content, self._matches, self._desk), at or None, keep=keep)
            return
        self.post_message(Beside(sketches=as_far_as_read(content).sketches))
        quick = faults_of(content, self._desk.catalogue)
        slow = [fault for fault in self._faults if fault not in quick]
        blocks = draft_blocks(content, [*quick, *slow], self._revises, self._desk)
        self.show(blocks, at or None, keep=keep)

    @work(thread=True, exclusive=True, group="judge")
    def _judge(self, content: Content) -> None:
        from atlas.calculators.presets import check_presets
        from atlas.identify.likeness import nearest

        matches = nearest(content, self._desk.finder())
        faults: list[Fault] = []
        if not undecided(content):
            faults = list(check_presets(as_far_as_read(content)))
        self.post_message(self.Judged(content, faults, matches))

    @on(Judged)
    def _judged(self, event: Judged) -> None:
        if event.content is not self._content:
            return
        self._faults, self._matches = event.faults, event.matches
        if undecided(event.content):
            self._show(f"near:{event.matches[0].pattern_id}" if event.matches else "fresh")
        else:
            self.post_message(Beside(near_blocks(event.matches, self._desk)))
            self._show(keep=True)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Before it is decided what the draft is, there is nothing to mend and to append."""
        if action in ("next_fault", "append", "remove"):
            return self._content is not None and not undecided(self._content)
        return True

    # -------------------------------------------------------------------------------- writing
    def _change(self, after: Content, at: str = "", undo: bool = False) -> None:
        """Keep a changed draft."""
        before = self._content
        if before is None:
            return
        now = self._drafts.change(self.draft, before, after)
        if not undo and now != before:
            self._past.append(before)
        self._content = now
        self.post_message(Kept())
        self._show(at, keep=not at)
        self._judge(now)

    def _tried(self, how: Callable[[Content], Content], at: str = "", undo: bool = False) -> None:
        if self._content is not None:
            try:
                self._change(how(self._content), at, undo)
            except AtlasError as error:
                self._say_why(error)

    def _say_why(self, error: AtlasError) -> None:
        self.notify(self._desk.told(error), severity="error", markup=False, timeout=10)

    @on(Page.Chosen)
    def _chosen(self, event: Page.Chosen) -> None:
        kind, _, rest = event.block.key.partition(":")
        field, _, at = rest.partition(":")
        if kind in ("edit", "add", WRONG, THIN):
            key = event.block.key if kind in ("edit", "add") else f"edit:{field}:{at}"
            self._edit(field, at, key)
        elif kind == "fresh":
            who, today = self._desk.who, self._desk.today()
            self._tried(lambda content: as_new(content, who, today), "edit:summary:")
        elif kind == "variant":
            who, today = self._desk.who, self._desk.today()
            origin = self._desk.catalogue.pattern(rest)
            self._tried(lambda one: as_variant(one, origin, who, today), "edit:look_alikes:0")
        elif kind == "same":
            self._same(rest)

    @on(Page.Moved)
    def _looked_at(self, event: Page.Moved) -> None:
        """On a choice, show the pattern that it is about; on a cue, its part of the sketch."""
        kind, _, name = event.block.key.partition(":")
        if kind in ("near", "same", "variant") and name in self._desk.catalogue.patterns:
            self.post_message(pattern_beside(self._desk, name))
        elif kind == "edit" and name.startswith("cues:") and self._content is not None:
            cues = as_far_as_read(self._content).cues
            place = int(name.removeprefix("cues:"))
            mark = cues[place].mark if place < len(cues) else ""
            self.post_message(Beside(lit=frozenset({mark} if mark else ())))

    def _edit(self, field: str, at: str, key: str) -> None:
        content = self._content
        if content is None or field not in FIELDS:
            return
        if field == "sketches" and at:
            self.action_text()
            return
        try:
            title, fields, apply = form(field, at, content, self._desk)
        except AtlasError as error:
            self._say_why(error)
            return
        asked: list[str] = []

        def act(values: dict[str, str]) -> None:
            after = apply(values)
            asked.extend(set(after.get("likelihoods", {})) - set(content.get("likelihoods", {})))
            self._change(after, key)

        def then(done: bool | None) -> None:
            if done and asked:  # a question was chosen; how likely its answers are comes next
                self._edit(field, asked[0], f"edit:{field}:{asked[0]}")

        self.app.push_screen(Dialog(title, fields, act, words.OK), then)

    def _same(self, pattern_id: str) -> None:
        """It is a pattern that there is: what was seen goes into a case."""
        content = self._content or {}
        if not content.get("provenance", {}).get("seen_in", ()):
            cues = [str(cue.get("see", "")) for cue in content.get("cues", ())]
            self.post_message(CaseWanted(pattern_id, cues[0] if cues else ""))
            return
        name = self.draft

        def then() -> None:
            try:
                with self._drafts.finishing(name, content):
                    pass  # it stays, where another has written on it meanwhile
            except AtlasError as error:
                self._say_why(error)
            self.notify(words.SAME_DONE, markup=False)
            self.post_message(OpenLine("cases"))

        title = words.SAME_TITLE.format(title=visible(self._desk.title(pattern_id)))
        try:
            way = same_form(self._desk, content, pattern_id)
        except AtlasError as error:
            self._say_why(error)
            return
        ask(self.screen, title, way, strings.ADD, then)

    # -------------------------------------------------------------------------------- actions
    def action_remove(self) -> None:
        """Take the entry under the cursor out."""
        kind, _, rest = (self.current.key if self.current else "").partition(":")
        field, _, at = rest.partition(":")
        if kind == "edit" and field not in ("title", "zone"):
            self._tried(lambda content: without(field, at, content))

    def action_undo(self) -> None:
        """Take the last change back."""
        if self._past:
            past, before = self._past[-1], self._content
            self._tried(lambda _: past, undo=True)
            if self._content is not before:  # else it was refused, and can be tried again
                self._past.pop()

    def action_next_fault(self) -> None:
        """Stand on the next field that is missing or wrong; once all is right, on what is thin."""
        for kind in (WRONG, THIN):
            marks = [i for i, block in enumerate(self.blocks) if block.key.startswith(f"{kind}:")]
            if marks:
                self.stand_at(next((i for i in marks if i > self.cursor), marks[0]))
                return

    def action_text(self) -> None:
        """The draft as the text of its file."""
        text = self._text()
        if text is not None:
            self._write_here(text)

    def _text(self) -> str | None:
        try:
            return self._drafts.text(self.draft)
        except AtlasError as error:
            self._say_why(error)
            return None

    def _write_here(self, text: str, now: str | None = None, note: str = "") -> None:
        """The draft's text on a screen; ``now`` is what was already made of it, and ``note`` why
        it is not taken over yet."""
        from atlas.ui.text_screen import TextScreen

        name = self.draft
        screen = TextScreen(
            f"{name}.toml", text, lambda one: self._drafts.rewrite(name, text, one), now, note
        )
        self.app.push_screen(screen, self._reread)

    def action_editor(self) -> None:
        """The draft in the editor that the user has chosen; within the application otherwise."""
        from atlas.ui.own_editor import edited

        text = self._text()
        if text is None:
            return
        made = edited(self.app, f"{self.draft}.toml", text)
        if made is None:
            self.notify(words.EDITOR_NONE, markup=False)
            self._write_here(text)
        elif made.text == text:
            if not made.whole:
                self.notify(words.EDITOR_FAILED, severity="warning", markup=False)
        elif not made.whole:
            self._write_here(text, made.text, words.EDITOR_LOOK)
        else:
            try:
                self._drafts.rewrite(self.draft, text, made.text)
            except AtlasError as error:  # what was written there is not lost
                self._write_here(text, made.text, self._desk.told(error))
            else:
                self._reread(True)

    def _reread(self, changed: bool | None) -> None:
        """Show what was written as text; it can be taken back like any other change."""
        before, past = self._content, self._past
        if changed:
            self.open(self.draft)
            if before is not None and before != self._content:
                self._past = [*past, before]

    def action_append(self) -> None:
        """Put the draft into the library."""
        content, name = self._content, self.draft
        if content is None or undecided(content):
            return
        title = visible(str(content.get("title", "")), lines=False)

        left: list[str] = []

        def then() -> None:
            for line in left:
                self.notify(line, title=words.NOT_IN_RETURN, severity="warning", markup=False)
            self.notify(words.APPENDED.format(title=title), markup=False, timeout=10)
            self.post_message(OpenLine(f"own:{content.get('id', name)}", catalogue_changed=True))

        try:
            if self._caught_up(name, content):
                return
            way = append_form(self._desk, self._drafts, name, content, left.append)
        except AtlasError as error:
            self._say_why(error)
            self.action_next_fault()
            return
        ask(self.screen, title, way, words.APPEND, then)

    def _caught_up(self, name: str, content: Content) -> bool:
        """Take over what others made of its pattern meanwhile; it is looked through again then."""
        from atlas.casework.catching_up import catch_up
        from atlas.catalogue.load import load

        now = load(self._drafts.library).patterns.get(name)
        caught = catch_up(self._drafts, name, content, now)
        if caught is None:
            return False
        self._reread(True)
        both = words.CAUGHT_BOTH.format(fields=", ".join(caught.both)) if caught.both else ""
        line = f"{words.CAUGHT} {both}".strip()
        self.notify(line, severity="warning", markup=False, timeout=20)
        return True
