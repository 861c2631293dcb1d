"""A photo with marks on it: known points and lengths in, lengths with their ranges out."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, ClassVar

import msgspec
from textual import on, work
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.events import ScreenResume, ScreenSuspend
from textual.message import Message
from textual.reactive import reactive
from textual.screen import Screen
from textual.widgets import Footer, Static

from atlas.casework.marks import Mark, Marks, check_inside
from atlas.casework.photo_lengths import CALCULATOR, Measured
from atlas.catalogue.visible import visible
from atlas.drawing.photo import Photo, read_photo
from atlas.errors import AtlasError
from atlas.ui import photo_strings, strings
from atlas.ui.desk import Desk
from atlas.ui.lengths_page import LengthsPage
from atlas.ui.mark_rows import MarkRows, as_typed
from atlas.ui.mark_steps import MarkSteps
from atlas.ui.photo_keys import SCREEN_KEYS
from atlas.ui.photo_page import mark_hint, picture_title, plain_lengths
from atlas.ui.photo_view import PhotoView
from atlas.ui.photo_ways import ask_shape, marks_kept, to_calculator, to_case
from atlas.ui.places import Go, Place, WayBack
from atlas.ui.terminal_graphics import Graphics
from atlas.ui.top_bar import PaneTabs, TopBar, bring_to_front, stand_on, titled


class PhotoScreen(Screen[None]):
    """One photo, with what is marked on it.

    Args:
        desk: the library on the table.
        path: of the photo.
        case_id: the case that it belongs to; empty for none.
        marks: marks to begin with, as JSON; empty for those that the case keeps.
        ascii_only: draw with ASCII characters only.
        graphics: how pixels get on the terminal, if it has any.
    """

    CSS_PATH = "photo.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide"), (150, "-roomy")]  # noqa: RUF012
    BINDINGS: ClassVar = SCREEN_KEYS

    KEYS_OF: ClassVar = ((photo_strings.KEYS_PICTURE, PhotoView),)  # for the help

    pane: reactive[str] = reactive("picture")
    marks: reactive[Marks] = reactive(Marks(), init=False)
    current: reactive[str] = reactive("", init=False)

    @dataclass
    class Loaded(Message):
        """The file was read, or refused."""

        photo: Photo | None
        error: AtlasError | None

    def __init__(
        self,
        desk: Desk,
        path: str,
        case_id: str = "",
        marks: str = "",
        ascii_only: bool = False,
        graphics: Graphics | None = None,
    ) -> None:
        super().__init__()
        self._desk = desk
        self._path = path
        self._case_id = case_id
        self._ascii = ascii_only
        self._graphics = graphics
        self._given = bool(marks)
        self._steps = MarkSteps(msgspec.json.decode(marks, type=Marks) if marks else Marks())
        self.set_reactive(PhotoScreen.marks, self._steps.now)
        self._photo: Photo | None = None
        self._refused: AtlasError | None = None  # what is typed and cannot be read

    def compose(self) -> ComposeResult:
        """The picture; beside it the marks and what they give."""
        yield TopBar("photo", photo_strings.PHOTO_TITLE)
        yield PaneTabs({"picture": photo_strings.PHOTO_TITLE, "rows-pane": photo_strings.MARKS_PANE,
                        "lengths": strings.RESULTS})  # fmt: skip
        with Horizontal(id="work"):
            view = titled(
                PhotoView(id="picture", ascii_only=self._ascii, graphics=self._graphics),
                photo_strings.PHOTO_READING,
            )
            yield view.data_bind(PhotoScreen.marks, PhotoScreen.current)
            with Vertical(id="beside"):
                with titled(Vertical(id="rows-pane"), photo_strings.MARKS_PANE):
                    yield MarkRows(can_focus=False).data_bind(
                        PhotoScreen.marks, PhotoScreen.current
                    )
                    yield Static("", id="marks-hint", markup=False)
                page = titled(LengthsPage(id="lengths"), strings.RESULTS)
                yield page.data_bind(PhotoScreen.marks)
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Read the file."""
        bring_to_front(self, "", "picture")
        self._picture.focus()
        self._read()

    @property
    def _picture(self) -> PhotoView:
        return self.query_one("#picture", PhotoView)

    # -------------------------------------------------------------------------------- reading
    @work(thread=True, group="photo")
    def _read(self) -> None:
        try:
            self.post_message(self.Loaded(read_photo(self._path), None))
        except AtlasError as error:
            self.post_message(self.Loaded(None, error))

    @on(Loaded)
    def _show_photo(self, event: Loaded) -> None:
        view, page = self._picture, self.query_one("#lengths", LengthsPage)
        photo = self._photo = event.photo
        if photo is None:
            page.of(None, event.error)
            return
        view.photo = photo
        kept = None if self._given else marks_kept(self, self._desk, self._case_id, photo.sha256)
        if kept is not None:
            self._steps.now = self.marks = kept
        try:
            check_inside(self.marks, photo.width, photo.height)
        except AtlasError as error:
            self.notify(visible(str(error)), severity="warning", markup=False, timeout=10)
        page.of(photo)
        self._hint()

    @on(LengthsPage.Written)
    def _title(self) -> None:
        """Name and first result over the picture, where the other panes may not be in sight."""
        short = self.query_one("#lengths", LengthsPage).in_short
        self._picture.entitle(picture_title(self._path, self._photo, short))

    def frame_comes(self, screen: Screen[Any], update: Any) -> None:
        """A frame comes, of this screen or of one over it: cells take pixels away."""
        for view in self.query(PhotoView):
            view.frame_comes(update, screen is self)

    def draw_with(self, graphics: Graphics | None) -> None:
        """Draw in pixels from now on, or no longer."""
        self._picture.draw_with(graphics)

    @on(ScreenSuspend)
    @on(ScreenResume)
    def _below(self) -> None:
        """Cells under a dialog, where pixels would lie over it; the picture again after."""
        self._picture.refresh()

    # -------------------------------------------------------------------------------- marking
    def _change(self, marks: Marks, typing: str = "") -> None:
        """Take new marks as a step that can be taken back."""
        self._steps.change(marks, typing)
        self.marks = self._steps.now

    def watch_marks(self) -> None:
        """Let go of a mark that is gone; say what is to be done."""
        if self.current not in self.marks.labels:
            self.current = ""
        if self.is_mounted:
            self._hint()

    def watch_current(self) -> None:
        """Say what the mark is."""
        if self.is_mounted:
            self._hint()

    @on(PhotoView.Put)
    def _put(self, event: PhotoView.Put) -> None:
        if self._steps.held is not None:
            self._set_down()
            return
        self._add(self.marks.add_next, event.mark)

    def _add(self, how: Callable[[Mark], Marks], mark: Mark) -> None:
        before = set(self.marks.labels)
        if self._photo is None:
            return
        try:
            self._change(how(mark))
        except AtlasError as error:
            self.notify(visible(str(error)), severity="warning", markup=False)
        else:
            self.current = next(iter(set(self.marks.labels) - before), "")

    @on(PhotoView.Pointed)
    def _pointed(self, event: PhotoView.Pointed) -> None:
        if self._steps.held is not None and self.current:
            self._drift(self.marks.moved(self.current, event.mark))

    def _drift(self, marks: Marks) -> None:
        self._steps.drift(marks)
        self.marks = marks

    @on(PhotoView.Picked)
    def _picked(self, event: PhotoView.Picked) -> None:
        self._go_to(event.label)

    @on(PhotoView.Dragged)
    def _dragged(self, event: PhotoView.Dragged) -> None:
        if event.label not in self.marks.labels:
            return
        self._steps.hold()
        self.current = event.label
        self._drift(self.marks.moved(event.label, event.mark))
        if event.done:
            self._set_down()

    def _set_down(self) -> None:
        self._steps.set_down()
        self._hint()

    def _go_to(self, label: str) -> None:
        mark = self.marks.labels.get(label)
        if mark is not None and self._steps.held is None:
            self.current = label
            self._picture.point_at(mark.x, mark.y)

    # ---------------------------------------------------------------------------------- typed
    @on(MarkRows.Typed)
    def _typed(self, event: MarkRows.Typed) -> None:
        rows = self.query_one(MarkRows)
        try:
            marks = as_typed(self.marks, event)
            if self._photo is not None:
                check_inside(marks, self._photo.width, self._photo.height)
            self._change(marks, f"{event.label}{event.second}")
            self._refused = None
        except AtlasError as error:
            self._refused = error
        rows.refuse(event.label, self._refused is not None)
        self._hint()

    @on(MarkRows.Turned)
    def _turned(self, event: MarkRows.Turned) -> None:
        self._change(self.marks.lying("line" if event.on == "line" else "plane"))

    @on(MarkRows.Entered)
    def _entered(self, event: MarkRows.Entered) -> None:
        self._go_to(event.label)

    def _hint(self) -> None:
        held = self.current if self._steps.held is not None else ""
        lines = mark_hint(self.marks, self.current, held, self._refused)
        if (hint := self.query_one("#marks-hint", Static)).content != lines:
            hint.update(lines)  # which lays out all anew

    @property
    def _ready(self) -> Measured | None:
        """What was measured, if it is of the present marks; else None, and a word of why."""
        page = self.query_one("#lengths", LengthsPage)
        if page.ready is None:
            self.notify(page.lacking, severity="warning", markup=False)
        return page.ready

    # -------------------------------------------------------------------------------- actions
    def action_mark_as(self, kind: str) -> None:
        """One more known point, or end of a length, at the cursor."""
        view = self._picture
        if self._steps.held is None:
            how = self.marks.add_known if kind == "known" else self.marks.add_wanted
            self._add(how, Mark(*view.cursor, view.coarse()))

    def action_next(self, step: int) -> None:
        """To the next mark in their order."""
        labels = list(self.marks.labels)
        if labels:
            at = labels.index(self.current) if self.current in labels else (-1 if step > 0 else 0)
            self._go_to(labels[(at + step) % len(labels)])

    def action_hold(self) -> None:
        """Take a mark up, or set it down."""
        if self._steps.held is not None:
            self._set_down()
        elif self.current:
            self._go_to(self.current)
            self._steps.hold()
            self._hint()
            self.action_pane("picture")
        else:
            self.action_next(1)

    def action_snap(self) -> None:
        """To the corner or hole next to the cursor; the mark that is there goes along."""
        view = self._picture
        mark = self.marks.labels.get(self.current)
        there = mark is not None and (mark.x, mark.y) == view.cursor
        try:
            view.snap()
        except AtlasError as error:
            self.notify(visible(str(error)), severity="warning", markup=False)
            return
        if there and self._steps.held is None:
            self._change(self.marks.moved(self.current, Mark(*view.cursor, view.coarse())))

    def action_edit(self) -> None:
        """Type the place of the current mark."""
        label = self.current or next(iter(self.marks.labels), "scatter")
        self.action_pane("rows-pane")
        self.query_one(MarkRows).enter(label, second=True)

    def action_delete(self) -> None:
        """Take the current mark away."""
        if self.current and self._steps.held is None:
            self._change(self.marks.without(self.current))

    def action_undo(self) -> None:
        """One step back."""
        self._steps.undo()
        self._stepped()

    def action_redo(self) -> None:
        """One step forward again."""
        self._steps.redo()
        self._stepped()

    def _stepped(self) -> None:
        self._refused = None
        self.marks = self._steps.now
        self._hint()

    def action_shape(self) -> None:
        """Places of a shape for the known points."""
        ask_shape(self, self.marks, self._change)

    def action_to_case(self) -> None:
        """Keep photo, lengths and run on a case."""
        measured, photo = self._ready, self._photo
        if measured is not None and photo is not None:
            to_case(self, self._desk, self._case_id, measured, self._path, photo.sha256,
                    lambda case_id: setattr(self, "_case_id", case_id))  # fmt: skip

    def action_use(self) -> None:
        """Hand the lengths to a calculator."""
        measured = self._ready
        if measured is not None:
            to_calculator(self, self._desk, self._case_id, measured)

    def action_form(self) -> None:
        """The same as readings of the calculator."""
        if self._ready is not None:
            inputs = tuple(self.marks.inputs().items())
            self.post_message(Go(Place("calculator", CALCULATOR, inputs=inputs)))

    def action_copy(self) -> None:
        """Send the lengths to the terminal's clipboard."""
        measured = self._ready
        if measured is not None:
            self.app.copy_to_clipboard(plain_lengths(self._path, self._photo, measured))
            self.notify(photo_strings.SENT_ONLY, markup=False)

    # ---------------------------------------------------------------------------------- panes
    def watch_pane(self, old: str, new: str) -> None:
        """Tell the style sheet which pane is in front."""
        if self.is_mounted:
            bring_to_front(self, old, new)

    def action_pane(self, pane: str) -> None:
        """Bring a pane to the front."""
        self.pane = pane
        if pane == "rows-pane":
            stand_on(self, self.query_one("#surface"))
            if self.current:
                self.query_one(MarkRows).enter(self.current)
        else:
            stand_on(self, self.query_one(f"#{pane}"))

    def on_descendant_focus(self, event: Any) -> None:
        """The pane that has the focus is the one in front."""
        name = event.widget.id
        self.pane = name if name in ("picture", "lengths") else "rows-pane"

    def action_outward(self) -> None:
        """Put a held mark back; from the rows to the picture; from there back."""
        if self._steps.held is not None:
            self.action_undo()
        elif self.pane != "picture":
            self.action_pane("picture")
        else:
            self.post_message(WayBack())

    @property
    def place(self) -> Place:
        """Where one is, with what is marked."""
        marks = msgspec.json.encode(self.marks).decode()
        return Place("photo", self._path, inputs=(("case", self._case_id), ("marks", marks)))
