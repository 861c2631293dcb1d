"""Study: a path through a zone, practice cue by cue, and how it goes."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.screen import Screen
from textual.widgets import Footer

from atlas.catalogue.visible import visible
from atlas.errors import AtlasError
from atlas.study.items import Item
from atlas.study.overview import Overview, overview
from atlas.study.practice import Study, matching
from atlas.study.reasons import Reasons, reasons
from atlas.study.sitting import Sitting
from atlas.ui import strings, study_strings
from atlas.ui.desk import Desk
from atlas.ui.page import Block, Page
from atlas.ui.places import Go, Place, SumWanted, WayBack
from atlas.ui.searching import Refused
from atlas.ui.sketch_view import SketchView
from atlas.ui.study_answer import AnswerPane
from atlas.ui.study_pages import card_of, list_blocks
from atlas.ui.top_bar import PaneTabs, TopBar, bring_to_front, stand_on, titled
from atlas.ui.written import say_written

PANES = ("list", "card", "answer", "sketch")


class StudyScreen(Screen[None]):
    """Zones on the left, a card in the middle, the answer or the sketch on the right.

    Args:
        desk: catalogue, library, search and narrowing.
        zone: zone to stand on; all where empty.
        doing: what to go on with there: ``practise``, ``path`` or nothing.
        ascii_only: draw with ASCII characters only.
    """

    CSS_PATH = "study.tcss"
    HORIZONTAL_BREAKPOINTS = [  # noqa: RUF012
        (0, "-narrow"), (100, "-middle"), (120, "-wide"), (150, "-roomy")
    ]  # fmt: skip
    BINDINGS: ClassVar = [
        Binding("space", "more", study_strings.GO_ON, id="study.more",
                tooltip=study_strings.MORE_TIP),
        Binding("a", "answer", study_strings.ANSWER, id="study.answer",
                tooltip=study_strings.ANSWER_TIP),
        Binding("r", "report", strings.REPORT, id="study.report",
                tooltip=study_strings.REPORT_TIP),
        Binding("f3,1", "pane('list')", strings.ZONES, id="study.list", show=False,
                tooltip=strings.ZONES),
        Binding("f4,2", "pane('card')", study_strings.PANES["card"], id="study.card", show=False,
                tooltip=study_strings.PANES["card"]),
        Binding("f5,3", "pane('answer')", study_strings.ANSWER, id="study.to-answer", show=False,
                tooltip=study_strings.ANSWER_TIP),
        Binding("f6,4", "pane('sketch')", strings.SKETCH, id="study.sketch", show=False,
                tooltip=strings.SKETCH),
        Binding("escape", "outward", strings.LEAVE, id="study.out", show=False,
                tooltip=strings.OUTWARD_TIP),
    ]  # fmt: skip

    pane: reactive[str] = reactive("list")

    @dataclass
    class Loaded(Message):
        """Everything to practise was collected."""

        sitting: Sitting
        overview: Overview

    @dataclass
    class Reasoned(Message):
        """The reasons of an answer are worked out."""

        item: str
        why: Reasons

    def __init__(
        self, desk: Desk, zone: str = "", doing: str = "", ascii_only: bool = False
    ) -> None:
        super().__init__()
        self._desk, self._zone, self._start, self._ascii = desk, zone, doing, ascii_only
        self._sitting: Sitting | None = None
        self._overview: Overview | None = None

    def compose(self) -> ComposeResult:
        """Zones, card, and what is beside it."""
        yield TopBar("study")
        yield PaneTabs(study_strings.PANES)
        with Horizontal(id="work"):
            yield titled(Page(id="list"), strings.STUDY)
            yield titled(Page(id="card"), study_strings.PANES["card"])
            with Vertical(id="right"):
                yield titled(AnswerPane(id="answer"), study_strings.ANSWER)
                yield titled(SketchView(id="sketch", ascii_only=self._ascii), strings.SKETCH)
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Collect in a thread: every pattern, vehicle and settled case is looked at."""
        bring_to_front(self, "", "list")
        page = self.query_one("#list", Page)
        page.show([Block(Content(study_strings.READING))])
        page.focus()
        self._load()

    @work(thread=True, exclusive=True, group="load")
    def _load(self) -> None:
        assert self._desk.library is not None
        try:
            study = Study(self._desk.catalogue, self._desk.library, self._desk.who or "me")
            sitting = Sitting(study, self._zone if self._zone in study.paths else "")
            found = overview(study, sitting.progress, self._desk.today())
        except AtlasError as error:
            self.post_message(Refused(self._desk.told(error)))
            return
        self.post_message(self.Loaded(sitting, found))

    @on(Refused)
    def _say_why(self, event: Refused) -> None:
        block = Block(Content(visible(event.why)), lead="! ", lead_style="bold $error")
        self.query_one("#list" if self._sitting is None else "#card", Page).show([block])

    @on(Loaded)
    def _begin(self, event: Loaded) -> None:
        self._sitting, self._overview = event.sitting, event.overview
        title = study_strings.OF.format(who=visible(event.overview.who))
        self.query_one("#list", Page).border_title = Content(title)
        for problem in event.sitting.study.problems:
            self.notify(self._desk.told(problem), severity="warning", markup=False)
        self._list_anew()
        if self._start == "practise":
            self._practise()
        elif self._start == "path":
            self._read()

    # ---------------------------------------------------------------------------------- zones
    def _list_anew(self) -> None:
        sitting = self._sitting
        if sitting is not None:
            self._overview = overview(sitting.study, sitting.progress, self._desk.today())
            page = self.query_one("#list", Page)
            page.show(list_blocks(self._overview), f"zone:{sitting.zone}")

    @on(Page.Moved, "#list")
    def _passed(self, event: Page.Moved) -> None:
        kind, _, name = event.block.key.partition(":")
        if kind != "zone" or self._sitting is None:
            return
        if event.by_user or not self._sitting.doing:
            self._rest(name)

    def _rest(self, zone: str) -> None:
        if self._sitting is not None and self._done(lambda sitting: sitting.rest(zone)):
            self._show_card()

    @on(Page.Chosen, "#list")
    def _picked(self) -> None:
        if self._sitting is not None and not self._sitting.doing:
            keys = {block.key for block in self.query_one("#card", Page).blocks}
            self._show_card("practise" if "practise" in keys else "path")
        self.action_pane("card")

    # ----------------------------------------------------------------------------------- card
    def _done(self, act: Callable[[Sitting], object]) -> bool:
        """Do a step; where it is refused, say why and leave the card as it is."""
        if self._sitting is None:
            return False
        try:
            act(self._sitting)
        except AtlasError as error:
            self.notify(self._desk.told(error), severity="error", markup=False)
            return False
        return True

    def _show_card(self, at: str = "", why: Reasons | None = None, keep: bool = False) -> None:
        """Show what lies on the table; the style sheet decides what is seen beside it."""
        sitting, found = self._sitting, self._overview
        if sitting is None or found is None:
            return
        showing = sitting.doing in ("answered", "reading", "stepped")
        self.set_class(sitting.doing == "asking", "-asking")
        self.set_class(showing, "-showing")
        self.query_one("#sketch", SketchView).show(sitting.pattern.sketches if showing else ())
        title, note, blocks = card_of(sitting, found, self._desk.today(), why)
        page = self.query_one("#card", Page)
        page.border_title, page.border_subtitle = Content(title), Content(note)
        page.show(blocks, at or None, keep=keep)

    def _practise(self) -> None:
        """The next item, as far as it was uncovered before."""
        sitting = self._sitting
        if sitting is None or not self._done(lambda one: one.practise(self._desk.today())):
            return
        if sitting.item is not None:
            study, names = sitting.study, sitting.study.choices(sitting.item.zone)
            self.query_one(AnswerPane).offer(
                lambda typed: matching(typed, names, study.catalogue),
                study.catalogue.patterns.called,
            )
        self._show_card("more")
        self.action_pane("card")

    def _next_cue(self) -> None:
        if self._sitting is not None and self._done(lambda one: one.next_cue()):
            whole = self._sitting.item and self._sitting.shown >= len(self._sitting.item.cues)
            self._show_card("answer" if whole else "more")

    @on(AnswerPane.Given)
    def _answered(self, event: AnswerPane.Given) -> None:
        sitting = self._sitting
        if sitting is None or sitting.item is None or sitting.doing != "asking":
            return
        day = self._desk.today()
        if self._done(lambda one: one.answer(event.said, event.sure, day)):
            self._list_anew()
            self._show_card("next")
            self.action_pane("card")
            self._reason(sitting.study, sitting.item, event.said)

    @work(thread=True, exclusive=True, group="reasons")
    def _reason(self, study: Study, item: Item, said: str) -> None:
        try:
            why = reasons(item, said, study.catalogue, study.library, self._desk.finder(),
                          self._desk.narrowing())  # fmt: skip
        except AtlasError as error:
            self.post_message(Refused(self._desk.told(error)))
            return
        self.post_message(self.Reasoned(item.id, why))

    @on(Reasoned)
    def _show_reasons(self, event: Reasoned) -> None:
        sitting = self._sitting
        if sitting is None or sitting.doing != "answered" or sitting.item is None:
            return
        if sitting.item.id == event.item:  # else the learner went on before they were worked out
            here = self.query_one("#card", Page).current
            self._show_card(here.key if here else "", why=event.why, keep=True)

    def _read(self) -> None:
        """The next pattern of the zone's path."""
        if self._done(lambda one: one.read()):
            self._show_card()
            self.action_pane("card")

    def _question(self) -> None:
        if self._sitting is not None and self._done(lambda one: one.ask(self._desk.today())):
            asked = self._sitting.question
            self._show_card(f"option:{asked.options[0]}" if asked else "on")

    def _choose(self, said: str) -> None:
        if self._sitting is not None and self._done(
            lambda one: one.choose(said, self._desk.today())
        ):
            if self._sitting.doing == "stepped":
                self._list_anew()
                self._show_card("on")
            else:
                self._show_card(keep=True)

    @on(Page.Chosen, "#card")
    def _followed(self, event: Page.Chosen) -> None:
        kind, _, name = event.block.key.partition(":")
        acts = {
            "practise": self._practise, "path": self._read, "more": self._next_cue,
            "answer": self.action_answer, "next": self._practise, "question": self._question,
            "on": self._read,
        }  # fmt: skip
        if kind in acts:
            acts[kind]()
        elif kind == "option":
            self._choose(name)
        elif kind == "pattern":
            self.post_message(Go(Place("find", name)))
        elif kind == "sum" and self._sitting is not None and self._sitting.item is not None:
            self.post_message(SumWanted(self._sitting.item.pattern, int(name)))

    @on(Page.Moved, "#card")
    def _lit(self, event: Page.Moved) -> None:
        """Show the part of the sketch that a cue means, or the look-alike's own sketch."""
        if self._sitting is None or not self.has_class("-showing"):
            return
        kind, _, name = event.block.key.partition(":")
        known = self._sitting.study.catalogue.patterns
        shown = known[name] if kind == "pattern" and name in known else self._sitting.pattern
        sketch = self.query_one("#sketch", SketchView)
        sketch.show(shown.sketches)
        sketch.light(event.block.marks)

    # -------------------------------------------------------------------------------- actions
    def watch_pane(self, old: str, new: str) -> None:
        """Tell the style sheet which pane is in front."""
        if self.is_mounted:
            bring_to_front(self, old, new)

    def on_descendant_focus(self, event: Any) -> None:
        """The pane that has the focus is the one in front."""
        for widget in (event.widget, *event.widget.ancestors):
            if getattr(widget, "id", None) in PANES:
                self.pane = widget.id
                return

    def action_pane(self, pane: str) -> None:
        """Bring a pane to the front and stand on it, if there is anything in it now."""
        if pane == "answer":
            self.action_answer()
        elif pane != "sketch" or self.has_class("-showing"):
            self.pane = pane
            stand_on(self, self.query_one(f"#{pane}"))

    def action_more(self) -> None:
        """Go on: next cue, next item, question, next pattern."""
        doing = self._sitting.doing if self._sitting is not None else "questioned"
        acts = {
            "asking": self._next_cue, "answered": self._practise, "reading": self._question,
            "stepped": self._read, "": self._practise,
        }  # fmt: skip
        if doing in acts:
            acts[doing]()

    def action_answer(self) -> None:
        """Go where the answer is given."""
        if self.has_class("-asking"):
            self.pane = "answer"
            stand_on(self, self.query_one("#guess"))

    def action_outward(self) -> None:
        """From the probability to the name, to the card, to the zones, and back."""
        if self.focused is not None and self.focused.id == "sure":
            self.action_answer()
        elif self.pane in ("answer", "sketch"):
            self.action_pane("card")
        elif self.pane == "card" and self._sitting is not None:
            self._list_anew()
            self._rest(self._sitting.zone)
            self.action_pane("list")
        else:
            self.post_message(WayBack())

    def action_report(self) -> None:
        """Write the progress as a page beside the record of it."""
        sitting = self._sitting
        if sitting is None:
            return
        from atlas.catalogue.writing import write_durably
        from atlas.reports.study import study_report

        path = sitting.study.learner.path.with_suffix(".html")
        day, progress = self._desk.today(), sitting.progress

        def write() -> Path:
            write_durably(path, study_report(sitting.study, progress, day, "html"))
            return path

        say_written(self, self._desk, write)

    @property
    def place(self) -> Place:
        """Where one is, and what one was doing there."""
        doing = self._sitting.doing if self._sitting is not None else ""
        zone = self._sitting.zone if self._sitting is not None else self._zone
        begun = {"": "", "asking": "practise", "answered": "practise"}
        return Place("study", zone, begun.get(doing, "path"))
