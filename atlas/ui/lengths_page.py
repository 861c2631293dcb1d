"""The lengths that the marks on a photo give, computed as one marks."""

from dataclasses import dataclass

from textual import on, work
from textual.message import Message
from textual.reactive import reactive

from atlas.calculators.declare import figures
from atlas.casework.marks import Marks
from atlas.casework.photo_lengths import Measured, measure
from atlas.catalogue.visible import visible
from atlas.drawing.photo import Photo
from atlas.errors import AtlasError
from atlas.ui import photo_strings
from atlas.ui.pacing import Pacing
from atlas.ui.page import Page
from atlas.ui.photo_page import length_blocks


class LengthsPage(Page):
    """Runs off the event loop, one run at a time, on the marks as they are when it begins."""

    marks: reactive[Marks] = reactive(Marks(), init=False)

    @dataclass
    class Computed(Message):
        """A run is done."""

        measured: Measured | None
        error: AtlasError | None

    @dataclass
    class Written(Message):
        """The page says something else now."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._photo: Photo | None = None
        self._measured: Measured | None = None
        self._error: AtlasError | None = None
        self._pacing = Pacing(self, self._recompute)

    def of(self, photo: Photo | None, error: AtlasError | None = None) -> None:
        """Measure on this photo; or say why there is none."""
        self._photo, self._error = photo, error
        if photo is None:
            self._write_out()
        else:
            self._pacing.soon()

    def watch_marks(self) -> None:
        """Run anew, a moment after the last change."""
        self._pacing.soon()

    @property
    def ready(self) -> Measured | None:
        """What was measured, if it is of the present marks."""
        measured = self._measured
        fits = measured is not None and measured.marks == self.marks and self._error is None
        return measured if fits else None

    @property
    def lacking(self) -> str:
        """Why nothing is ready, in words."""
        return (
            visible(str(self._error))
            if self._error
            else f"{photo_strings.TO_DO}{self.marks.missing}"
        )

    def _recompute(self) -> bool:
        if self._photo is None:
            return False
        if self.marks.missing:
            self._measured = self._error = None
            self._write_out()
            return False
        self._run(self.marks, self._photo.sha256)
        return True

    @work(thread=True, group="run")
    def _run(self, marks: Marks, sha256: str) -> None:
        try:
            self.post_message(self.Computed(measure(marks, sha256), None))
        except AtlasError as error:
            self.post_message(self.Computed(None, error))

    @on(Computed)
    def _take(self, event: Computed) -> None:
        event.stop()
        if not self._pacing.over():
            return
        self._error = event.error
        if event.measured is not None:
            self._measured = event.measured
        self._write_out()

    def _write_out(self) -> None:
        self.set_class(self._error is not None and self._measured is not None, "-stale")
        self.show(length_blocks(self._photo, self.marks, self._measured, self._error), keep=True)
        self.post_message(self.Written())

    @property
    def in_short(self) -> str:
        """The first length, or what is to be done, for where the page is not in sight."""
        if self.ready is None:
            return self.lacking
        one = self.ready.lengths[0]
        value, low, high = (figures(v, 4) for v in (one.value, one.low, one.high))
        return f"{one.label} {value} mm, {low} to {high}"
