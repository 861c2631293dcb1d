"""Where an answer is given: type part of a name, choose, say how sure."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.widgets import Input, Label, Static

from atlas.catalogue.visible import visible
from atlas.errors import AtlasError
from atlas.study.practice import stated
from atlas.ui import strings, study_strings
from atlas.ui.page import Block, Page

_STEP = 0.05
_START = 0.5


class AnswerPane(Vertical):
    """Posts Given once a pattern and a probability are there; a pass needs no probability."""

    BINDINGS: ClassVar = [
        Binding("up", "step(-1)", strings.LESS, id="answer.up", show=False, tooltip=strings.LESS),
        Binding("down", "step(1)", strings.MORE, id="answer.down", show=False,
                tooltip=strings.MORE),
        Binding("ctrl+g", "give", study_strings.ANSWER, id="answer.give",
                tooltip=study_strings.GIVE_TIP),
    ]  # fmt: skip

    @dataclass
    class Given(Message):
        """What it was said to be and how surely; nothing said is a pass."""

        said: str
        sure: float | None

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._find: Callable[[str], tuple[str, ...]] = lambda typed: ()
        self._title: Callable[[str], str] = str
        self._said = ""

    def compose(self) -> ComposeResult:
        """Name, what fits it, probability, and why it was refused."""
        yield Label(study_strings.GUESS, classes="answer--label")
        yield Input(placeholder=study_strings.GUESS_HINT, compact=True, id="guess")
        yield Page(id="choices")
        yield Label(study_strings.SURE, classes="answer--label")
        yield Input(placeholder=study_strings.SURE_HINT, compact=True, id="sure")
        yield Static("", id="refusal", markup=False)

    def offer(
        self, find: Callable[[str], tuple[str, ...]], title: Callable[[str], str]
    ) -> None:  # fmt: skip
        """Begin a new answer.

        Args:
            find: ids of the patterns that fit what is typed, best first.
            title: title of a pattern.
        """
        self._find, self._title, self._said = find, title, ""
        for name in ("guess", "sure"):
            self.query_one(f"#{name}", Input).value = ""
        self._refuse("")
        self._show()

    # ------------------------------------------------------------------------------- choosing
    def _show(self) -> None:
        found = self._find(self.query_one("#guess", Input).value)
        blocks = [
            Block(Content(visible(self._title(name), lines=False)), "item", f"pattern:{name}", "· ")
            for name in found
        ]
        if not found:
            blocks.append(Block(Content.styled(study_strings.NO_FIT, "$muted")))
        blocks.append(Block(Content.styled(study_strings.PASS, "$muted"), "item", "pass", "– "))
        self.query_one("#choices", Page).show(blocks)

    @on(Input.Changed, "#guess")
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        if self._said and event.value == self._title(self._said):
            return  # it was put there by choosing
        self._said = ""
        self._show()

    @on(Input.Submitted, "#guess")
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        self.query_one("#choices", Page).action_choose()

    @on(Page.Moved, "#choices")
    def _passed(self, event: Page.Moved) -> None:
        event.stop()

    @on(Page.Chosen, "#choices")
    def _chosen(self, event: Page.Chosen) -> None:
        event.stop()
        kind, _, name = event.block.key.partition(":")
        if kind == "pass":
            self.post_message(self.Given("", None))
            return
        self._said = name
        self._refuse("")
        guess = self.query_one("#guess", Input)
        guess.value = self._title(name)
        guess.cursor_position = len(guess.value)
        self.query_one("#sure", Input).focus()

    # ----------------------------------------------------------------------------- committing
    @on(Input.Submitted, "#sure")
    def _entered_sure(self, event: Input.Submitted) -> None:
        event.stop()
        self.action_give()

    def action_give(self) -> None:
        """Answer with what was chosen and the probability beside it."""
        if not self._said:
            self._refuse(study_strings.FIRST_WHAT)
            self.query_one("#guess", Input).focus()
            return
        try:
            sure = stated(self.query_one("#sure", Input).value)
        except AtlasError as error:
            self._refuse(f"{error.what}; {error.remedy}")
            return
        self.post_message(self.Given(self._said, sure))

    @on(Input.Changed, "#sure")
    def _stating(self, event: Input.Changed) -> None:
        event.stop()
        self._refuse("")

    def _refuse(self, why: str) -> None:
        self.query_one("#refusal", Static).update(Content(visible(why)))

    def action_step(self, step: int) -> None:
        """Walk the choices from the name, step the probability from its own line."""
        focused = self.screen.focused
        if focused is not None and focused.id == "sure":
            self._step_sure(step)
        else:
            self.query_one("#choices", Page).action_walk(step)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """The wheel over the probability steps it, as the arrow keys do."""
        self._roll(event, -1)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Less of it."""
        self._roll(event, 1)

    def _roll(self, event: events.MouseEvent, step: int) -> None:
        if event.widget is not None and event.widget.id == "sure":
            event.stop()
            self._step_sure(step)

    def _step_sure(self, step: int) -> None:
        line = self.query_one("#sure", Input)
        try:
            now = stated(line.value) - step * _STEP if line.value.strip() else _START
        except AtlasError:
            now = _START
        line.value = f"{round(min(max(now, 0.0), 1.0) * 100)}%"
        line.cursor_position = len(line.value)
