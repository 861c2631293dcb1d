"""A pattern's sketches: views, zoom, and what the cue under the cursor is about."""

from typing import ClassVar

from rich.segment import Segment
from rich.style import Style as RichStyle
from textual import events
from textual.binding import Binding
from textual.reactive import reactive
from textual.strip import Strip
from textual.style import Style
from textual.widget import Widget

from atlas.catalogue.model import Sketch
from atlas.drawing.grid import Grid
from atlas.drawing.picture import Picture
from atlas.ui import strings
from atlas.ui.themes import DRAWN

Window = tuple[float, float, float, float]
_MOST_ZOOM = 8.0


class Drawing(Widget):
    """Shows a picture in the styles of the theme.

    The looks are read off the theme's variables and not declared as component classes: twenty of
    those on each drawing would take a third of the time to the first screen.
    """

    picture: reactive[Picture | None] = reactive(None, always_update=True)
    lit: reactive[frozenset[str]] = reactive(frozenset())
    window: reactive[Window | None] = reactive(None)

    def __init__(self, *, id: str | None = None, ascii_only: bool = False) -> None:
        super().__init__(id=id)
        self.ascii_only = ascii_only
        self._grid: Grid | None = None
        self._drawn: tuple[object, ...] = ()
        self._looks: dict[str, RichStyle] = {}

    def fit(self, width: int, height: int) -> Picture | None:
        """Return the picture for a size; plots lay themselves out, sketches do not."""
        return self.picture

    def grid(self) -> Grid | None:
        """Return the cells as drawn for the present size, zoom and highlight."""
        width, height = self.size
        picture = self.fit(width, height)
        if picture is None or width < 2 or height < 1:
            return None
        wanted = (id(picture), width, height, self.lit, self.window, self.ascii_only)
        if self._grid is None or self._drawn != wanted:
            from atlas.drawing.terminal import draw

            rows = height
            grid = draw(picture, width, rows, ascii_only=self.ascii_only, lit=self.lit,
                        window=self.window)  # fmt: skip
            if grid.key and not picture.stretch:  # the key takes lines of its own
                rows = max(4, height - len(grid.key))
                grid = draw(picture, width, rows, ascii_only=self.ascii_only, lit=self.lit,
                            window=self.window)  # fmt: skip
            self._grid, self._drawn = grid, wanted
        return self._grid

    def render_line(self, y: int) -> Strip:
        """Give the compositor one line."""
        grid = self.grid()
        base = self.visual_style.rich_style
        width = self.size.width
        if grid is None:
            return Strip.blank(width, base)
        if y < grid.height:
            segments = [Segment(text, self._look(style)) for text, style in grid.runs(y)]
        elif y - grid.height < len(grid.key):
            segments = [Segment(grid.key[y - grid.height], self._look("label"))]
        else:
            segments = []
        return Strip(segments).adjust_cell_length(width, base)

    def notify_style_update(self) -> None:
        """Read the looks anew."""
        super().notify_style_update()
        self._looks.clear()

    def _look(self, style: str) -> RichStyle:
        base = self.visual_style.rich_style
        if not style:
            return base
        look = self._looks.get(style)
        if look is None:
            words = DRAWN[style]
            parsed = Style.parse(words, self.app.theme_variables)
            look = self._looks[style] = base + parsed.rich_style
        return look


class SketchView(Drawing, can_focus=True):
    """The sketches of one pattern, one view at a time."""

    BINDINGS: ClassVar = [
        Binding("v", "turn(1)", strings.VIEW, id="sketch.view", tooltip=strings.VIEW_TIP),
        Binding("plus,equals_sign", "zoom(1)", strings.ZOOM_IN, id="sketch.in", show=False,
                tooltip=strings.ZOOM_IN),
        Binding("minus", "zoom(-1)", strings.ZOOM_OUT, id="sketch.out", show=False,
                tooltip=strings.ZOOM_OUT),
        Binding("0", "whole", strings.WHOLE, id="sketch.whole", show=False, tooltip=strings.WHOLE),
        Binding("left", "shift(-1,0)", "Left", show=False, id="sketch.left", tooltip="Left"),
        Binding("right", "shift(1,0)", "Right", show=False, id="sketch.right", tooltip="Right"),
        Binding("up", "shift(0,1)", "Up", show=False, id="sketch.up", tooltip="Up"),
        Binding("down", "shift(0,-1)", "Down", show=False, id="sketch.down", tooltip="Down"),
    ]  # fmt: skip

    view: reactive[int] = reactive(0)
    zoom: reactive[float] = reactive(1.0)

    def __init__(self, *, id: str | None = None, ascii_only: bool = False) -> None:
        super().__init__(id=id, ascii_only=ascii_only)
        self._sketches: tuple[Sketch, ...] = ()
        self._pictures: list[Picture] = []
        self._centre = (0.5, 0.5)

    def show(self, sketches: tuple[Sketch, ...]) -> None:
        """Replace the sketches and start with the first view."""
        if sketches is self._sketches:
            return
        self._sketches = sketches
        if sketches:
            from atlas.drawing.sketch import picture_of

            self._pictures = [picture_of(sketch) for sketch in sketches]
        else:
            self._pictures = []
        self.set_reactive(SketchView.view, 0)
        self._place()

    def light(self, marks: frozenset[str]) -> None:
        """Highlight shapes; go to a view that shows them where the present one does not."""
        shown = self._pictures[self.view].marks if self._pictures else frozenset()
        if marks and not marks & shown:
            found = next((i for i, p in enumerate(self._pictures) if marks & p.marks), None)
            if found is not None:
                self.view = found
        self.lit = marks

    def watch_view(self) -> None:
        """Show the chosen view whole."""
        self._place()

    def watch_zoom(self) -> None:
        """Recompute the part that is shown."""
        self._window()

    def _place(self) -> None:
        self._centre = (0.5, 0.5)
        self.set_reactive(SketchView.zoom, 1.0)
        self.window = None
        if not self._pictures:
            self.picture = None
            self.border_title, self.border_subtitle = strings.SKETCH, strings.NO_SKETCH
            return
        self.picture = self._pictures[self.view]
        self._titles()

    def _titles(self) -> None:
        sketch = self._sketches[self.view]
        from textual.content import Content

        self.border_title = Content(f"{strings.SKETCH} · {sketch.title}")
        several = f"{self.view + 1}/{len(self._sketches)} " if len(self._sketches) > 1 else ""
        near = f" ×{self.zoom:.3g}" if self.zoom > 1 else ""
        self.border_subtitle = Content(f"{several}{strings.VIEWS[sketch.view]}{near}")

    def _window(self) -> None:
        picture = self.picture
        if picture is None or self.zoom <= 1.0:
            self.window = None
        else:
            half_w, half_h = picture.width / self.zoom / 2, picture.height / self.zoom / 2
            x = min(max(self._centre[0] * picture.width, half_w), picture.width - half_w)
            y = min(max(self._centre[1] * picture.height, half_h), picture.height - half_h)
            self._centre = (x / picture.width, y / picture.height)
            self.window = (x - half_w, y - half_h, x + half_w, y + half_h)
        if picture is not None:
            self._titles()

    def action_turn(self, step: int) -> None:
        """Next view."""
        if self._pictures:
            self.view = (self.view + step) % len(self._pictures)

    def action_zoom(self, step: int) -> None:
        """Nearer or farther by half."""
        self.zoom = min(max(self.zoom * 1.5**step, 1.0), _MOST_ZOOM)

    def action_whole(self) -> None:
        """Show the whole sheet."""
        self._place()

    def action_shift(self, across: int, up: int) -> None:
        """Move over the sheet while zoomed in; else turn to the next view."""
        if self.zoom <= 1.0:
            if across:
                self.action_turn(across)
            return
        step = 0.25 / self.zoom
        self._centre = (self._centre[0] + across * step, self._centre[1] + up * step)
        self._window()

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Zoom in with the wheel."""
        event.stop()
        self.action_zoom(1)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Zoom out with the wheel."""
        event.stop()
        self.action_zoom(-1)

    def on_click(self) -> None:
        """Turn to the next view."""
        self.action_turn(1)
