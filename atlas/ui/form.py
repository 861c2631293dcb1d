"""Rows of a form, rendered from what a calculator declares."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget
from textual.widgets import Input, Label

from atlas.calculators.declare import Choice, Number
from atlas.calculators.declare import Input as Declared
from atlas.errors import AtlasError
from atlas.ui import strings
from atlas.ui.steps import stepped, widened


class NumberInput(Input):
    """A reading that the arrow keys move."""

    BINDINGS: ClassVar = [
        Binding("up", "step(1)", strings.MORE, show=False, id="form.up", tooltip=strings.STEP_TIP),
        Binding("down", "step(-1)", strings.LESS, show=False, id="form.down",
                tooltip=strings.STEP_TIP),
        Binding("pageup", "step(10)", strings.MORE, show=False, id="form.leap-up",
                tooltip=strings.LEAP_TIP),
        Binding("pagedown", "step(-10)", strings.LESS, show=False, id="form.leap-down",
                tooltip=strings.LEAP_TIP),
        Binding("shift+up", "widen(1)", strings.WIDER, show=False, id="form.wider",
                tooltip=strings.WIDER_TIP),
        Binding("shift+down", "widen(-1)", strings.NARROWER, show=False, id="form.narrower",
                tooltip=strings.NARROWER_TIP),
    ]  # fmt: skip

    def __init__(self, one: Number, value: str) -> None:
        super().__init__(value, compact=True, select_on_focus=False)
        self._one = one

    def action_step(self, steps: int) -> None:
        """Move the reading."""
        self._change(lambda text: stepped(text, self._one, steps))

    def action_widen(self, steps: int) -> None:
        """Widen or narrow its range."""
        self._change(lambda text: widened(text, self._one, steps))

    def _change(self, how) -> None:  # type: ignore[no-untyped-def]
        try:
            self.value = how(self.value)
        except AtlasError:
            self.app.bell()  # what is typed is no reading yet; the form says so
            return
        self.cursor_position = len(self.value)


class ChoiceField(Widget, can_focus=True):
    """One of a few named options, turned through with the arrow keys or a click."""

    BINDINGS: ClassVar = [
        Binding("left,up", "turn(-1)", strings.LESS, show=False, id="choice.before",
                tooltip=strings.TURN_TIP),
        Binding("right,down,space", "turn(1)", strings.MORE, show=False, id="choice.after",
                tooltip=strings.TURN_TIP),
        Binding("enter", "screen.focus_next", strings.NEXT, show=False, id="choice.next",
                tooltip=strings.NEXT_ROW),
    ]  # fmt: skip

    value: reactive[str] = reactive("", layout=True)

    @dataclass
    class Changed(Message):
        """Another option was chosen."""

        field: "ChoiceField"
        value: str

        @property
        def control(self) -> "ChoiceField":
            """The field."""
            return self.field

    def __init__(self, options: Mapping[str, str], value: str, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.options = dict(options)
        self.set_reactive(ChoiceField.value, value)

    def render(self) -> Content:
        """Return the option with arrows that say there are others."""
        return Content.assemble(("◂ ", "$accent"), self.value, (" ▸", "$accent"))

    def watch_value(self, old: str, new: str) -> None:
        """Tell."""
        if old != new:
            self.post_message(self.Changed(self, new))

    def action_turn(self, step: int) -> None:
        """Next or previous option."""
        names = list(self.options)
        place = names.index(self.value) if self.value in names else -step
        self.value = names[(place + step) % len(names)]

    def on_click(self, event: events.Click) -> None:
        """Turn forward, or back on the left arrow."""
        self.action_turn(-1 if event.x < 2 else 1)


class Row(Horizontal):
    """One declared input: its name, a field, its unit."""

    @dataclass
    class Changed(Message):
        """What is entered changed."""

        name: str
        value: str

    @dataclass
    class Entered(Message):
        """The field got the focus."""

        row: "Row"

    def __init__(self, one: Declared, value: str) -> None:
        super().__init__()
        self.one = one
        self._start = value

    def compose(self) -> ComposeResult:
        """Name, field, unit."""
        yield Label(Content(self.one.name), classes="row--name")
        if isinstance(self.one, Number):
            yield NumberInput(self.one, self._start)
            yield Label(Content(self.one.unit), classes="row--unit")
        elif isinstance(self.one, Choice):
            yield ChoiceField(self.one.options, self._start)
        else:
            yield Input(self._start, compact=True, select_on_focus=False)

    @property
    def value(self) -> str:
        """What is entered."""
        field = self.query_one("NumberInput, ChoiceField, Input")
        return str(field.value)  # type: ignore[attr-defined]

    @value.setter
    def value(self, value: str) -> None:
        field = self.query_one("NumberInput, ChoiceField, Input")
        field.value = value  # type: ignore[attr-defined]

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        self.post_message(self.Changed(self.one.name, event.value))

    @on(Input.Submitted)
    def _done(self, event: Input.Submitted) -> None:
        event.stop()
        self.screen.focus_next()

    @on(ChoiceField.Changed)
    def _turned(self, event: ChoiceField.Changed) -> None:
        event.stop()
        self.post_message(self.Changed(self.one.name, event.value))

    def on_descendant_focus(self) -> None:
        """Say that this row is in use."""
        self.add_class("-used")
        self.post_message(self.Entered(self))

    def on_descendant_blur(self) -> None:
        """Say that it is not."""
        self.remove_class("-used")
