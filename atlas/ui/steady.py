"""Fields to type in that show what could steer a terminal instead of sending it.

A line of a page goes through ``visible``, which may write several signs for one. Here the cursor
counts signs, so each stands for itself.
"""

from rich.highlighter import Highlighter
from rich.text import Text
from textual.widgets import TextArea

from atlas.catalogue.visible import sign_by_sign


class Steady(Highlighter):
    """For the one-line field."""

    def highlight(self, text: Text) -> None:
        """Replace what would be obeyed."""
        plain = text.plain
        shown = sign_by_sign(plain)
        if shown != plain:
            text.plain = shown


class SteadyArea(TextArea):
    """For several lines."""

    def get_line(self, line_index: int) -> Text:
        """The line as it is drawn."""
        shown = sign_by_sign(self.document.get_line(line_index))
        return Text(shown, end="", no_wrap=True)
