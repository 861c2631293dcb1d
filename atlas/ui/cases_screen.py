"""Cases: what was seen, suspected and computed, and what the teardown showed."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.screen import Screen
from textual.widgets import Footer
from textual.worker import get_current_worker

from atlas.casework.cases import Cases
from atlas.casework.conflicts import open_fields
from atlas.casework.model import Case
from atlas.catalogue.visible import in_one_line, visible
from atlas.errors import AtlasError
from atlas.ui import case_strings, strings
from atlas.ui.case_forms import ask_form, note_form, settle_form, suspect_form
from atlas.ui.case_page import case_blocks
from atlas.ui.case_photos import open_photo, photo_faults, photo_key
from atlas.ui.desk import Desk
from atlas.ui.dialog import Dialog, Field, Values
from atlas.ui.page import Block, Page
from atlas.ui.places import Go, Place, RunAgain, WayBack
from atlas.ui.top_bar import PaneTabs, TopBar, bring_to_front, stand_on
from atlas.ui.written import say_written

_LOOK_SECONDS = 2.0  # between looks at whether somebody else wrote
_SHOWN = 200  # cases at a time: a page of ten thousand would take seconds to lay out


class CasesScreen(Screen[None]):
    """All cases on the left, one of them on the right."""

    CSS_PATH = "cases.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]  # noqa: RUF012
    BINDINGS: ClassVar = [
        Binding("n", "new", case_strings.NEW, id="cases.new", tooltip=case_strings.NEW_TIP),
        Binding("e", "note", case_strings.NOTE, id="cases.note", tooltip=case_strings.NOTE_TIP),
        Binding("s", "suspect", case_strings.SUSPECT, id="cases.suspect",
                tooltip=case_strings.SUSPECT_TIP),
        Binding("o", "ask", case_strings.ASK, id="cases.ask", tooltip=case_strings.ASK_TIP),
        Binding("x", "settle", case_strings.SETTLE_KEY, id="cases.settle",
                tooltip=case_strings.SETTLE_TIP),
        Binding("u,ctrl+z", "undo", strings.UNDO, id="cases.undo", tooltip=strings.UNDO_TIP),
        Binding("p", "photo", strings.PHOTO_KEY, id="cases.photo",
                tooltip=case_strings.PHOTO_KEY_TIP),
        Binding("c", "conflicts", case_strings.CONFLICTS, id="cases.conflicts", show=False,
                tooltip=case_strings.CONFLICTS_TIP),
        Binding("r", "report", strings.REPORT, id="cases.report", tooltip=case_strings.REPORT_TIP),
        Binding("a", "draft", strings.APPEND, id="cases.append", tooltip=case_strings.DRAFT_TIP),
        Binding("f3,1", "pane('list')", strings.CASES, id="cases.list", show=False,
                tooltip=strings.CASES_TIP),
        Binding("f4,2", "pane('case')", strings.CASE, id="cases.case", show=False,
                tooltip=strings.CASE),
        Binding("escape", "outward", strings.LEAVE, id="cases.out", show=False,
                tooltip=strings.OUTWARD_TIP),
    ]  # fmt: skip

    pane: reactive[str] = reactive("list")

    @dataclass
    class PhotosSeen(Message):
        """The photos of a case were looked at; what is wrong with them by SHA-256."""

        case: Case
        faults: dict[str, str]

    def __init__(self, desk: Desk, case_id: str = "") -> None:
        super().__init__()
        self._desk = desk
        self._case_id = case_id
        self._case: Case | None = None
        self._faults: dict[str, str] = {}
        self._shown = _SHOWN
        self._seen: tuple[int, ...] = ()

    @property
    def cases(self) -> Cases:
        """The library's cases."""
        assert self._desk.cases is not None
        return self._desk.cases

    def compose(self) -> ComposeResult:
        """List and case."""
        yield TopBar("cases")
        yield PaneTabs({"list": strings.CASES, "case": strings.CASE})
        with Horizontal(id="work"):
            for name, title in (("list", strings.CASES), ("case", strings.CASE)):
                page = Page(id=name, classes="pane")
                page.border_title = title
                yield page
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Show what there is."""
        bring_to_front(self, "", "list")
        self.show_list()
        self.query_one("#list" if not self._case_id else "#case").focus()
        self.set_interval(_LOOK_SECONDS, self._look_again)

    def show_list(self, at: int | None = None) -> None:
        """Read the cases anew, and stand on one, counted from the latest; name the unreadable."""
        page = self.query_one("#list", Page)
        self._seen = self._stamp()
        try:
            rows, problems = self.cases.rows()
        except AtlasError as error:
            page.show([Block(Content(visible(str(error))), lead="! ")])
            return
        blocks = [Block(Content.styled(case_strings.NEW_CASE, "bold"), "item", "new", "+ ")]
        waiting = sum(len(row.in_dispute) for row in rows)
        waiting += len(open_fields(self.cases.library)[0])
        if waiting:
            told = Content.styled(
                case_strings.CONFLICTS_WAIT.format(count=waiting), "bold $warning"
            )
            blocks.append(Block(told, "item", "conflicts", "! "))
        places = [i for i, row in enumerate(rows) if row.id == self._case_id]
        self._shown = max([self._shown, *(i + 1 for i in places)])
        for row in rows[: self._shown]:
            settled = "■ " if row.status == "settled" else "□ "
            mark = "! " if row.in_dispute else settled
            state = (
                case_strings.IN_DISPUTE_LIST if row.in_dispute else case_strings.STATES[row.status]
            )
            about = (row.vehicle, row.opened[:10], state)
            meta = " · ".join(in_one_line(part) for part in about if part)
            words = Content.assemble((in_one_line(row.title), "bold"), (f"\n{meta}", "$muted"))
            blocks.append(Block(words, "item", f"case:{row.id}", mark))
        if len(rows) > self._shown:
            more = case_strings.OLDER_CASES.format(count=f"{len(rows) - self._shown:,}")
            blocks.append(Block(Content(more), "item", "older", "… "))
        blocks += [
            Block(Content.styled(self._desk.told(problem), "$warning"), lead="! ")
            for problem in problems
        ]
        name = rows[at].id if at is not None and at < len(rows) else self._case_id
        page.show(blocks, f"case:{name}" if name else None)
        if self._case_id:
            self.open(self._case_id)

    def _look_again(self) -> None:
        """Show what others wrote meanwhile, in a folder that several work in."""
        if self.is_current and self._stamp() != self._seen:
            self.show_list()

    def _stamp(self) -> tuple[int, ...]:
        found: list[int] = []
        for path in (self.cases.library.cases, self.cases.library.root / "conflicts"):
            try:
                found.append(path.stat().st_mtime_ns)  # every record comes in by a renaming
            except OSError:
                found.append(0)
        return tuple(found)

    def open(self, name: str) -> None:
        """Show a case."""
        page = self.query_one("#case", Page)
        try:
            self._case = self.cases.get(name)
        except AtlasError as error:
            self._case = None
            page.show([Block(Content(visible(str(error))), lead="! ", lead_style="bold $error")])
            return
        same = self._case_id == name
        self._case_id = name
        page.border_title = Content(in_one_line(self._case.head.title))
        page.border_subtitle = Content(name)
        if not same:
            self._faults = {}
        page.show(case_blocks(self._case, self._desk.title, self._faults), keep=same)
        if any(one.path for one in self._case.evidence.values()):
            self._look_at_photos(self._case)

    @work(thread=True, exclusive=True, group="photos")
    def _look_at_photos(self, case: Case) -> None:
        faults = photo_faults(case, self.cases.library)
        if not get_current_worker().is_cancelled:
            self.post_message(self.PhotosSeen(case, faults))

    @on(PhotosSeen)
    def _name_faults(self, event: PhotosSeen) -> None:
        if self._case is event.case and event.faults != self._faults:
            self._faults = event.faults
            blocks = case_blocks(event.case, self._desk.title, event.faults)
            self.query_one("#case", Page).show(blocks, keep=True)

    @on(Page.Moved, "#list")
    def _passed(self, event: Page.Moved) -> None:
        kind, _, name = event.block.key.partition(":")
        if kind == "case" and (self._case is None or self._case.id != name):
            self.open(name)

    @on(Page.Chosen, "#list")
    def _picked(self, event: Page.Chosen) -> None:
        kind, _, _name = event.block.key.partition(":")
        if kind == "new":
            self.action_new()
        elif kind == "conflicts":
            self.action_conflicts()
        elif kind == "older":
            first_older = self._shown
            self._shown += _SHOWN
            self.show_list(first_older)
        else:
            self.action_pane("case")

    @on(Page.Chosen, "#case")
    def _followed(self, event: Page.Chosen) -> None:
        kind, _, name = event.block.key.partition(":")
        if kind == "pattern":
            self.post_message(Go(Place("find", name)))
        elif kind == "conflicts":
            self.action_conflicts(self._case_id)
        elif kind == "calculation" and self._case is not None:
            record = self._case.calculation[int(name)]
            if record.photo:
                self.action_photo()
            else:
                self.post_message(RunAgain(record))
        elif kind == "evidence":
            self.action_photo()

    # -------------------------------------------------------------------------------- actions
    def watch_pane(self, old: str, new: str) -> None:
        """Tell the style sheet which pane is in front."""
        if self.is_mounted:
            bring_to_front(self, old, new)

    def on_descendant_focus(self, event: Any) -> None:
        """The pane that has the focus is the one in front."""
        if event.widget.id in ("list", "case"):
            self.pane = event.widget.id

    def action_pane(self, pane: str) -> None:
        """Bring a pane to the front."""
        self.pane = pane
        stand_on(self, self.query_one(f"#{pane}"))

    def action_outward(self) -> None:
        """From the case to the list, from there back."""
        if self.pane == "case":
            self.action_pane("list")
        else:
            self.post_message(WayBack())

    def action_new(self) -> None:
        """Open a new case."""

        def act(values: Values) -> None:
            case = self.cases.new(
                values["title"], vehicle=values["vehicle"], place=values["place"],
                date=values["date"],
            )  # fmt: skip
            self._case_id = case.id

        fields = (
            Field("title", case_strings.CASE_TITLE, hint=strings.CASE_TITLE_HINT),
            Field("vehicle", strings.VEHICLE),
            Field("place", case_strings.PLACE),
            Field("date", case_strings.DATE, hint=case_strings.DATE_HINT),
        )
        self._ask(case_strings.NEW_CASE, fields, act, strings.OPEN)

    def action_note(self) -> None:
        """Add a piece of evidence."""
        if self._case is not None:
            fields, act = note_form(self.cases, self._case)
            self._ask(case_strings.NOTE, fields, act, strings.ADD)

    def action_suspect(self) -> None:
        """State how likely a pattern is."""
        if self._case is not None:
            fields, act = suspect_form(self._desk, self.cases, self._case)
            self._ask(case_strings.SUSPECT, fields, act, strings.ADD)

    def action_ask(self) -> None:
        """Note an open question."""
        if self._case is not None:
            fields, act = ask_form(self.cases, self._case)
            self._ask(case_strings.ASK, fields, act, strings.ADD)

    def action_settle(self) -> None:
        """Record what the teardown showed."""
        if self._case is not None:
            fields, act = settle_form(self._desk, self.cases, self._case)
            self._ask(case_strings.SETTLE_KEY, fields, act, strings.ADD)

    def action_undo(self) -> None:
        """Take the last change of the case back; it stays in the history."""
        if self._case is None:
            return
        try:
            self.cases.undo(self._case.id, self._case.revision)
        except AtlasError as error:
            self.notify(str(error), severity="warning", markup=False)
        self.show_list()

    def action_conflicts(self, first: str = "") -> None:
        """What waits for a choice, side by side; the given case's first."""
        from atlas.ui.conflicts_screen import ConflictsScreen

        def done(changed: bool | None) -> None:
            if changed:
                self.show_list()

        self.app.push_screen(ConflictsScreen(self.cases, self._desk.title, first), done)

    def action_photo(self) -> None:
        """Measure on the photo under the cursor, else on the case's last."""
        if self._case is None:
            return
        block = self.query_one("#case", Page).current
        key = photo_key(self._case, block.key if block is not None else "")
        if key is None:
            self.notify(case_strings.PHOTO_NONE, severity="warning", markup=False)
        else:
            open_photo(self, self._desk, self._case, key, self.show_list)

    def action_draft(self) -> None:
        """Draft a pattern from a structure of the case."""
        if self._case is not None:
            self.post_message(Go(Place("append", f"case:{self._case.id}")))

    def action_report(self) -> None:
        """Write the case's report next to the cases."""
        if self._case is None:
            return
        from atlas.catalogue.writing import write_durably
        from atlas.reports.case import case_report

        case, path = self._case, self.cases.path(self._case.id).with_suffix(".html")

        def write() -> Path:
            content = case_report(case, self._desk.catalogue, "html", self._desk.library)
            write_durably(path, content)
            return path

        say_written(self, self._desk, write)

    def _ask(self, title: str, fields: tuple[Field, ...], act: Any, do: str) -> None:
        def done(changed: bool | None) -> None:
            if changed:
                self.show_list()

        self.app.push_screen(Dialog(title, fields, act, do), done)

    @property
    def place(self) -> Place:
        """Where one is."""
        return Place("cases", self._case_id)
