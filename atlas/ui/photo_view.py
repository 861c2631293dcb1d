"""A photo on screen, with a cursor that knows fractions of a cell and marks upon it."""

from dataclasses import dataclass
from typing import ClassVar, Literal

from textual import events
from textual.message import Message

from atlas.casework.marks import Mark
from atlas.drawing.photo import snapped
from atlas.drawing.tones import DOTS, Mode
from atlas.ui.photo_keys import PICTURE_KEYS
from atlas.ui.photo_window import PhotoWindow
from atlas.ui.terminal_graphics import Graphics

GAMMAS = (1.0, 1.6, 2.4, 0.7)  # as it is, lighter, much lighter, darker
Hand = Literal["keys", "cell", "pixel"]  # what a place was told by
_LEAP = 8  # dots
_SNAP = 3  # dots about the cursor in which a corner is looked for


class PhotoView(PhotoWindow, can_focus=True):
    """A window on a photo that moves, zooms, and says where somebody put a mark.

    The screen that holds it owns the marks: what is done here goes up as messages.
    """

    ALLOW_SELECT = False  # dragging moves marks and the picture, not a selection of text
    BINDINGS: ClassVar = PICTURE_KEYS

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

    def __init__(
        self,
        *,
        id: str | None = None,
        ascii_only: bool = False,
        graphics: Graphics | None = None,
    ) -> None:
        super().__init__(id=id, ascii_only=ascii_only, graphics=graphics)
        self._exact: tuple[float, float] | None = None  # where the picture itself said so
        self._drag: str | None = None  # label of a mark, or empty for the picture itself
        self._from: tuple[float, float] = (0.0, 0.0)
        self._at = (0.0, 0.0)  # of the pointer when it was last seen
        self._moved = False

    # --------------------------------------------------------------------------------- moving
    def coarse(self, by: Hand = "keys") -> float:
        """Picture pixels that one cannot set apart at the present zoom: a step, a cell or a dot."""
        if self.view is None or (self.cursor == self._exact and by == "keys"):
            return 0.0
        across, down = self.grain()[:2] if by == "cell" else (1, 1)
        steps = self.stride if by == "keys" else 1
        return max(self.view.scale * across, self.view.down * down) * steps

    def point_at(self, x: float, y: float, by: Hand = "keys") -> None:
        """Put the cursor on a point of the picture and bring it in sight."""
        if self.photo is None or self.view is None:
            return
        self.cursor = self._inside(x, y)
        self.view = self.view.showing(*self.cursor, margin=1.0)
        self.changed()
        self.post_message(self.Pointed(Mark(*self.cursor, self.coarse(by))))

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
            step = self.stride
            self.point_at(x + across * step * self.view.scale, y + down * step * self.view.down)

    def action_leap(self, across: int, down: int) -> None:
        """Move the cursor farther: eight dots, or four cells where dots are pixels."""
        dots = 4 * self.grain()[0] if self.shows_pixels else _LEAP
        steps = dots // self.stride
        self.action_step(across * steps, down * steps)

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
            self.changed()

    def action_whole(self) -> None:
        """All of the picture."""
        self.view = None
        self.fit()
        self.changed()

    def action_loupe(self) -> None:
        """Pixel for dot about the cursor, or back to the whole."""
        if self.view is None:
            return
        if self.view.scale <= 1.0 or self.view.farthest <= 1.0:
            self.action_whole()
        else:
            self.view = self.view.nearer(self.view.scale, self.cursor).showing(*self.cursor, 1.0)
            self.changed()

    def action_brighter(self) -> None:
        """Lift the dark parts of the picture, in steps; it begins anew after the last."""
        self.gamma = GAMMAS[(GAMMAS.index(self.gamma) + 1) % len(GAMMAS)]
        self.changed()

    def action_tones(self) -> None:
        """Draw it in colour, in dots or in letters."""
        names: list[Mode | None] = [*DOTS]
        if self.graphics is not None and not self.ascii_only:
            names.insert(0, None)  # in pixels
        now = self.mode if self.mode in names else self.shown_mode()
        self.mode = names[(names.index(now) + 1) % len(names)]
        if self.mode is not None:
            self.forget()
        self.fit()
        self.changed()
        self.refresh()

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
        whole = _hand(event) == "cell"
        across, down, _ = self.grain()
        column = (x + (0.5 if whole else fine_x)) * across
        row = (y + (0.5 if whole else fine_y)) * down
        return self.view.point(column, row)

    def _mark_near(self, point: tuple[float, float]) -> str:
        """Label of the mark within a cell of a point; the current one first."""
        assert self.view is not None
        across, down, _ = self.grain()
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
        self._at, self._moved = _place(event), False
        self.capture_mouse()

    def on_mouse_move(self, event: events.MouseMove) -> None:
        """Drag what was taken hold of."""
        if self._drag is None or self.view is None or _place(event) == self._at:
            return
        self._at, self._moved = _place(event), True
        if self._drag:
            self.post_message(self.Dragged(self._drag, self._mark_at(event), False))
            return
        x, y = self._under(event)  # what was taken hold of stays under the pointer
        right, down = (self._from[0] - x) / self.view.scale, (self._from[1] - y) / self.view.down
        self.view = self.view.moved(right, down)
        self.changed()

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
                self.point_at(*self._under(event), _hand(event))
        elif label:
            self.post_message(self.Dragged(label, self._mark_at(event), True))

    def _mark_at(self, event: events.MouseEvent) -> Mark:
        return Mark(*self._inside(*self._under(event)), self.coarse(_hand(event)))

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


def _hand(event: events.MouseEvent) -> Hand:
    """Whether the terminal tells the pointer's pixel, or its cell only."""
    return "pixel" if event.pointer_x % 1 or event.pointer_y % 1 else "cell"


def _place(event: events.MouseEvent) -> tuple[float, float]:
    return event.pointer_screen_x, event.pointer_screen_y
