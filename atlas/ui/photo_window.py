"""A part of a photo with marks upon it: in pixels where the terminal can, else in its cells."""

from dataclasses import replace
from typing import Any, Self

from textual.content import Content
from textual.geometry import Region
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from atlas.casework.marks import Marks
from atlas.drawing.photo import Photo
from atlas.drawing.tones import DOTS, Cells, Mode, cells_of
from atlas.drawing.viewport import Viewport
from atlas.ui import photo_strings
from atlas.ui.photo_cells import line_of, with_pictures
from atlas.ui.photo_feed import Feed
from atlas.ui.photo_ink import inked
from atlas.ui.photo_overlay import Over, overlay
from atlas.ui.photo_pixels import Aim
from atlas.ui.terminal_graphics import Graphics, cell_size


class PhotoWindow(Widget):
    """Draws what is in sight of a photo, its marks and a cursor, and says on its frame where.

    Args:
        ascii_only: draw with ASCII characters only.
        graphics: how pixels get on the terminal, if it has any.
    """

    photo: reactive[Photo | None] = reactive(None, init=False)
    # Not repainted by themselves: over pixels, only what they change is sent.
    marks: reactive[Marks] = reactive(Marks(), init=False, repaint=False)
    current: reactive[str] = reactive("", init=False, repaint=False)

    def __init__(
        self,
        *,
        id: str | None = None,
        ascii_only: bool = False,
        graphics: Graphics | None = None,
    ) -> None:
        super().__init__(id=id)
        self.ascii_only = ascii_only
        self.graphics = graphics
        self.view: Viewport | None = None
        self.cursor = (0.0, 0.0)
        self.mode: Mode | None = None  # as the terminal allows, until somebody chooses
        self.gamma = 1.0
        self._across = 1  # dots to a cell's width, of ``view``
        self._cells: Cells | None = None
        self._drawn: tuple[object, ...] = ()
        self._over: Over = {}
        self._feed: Feed | None = None
        self._edge_only = False

    # -------------------------------------------------------------------------------- looking
    def shown_mode(self) -> Mode:
        """How the picture is drawn: as chosen, else the best that the terminal has."""
        if self.mode is not None:
            return self.mode
        if self.ascii_only:
            return "letters"
        few = self.app.console.color_system not in ("truecolor", "256")
        return "dots" if few or self.app.native_ansi_color else "colour"

    @property
    def shows_pixels(self) -> bool:
        """Whether the terminal draws it in pixels: it can, and nobody chose otherwise."""
        if self.graphics is None or self.mode is not None or self.ascii_only:
            return False
        if self.app.native_ansi_color:
            return False  # what colour is beside the picture only the terminal knows
        # Placeholders say by an exact colour whose they are.
        by_text = self.graphics.way == "placeholders"
        return not by_text or self.app.console.color_system == "truecolor"

    def draw_with(self, graphics: Graphics | None) -> None:
        """Draw in pixels from now on, or no longer."""
        self.forget()
        self.graphics = graphics
        self.fit()
        self.changed()
        self.refresh()  # the same cells, and pixels over them no longer

    def grain(self) -> tuple[int, int, float]:
        """Dots across and down a cell, and how tall one is for its width."""
        if self.graphics is not None and self.shows_pixels:
            return *self.graphics.cell, 1.0
        return DOTS[self.shown_mode()]

    @property
    def stride(self) -> int:
        """Dots to a step of the cursor: pixels are too small for one each."""
        return max(self.grain()[0] // 4, 1)

    def watch_photo(self, photo: Photo | None) -> None:
        """Show the whole of another photo."""
        self.view = None
        if photo is not None:
            self.cursor = (photo.width / 2, photo.height / 2)
            self.fit()
        self.changed()

    def watch_marks(self) -> None:
        """Draw the marks anew."""
        self.changed()

    def watch_current(self) -> None:
        """Draw the mark that is meant anew."""
        self.changed()

    def on_resize(self) -> None:
        """Keep the middle of the window."""
        self.fit()
        self.changed()

    def fit(self) -> None:
        """Make the window as large as the widget; what was in sight stays so."""
        if self.photo is None or not self.size.area:
            return
        if self.graphics is not None and (cell := cell_size()) is not None:
            self.graphics = replace(self.graphics, cell=cell)  # the letters' size may change
        across, down, tall = self.grain()
        columns, rows = self.size.width * across, self.size.height * down
        if self.view is None:
            self.view = Viewport(self.photo.width, self.photo.height, columns, rows, tall=tall)
            self.view = self.view.placed()
        else:
            # What is a dot may have changed; the whole stays the whole.
            whole = self.view.scale >= self.view.farthest * (1 - 1e-9)
            scale = 0.0 if whole else self.view.scale * self._across / across
            self.view = replace(self.view, scale=scale).resized(columns, rows, tall)
        self._across = across

    def changed(self) -> None:
        """Draw anew what is in sight or lies on it, and say where one is."""
        view = self._cell_view()
        if self.view is None or view is None:
            self.refresh()
            return
        before = self._over
        self._over = overlay(
            view, self.shown_mode(), self.marks, self.current, self.cursor,
            self.size.width, self.size.height,
        )  # fmt: skip
        x, y = self.cursor
        near = self.view.farthest / self.view.scale
        per_dot = f"{self.view.scale:.3g}"
        self.entitle(below=photo_strings.WHERE.format(x=x, y=y, per_dot=per_dot, near=near))
        if self.shows_pixels:
            if self._look():
                self.refresh()
        elif self._drawn == self._picture_of(view):
            # Only the lines in which a sign comes or goes: a large window has many cells.
            lines = {y for (y, _), _ in before.items() ^ self._over.items()}
            if lines:
                self.refresh(*(Region(0, y, self.size.width, 1) for y in lines))
        else:
            self.refresh()

    def _picture_of(self, view: Viewport) -> tuple[object, ...]:
        """What the cells of the picture follow from."""
        sha256 = self.photo.sha256 if self.photo is not None else ""
        return sha256, view, self.shown_mode(), self.gamma, not self.app.current_theme.dark

    def entitle(self, above: Content | None = None, below: str | None = None) -> None:
        """Write on the frame; what is within stays as it is."""
        self._edge_only = True
        if above is not None:
            self.border_title = above
        if below is not None and below != self.border_subtitle:
            self.border_subtitle = below
        self._edge_only = False

    def refresh(
        self,
        *regions: Region,
        repaint: bool = True,
        layout: bool = False,
        recompose: bool = False,
    ) -> Self:
        """Draw anew; a title draws its edge only, since pixels would have to be sent again."""
        if self._edge_only and not regions:
            width, height = self.size
            regions = tuple(Region(-1, y, width + 2, 1) for y in (-1, height))
        return super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)

    # -------------------------------------------------------------------------------- drawing
    def render_line(self, y: int) -> Strip:
        """Give the compositor one line."""
        base = self.visual_style.rich_style
        width = self.size.width
        cells = self._picture()
        if cells is None or y >= len(cells.signs):
            return Strip.blank(width, base)
        line = line_of(cells, self._over, y, base)
        if self._feed is not None and self.shows_pixels and self.screen.is_active:
            line = with_pictures(line, self._feed.pixels, y)
        return Strip(line).adjust_cell_length(width, base)

    def _picture(self) -> Cells | None:
        view = self._cell_view()
        if self.photo is None or view is None:
            return None
        wanted = self._picture_of(view)
        if self._drawn != wanted:
            light = not self.app.current_theme.dark
            self._cells = cells_of(self.photo, view, self.shown_mode(), self.gamma, light)
            self._drawn = wanted
        return self._cells

    def _cell_view(self) -> Viewport | None:
        """The window in the dots of cells, which lie under the pixels and show until they come."""
        if self.view is None or not self.shows_pixels:
            return self.view
        wide, tall = self.grain()[:2]
        across, down, _ = DOTS[self.shown_mode()]
        return replace(
            self.view, columns=across * self.size.width, rows=down * self.size.height,
            scale=self.view.scale * wide / across, tall=(tall / down) / (wide / across),
        )  # fmt: skip

    # --------------------------------------------------------------------------------- pixels
    def _look(self) -> bool:
        """Have the pixels sent that are in sight now; whether it is another part or size."""
        photo, view, graphics = self.photo, self.view, self.graphics
        if photo is None or view is None or graphics is None or not self.size.area:
            return False  # or it is not in sight
        if self._feed is None or self._feed.pixels.graphics != graphics:
            self.forget()
            self._feed = Feed(self, graphics, lambda: self.shows_pixels)
        ground = self.background_colors[1].rgb
        ink = inked(view, self.marks, self.current, self.cursor, graphics.cell)
        return self._feed.look(Aim(photo, view, self.gamma, ground, *self.size), ink)

    def frame_comes(self, update: Any, ours: bool) -> None:
        """A frame comes, of the window's own screen or of another."""
        if self._feed is not None:
            self._feed.frame_comes(update, ours)

    def forget(self) -> None:
        """Take its pixels from the terminal."""
        if self._feed is not None:
            self._feed.forget()
            self._feed = None

    def on_unmount(self) -> None:
        """Leave nothing behind."""
        self.forget()
