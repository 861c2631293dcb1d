"""A photo in terminal cells, with a cursor that knows fractions of a cell and marks upon it."""

from dataclasses import dataclass
from typing import ClassVar

from rich.segment import Segment
from textual import events
from textual.binding import Binding
from textual.geometry import Offset
from textual.message import Message
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from atlas.casework.marks import Mark, Marks
from atlas.drawing.photo import Photo, snapped
from atlas.drawing.tones import DOTS, Cells, Mode, cells_of, dots_of
from atlas.drawing.viewport import Viewport
from atlas.ui import strings
from atlas.ui.photo_looks import REVERSE, halves, label, plain, stroke
from atlas.ui.photo_overlay import Over, overlay

GAMMAS = (1.0, 1.6, 2.4, 0.7)  # as it is, lighter, much lighter, darker
_LEAP = 8  # dots
_SNAP = 3  # dots about the cursor in which a corner is looked for


class PhotoView(Widget, can_focus=True):
    """Shows a part of a photo; moves, zooms, and says where somebody put a mark.

    The screen that holds it owns the marks: what is done here goes up as messages.
    """

    ALLOW_SELECT = False  # dragging moves marks and the picture, not a selection of text
    BINDINGS: ClassVar = [
        Binding("enter,space", "put", strings.PUT, id="photo.put", tooltip=strings.PUT_TIP),
        Binding("left", "step(-1,0)", strings.CURSOR, show=False, id="photo.left",
                tooltip=strings.CURSOR_TIP),
        Binding("right", "step(1,0)", strings.CURSOR, show=False, id="photo.right",
                tooltip=strings.CURSOR_TIP),
        Binding("up", "step(0,-1)", strings.CURSOR, show=False, id="photo.up",
                tooltip=strings.CURSOR_TIP),
        Binding("down", "step(0,1)", strings.CURSOR, show=False, id="photo.down",
                tooltip=strings.CURSOR_TIP),
        Binding("shift+left", f"step(-{_LEAP},0)", strings.LEAP, show=False,
                id="photo.leap-left", tooltip=strings.LEAP_TIP),
        Binding("shift+right", f"step({_LEAP},0)", strings.LEAP, show=False,
                id="photo.leap-right", tooltip=strings.LEAP_TIP),
        Binding("shift+up", f"step(0,-{_LEAP})", strings.LEAP, show=False, id="photo.leap-up",
                tooltip=strings.LEAP_TIP),
        Binding("shift+down", f"step(0,{_LEAP})", strings.LEAP, show=False,
                id="photo.leap-down", tooltip=strings.LEAP_TIP),
        Binding("pageup", "pan(0,-1)", strings.PAN, show=False, id="photo.pan-up",
                tooltip=strings.PAN_TIP),
        Binding("pagedown", "pan(0,1)", strings.PAN, show=False, id="photo.pan-down",
                tooltip=strings.PAN_TIP),
        Binding("home", "pan(-1,0)", strings.PAN, show=False, id="photo.pan-left",
                tooltip=strings.PAN_TIP),
        Binding("end", "pan(1,0)", strings.PAN, show=False, id="photo.pan-right",
                tooltip=strings.PAN_TIP),
        Binding("plus,equals_sign", "zoom(1)", strings.ZOOM_IN, id="photo.nearer",
                tooltip=strings.ZOOM_IN_TIP),
        Binding("minus", "zoom(-1)", strings.ZOOM_OUT, show=False, id="photo.farther",
                tooltip=strings.ZOOM_OUT_TIP),
        Binding("0", "whole", strings.WHOLE_PHOTO, show=False, id="photo.whole",
                tooltip=strings.WHOLE_PHOTO_TIP),
        Binding("z", "loupe", strings.LOUPE, show=False, id="photo.loupe",
                tooltip=strings.LOUPE_TIP),
        Binding("b", "brighter", strings.BRIGHTER, show=False, id="photo.brighter",
                tooltip=strings.BRIGHTER_TIP),
        Binding("t", "tones", strings.TONES, show=False, id="photo.tones",
                tooltip=strings.TONES_TIP),
    ]  # fmt: skip

    photo: reactive[Photo | None] = reactive(None, init=False)
    marks: reactive[Marks] = reactive(Marks(), init=False)
    current: reactive[str] = reactive("", init=False)

    @dataclass
    class Pointed(Message):
        """The cursor went somewhere, by keys or a click."""

        mark: Mark

    @dataclass
    class Put(Message):
        """A mark is wanted where the cursor is."""

        mark: Mark

    @dataclass
    class Picked(Message):
        """A mark was clicked on."""

        label: str

    @dataclass
    class Dragged(Message):
        """A mark is being dragged; ``done`` once it was let go."""

        label: str
        mark: Mark
        done: bool

    def __init__(self, *, id: str | None = None, ascii_only: bool = False) -> None:
        super().__init__(id=id)
        self.ascii_only = ascii_only
        self.view: Viewport | None = None
        self.cursor = (0.0, 0.0)
        self.mode: Mode | None = None  # as the terminal allows, until somebody chooses
        self.gamma = 1.0
        self._exact: tuple[float, float] | None = None  # where the picture itself said so
        self._cells: Cells | None = None
        self._drawn: tuple[object, ...] = ()
        self._over: Over = {}
        self._drag: str | None = None  # label of a mark, or empty for the picture itself
        self._from: tuple[float, float] = (0.0, 0.0)
        self._at = Offset(0, 0)  # of the pointer when it was last seen
        self._moved = False

    # -------------------------------------------------------------------------------- looking
    def shown_mode(self) -> Mode:
        """How the picture is drawn: as chosen, else the best that the terminal has."""
        if self.mode is not None:
            return self.mode
        if self.ascii_only:
            return "letters"
        few = self.app.console.color_system not in ("truecolor", "256")
        return "dots" if few or self.app.native_ansi_color else "colour"

    def watch_photo(self, photo: Photo | None) -> None:
        """Show the whole of another photo."""
        self.view = None
        if photo is not None:
            self.cursor = (photo.width / 2, photo.height / 2)
            self._fit()
        self._changed()

    def watch_marks(self) -> None:
        """Draw the marks anew."""
        self._changed(moved=False)

    def watch_current(self) -> None:
        """Draw the mark that is meant anew."""
        self._changed(moved=False)

    def on_resize(self) -> None:
        """Keep the middle of the window."""
        self._fit()
        self._changed()

    def _fit(self) -> None:
        if self.photo is None or not self.size.area:
            return
        columns, rows, tall = dots_of(self.size.width, self.size.height, self.shown_mode())
        if self.view is None:
            self.view = Viewport(self.photo.width, self.photo.height, columns, rows, tall=tall)
            self.view = self.view.placed()
        else:
            self.view = self.view.resized(columns, rows, tall)

    def _changed(self, moved: bool = True) -> None:
        """Draw the overlay anew, and say where one is."""
        if self.view is not None:
            self._over = overlay(
                self.view, self.shown_mode(), self.marks, self.current, self.cursor,
                self.size.width, self.size.height,
            )  # fmt: skip
            x, y = self.cursor
            near = self.view.farthest / self.view.scale
            per_dot = f"{self.view.scale:.3g}"
            self.border_subtitle = strings.WHERE.format(x=x, y=y, per_dot=per_dot, near=near)
        self.refresh()

    # -------------------------------------------------------------------------------- drawing
    def render_line(self, y: int) -> Strip:
        """Give the compositor one line."""
        base = self.visual_style.rich_style
        width = self.size.width
        cells = self._picture()
        if cells is None or y >= len(cells.signs):
            return Strip.blank(width, base)
        segments: list[Segment] = []
        signs, bright, beside = cells.signs[y], cells.bright[y], cells.beside[y]
        upper = None if cells.upper is None else (cells.upper[y] & 0xFC).tolist()
        lower = None if cells.lower is None else (cells.lower[y] & 0xFC).tolist()
        for x in range(len(signs)):
            one = self._over.get((y, x))
            if upper is None or lower is None or (beside[x] and one is None):
                sign, look = (
                    (" " if beside[x] else signs[x], base)
                    if one is None
                    else (one.sign, plain(base, one.bold))
                )
                if one is not None and one.filled:
                    look = look + REVERSE
            elif one is None:
                sign, look = signs[x], halves(*upper[x], *lower[x])
            elif one.filled:
                sign, look = one.sign, label(bool(bright[x] < 0.5), one.bold)
            elif one.sign in "▀▄":  # the very dot: the other half stays picture
                other = lower[x] if one.sign == "▀" else upper[x]
                sign, look = one.sign, stroke(bool(bright[x] < 0.5), *other, False)
            else:
                mean = [(a + b) // 2 for a, b in zip(upper[x], lower[x], strict=True)]
                sign, look = one.sign, stroke(bool(bright[x] < 0.5), *mean, one.bold)
            if segments and segments[-1].style is look:
                segments[-1] = Segment(segments[-1].text + sign, look)
            else:
                segments.append(Segment(sign, look))
        return Strip(segments).adjust_cell_length(width, base)

    def _picture(self) -> Cells | None:
        if self.photo is None or self.view is None:
            return None
        mode = self.shown_mode()
        light = not self.app.current_theme.dark
        wanted = (self.photo.sha256, self.view, mode, self.gamma, light)
        if self._drawn != wanted:
            self._cells = cells_of(self.photo, self.view, mode, self.gamma, light)
            self._drawn = wanted
        return self._cells

    # --------------------------------------------------------------------------------- moving
    def coarse(self, by_mouse: bool = False) -> float:
        """Picture pixels that one cannot set apart at the present zoom: a dot, or a cell."""
        if self.view is None or (self.cursor == self._exact and not by_mouse):
            return 0.0
        across, down, _ = DOTS[self.shown_mode()]
        if not by_mouse:
            return max(self.view.scale, self.view.down)
        return max(self.view.scale * across, self.view.down * down)

    def point_at(self, x: float, y: float, by_mouse: bool = False) -> None:
        """Put the cursor on a point of the picture and bring it in sight."""
        if self.photo is None or self.view is None:
            return
        self.cursor = self._inside(x, y)
        self.view = self.view.showing(*self.cursor, margin=1.0)
        self._changed()
        self.post_message(self.Pointed(Mark(*self.cursor, self.coarse(by_mouse))))

    def _inside(self, x: float, y: float) -> tuple[float, float]:
        """The point, or the nearest one that the picture has."""
        assert self.photo is not None
        return min(max(x, 0.0), float(self.photo.width)), min(max(y, 0.0), float(self.photo.height))

    def snap(self) -> None:
        """Put the cursor on the corner or the middle of the hole next to it.

        Raises:
            BadInput: nothing stands out there.
        """
        if self.photo is None or self.view is None:
            return
        x, y, _ = snapped(self.photo, *self.cursor, _SNAP * self.view.scale)
        self._exact = (x, y)
        self.point_at(x, y)

    def action_step(self, across: int, down: int) -> None:
        """Move the cursor by dots; the picture follows at the edge."""
        if self.view is not None:
            x, y = self.cursor
            self.point_at(x + across * self.view.scale, y + down * self.view.down)

    def action_pan(self, across: int, down: int) -> None:
        """Move over the picture by half a window, the cursor with it."""
        if self.view is not None:
            before = self.view
            self.view = before.moved(across * before.columns / 2, down * before.rows / 2)
            x, y = self.cursor
            self.point_at(x + self.view.x - before.x, y + self.view.y - before.y)

    def action_zoom(self, steps: int, at: tuple[float, float] | None = None) -> None:
        """Nearer or farther by half, about the cursor or the pointer."""
        if self.view is not None:
            self.view = self.view.nearer(1.5**steps, at or self.cursor)
            self._changed()

    def action_whole(self) -> None:
        """All of the picture."""
        self.view = None
        self._fit()
        self._changed()

    def action_loupe(self) -> None:
        """Pixel for dot about the cursor, or back to the whole."""
        if self.view is None:
            return
        if self.view.scale <= 1.0 or self.view.farthest <= 1.0:
            self.action_whole()
        else:
            self.view = self.view.nearer(self.view.scale, self.cursor).showing(*self.cursor, 1.0)
            self._changed()

    def action_brighter(self) -> None:
        """Lift the dark parts of the picture, in steps; it begins anew after the last."""
        self.gamma = GAMMAS[(GAMMAS.index(self.gamma) + 1) % len(GAMMAS)]
        self._changed()

    def action_tones(self) -> None:
        """Draw it in colour, in dots or in letters."""
        names: list[Mode] = list(DOTS)
        self.mode = names[(names.index(self.shown_mode()) + 1) % len(names)]
        self._fit()
        self._changed()

    def action_put(self) -> None:
        """Ask for a mark where the cursor is."""
        if self.photo is not None:
            self.post_message(self.Put(Mark(*self.cursor, self.coarse())))

    # ---------------------------------------------------------------------------------- mouse
    def _under(self, event: events.MouseEvent) -> tuple[float, float]:
        """The picture's point under the pointer; the middle of a cell where no more is told."""
        assert self.view is not None
        offset = event.get_content_offset_capture(self)
        x, y = float(offset.x), float(offset.y)
        fine_x, fine_y = event.pointer_x % 1, event.pointer_y % 1
        whole = fine_x == 0 and fine_y == 0
        across, down, _ = DOTS[self.shown_mode()]
        column = (x + (0.5 if whole else fine_x)) * across
        row = (y + (0.5 if whole else fine_y)) * down
        return self.view.point(column, row)

    def _mark_near(self, point: tuple[float, float]) -> str:
        """Label of the mark within a cell of a point; the current one first."""
        assert self.view is not None
        across, down, _ = DOTS[self.shown_mode()]
        order = sorted(self.marks.labels.items(), key=lambda pair: pair[0] != self.current)
        for name, mark in order:
            if (abs(mark.x - point[0]) <= self.view.scale * across * 1.1
                    and abs(mark.y - point[1]) <= self.view.down * down * 0.9):  # fmt: skip
                return name
        return ""

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """Take hold of a mark, or of the picture."""
        if self.view is None or event.button != 1:
            return
        self._from = self._under(event)
        self._drag = self._mark_near(self._from)
        self._at, self._moved = event.screen_offset, False
        self.capture_mouse()

    def on_mouse_move(self, event: events.MouseMove) -> None:
        """Drag what was taken hold of."""
        if self._drag is None or self.view is None or event.screen_offset == self._at:
            return
        self._at, self._moved = event.screen_offset, True
        if self._drag:
            self.post_message(self.Dragged(self._drag, self._mark_at(event), False))
            return
        x, y = self._under(event)  # what was taken hold of stays under the pointer
        right, down = (self._from[0] - x) / self.view.scale, (self._from[1] - y) / self.view.down
        self.view = self.view.moved(right, down)
        self._changed()

    def on_mouse_up(self, event: events.MouseUp) -> None:
        """Let go."""
        if self._drag is None:
            return
        label, self._drag = self._drag, None
        self.release_mouse()
        if self.view is None:
            return
        if not self._moved:
            if label:
                self.post_message(self.Picked(label))
            else:
                self.point_at(*self._under(event), by_mouse=True)
        elif label:
            self.post_message(self.Dragged(label, self._mark_at(event), True))

    def _mark_at(self, event: events.MouseEvent) -> Mark:
        return Mark(*self._inside(*self._under(event)), self.coarse(by_mouse=True))

    def on_click(self, event: events.Click) -> None:
        """Ask for a mark on a second click at the same place."""
        if event.chain == 2 and self.view is not None and not self._mark_near(self._under(event)):
            self.post_message(self.Put(self._mark_at(event)))

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Nearer, about the pointer."""
        event.stop()
        if self.view is not None:
            self.action_zoom(1, self._under(event))

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Farther, about the pointer."""
        event.stop()
        if self.view is not None:
            self.action_zoom(-1, self._under(event))
