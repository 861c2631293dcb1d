"""A page of blocks that is read, walked and acted on with the same few keys everywhere.

The cursor stands on a block. Moving on scrolls a block that is taller than the window before it
leaves it, so that nothing on a page is out of reach of the arrow keys.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Literal

from rich.segment import Segment
from textual import events
from textual.binding import Binding
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip
from textual.timer import Timer
from textual.visual import Visual

from atlas.ui import strings

Kind = Literal["heading", "text", "item", "gap"]
_GUTTER = 2


@dataclass(frozen=True)
class Block:
    """One stretch of a page.

    Args:
        content: what it says; styles in it are theme variables.
        kind: ``item`` can be chosen, ``text`` only read, ``heading`` and ``gap`` are passed over.
        key: what choosing it means, as the page's owner reads it.
        lead: a few characters before the first line, under which the others are indented.
        marks: sketch marks to show while the cursor stands here.
    """

    content: Content
    kind: Kind = "text"
    key: str = ""
    lead: str = ""
    marks: frozenset[str] = frozenset()
    lead_style: str = "$accent"

    @property
    def stops(self) -> bool:
        """Whether the cursor can stand on it."""
        return self.kind in ("text", "item")


def heading(text: str, key: str = "") -> Block:
    """Return a heading's block."""
    return Block(Content(text), "heading", key)


GAP = Block(Content(""), "gap")


class Page(ScrollView, can_focus=True):
    """Shows blocks; posts Moved and Chosen."""

    COMPONENT_CLASSES: ClassVar = {
        "page--heading",
        "page--cursor",
        "page--cursor-blurred",
        "page--bar",
    }
    BINDINGS: ClassVar = [
        Binding("up,k", "walk(-1)", "Up", show=False, id="page.up", tooltip="Up one step"),
        Binding("down,j", "walk(1)", "Down", show=False, id="page.down", tooltip="Down one step"),
        Binding("pageup", "leaf(-1)", "Back a page", show=False, id="page.leaf-up", tooltip="Up"),
        Binding("pagedown", "leaf(1)", "On a page", show=False, id="page.leaf-down", tooltip="On"),
        Binding("home", "edge(-1)", "First", show=False, id="page.first", tooltip="To the top"),
        Binding("end", "edge(1)", "Last", show=False, id="page.last", tooltip="To the end"),
        Binding(
            "left", "section(-1)", "Section", show=False, id="page.section-up", tooltip="Section up"
        ),
        Binding(
            "right", "section(1)", "Section", show=False, id="page.section-down", tooltip="Section"
        ),
        Binding("enter", "choose", strings.CHOOSE, id="page.choose", tooltip=strings.CHOOSE_TIP),
    ]

    cursor: reactive[int] = reactive(-1, repaint=False)

    @dataclass
    class Moved(Message):
        """The cursor went to another block."""

        page: "Page"
        block: Block
        by_user: bool = True  # false where new blocks put it there

        @property
        def control(self) -> "Page":
            """The page, for ``@on`` selectors."""
            return self.page

    @dataclass
    class Chosen(Message):
        """Enter or a click on an item."""

        page: "Page"
        block: Block

        @property
        def control(self) -> "Page":
            """The page, for ``@on`` selectors."""
            return self.page

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._blocks: tuple[Block, ...] = ()
        self._tops: list[int] = []
        self._rows: list[tuple[int, Strip]] = []
        self._laid_for: tuple[int, str] = (0, "")
        self._bright: dict[int, list[Strip]] = {}
        self._rest: Timer | None = None

    @property
    def blocks(self) -> tuple[Block, ...]:
        """What is shown."""
        return self._blocks

    @property
    def current(self) -> Block | None:
        """The block under the cursor."""
        return self._blocks[self.cursor] if 0 <= self.cursor < len(self._blocks) else None

    def show(self, blocks: Sequence[Block], at: str | None = None, *, keep: bool = False) -> None:
        """Replace the blocks.

        Args:
            blocks: the new ones.
            at: key of the block to stand on; the first stop where there is none of that key.
            keep: leave the scroll position and, by place, the cursor alone.
        """
        old = self.cursor
        self._blocks = tuple(blocks)
        self._laid_for = (0, "")
        self._tops, self._rows = [], []
        # What is seen now; the rest when the keys rest, or when it is asked for.
        self._lay_out(None if at or keep else self.scrollable_content_region.height + 1)
        if self._rest is not None:
            self._rest.stop()
        self._rest = self.set_timer(0.06, self._lay_out_rest)
        stops = [i for i, block in enumerate(self._blocks) if block.stops]
        target = next((i for i in stops if at and self._blocks[i].key == at), None)
        if target is None and keep and old in stops:
            target = old
        if target is None:
            target = stops[0] if stops else -1
        self.set_reactive(Page.cursor, target)
        self._bright.clear()
        if not keep:
            self.scroll_to(y=0, animate=False)
        if at:
            self._reveal()
        self.refresh()
        if self.current is not None:
            self.post_message(self.Moved(self, self.current, by_user=False))

    # ------------------------------------------------------------------------------ layout
    def _lay_out(self, rows: int | None = None) -> None:
        """Wrap blocks to the width: enough for so many rows, or all."""
        width = self.scrollable_content_region.width
        if width <= _GUTTER:
            return
        if self._laid_for != (width, self.app.theme):
            self._laid_for = (width, self.app.theme)
            self._bright.clear()
            self._tops, self._rows = [], []
        done = len(self._tops)
        for index in range(done, len(self._blocks)):
            if rows is not None and len(self._rows) >= rows:
                break
            self._tops.append(len(self._rows))
            strips = self._strips(self._blocks[index], width, cursor=False)
            self._rows += [(index, strip) for strip in strips]
        # Until the rest is laid out, a block is taken for two rows: enough for a scroll bar.
        left = len(self._blocks) - len(self._tops)
        self.virtual_size = Size(width, len(self._rows) + 2 * left)

    def _lay_out_rest(self) -> None:
        if len(self._tops) < len(self._blocks):
            self._lay_out()

    def _strips(self, block: Block, width: int, *, cursor: bool) -> list[Strip]:
        part = "page--heading" if block.kind == "heading" else ""
        if cursor:
            part = "page--cursor" if self.has_focus else "page--cursor-blurred"
        style = self.get_visual_style(part) if part else self.visual_style
        rich = style.rich_style
        if block.kind == "gap":
            return [Strip([Segment(" " * width, rich)], width)]
        lead = Content.styled(block.lead, block.lead_style) if block.lead else Content("")
        indent = _GUTTER + lead.cell_length
        room = max(width - indent, 4)
        bar = self.get_component_rich_style("page--bar")
        edge = [Segment("▌" if cursor else " ", bar if cursor else rich), Segment(" ", rich)]
        heads: list[Segment] = []
        if block.lead:
            heads = list(Visual.to_strips(self, lead, lead.cell_length, 1, style)[0])
        hang = [Segment(" " * lead.cell_length, rich)] if block.lead else []
        strips = []
        lines = Visual.to_strips(self, block.content, room, None, style, apply_selection=False)
        for number, line in enumerate(lines or [Strip.blank(1, rich)]):
            rest = room - line.cell_length
            # One strip a line: each costs more than the segments in it.
            segments = [*edge, *(heads if number == 0 else hang), *line]
            if rest > 0:
                segments.append(Segment(" " * rest, rich))
            strip = Strip(segments, indent + max(room, line.cell_length))
            strips.append(strip if strip.cell_length <= width else strip.crop(0, width))
        return strips

    def render_line(self, y: int) -> Strip:
        """Give the compositor one line."""
        row = y + self.scroll_offset.y
        self._lay_out(row + 1)
        width = self.scrollable_content_region.width
        if not 0 <= row < len(self._rows):
            return Strip.blank(width, self.visual_style.rich_style)
        index, strip = self._rows[row]
        if index != self.cursor:
            return strip
        bright = self._bright.get(index)
        if bright is None:
            bright = self._strips(self._blocks[index], width, cursor=True)
            self._bright = {index: bright}
        line = row - self._tops[index]
        return bright[line] if line < len(bright) else strip

    def notify_style_update(self) -> None:
        """Lay out again in the new colours."""
        super().notify_style_update()
        self._laid_for = (0, "")
        self._bright.clear()

    def on_resize(self) -> None:
        """Wrap to the new width; the block under the cursor stays in sight."""
        self._lay_out()
        self._reveal()

    def on_focus(self) -> None:
        """Show the cursor as active."""
        self._bright.clear()
        self.refresh()

    def on_blur(self) -> None:
        """Show the cursor as waiting."""
        self._bright.clear()
        self.refresh()

    # ------------------------------------------------------------------------------ moving
    def watch_cursor(self, old: int, new: int) -> None:
        """Repaint and tell."""
        self._bright.clear()
        self.refresh()
        if old != new and self.current is not None:
            self.post_message(self.Moved(self, self.current))

    def _span(self, index: int) -> tuple[int, int]:
        end = self._tops[index + 1] if index + 1 < len(self._tops) else len(self._rows)
        return self._tops[index], end

    def _reveal(self) -> None:
        self._lay_out()
        if not 0 <= self.cursor < len(self._tops):
            return
        top, end = self._span(self.cursor)
        before = self.cursor - 1
        while before >= 0 and not self._blocks[before].stops:  # its heading comes into sight too
            top = self._tops[before]
            before -= 1
        height = self.scrollable_content_region.height
        if end > self.scroll_offset.y + height:
            self.scroll_to(y=min(top, end - height) if end - top <= height else top, animate=False)
        if top < self.scroll_offset.y:
            self.scroll_to(y=top, animate=False)

    def stand_at(self, index: int) -> None:
        """Put the cursor on a block, by its place, and bring it into sight."""
        self.cursor = index
        self._reveal()

    def action_walk(self, step: int) -> None:
        """Go to the next stop, or scroll where the present one does not fit."""
        self._lay_out()
        if not self._tops or not self._blocks:
            return
        height = self.scrollable_content_region.height
        if 0 <= self.cursor < len(self._tops):
            top, end = self._span(self.cursor)
            offset = self.scroll_offset.y
            if step > 0 and end > offset + height:
                self.scroll_to(y=min(offset + 3, end - height), animate=False)
                return
            if step < 0 and top < offset:
                self.scroll_to(y=max(offset - 3, top), animate=False)
                return
        index = self.cursor + step
        while 0 <= index < len(self._blocks) and not self._blocks[index].stops:
            index += step
        if 0 <= index < len(self._blocks):
            self.cursor = index
            self._reveal()
        elif step < 0:
            self.scroll_to(y=0, animate=False)

    def action_leaf(self, step: int) -> None:
        """Turn a page: the cursor goes to the stop nearest to the new top."""
        self._lay_out()
        height = max(1, self.scrollable_content_region.height - 1)
        target = min(max(self.scroll_offset.y + step * height, 0), max(0, len(self._rows) - 1))
        self.scroll_to(y=target, animate=False)
        stops = [i for i, block in enumerate(self._blocks) if block.stops]
        if stops and self._tops:
            edge = target if step < 0 else min(target, self.max_scroll_y)
            self.cursor = min(stops, key=lambda i: abs(self._tops[i] - edge))

    def action_edge(self, side: int) -> None:
        """Go to the first or the last stop."""
        self._lay_out()
        stops = [i for i, block in enumerate(self._blocks) if block.stops]
        if stops:
            self.cursor = stops[0] if side < 0 else stops[-1]
            self._reveal()

    def action_section(self, step: int) -> None:
        """Go to the first stop under the next or the previous heading."""
        self._lay_out()
        heads = [i for i, block in enumerate(self._blocks) if block.kind == "heading"]
        if step > 0:
            ahead = [i for i in heads if i > self.cursor]
            index = ahead[0] if ahead else -1
        else:
            behind = [i for i in heads if i < self.cursor]
            index = behind[-2] if len(behind) > 1 else behind[0] if behind else -1
        while 0 <= index < len(self._blocks) and not self._blocks[index].stops:
            index += 1
        if 0 <= index < len(self._blocks):
            self.cursor = index
            height = self.scrollable_content_region.height
            top = self._tops[index] if self._tops else 0
            self.scroll_to(y=max(0, min(top - 1, len(self._rows) - height)), animate=False)

    def action_choose(self) -> None:
        """Act on the item under the cursor."""
        if self.current is not None and self.current.kind == "item":
            self.post_message(self.Chosen(self, self.current))

    def on_click(self, event: events.Click) -> None:
        """Stand on what was clicked; an item that is clicked is chosen."""
        offset = event.get_content_offset(self)
        if offset is None:
            return
        row = offset.y + self.scroll_offset.y
        if 0 <= row < len(self._rows):
            index = self._rows[row][0]
            if self._blocks[index].stops:
                self.cursor = index
                self.action_choose()
