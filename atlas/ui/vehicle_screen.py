"""A vehicle's front structure under a load: drawn, picked apart, with and without patterns."""

from typing import Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.reactive import reactive
from textual.screen import Screen
from textual.widgets import Footer
from textual.worker import get_current_worker

from atlas.catalogue.visible import visible
from atlas.drawing.structure_shape import Shown
from atlas.drawing.structure_views import turned_to
from atlas.ui import strings, vehicle_strings
from atlas.ui.desk import Desk
from atlas.ui.form import ChoiceField
from atlas.ui.page import Block, Page
from atlas.ui.places import Go, Place, WayBack
from atlas.ui.structure_view import StructureKey, StructureView
from atlas.ui.top_bar import PaneTabs, TopBar, bring_to_front, stand_on
from atlas.ui.vehicle_files import write_page, write_sheet
from atlas.ui.vehicle_pages import (
    load_blocks,
    member_blocks,
    members_of,
    pattern_about,
    worth_blocks,
)
from atlas.ui.vehicle_study import Asked, Failed, Priced, Setting, Solved, study
from atlas.ui.written import say_written
from atlas.vehicles.figures import Bought
from atlas.vehicles.framing import frame_of, patterns_of
from atlas.vehicles.loads import load_cases
from atlas.vehicles.model import Vehicle

PANES = {
    "drawing": vehicle_strings.STRUCTURE_PANE,
    "load": vehicle_strings.LOAD,
    "member": vehicle_strings.MEMBER,
    "patterns": vehicle_strings.PATTERNS,
}


class VehicleScreen(Screen[None]):
    """One vehicle.

    Args:
        desk: catalogue and library.
        vehicle: as loaded.
        given: load, without, member, view, moved, as a place keeps them.
        ascii_only: draw with ASCII characters only.
    """

    CSS_PATH = "vehicle.tcss"
    HORIZONTAL_BREAKPOINTS = [  # noqa: RUF012
        (0, "-narrow"), (100, "-middle"), (120, "-wide"), (150, "-roomy"), (180, "-vast"),
    ]  # fmt: skip
    BINDINGS: ClassVar = [
        Binding("f3,1", "pane('drawing')", vehicle_strings.STRUCTURE_PANE, id="vehicle.drawing",
                show=False, tooltip=vehicle_strings.STRUCTURE_PANE),
        Binding("f4,2", "pane('load')", vehicle_strings.LOAD, id="vehicle.load", show=False,
                tooltip=strings.RESULTS),
        Binding("f5,3", "pane('member')", vehicle_strings.MEMBER, id="vehicle.member", show=False,
                tooltip=vehicle_strings.MEMBER),
        Binding("f6,4", "pane('patterns')", vehicle_strings.PATTERNS, id="vehicle.patterns",
                show=False, tooltip=vehicle_strings.PATTERNS_TIP),
        Binding("l", "load(1)", vehicle_strings.LOAD, id="vehicle.next-load",
                tooltip=vehicle_strings.LOAD_TIP),
        Binding("L", "load(-1)", vehicle_strings.LOAD, id="vehicle.load-before", show=False,
                tooltip=vehicle_strings.LOAD_BEFORE_TIP),
        Binding("v", "turn", vehicle_strings.TURN_VIEW, id="vehicle.view",
                tooltip=vehicle_strings.TURN_VIEW_TIP),
        Binding("d", "moved", vehicle_strings.MOVED, id="vehicle.moved",
                tooltip=vehicle_strings.MOVED_TIP),
        Binding("o", "open", vehicle_strings.OPEN_PATTERN, id="vehicle.open",
                tooltip=vehicle_strings.OPEN_PATTERN_TIP),
        Binding("u,ctrl+z", "undo", strings.UNDO, id="vehicle.undo", tooltip=strings.UNDO_TIP),
        Binding("b", "put_back", vehicle_strings.PUT_BACK, id="vehicle.back", show=False,
                tooltip=vehicle_strings.PUT_BACK_TIP),
        Binding("w", "write", strings.WRITE, id="vehicle.write", show=False,
                tooltip=vehicle_strings.WRITE_SHEET_TIP),
        Binding("r", "report", strings.REPORT, id="vehicle.report", show=False,
                tooltip=vehicle_strings.VEHICLE_REPORT_TIP),
        Binding("escape", "outward", strings.LEAVE, id="vehicle.out", show=False,
                tooltip=strings.OUTWARD_TIP),
    ]  # fmt: skip

    pane: reactive[str] = reactive("drawing")

    def __init__(
        self,
        desk: Desk,
        vehicle: Vehicle,
        given: dict[str, str] | None = None,
        ascii_only: bool = False,
    ) -> None:
        super().__init__()
        self._desk, self._ascii = desk, ascii_only
        self.vehicle = vehicle
        self._cases = load_cases()
        setting = Setting.of(given or {}, vehicle, self._cases)
        self._asked = Asked(setting.load, setting.without)
        self._member, self._pattern = setting.member, ""
        self._moved = setting.moved
        self._views = turned_to(setting.view)
        self._past: list[tuple[str, ...]] = []
        self._solved: Solved | None = None
        self._shape: tuple[object, Shown] | None = None  # worked out once for a solution
        self._drawn: Solved | None = None  # the nominal answer, which the drawing shows
        self._rows: dict[str, dict[str, Bought]] = {}  # load case -> pattern -> what it buys
        self._whole = frame_of(vehicle)

    def compose(self) -> ComposeResult:
        """Drawing on the left, facts on the right; the style sheet decides which are seen."""
        yield TopBar("vehicles", visible(self.vehicle.title, lines=False))
        yield PaneTabs(PANES, self.pane)
        with Horizontal(id="work"):
            with Vertical(id="drawings"):
                yield self._view(0)
                with Horizontal(id="lower"):
                    yield self._view(1)
                    yield self._view(2)
                yield StructureKey(id="key", ascii_only=self._ascii)
            with Vertical(id="facts"):
                with Vertical(id="load", classes="pane"):
                    titles = {case.title: "" for case in self._cases.values()}
                    yield ChoiceField(titles, self._cases[self._asked.load].title, id="case-choice")
                    yield Page(id="results")
                yield Page(id="member", classes="pane")
                yield Page(id="patterns", classes="pane")
        yield Footer(show_command_palette=False)

    def _view(self, number: int) -> StructureView:
        view = StructureView(self._views[number], id=f"view-{number + 1}", ascii_only=self._ascii)
        view.add_class("pane")
        return view

    def on_mount(self) -> None:
        """Draw at once, solve behind it."""
        for name in ("load", "member", "patterns"):
            self.query_one(f"#{name}").border_title = PANES[name]
        self.query_one("#patterns").border_subtitle = vehicle_strings.TOGGLE_HINT
        bring_to_front(self, "", "drawing")
        self.query_one("#view-1").focus()
        self._show_all()
        self._solve(self._asked)

    def _ask(self, load: str, without: tuple[str, ...]) -> None:
        asked = Asked(load, without)
        if asked != self._asked:
            self._asked = asked
            self._solve(asked)

    @work(thread=True, exclusive=True, group="study")
    def _solve(self, asked: Asked) -> None:
        worker = get_current_worker()
        rows = self._rows.get(asked.load, {})
        price = any(name not in rows for name in patterns_of(self.vehicle))
        case = self._cases[asked.load]
        for step in study(self.vehicle, case, asked, price, lambda: worker.is_cancelled):
            self.post_message(step)

    @on(Solved)
    def _show_solved(self, event: Solved) -> None:
        if event.asked != self._asked:
            return
        fresh = self._solved is None or self._solved.asked != event.asked
        self._solved = event
        if not event.samples:  # what is drawn need not change when the ranges arrive
            self._drawn = event
            self._show_drawing()
        self._show_load(keep=not fresh)
        self._show_choice()

    @on(Priced)
    def _show_row(self, event: Priced) -> None:
        self._rows.setdefault(event.load, {})[event.row.pattern] = event.row
        if event.load == self._asked.load:
            self._show_patterns()
            if event.row.pattern == self._pattern:
                self._show_choice()

    @on(Failed)
    def _say_why(self, event: Failed) -> None:
        if event.asked == self._asked:
            self._solved = self._drawn = None
            self._show_all()
            line = Content(visible(str(event.error)))
            block = Block(line, lead="! ", lead_style="bold $error")
            self.query_one("#results", Page).show([block])

    def _show_all(self) -> None:
        self._show_drawing()
        self._show_load()
        self._show_choice()
        self._show_patterns()

    @property
    def shown(self) -> Shown:
        """What the drawings show."""
        key = (self._drawn, self._moved)
        if self._shape is None or self._shape[0] != key:
            framed = self._drawn.framed if self._drawn is not None else self._whole
            carried = self._drawn.carried if self._drawn is not None else None
            made = Shown(framed, carried, self._whole, deformed=self._moved)
            self._shape = (key, made)
        return self._shape[1].choosing(self._lit)

    @property
    def _lit(self) -> frozenset[str]:
        one = (self._member,) if self._member else ()
        return frozenset(one or members_of(self.vehicle, self._pattern))

    def _show_drawing(self) -> None:
        shown = self.shown
        for view in self.query(StructureView):
            view.shown = shown
        self.query_one(StructureKey).shown = shown

    def _show_load(self, keep: bool = True) -> None:
        page = self.query_one("#results", Page)
        page.show(load_blocks(self._solved, self._desk.title), keep=keep)

    def _show_choice(self) -> None:
        """The member or the pattern that is chosen."""
        page = self.query_one("#member", Page)
        solved = self._solved
        page.border_title = vehicle_strings.MEMBER if not self._pattern else strings.PAGE
        if solved is None or not (self._member or self._pattern):
            page.show([Block(Content(vehicle_strings.NO_MEMBER))])
        elif self._member:
            page.show(member_blocks(solved, self._member, self._desk.title))
        else:
            row = self._rows.get(self._asked.load, {}).get(self._pattern)
            page.show(pattern_about(solved, self._pattern, row, self._desk), keep=True)

    def _show_patterns(self) -> None:
        page = self.query_one("#patterns", Page)
        # Whoever stands on a pattern stays there while the table is filled and put in order.
        at = f"pattern:{self._pattern}" if self._pattern else None
        rows = self._rows.get(self._asked.load, {})
        case = self._cases[self._asked.load].title
        patterns = patterns_of(self.vehicle)
        blocks = worth_blocks(patterns, rows, self._asked.without, self._desk.title, case)
        page.show(blocks, at, keep=at is not None)

    @on(StructureView.Picked)
    def _picked(self, event: StructureView.Picked) -> None:
        self.choose_member(event.member)

    def choose_member(self, name: str) -> None:
        """Bring a member out and say what it is."""
        self._member, self._pattern = name, ""
        self._show_drawing()
        self._show_choice()

    @on(Page.Moved, "#patterns")
    def _passed(self, event: Page.Moved) -> None:
        kind, _, name = event.block.key.partition(":")
        if kind == "pattern" and event.by_user:
            self._member, self._pattern = "", name
            self._show_drawing()
            self._show_choice()

    @on(Page.Chosen, "#patterns")
    def _toggled(self, event: Page.Chosen) -> None:
        kind, _, name = event.block.key.partition(":")
        if kind == "pattern":
            self._member, self._pattern = "", name
            self.toggle(name)

    def toggle(self, name: str) -> None:
        """Take a pattern away, or put it back."""
        without = self._asked.without
        if name in without:
            without = tuple(one for one in without if one != name)
        else:
            without = (*without, name)
        self._remember()
        self._take(without)

    def _remember(self) -> None:
        self._past.append(self._asked.without)
        del self._past[:-200]

    def _take(self, without: tuple[str, ...]) -> None:
        self._ask(self._asked.load, without)
        self._show_patterns()
        self._show_choice()

    @on(Page.Chosen, "#results")
    @on(Page.Chosen, "#member")
    def _followed(self, event: Page.Chosen) -> None:
        kind, _, name = event.block.key.partition(":")
        if kind == "member":
            self.choose_member(name)
        elif kind == "pattern":
            self.post_message(Go(Place("find", name)))

    @on(ChoiceField.Changed, "#case-choice")
    def _case_chosen(self, event: ChoiceField.Changed) -> None:
        load = next(name for name, case in self._cases.items() if case.title == event.value)
        self._ask(load, self._asked.without)
        self._show_patterns()

    def watch_pane(self, old: str, new: str) -> None:
        """Tell the style sheet which pane is in front."""
        if self.is_mounted:
            bring_to_front(self, old, new)

    def action_pane(self, pane: str) -> None:
        """Bring a pane to the front and stand on it."""
        self.pane = pane
        targets = {"drawing": "#view-1", "load": "#results"}
        stand_on(self, self.query_one(targets.get(pane, f"#{pane}")))

    def on_descendant_focus(self, event: Any) -> None:
        """The pane that has the focus is the one in front."""
        name = event.widget.id or ""
        if name.startswith("view-"):
            self.pane = "drawing"
        elif name in ("results", "case-choice"):
            self.pane = "load"
        elif name in PANES:
            self.pane = name

    def action_load(self, step: int) -> None:
        """Another load case."""
        self.query_one("#case-choice", ChoiceField).action_turn(step)

    def action_turn(self) -> None:
        """Another view large."""
        self._views = (*self._views[1:], self._views[0])
        for view, name in zip(self.query(StructureView), self._views, strict=True):
            view.view = name

    def action_moved(self) -> None:
        """Moved shape or as built."""
        self._moved = not self._moved
        self._show_drawing()

    def action_open(self) -> None:
        """Open the page of the chosen pattern, or of the chosen member's first one."""
        patterns = self.vehicle.members[self._member].patterns if self._member else ()
        name = self._pattern or next(iter(patterns), "")
        if name:
            self.post_message(Go(Place("find", name)))

    def action_undo(self) -> None:
        """Take the last taking-away back."""
        if self._past:
            self._take(self._past.pop())

    def action_put_back(self) -> None:
        """Put everything back."""
        if self._asked.without:
            self._remember()
            self._take(())

    def action_write(self) -> None:
        """Write the large view as a sheet of its own."""
        say_written(self, self._desk, lambda: write_sheet(self.shown, self._views[0]))

    @work(thread=True, exclusive=True, group="report")
    def action_report(self) -> None:
        """Write the vehicle under this load case as a page to the working folder."""
        shown, asked = self.shown, self._asked
        cases = self._cases.values()
        say_written(self, self._desk, lambda: write_page(shown, asked, cases, self._desk))

    def action_outward(self) -> None:
        """From the facts to the drawing, from there back."""
        if self.pane != "drawing":
            self.action_pane("drawing")
        elif self._member or self._pattern:
            self._member = self._pattern = ""
            self._show_drawing()
            self._show_choice()
        else:
            self.post_message(WayBack())

    @property
    def place(self) -> Place:
        """Where one is, with what was set."""
        asked = self._asked
        setting = Setting(asked.load, asked.without, self._member, self._views[0], self._moved)
        return Place("vehicle", self.vehicle.id, inputs=setting.inputs)
