"""A calculator: readings in, results with ranges and a plot out, as one types."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.screen import Screen
from textual.widgets import Footer, Static

from atlas.calculators.declare import Calculator, Choice, Number, figures
from atlas.calculators.figure import Figure
from atlas.calculators.running import Outcome
from atlas.casework.marks import Marks, read_marks
from atlas.casework.photo_lengths import CALCULATOR as PHOTO_SCALE
from atlas.catalogue.visible import visible
from atlas.drawing.picture import Picture
from atlas.drawing.plot import overlay, plot
from atlas.errors import AtlasError
from atlas.ui import strings
from atlas.ui.desk import Desk, Preset
from atlas.ui.form import FIELDS, ChoiceField, Row
from atlas.ui.outcome_page import outcome_blocks, plain_text, result_words, write_here
from atlas.ui.pacing import Pacing
from atlas.ui.page import Block, Page
from atlas.ui.places import Attach, PhotoWanted, Place, WayBack
from atlas.ui.sketch_view import Drawing
from atlas.ui.steps import slider
from atlas.ui.top_bar import PaneTabs, TopBar, bring_to_front, stand_on
from atlas.ui.written import say_written


class FigureView(Drawing):
    """A calculator's plot, laid out anew for each size."""

    figure: reactive[Figure | None] = reactive(None, always_update=True)

    def fit(self, width: int, height: int) -> Picture | None:
        """Return the plot laid out for the room there is."""
        if self.figure is None:
            return None
        wanted = (id(self.figure), width, height)
        if getattr(self, "_fitted_for", None) != wanted:
            self._fitted = plot(self.figure, width, height)
            self._fitted_for = wanted
        return self._fitted


class CalculatorScreen(Screen[None]):
    """One calculator's form."""

    CSS_PATH = "calculator.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide"), (150, "-roomy")]  # noqa: RUF012
    BINDINGS: ClassVar = [
        Binding("f3", "pane('inputs')", strings.INPUTS, id="calc.inputs", show=False,
                tooltip=strings.INPUTS),
        Binding("f4", "pane('results')", strings.RESULTS, id="calc.results", show=False,
                tooltip=strings.RESULTS),
        Binding("f5", "pane('plot')", strings.PLOT, id="calc.plot", show=False,
                tooltip=strings.PLOT),
        Binding("f6,b", "hold", strings.COMPARE, id="calc.compare", tooltip=strings.COMPARE_TIP),
        Binding("y", "copy", strings.COPY, id="calc.copy", tooltip=strings.COPY_TIP),
        Binding("w", "write", strings.WRITE, id="calc.write", show=False,
                tooltip=strings.WRITE_TIP),
        Binding("a", "to_case", strings.ADD_TO_CASE, id="calc.case",
                tooltip=strings.ATTACH_TIP),
        Binding("u,ctrl+z", "undo", strings.UNDO, id="calc.undo", tooltip=strings.UNDO_TIP),
        Binding("p", "photo", strings.PHOTO_KEY, id="calc.photo",
                tooltip=strings.PHOTO_FORM_TIP),
        Binding("escape", "outward", strings.LEAVE, id="calc.out", show=False,
                tooltip=strings.OUTWARD_TIP),
    ]  # fmt: skip

    pane: reactive[str] = reactive("inputs")

    @dataclass
    class Computed(Message):
        """A run is done."""

        outcome: Outcome | None
        figure: Figure | None
        error: AtlasError | None

    @dataclass
    class PresetsRead(Message):
        """Presets of the patterns that use this calculator."""

        presets: tuple[Preset, ...]

    def __init__(
        self,
        desk: Desk,
        calculator: Calculator,
        given: Mapping[str, str] | None = None,
        preset: Preset | None = None,
        ascii_only: bool = False,
    ) -> None:
        super().__init__()
        self._desk = desk
        self.calculator = calculator
        defaults = {one.name: one.default for one in calculator.inputs}
        chosen = dict(preset.inputs) if preset is not None else {}
        self._given: dict[str, str] = {**defaults, **chosen, **(given or {})}
        self._preset = preset
        self._ascii = ascii_only
        self._presets: dict[str, Preset] = {}
        self._past: list[dict[str, str]] = []
        self._pacing = Pacing(self, self._recompute)
        self._outcome: Outcome | None = None
        self._held: Outcome | None = None
        self._held_figure: Figure | None = None
        self._figure: Figure | None = None
        self._error: AtlasError | None = None
        self._row: Row | None = None
        self._filling = False

    def compose(self) -> ComposeResult:
        """Rows on the left, plot and results on the right."""
        yield TopBar("calculators", self.calculator.title)
        yield PaneTabs({"inputs": strings.INPUTS, "results": strings.RESULTS, "plot": strings.PLOT})
        with Horizontal(id="work"):
            with Vertical(id="inputs", classes="pane"):
                if self._preset is not None:
                    names = {self._preset.name: self._preset.question, strings.DEFAULTS: ""}
                    yield ChoiceField(names, self._preset.name, id="preset")
                else:
                    yield ChoiceField({strings.DEFAULTS: ""}, strings.DEFAULTS, id="preset")
                with VerticalScroll(id="rows", can_focus=False):
                    for one in self.calculator.inputs:
                        yield Row(one, self._given[one.name])
                yield Static("", id="hint", markup=False)
            with Vertical(id="outcome"):
                view = FigureView(id="plot", ascii_only=self._ascii)
                view.add_class("pane")
                view.can_focus = True
                yield view
                yield Page(id="results", classes="pane")
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Run on what is there."""
        self.query_one("#inputs").border_title = Content(self.calculator.title)
        self.query_one("#plot").border_title = strings.PLOT
        self.query_one("#results").border_title = strings.RESULTS
        bring_to_front(self, "", "inputs")
        first = self.query(Row).first()
        first.query(FIELDS).first().focus()
        if self._preset is not None:
            self._presets[self._preset.name] = self._preset
        self._read_presets()
        self._pacing.now()

    def on_resize(self) -> None:
        """The slider is as wide as the pane, once that has its new width."""
        self.call_after_refresh(self._hint)

    # ------------------------------------------------------------------------------- presets
    @work(thread=True, group="presets")
    def _read_presets(self) -> None:
        self.post_message(self.PresetsRead(self._desk.presets(self.calculator.id)))

    @on(PresetsRead)
    def _offer(self, event: PresetsRead) -> None:
        field = self.query_one("#preset", ChoiceField)
        self._presets |= {preset.name: preset for preset in event.presets}
        questions = {name: preset.question for name, preset in self._presets.items()}
        field.options = {strings.DEFAULTS: "", **questions}
        field.refresh()

    @on(ChoiceField.Changed, "#preset")
    def _take_preset(self, event: ChoiceField.Changed) -> None:
        defaults = {one.name: one.default for one in self.calculator.inputs}
        preset = self._presets.get(event.value)
        self._preset = preset
        self._fill({**defaults, **(dict(preset.inputs) if preset else {})})
        self._hint_preset()

    def _fill(self, given: Mapping[str, str]) -> None:
        self._remember()
        self._given = dict(given)
        self._filling = True
        for row in self.query(Row):
            row.value = self._given[row.one.name]
        self._filling = False
        self._pacing.soon()

    def _remember(self) -> None:
        if not self._past or self._past[-1] != self._given:
            self._past.append(dict(self._given))
            del self._past[:-200]

    # ------------------------------------------------------------------------------- running
    @on(Row.Changed)
    def _changed(self, event: Row.Changed) -> None:
        if self._given.get(event.name) == event.value:
            return
        if not self._filling:
            self._remember()
        self._given[event.name] = event.value
        self._hint()
        self._pacing.soon()

    def _recompute(self) -> bool:
        self._run(dict(self._given))
        return True

    @work(thread=True, group="run")
    def _run(self, given: dict[str, str]) -> None:
        from atlas.calculators.running import SAMPLES, run
        from atlas.vehicles.readings import resolve

        try:
            values, subject = resolve(self.calculator, dict(given), self._desk.library)
            outcome = run(self.calculator, values, SAMPLES, 1, subject)
            self.post_message(self.Computed(outcome, outcome.figure, None))
        except AtlasError as error:
            self.post_message(self.Computed(None, None, error))

    @on(Computed)
    def _show(self, event: Computed) -> None:
        if not self._pacing.over():
            return
        self._error = event.error
        if event.outcome is not None:
            self._outcome, self._figure = event.outcome, event.figure
        self._render_outcome()

    def _render_outcome(self) -> None:
        page = self.query_one("#results", Page)
        for row in self.query(Row):
            row.set_class(self._error is not None and self._names(row.one.name), "-bad")
        blocks: list[Block] = []
        if self._error is not None:
            line = Content(visible(str(self._error)))
            blocks.append(Block(line, lead="! ", lead_style="bold $error"))
        if self._outcome is not None:
            note = self._figure.note if self._figure is not None else ""
            blocks += outcome_blocks(self._outcome, self._held, note)
        self.query_one("#inputs").border_subtitle = self._first_result()
        page.set_class(self._error is not None, "-stale")
        page.show(blocks, keep=True)
        view = self.query_one("#plot", FigureView)
        figure = self._figure
        if figure is not None and self._held_figure is not None:
            figure = overlay(figure, self._held_figure, strings.HELD_SHORT)
        view.figure = figure
        view.border_title = Content(visible(figure.title)) if figure else strings.PLOT
        self._hint()

    def _first_result(self) -> Content:
        """The first result in a line, for the foot of the rows where results are not in sight."""
        if self._error is not None:
            return Content.styled(f"! {visible(self._error.what, lines=False)}", "$error")
        if self._outcome is None or not self._outcome.results:
            return Content("")
        name, result = next(iter(self._outcome.results.items()))
        return Content(f"{name.replace('_', ' ')} {result_words(result)}")

    def _names(self, name: str) -> bool:
        return self._error is not None and name in (self._error.where, *self._error.where.split())

    # ---------------------------------------------------------------------------------- hint
    @on(Row.Entered)
    def _entered(self, event: Row.Entered) -> None:
        self._row = event.row
        self._hint()

    def _hint_preset(self) -> None:
        if self._preset is not None:
            self.query_one("#hint", Static).update(Content(visible(self._preset.question)))

    def _hint(self) -> None:
        row = self._row
        if row is None:
            return
        hint = self.query_one("#hint", Static)
        one = row.one
        lines: list[Content] = [Content(visible(one.help))]
        if isinstance(one, Number):
            width = max(12, hint.size.width - 2)
            lines.append(Content.styled(slider(row.value, one, width), "$accent"))
            unit = f" {one.unit}" if one.unit else ""
            span = f"{figures(one.low, 6)} to {figures(one.high, 6)}{unit}"
            lines.append(Content.styled(f"{span} · {strings.STEP_KEYS}", "$muted"))
        elif isinstance(one, Choice):
            lines.append(Content.styled(visible(one.options.get(row.value, "")), "$muted"))
        elif one.example:
            lines.append(Content.styled(f"{strings.EXAMPLE}{visible(one.example)}", "$muted"))
        if self._error is not None and self._names(one.name):
            lines.append(Content.styled(visible(str(self._error)), "bold $error"))
        hint.update(Content("\n").join(lines))

    # ------------------------------------------------------------------------------- actions
    def watch_pane(self, old: str, new: str) -> None:
        """Tell the style sheet which pane is in front."""
        if self.is_mounted:
            bring_to_front(self, old, new)

    def action_pane(self, pane: str) -> None:
        """Bring a pane to the front."""
        self.pane = pane
        target: Any = self.query_one(f"#{pane}")
        if pane == "inputs":
            row = self._row or self.query(Row).first()
            target = row.query(FIELDS).first()
        stand_on(self, target)

    def on_descendant_focus(self, event: Any) -> None:
        """The pane that has the focus is the one in front."""
        widget = event.widget
        self.pane = widget.id if widget.id in ("results", "plot") else "inputs"

    def action_outward(self) -> None:
        """From the rows to the results, where letters are keys; from there back."""
        if self.pane == "inputs":
            self.action_pane("results")
        else:
            self.post_message(WayBack())

    def action_hold(self) -> None:
        """Keep this run to compare the next ones with, or let it go."""
        if self._held is None and self._outcome is not None:
            self._held, self._held_figure = self._outcome, self._figure
            self.notify(strings.HOLDING, markup=False)
        else:
            self._held = self._held_figure = None
        self._render_outcome()

    def action_copy(self) -> None:
        """Send the results to the terminal's clipboard."""
        if self._outcome is not None:
            self.app.copy_to_clipboard(plain_text(self._outcome, self._given))
            self.notify(strings.SENT, markup=False)

    def action_write(self) -> None:
        """Write the results to a file of their own in the working folder."""
        if self._outcome is not None:
            text = plain_text(self._outcome, self._given)
            say_written(self, self._desk, lambda: write_here(self.calculator.id, ".txt", text))

    def action_to_case(self) -> None:
        """Attach this run to a case."""
        if self._error is not None:
            self.notify(visible(str(self._error)), severity="warning", markup=False)
        elif self._outcome is not None:
            preset = self._preset
            question = preset.question if preset else self.calculator.question
            about = preset.name if preset else ""
            self.post_message(Attach(self._outcome, dict(self._given), question, about))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only what is read off photos leads to one."""
        return action != "photo" or self.calculator.id == PHOTO_SCALE

    def action_photo(self) -> None:
        """Mark the points on the picture, beginning with those that were typed."""
        marks = Marks()
        if any(self._given[one.name] != one.default for one in self.calculator.inputs):
            try:
                marks = read_marks(self._given)
            except AtlasError as error:
                self.notify(visible(str(error)), severity="warning", markup=False)
                return
        self.post_message(PhotoWanted(marks))

    def action_undo(self) -> None:
        """Take the last change of the inputs back."""
        while self._past and self._past[-1] == self._given:
            self._past.pop()
        if self._past:
            given = self._past.pop()
            self._given = dict(given)
            self._filling = True
            for row in self.query(Row):
                row.value = given[row.one.name]
            self._filling = False
            self._pacing.soon()

    @property
    def place(self) -> Place:
        """Where one is, with what was entered."""
        return Place("calculator", self.calculator.id, inputs=tuple(self._given.items()))
