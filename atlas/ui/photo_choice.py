"""How photos are drawn: in pixels or in cells, as chosen and as the terminal can."""

from collections.abc import Iterator
from typing import Any

from textual._time import get_time
from textual._xterm_parser import XTermParser
from textual.app import App, SystemCommand
from textual.events import Event, Key
from textual.screen import Screen

from atlas.ui import photo_strings
from atlas.ui.memory import Memory
from atlas.ui.terminal_graphics import CHOICES, Answer, Graphics

_STILL = 5.0  # seconds after the start in which an answer may still come
_TOGETHER = 0.1  # seconds between the keys that one answer is taken for
_MOST = 80  # keys of one answer
# How Textual passes on what it does not know, key by key: escape as a caret, or, with the last of
# what came together, not at all.
_BEGINS = ("circumflex_accent", "left_square_bracket", "underscore", "P")


class PhotoChoice:
    """What was chosen, now or on another day, and what comes of it on this terminal.

    Args:
        answer: what the terminal said of itself.
        memory: what is remembered of the user.
    """

    def __init__(self, answer: Answer, memory: Memory) -> None:
        self._answer = answer
        self._memory = memory
        remembered = memory.now.photos if memory.now.photos in CHOICES else "auto"
        self.way = answer.choice or remembered
        self._until = get_time() + _STILL if answer.late else 0.0
        self._swallowed = 0
        self._last = 0.0

    @property
    def graphics(self) -> Graphics | None:
        """How pixels get on the terminal; None for cells."""
        return self._answer.graphics(self.way)

    def type_again(self, app: App[Any]) -> None:
        """Hand on the keys that were pressed before there was an application."""
        typed = self._answer.typed
        for event in XTermParser().feed(typed) if typed else ():
            app.post_message(event)

    def choose(self, way: str, app: App[Any]) -> None:
        """Draw so from now on, and on other days."""
        self.way = self._memory.now.photos = way
        self._memory.save()
        _draw_with(app, self.graphics)

    def commands(self, app: App[Any]) -> Iterator[SystemCommand]:
        """What the palette offers."""
        for way, tip in photo_strings.PHOTO_WAYS.items():
            title = f"{photo_strings.PHOTO_WAY}: {way}"
            yield SystemCommand(title, tip, lambda way=way: self.choose(way, app))

    def screenshot(self, app: App[Any]) -> str:
        """The screen as SVG, which has cells only."""
        _draw_with(app, None)
        picture = app.export_screenshot()
        _draw_with(app, self.graphics)
        return picture

    def swallows(self, event: Event) -> bool:
        """Whether it is part of an answer that came too late, and no key."""
        if not self._until or not isinstance(event, Key):
            return False
        now = event.time  # when it was read: it may have waited since
        if now > self._until:
            self._until = 0.0
            return False
        inside = 0 < self._swallowed < _MOST and now - self._last < _TOGETHER
        if not inside and event.key not in _BEGINS:
            self._swallowed = 0
            return False
        self._swallowed, self._last = (self._swallowed + 1 if inside else 1), now
        return True


def frame_comes(app: App[Any], screen: Screen[Any], update: Any) -> None:
    """Tell the screens that want to know that a frame of one comes."""
    for one in app.screen_stack if update is not None and app.is_running else ():
        told = getattr(one, "frame_comes", None)
        if told is not None:
            told(screen, update)


def _draw_with(app: App[Any], graphics: Graphics | None) -> None:
    for one in app.screen_stack:
        told = getattr(one, "draw_with", None)
        if told is not None:
            told(graphics)
