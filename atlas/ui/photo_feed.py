"""Brings a photo's pixels to the terminal piece by piece, between everything else it is sent."""

import asyncio
from collections.abc import Callable, Iterable, Iterator
from random import randrange
from typing import Any

from rich.segment import ControlType, Segment
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.widget import Widget
from textual.worker import Worker

from atlas.drawing.photo import Bytes
from atlas.ui.photo_pixels import Aim, Mask, Piece, Pixels
from atlas.ui.terminal_graphics import Graphics

QUIET = 0.08  # seconds without a change of view before its pixels are worked out
_IDLE = 0.4  # seconds before a terminal that forgets pictures gets the whole again
_SMALL = 120  # cells; more of them are worked out beside the application


class Feed:
    """The way of pixels to one window.

    Cells lie beneath: whatever Textual writes takes the pixels of those cells away, and they come
    again. So a dialog, a notice or another screen never has remains of a picture in it.

    Args:
        window: the widget whose content they cover.
        graphics: how pixels get on the terminal.
        wanted: whether the window is to be drawn in pixels at present.
    """

    def __init__(self, window: Widget, graphics: Graphics, wanted: Callable[[], bool]) -> None:
        # Numbers of pictures that no other program on the terminal is likely to have.
        self.pixels = Pixels(graphics, randrange(1 << 17, 1 << 23) & ~0xFFF)
        self._window = window
        self._wanted = wanted
        self._worker: Worker[None] | None = None
        self._at_work = False
        self._last_place = self._place()
        window.app.app_resume_signal.subscribe(window, lambda _: self._lose_all())

    def look(self, aim: Aim, ink: Bytes) -> bool:
        """Have that sent, with this over it; whether it is another part or size than before."""
        changed = self.pixels.look(aim, ink)
        self._send()
        return changed

    def frame_comes(self, update: Any, ours: bool) -> None:
        """Note what a frame is about to write over; spare what it need not.

        Args:
            update: what the compositor writes: spans of lines, or the whole.
            ours: whether it is of the window's own screen.
        """
        if self.pixels.graphics.way != "sixel" or self.pixels.aim is None:
            return  # placeholders are text themselves
        region, place = self._window.content_region, self._place()
        moved, self._last_place = place != self._last_place, place
        if not ours or moved or not hasattr(update, "spans"):
            if ours and not moved and hasattr(update, "strips"):
                self._spare(update.strips, region)
            else:
                self.pixels.lost(Region(0, 0, *region.size))
        else:
            for written in _written(update):
                part = written.intersection(region)
                if part.area:
                    self.pixels.lost(part.translate(-region.offset))
        self._send()

    def _place(self) -> tuple[Size, Region]:
        return self._window.screen.size, self._window.content_region

    def _spare(self, lines: list[Iterable[Strip]], region: Region) -> None:
        """Leave out of the whole screen's cells those over which pixels lie already.

        Textual writes the whole whenever anything beside the picture is laid out anew, at each
        step of a mark that is held: the picture would flicker.
        """
        spared = self.pixels.standing(self._covered())
        down = self.pixels.tile[1]
        for y in range(region.height):
            if region.y + y < len(lines):
                runs = [(left + region.x, min(right + region.x, region.right))
                        for left, right in spared[y // down]]  # fmt: skip
                if runs:
                    lines[region.y + y] = _without(Strip.join([*lines[region.y + y]]), runs)

    def _lose_all(self) -> None:
        """The terminal was somebody else's in between."""
        if self.pixels.aim is not None:
            self.pixels.lost(Region(0, 0, self.pixels.aim.columns, self.pixels.aim.rows))
            self._send()

    def forget(self) -> None:
        """Take numbered pictures away; other pixels go with the cells that are written."""
        self._write(self.pixels.forgotten())
        self.pixels.aim = None
        if self._worker is not None:
            self._worker.cancel()

    def _send(self) -> None:
        """Begin to send what is due, unless that goes on already."""
        if self._in_sight() and not self._at_work:
            self._at_work = True  # until the very end, after which nobody looks for more
            self._worker = self._window.run_worker(self._work(), group="pixels")

    async def _work(self) -> None:
        try:
            await self._run()
        finally:
            self._at_work = False

    async def _run(self) -> None:
        """Send what is due until nothing is; what becomes due meanwhile is sent as well."""
        pixels = self.pixels
        while self._in_sight() and (aim := pixels.aim) is not None:
            if not pixels.composed:
                await asyncio.sleep(QUIET)  # while one moves, the cells show where one is
                if aim is pixels.aim:
                    await asyncio.to_thread(pixels.compose, aim)
            elif (piece := pixels.next(self._covered())) is not None:
                await self._send_piece(aim, piece)
            elif not await self._renewed():
                return

    async def _send_piece(self, aim: Aim, piece: Piece) -> None:
        origin = self._window.content_region.offset
        if piece.area > _SMALL:
            text = await asyncio.to_thread(self.pixels.encoded, piece, *origin)
        else:
            text = self.pixels.encoded(piece, *origin)
        here = self._window.content_region.offset
        if not self._in_sight() or aim is not self.pixels.aim or here != origin:
            self.pixels.lost(piece)
            return
        self._write(text)
        if self.pixels.arrived(piece):
            self._window.refresh(piece)
        await asyncio.sleep(0)

    async def _renewed(self) -> bool:
        """Whether all has to be sent again, since the terminal forgets what is older."""
        pixels = self.pixels
        if not pixels.graphics.few or not pixels.patched:
            return False
        await asyncio.sleep(_IDLE)
        if pixels.aim is not None and pixels.settled:
            self._lose_all()
        return True

    def _in_sight(self) -> bool:
        window = self._window
        return window.is_attached and self._wanted() and window.screen.is_active

    def _covered(self) -> Mask | None:
        """Tiles over which a notice or a tip lies."""
        region = self._window.content_region
        above = [one.region.intersection(region)
                 for one in self._window.screen.query("Toast, Tooltip") if one.display]  # fmt: skip
        return self.pixels.under([one.translate(-region.offset) for one in above if one.area])

    def _write(self, text: str) -> None:
        """Send past the compositor, which knows of cells only; the driver keeps the order."""
        driver = self._window.app._driver
        if driver is not None and text:
            driver.write(text)


def _written(update: Any) -> Iterator[Region]:
    """What an update of spans writes over at most: each whole stretch that a span begins in.

    A stretch goes from one widget's edge to the next; of its segments, those that a span cuts are
    written from their beginning to their end.
    """
    for y, left, right in update.spans:
        for start, end in zip(update.chops[y], update.chop_ends[y], strict=False):
            if start < right and end > left:
                yield Region(start, y, end - start, 1)


def _without(line: Strip, runs: list[tuple[int, int]]) -> list[Strip]:
    """A line in which the cursor passes over some cells and leaves them as they are."""
    cuts = sorted({cut for run in runs for cut in run} | {line.cell_length})
    parts, place = [], 0
    for part, end in zip(line.divide(cuts), cuts, strict=False):
        passed = any(left <= place and end <= right for left, right in runs)
        over = Segment(f"\x1b[{end - place}C", None, [(ControlType.CURSOR_FORWARD, end - place)])
        parts.append(Strip([over], end - place) if passed else part)
        place = end
    return parts
