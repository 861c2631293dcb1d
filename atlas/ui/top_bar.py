"""The line at the top: where one can go, and where one is."""

from typing import Any, TypeVar

from textual import events
from textual.content import Content
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static

from atlas.catalogue.writing import read_only
from atlas.ui import strings

AnyWidget = TypeVar("AnyWidget", bound=Widget)

TABS = (
    ("find", strings.FIND, "F2"),
    ("cases", strings.CASES, "F7"),
    ("calculators", strings.CALCULATORS, "F8"),
    ("vehicles", strings.VEHICLES, "^O"),
    ("glossary", strings.GLOSSARY, "F9"),
    ("study", strings.STUDY, "^T"),
    ("append", strings.APPEND, "^N"),
)
_ROOMY = 92  # columns that the places take with the name before them


class TopBar(Static):
    """Places, each a click or a key away."""

    def __init__(self, here: str, title: str = "") -> None:
        super().__init__(self._words(here, title, roomy=True))
        self._here, self._title = here, title

    def on_resize(self, event: events.Resize) -> None:
        """Leave the name out where the places would not fit beside it."""
        self.update(self._words(self._here, self._title, roomy=event.size.width >= _ROOMY))

    @staticmethod
    def _words(here: str, title: str, *, roomy: bool) -> Content:
        parts: list[Content] = []
        if roomy:
            parts.append(Content.styled(f" {strings.APP} ", "bold $accent"))
        if read_only():
            parts.append(Content.styled(strings.READ_ONLY, "bold reverse"))
        for kind, name, key in TABS:
            if kind == here:
                link = Content.styled(f"▸{name}", "bold")
            else:
                # The action is a constant of this module; nothing that was typed is in it.
                link = Content.from_markup(f"[@click=app.place('{kind}')]{name}[/]")
                link = Content.assemble(" " * roomy, link)
            parts.append(Content.assemble(" ", link, (f" {key}", "$muted")))
        if title:
            parts.append(Content.assemble("   ", (title, "bold")))
        return Content("").join(parts)


class PaneTabs(Static):
    """The panes of a screen that shows them one at a time."""

    def __init__(self, panes: dict[str, str], front: str = "") -> None:
        self._panes = panes
        super().__init__(self._words(front), id="panes")

    def front(self, pane: str) -> None:
        """Say which pane is in front."""
        self.update(self._words(pane))

    def _words(self, pane: str) -> Content:
        parts = []
        for number, (name, title) in enumerate(self._panes.items(), 1):
            if name == pane:
                link = Content.styled(f"▸{number} {title}", "bold $accent")
            else:
                link = Content.from_markup(f" [@click=screen.pane('{name}')]{number} {title}[/]")
            parts.append(Content.assemble(" ", link, " "))
        return Content("").join(parts)


def titled(widget: AnyWidget, title: str) -> AnyWidget:
    """Make a widget a pane with a title in its border."""
    widget.border_title = title
    widget.add_class("pane")
    return widget


def bring_to_front(screen: Screen[Any], old: str, new: str) -> None:
    """Tell the style sheet and the tabs which pane a small screen shows."""
    screen.remove_class(f"-at-{old}")
    screen.add_class(f"-at-{new}")
    screen.query_one(PaneTabs).front(new)


def stand_on(screen: Screen[None], widget: Widget) -> None:
    """Give a widget the focus at once, so that the next key already goes to it.

    A pane that comes to the front only gets its display from the style sheet, which is otherwise
    consulted when the application is idle.
    """
    if not widget.display or not all(isinstance(a, Screen) or a.display for a in widget.ancestors
                                     if isinstance(a, Widget)):  # fmt: skip
        screen.app.stylesheet.update(screen)
    screen.set_focus(widget)
