"""What this screen is for, and its keys."""

from typing import Any, ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.content import Content
from textual.dom import DOMNode
from textual.screen import ModalScreen, Screen

from atlas.ui import strings
from atlas.ui.form import ChoiceField, NumberInput
from atlas.ui.page import GAP, Block, Page, heading


class HelpScreen(ModalScreen[None]):
    """Read off the bindings themselves, so that it cannot say anything else than they do."""

    BINDINGS: ClassVar = [
        Binding("escape,f1,question_mark,q", "app.pop_screen", strings.LEAVE, id="help.leave",
                tooltip=strings.LEAVE_TIP),
    ]  # fmt: skip

    def __init__(self, about: Screen[Any]) -> None:
        super().__init__()
        self._about = about

    def compose(self) -> ComposeResult:
        """One page over the screen."""
        page = Page(id="help", classes="pane")
        page.border_title = strings.HELP
        page.border_subtitle = strings.HELP_LEAVE
        yield page

    def on_mount(self) -> None:
        """Collect the keys."""
        kind = type(self._about).__name__
        blocks = [Block(Content(strings.HELP_ABOUT.get(kind, "")))]
        owners: list[tuple[str, type[DOMNode]]] = [(strings.KEYS_HERE, type(self._about))]
        if self._about.query(NumberInput):
            owners += [(strings.KEYS_READING, NumberInput), (strings.KEYS_CHOICE, ChoiceField)]
        owners += getattr(self._about, "KEYS_OF", ())
        owners += [(strings.KEYS_ANYWHERE, type(self.app)), (strings.KEYS_PAGE, Page)]
        for title, owner in owners:
            blocks += [GAP, heading(title)]
            blocks += [
                Block(Content(tip), lead=f"{key:21} ", lead_style="bold $accent")
                for key, tip in _keys(owner, self.app)
            ]
        blocks += [GAP, heading(strings.MARKS_TITLE)]
        blocks += [Block(Content(line)) for line in strings.MARK_LINES]
        page = self.query_one(Page)
        page.show(blocks)
        page.focus()

    def on_click(self, event: events.Click) -> None:
        """A click beside it closes it, for whoever has the mouse in hand."""
        if event.widget is self:
            self.dismiss()


def _keys(owner: Any, app: Any) -> list[tuple[str, str]]:
    rows: dict[str, list[str]] = {}  # keys that do alike stand in one line
    for binding in owner.BINDINGS:
        if isinstance(binding, Binding):
            shown = [app.get_key_display(one) for one in Binding.make_bindings([binding])]
            rows.setdefault(binding.tooltip or binding.description, []).extend(shown)
    return [(" ".join(dict.fromkeys(keys)), tip) for tip, keys in rows.items()]
