"""A short form over the page: a few fields, do it or leave it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.suggester import Suggester, SuggestFromList
from textual.widgets import Button, Input, Label, Static

from atlas.errors import AtlasError
from atlas.ui import strings
from atlas.ui.form import FIELDS, WALK, ChoiceField, walk
from atlas.ui.steady import Steady, SteadyArea

Values = dict[str, str]


@dataclass(frozen=True)
class Field:
    """One thing to fill in.

    Args:
        name: key of its value.
        label: what it asks.
        value: what stands there at first.
        options: option -> what it means, where it is a choice.
        suggestions: completions to offer while typing.
        hint: what to write, shown while it is empty.
        files: complete it as the path of a file.
        long: several lines of text.
    """

    name: str
    label: str
    value: str = ""
    options: Mapping[str, str] | None = None
    suggestions: tuple[str, ...] = ()
    hint: str = ""
    files: bool = False
    long: bool = False


def _suggester(field: Field) -> Suggester | None:
    if field.files:
        from atlas.ui.file_names import Files

        return Files()
    if field.suggestions:
        return SuggestFromList(field.suggestions, case_sensitive=False)
    return None


class Dialog(ModalScreen[bool]):
    """Asks for the fields and hands them to ``act``; stays open while ``act`` refuses them."""

    CSS_PATH = "dialog.tcss"
    BINDINGS: ClassVar = [
        *WALK,
        Binding("escape", "escape", strings.LEAVE, id="dialog.leave", tooltip=strings.LEAVE_TIP),
        Binding("ctrl+g", "do", strings.DO, id="dialog.do", tooltip=strings.DO_TIP),
    ]

    def __init__(
        self, title: str, fields: tuple[Field, ...], act: Callable[[Values], None], do: str
    ) -> None:
        super().__init__()
        self._title, self._fields, self._act, self._do = title, fields, act, do
        self._begun: Values = {}
        self._warned: Values = {}  # what stood there when escape was first pressed

    def compose(self) -> ComposeResult:
        """Fields under each other, then the two ways out."""
        with Vertical(id="dialog"):
            yield Label(Content(self._title), id="dialog--title")
            with VerticalScroll(can_focus=False):
                for field in self._fields:
                    yield Label(Content(field.label), classes="dialog--label")
                    if field.options is not None:
                        yield ChoiceField(
                            field.options, field.value or next(iter(field.options)),
                            id=f"field-{field.name}",
                        )  # fmt: skip
                        if any(field.options.values()):
                            yield Static("", id=f"meaning-{field.name}", markup=False,
                                         classes="dialog--meaning")  # fmt: skip
                    elif field.long:
                        yield SteadyArea(
                            field.value, placeholder=field.hint, compact=True,
                            id=f"field-{field.name}",
                        )  # fmt: skip
                    else:
                        yield Input(
                            field.value, placeholder=field.hint, compact=True,
                            id=f"field-{field.name}",
                            suggester=_suggester(field), highlighter=Steady(),
                        )  # fmt: skip
            yield Static("", id="dialog--error", markup=False)
            with Horizontal(id="dialog--ways"):
                yield Button(self._do, id="do", variant="primary", compact=True)
                yield Button(strings.CANCEL, id="cancel", compact=True)

    @property
    def values(self) -> Values:
        """What is filled in."""
        found = {}
        for field in self._fields:
            widget: Any = self.query_one(f"#field-{field.name}")
            found[field.name] = str(widget.text if field.long else widget.value)
        return found

    def on_mount(self) -> None:
        """Say what the options mean that stand there at first."""
        self._begun = self.values
        for choice in self.query(ChoiceField):
            self._explain(choice)

    @on(ChoiceField.Changed)
    def _turned(self, event: ChoiceField.Changed) -> None:
        self._explain(event.field)

    def _explain(self, choice: ChoiceField) -> None:
        meaning = choice.options.get(choice.value, "")
        for line in self.query(f"#{choice.id}".replace("field-", "meaning-")).results(Static):
            line.update(Content(meaning))

    @on(Input.Submitted)
    def _next(self, event: Input.Submitted) -> None:
        names = [f"field-{field.name}" for field in self._fields]
        if event.input.id == names[-1]:
            self.action_do()
        else:
            self.focus_next()

    @on(Button.Pressed, "#do")
    def action_do(self) -> None:
        """Do it, as far as what is filled in allows."""
        try:
            self._act(self.values)
        except AtlasError as error:
            self.query_one("#dialog--error", Static).update(Content(str(error)))
            return
        self.dismiss(True)

    def action_walk(self, step: int) -> None:
        """To the field before or after, as in any list."""
        walk(self, step, f"{FIELDS}, TextArea")

    def action_escape(self) -> None:
        """Close; what was filled in is not dropped by one stray key."""
        values = self.values
        if values != self._begun and values != self._warned:
            self._warned = values
            self.query_one("#dialog--error", Static).update(Content(strings.DROP_FIRST))
        else:
            self.action_leave()

    @on(Button.Pressed, "#cancel")
    def action_leave(self) -> None:
        """Close and change nothing."""
        self.dismiss(False)
