"""Rows of a form, rendered from what a calculator declares."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Input, Label

from atlas.calculators.declare import Choice, Number
from atlas.calculators.declare import Input as Declared
from atlas.errors import AtlasError
from atlas.ui import strings
from atlas.ui.steps import stepped, widened

FIELDS = "NumberInput, ChoiceField, Input"

# Up and down walk from row to row, as in any list: they must not change a reading on the way.
WALK: list[BindingType] = [
    Binding("up", "walk(-1)", strings.ROW_BEFORE, show=False, id="row.before",
            tooltip=strings.ROW_BEFORE_TIP),
    Binding("down", "walk(1)", strings.NEXT, show=False, id="row.next", tooltip=strings.NEXT_ROW),
]  # fmt: skip


def walk(screen: Screen[Any], step: int, fields_like: str = FIELDS) -> None:
    """Give the focus to the field so many rows on, if there is one."""
    fields = [field for field in screen.query(fields_like) if field.focusable]
    if screen.focused in fields:
        place = fields.index(screen.focused) + step
        if 0 <= place < len(fields):
            fields[place].focus()


class NumberInput(Input):
    """A reading that keys move, widen and narrow."""

    BINDINGS: ClassVar = [
        Binding("pageup", "step(1)", strings.MORE, show=False, id="form.up",
                tooltip=strings.UP_TIP),
        Binding("pagedown", "step(-1)", strings.LESS, show=False, id="form.down",
                tooltip=strings.DOWN_TIP),
        Binding("ctrl+up", "step(10)", strings.MORE, show=False, id="form.leap-up",
                tooltip=strings.LEAP_UP_TIP),
        Binding("ctrl+down", "step(-10)", strings.LESS, show=False, id="form.leap-down",
                tooltip=strings.LEAP_DOWN_TIP),
        Binding("shift+up", "widen(1)", strings.WIDER, show=False, id="form.wider",
                tooltip=strings.WIDER_TIP),
        Binding("shift+down", "widen(-1)", strings.NARROWER, show=False, id="form.narrower",
                tooltip=strings.NARROWER_TIP),
    ]  # fmt: skip

    def __init__(self, one: Number, value: str) -> None:
        super().__init__(value, compact=True)
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
    """One of a few named options, turned through with left and right or a click."""

    BINDINGS: ClassVar = [
        *WALK,
        Binding("left", "turn(-1)", strings.LESS, show=False, id="choice.before",
                tooltip=strings.TURN_TIP),
        Binding("right,space", "turn(1)", strings.MORE, show=False, id="choice.after",
                tooltip=strings.TURN_TIP),
        Binding("enter", "app.focus_next", strings.NEXT, show=False, id="choice.next",
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

    def action_walk(self, step: int) -> None:
        """To the row before or after."""
        walk(self.screen, step)

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

    BINDINGS: ClassVar = WALK

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
            yield Input(self._start, compact=True)

    @property
    def value(self) -> str:
        """What is entered."""
        field = self.query_one(FIELDS)
        return str(field.value)  # type: ignore[attr-defined]

    @value.setter
    def value(self, value: str) -> None:
        field = self.query_one(FIELDS)
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

    def action_walk(self, step: int) -> None:
        """To the row before or after."""
        walk(self.screen, step)

    def on_descendant_focus(self) -> None:
        """Say that this row is in use."""
        self.add_class("-used")
        self.post_message(self.Entered(self))

    def on_descendant_blur(self) -> None:
        """Say that it is not."""
        self.remove_class("-used")
