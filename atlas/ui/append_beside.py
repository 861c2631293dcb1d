"""What a page of the append screen asks of the screen around it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from textual.content import Content
from textual.message import Message
from textual.screen import Screen

from atlas.catalogue.model import Sketch
from atlas.ui.case_forms import Form
from atlas.ui.desk import Desk
from atlas.ui.dialog import Dialog
from atlas.ui.page import Block
from atlas.ui.pattern_page import pattern_blocks


@dataclass
class Beside(Message):
    """Show this beside the page; None leaves what is there."""

    blocks: Sequence[Block] | None = None
    sketches: tuple[Sketch, ...] | None = None
    lit: frozenset[str] | None = None


class Kept(Message):
    """A draft was changed: its line in the list may say something else now."""


@dataclass
class OpenLine(Message):
    """Go to a line of the list, after the library was written to."""

    key: str
    catalogue_changed: bool = False


def pattern_beside(desk: Desk, name: str) -> Beside:
    """A pattern's page and sketch."""
    pattern = desk.catalogue.pattern(name)
    blocks = pattern_blocks(pattern, desk.title, desk.calculators, desk.zone_title(name))
    return Beside(blocks, pattern.sketches)


def ask(screen: Screen[Any], title: str, way: Form, do: str, then: Callable[[], object]) -> None:
    """Put a form over the screen; go on once it was done."""

    def done(changed: bool | None) -> None:
        if changed:
            then()

    fields, act = way
    screen.app.push_screen(Dialog(title, fields, act, do), done)


def titled_page(title: str) -> Content:
    """A pane's title that holds what somebody typed."""
    from atlas.catalogue.visible import visible

    return Content(visible(title, lines=False))
