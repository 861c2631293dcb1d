"""A vehicle's structure in one view: members to pick by keys or mouse, zoom, and the key to it."""

from dataclasses import dataclass
from typing import ClassVar

from rich.style import Style as RichStyle
from textual import events
from textual.binding import Binding
from textual.geometry import Size
from textual.message import Message
from textual.reactive import reactive

from atlas.drawing.grid import Grid
from atlas.drawing.picture import Picture
from atlas.drawing.structure import structure_picture
from atlas.drawing.structure_key import key_lines
from atlas.drawing.structure_picking import middles, nearest_mark, neighbour
from atlas.drawing.structure_shape import Shown
from atlas.drawing.structure_views import View
from atlas.drawing.terminal import point_at
from atlas.ui import strings, vehicle_strings
from atlas.ui.sketch_view import Drawing

_MOST_ZOOM = 6.0
_REACH = 3.0  # cells within which a click means a member
_FEW = 46  # columns below which only the drawing is shown, without words on it


class StructureView(Drawing, can_focus=True):
    """One view; posts Picked when a member is chosen."""

    BINDINGS: ClassVar = [
        Binding("left", "pick(-1,0)", vehicle_strings.MEMBER, show=False, id="structure.left",
                tooltip=vehicle_strings.PICK_TIP),
        Binding("right", "pick(1,0)", vehicle_strings.MEMBER, show=False, id="structure.right",
                tooltip=vehicle_strings.PICK_TIP),
        Binding("up", "pick(0,1)", vehicle_strings.MEMBER, show=False, id="structure.up",
                tooltip=vehicle_strings.PICK_TIP),
        Binding("down", "pick(0,-1)", vehicle_strings.MEMBER, show=False, id="structure.down",
                tooltip=vehicle_strings.PICK_TIP),
        Binding("n", "next(1)", vehicle_strings.NEXT_MEMBER, show=False, id="structure.next",
                tooltip=vehicle_strings.NEXT_MEMBER_TIP),
        Binding("N", "next(-1)", vehicle_strings.MEMBER_BEFORE, show=False, id="structure.before",
                tooltip=vehicle_strings.MEMBER_BEFORE_TIP),
        Binding("plus,equals_sign", "zoom(1)", strings.ZOOM_IN, id="structure.in", show=False,
                tooltip=vehicle_strings.ZOOM_MEMBER_TIP),
        Binding("minus", "zoom(-1)", strings.ZOOM_OUT, id="structure.out", show=False,
                tooltip=strings.ZOOM_OUT),
        Binding("0", "whole", strings.WHOLE, id="structure.whole", show=False,
                tooltip=strings.WHOLE),
    ]  # fmt: skip

    shown: reactive[Shown | None] = reactive(None, always_update=True)
    view: reactive[View] = reactive("plan")
    zoom: reactive[float] = reactive(1.0)

    @dataclass
    class Picked(Message):
        """A member was chosen."""

        member: str

    def __init__(self, view: View, *, id: str | None = None, ascii_only: bool = False) -> None:
        super().__init__(id=id, ascii_only=ascii_only)
        self.set_reactive(StructureView.view, view)
        self.border_title = vehicle_strings.STRUCTURE_VIEWS[view]
        self._bare: Picture | None = None

    def watch_shown(self) -> None:
        """Draw anew."""
        self._draw()

    def watch_view(self) -> None:
        """Another view, whole."""
        self.border_title = vehicle_strings.STRUCTURE_VIEWS[self.view]
        self.set_reactive(StructureView.zoom, 1.0)
        self._draw()

    def watch_zoom(self) -> None:
        """Show the part round the chosen member."""
        self._frame()

    def _draw(self) -> None:
        if self.shown is None:
            self.picture = self._bare = None
            return
        self._bare = None
        self.picture = structure_picture(self.shown, self.view)
        self.lit = frozenset(self.shown.chosen)
        self._frame()

    def _frame(self) -> None:
        picture = self.picture
        self.border_subtitle = f"×{self.zoom:.3g}" if self.zoom > 1 else ""
        if picture is None or self.zoom <= 1.0:
            self.window = None
            return
        half_w, half_h = picture.width / self.zoom / 2, picture.height / self.zoom / 2
        spots = middles(picture)
        name = next((n for n in self._chosen if n in spots), "")
        x, y = spots.get(name, (picture.width / 2, picture.height / 2))
        x = min(max(x, half_w), picture.width - half_w)
        y = min(max(y, half_h), picture.height - half_h)
        self.window = (x - half_w, y - half_h, x + half_w, y + half_h)

    def fit(self, width: int, height: int) -> Picture | None:
        """The picture, without words where there is no room for them."""
        if self.picture is None or self.shown is None or (width >= _FEW and height >= 8):
            return self.picture
        if self._bare is None:
            self._bare = structure_picture(self.shown, self.view, labels=False)
        return self._bare

    @property
    def _chosen(self) -> tuple[str, ...]:
        return tuple(self.shown.chosen) if self.shown is not None else ()

    def _look(self, style: str) -> RichStyle:
        """Looks of the theme; what is brought out takes no colour that stands for a use."""
        return super()._look("chosen" if style == "lit" else style)

    # ------------------------------------------------------------------------------- picking
    def action_pick(self, across: int, up: int) -> None:
        """Go to the next member in a direction on the sheet; the first time, to the most used."""
        if self.shown is None or self.picture is None:
            return
        spots = middles(self.picture)
        if len(self._chosen) != 1:
            name = self.shown.worst or min(spots, default="")
        else:
            name = neighbour(spots, self._chosen[0], across, up)
        self.post_message(self.Picked(name))

    def action_next(self, step: int) -> None:
        """Go to the next member in order of use, or of the file where no load is on."""
        if self.shown is None:
            return
        names = list(self.shown.framed.member_names)
        if self.shown.use:
            names.sort(key=lambda name: -self.shown.use[name])  # type: ignore[union-attr]
        at = names.index(self._chosen[0]) if len(self._chosen) == 1 else -1 if step > 0 else 0
        self.post_message(self.Picked(names[(at + step) % len(names)]))

    def on_click(self, event: events.Click) -> None:
        """Choose the member nearest to the click."""
        offset, grid, picture = event.get_content_offset(self), self.grid(), self.picture
        if offset is None or grid is None or picture is None:
            return
        size = self.size.width, grid.height
        spot = point_at(picture, *size, (offset.x, offset.y), self.window)
        beside = point_at(picture, *size, (offset.x + 1, offset.y), self.window)
        name, away = nearest_mark(picture, spot)
        if name and away <= _REACH * abs(beside[0] - spot[0]):
            self.post_message(self.Picked(name))

    # --------------------------------------------------------------------------------- zoom
    def action_zoom(self, step: int) -> None:
        """Nearer or farther by half, round the chosen member."""
        self.zoom = min(max(self.zoom * 1.5**step, 1.0), _MOST_ZOOM)

    def action_whole(self) -> None:
        """Show all of it."""
        self.zoom = 1.0

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Zoom in with the wheel."""
        event.stop()
        self.action_zoom(1)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Zoom out with the wheel."""
        event.stop()
        self.action_zoom(-1)


class StructureKey(Drawing):
    """What lines and signs mean, in as many lines as the width asks for."""

    shown: reactive[Shown | None] = reactive(None, always_update=True)

    def watch_shown(self) -> None:
        """Ask for another height only where the key needs one: that lays out the whole screen."""
        width = self.size.width
        if width < 2 or self.shown is None or self._set(width).height != self.size.height:
            self.refresh(layout=True)

    def grid(self) -> Grid | None:
        """The key set in the widget's width."""
        if self.shown is None or self.size.width < 2:
            return None
        return self._set(self.size.width)

    def _set(self, width: int) -> Grid:
        assert self.shown is not None
        chars, styles = [], []
        for line in key_lines(self.shown, width, self.ascii_only):
            text = "".join(words for words, _ in line)[:width].ljust(width)
            names = [style for words, style in line for _ in words][:width]
            chars.append(text)
            styles.append(tuple(names + [""] * (width - len(names))))
        return Grid(tuple(chars), tuple(styles))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many lines as it takes."""
        if self.shown is None or width < 2:
            return 1
        return self._set(width).height
