"""The marks on a photo as rows: pixel positions, true places and names, each to be typed over."""

from dataclasses import dataclass
from typing import ClassVar

from msgspec.structs import replace
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.widgets import Input, Label

from atlas.casework.marks import Marks, ends, read_mark, read_place
from atlas.ui import photo_strings
from atlas.ui.form import WALK, ChoiceField, walk


@dataclass(frozen=True)
class Shown:
    """One row: its label, and what stands in its one or two fields; None where there is none."""

    label: str
    first: str
    second: str | None
    hint: str = ""


def rows_of(marks: Marks) -> tuple[Shown, ...]:
    """Rows of the marks: known points, ends of lengths, scatter and reference."""
    rows = [
        Shown(str(i), _position(one.mark.x, one.mark.y), ", ".join(f"{v:g}" for v in one.place),
              photo_strings.PLACE_HINT if marks.on == "plane" else photo_strings.PLACE_LINE_HINT)
        for i, one in enumerate(marks.known, 1)
    ]  # fmt: skip
    for i, one in enumerate(marks.wanted):
        start, end = ends(i)
        rows.append(
            Shown(start, _position(one.start.x, one.start.y), one.name, photo_strings.NAME_HINT)
        )
        if one.end is not None:
            rows.append(Shown(end, _position(one.end.x, one.end.y), None))
    rows.append(Shown("scatter", marks.scatter, None, f"{marks.assumed_scatter:.3g}"))
    rows.append(Shown("reference", marks.reference, None))
    return tuple(rows)


def _position(x: float, y: float) -> str:
    return f"{x:.1f}, {y:.1f}"


class MarkRow(Horizontal):
    """A label and its fields."""

    BINDINGS: ClassVar[list[BindingType]] = WALK

    def __init__(self, shown: Shown) -> None:
        super().__init__()
        self.shown = shown

    def compose(self) -> ComposeResult:
        """Label, position, place or name."""
        wide = len(self.shown.label) > 2
        words = photo_strings.MARK_ROWS.get(self.shown.label, self.shown.label)
        yield Label(Content(words), classes="row--name" if wide else "mark--label")
        yield Input(self.shown.first, placeholder=self.shown.hint if wide else "", compact=True,
                    classes="mark--first", select_on_focus=False)  # fmt: skip
        if self.shown.second is not None:
            yield Input(self.shown.second, placeholder=self.shown.hint, compact=True,
                        classes="mark--second", select_on_focus=False)  # fmt: skip
        elif not wide:
            yield Label("", classes="mark--second")
        plain = "mm" if self.shown.label.isdigit() else ""
        unit = photo_strings.MARK_UNITS.get(self.shown.label, plain)
        yield Label(Content(unit), classes="mark--unit")

    def on_descendant_blur(self) -> None:
        """Write what was typed as the other rows are written."""
        self.show(self.shown)

    def show(self, shown: Shown) -> None:
        """Put other values in, except where somebody is typing."""
        self.shown = shown
        for name, value in (("first", shown.first), ("second", shown.second)):
            for field in self.query(f"Input.mark--{name}").results(Input):
                if value is not None and not field.has_focus and field.value != value:
                    with field.prevent(Input.Changed):
                        field.value = value

    def action_walk(self, step: int) -> None:
        """To the row before or after, in the same column where it has one."""
        walk(self.screen, step, f"ChoiceField, Input.{self._column()}")

    def _column(self) -> str:
        focused = self.screen.focused
        second = focused is not None and focused.has_class("mark--second")
        return "mark--second" if second else "mark--first"


class MarkRows(VerticalScroll):
    """All rows; says what was typed, and where one stands."""

    marks: reactive[Marks] = reactive(Marks(), init=False)
    current: reactive[str] = reactive("", init=False)

    @dataclass
    class Typed(Message):
        """A field was typed in; ``second`` for place or name."""

        label: str
        value: str
        second: bool

    @dataclass
    class Turned(Message):
        """The surface was changed."""

        on: str

    @dataclass
    class Entered(Message):
        """A mark's field got the focus."""

        label: str

    def compose(self) -> ComposeResult:
        """The surface, then a row each."""
        with Horizontal(classes="mark--surface"):
            yield Label(Content(photo_strings.SURFACE), classes="row--name")
            yield ChoiceField(photo_strings.SURFACES, self.marks.on, id="surface")
        for shown in rows_of(self.marks):
            yield MarkRow(shown)

    async def watch_marks(self, marks: Marks) -> None:
        """Change what stands in the rows; make and take away rows only where their number does."""
        wanted = rows_of(marks)
        rows = list(self.query(MarkRow))
        same = [row.shown.label for row in rows] == [one.label for one in wanted] and all(
            (row.shown.second is None) == (one.second is None)
            for row, one in zip(rows, wanted, strict=True)
        )
        if not same:
            focus = self._focused()
            await self.recompose()
            self._refocus(focus)
        else:
            for row, one in zip(rows, wanted, strict=True):
                row.show(one)
            surface = self.query_one("#surface", ChoiceField)
            if surface.value != marks.on:
                with surface.prevent(ChoiceField.Changed):
                    surface.value = marks.on
        self._light()

    def watch_current(self) -> None:
        """Show which mark is meant."""
        self._light()

    def _light(self) -> None:
        for row in self.query(MarkRow):
            row.set_class(row.shown.label == self.current, "-used")
            if row.shown.label == self.current:
                row.scroll_visible(animate=False)

    def _focused(self) -> tuple[str, bool] | None:
        for row in self.query(MarkRow):
            if row.has_focus_within:
                focused = self.screen.focused
                return row.shown.label, focused is not None and focused.has_class("mark--second")
        return None

    def _refocus(self, focus: tuple[str, bool] | None) -> None:
        if focus is not None:
            self.enter(*focus)

    def enter(self, label: str, second: bool = False) -> None:
        """Give a field the focus."""
        for row in self.query(MarkRow):
            if row.shown.label == label:
                name = (
                    ".mark--second" if second and row.shown.second is not None else ".mark--first"
                )
                row.query(f"Input{name}").first(Input).focus()

    def refuse(self, label: str, bad: bool) -> None:
        """Mark a row as one that cannot be read, or no longer."""
        for row in self.query(MarkRow):
            row.set_class(bad and row.shown.label == label, "-bad")

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        row = _row_of(event.input)
        if row is None:
            return
        second = event.input.has_class("mark--second")
        if event.input.has_focus:
            self.post_message(self.Typed(row.shown.label, event.value, second))

    @on(Input.Submitted)
    def _done(self, event: Input.Submitted) -> None:
        event.stop()
        row = _row_of(event.input)
        if row is not None:
            row.action_walk(1)

    @on(ChoiceField.Changed, "#surface")
    def _turned(self, event: ChoiceField.Changed) -> None:
        event.stop()
        self.post_message(self.Turned(event.value))

    def on_descendant_focus(self) -> None:
        """Say which mark's field has the focus."""
        focus = self._focused()
        if focus is not None and len(focus[0]) <= 2:
            self.post_message(self.Entered(focus[0]))


def _row_of(field: Input) -> MarkRow | None:
    """The row of a field; none where it was taken away while its message was on the way."""
    return next((one for one in field.ancestors if isinstance(one, MarkRow)), None)


def as_typed(marks: Marks, typed: MarkRows.Typed) -> Marks:
    """The marks with what was typed in one field.

    Raises:
        BadInput: it cannot be read.
    """
    label, text = typed.label, typed.value
    if label == "scatter":
        return replace(marks, scatter=text.strip())
    if label == "reference":
        return replace(marks, reference=text.strip())
    if not typed.second:
        return marks.moved(label, read_mark(text, f"mark {label}"))
    if label.isdigit():
        return marks.placed(label, read_place(text, marks.on, f"mark {label}"))
    return marks.named((ord(label) - ord("A")) // 2, text)
