"""A short walk through the loop, at the foot of the screen; escape leaves it at any moment."""

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Button, Static

from atlas.ui import strings
from atlas.ui.places import TourStep


class TourScreen(ModalScreen[None]):
    """Says what to look at, and does the step on the screen below."""

    BINDINGS: ClassVar = [
        Binding("enter,right,space", "step", strings.NEXT, id="tour.next", tooltip=strings.NEXT),
        Binding("escape", "leave", strings.LEAVE, id="tour.leave",
                tooltip=strings.LEAVE_TIP),
    ]  # fmt: skip

    def __init__(self) -> None:
        super().__init__()
        self._number = -1

    def compose(self) -> ComposeResult:
        """Words and two buttons."""
        with Horizontal(id="tour"):
            yield Static("", id="tour--words", markup=False)
            for name, label in (("next", strings.NEXT), ("leave", strings.LEAVE)):
                button = Button(label, id=name, compact=True)
                button.can_focus = False  # keys go to the bindings; a button rests between presses
                yield button

    def on_mount(self) -> None:
        """Begin."""
        self.action_step()

    @on(Button.Pressed, "#next")
    def action_step(self) -> None:
        """Next step, or the end."""
        self._number += 1
        if self._number >= len(strings.TOUR_STEPS):
            self.dismiss()
            return
        words, what = strings.TOUR_STEPS[self._number]
        count = f"{self._number + 1}/{len(strings.TOUR_STEPS)}  "
        self.query_one("#tour--words", Static).update(
            Content.assemble((count, "bold $accent"), words)
        )
        if self._number + 1 == len(strings.TOUR_STEPS):
            self.query_one("#next", Button).label = strings.TOUR_END
        self.post_message(TourStep(self._number, what))

    @on(Button.Pressed, "#leave")
    def action_leave(self) -> None:
        """Leave at any moment."""
        self.dismiss()
