"""How quick a photo in pixels is: ``python tests/benchmarks/photo.py``.

Prints, for three sizes of terminal with cells of 10 x 20 pixels and both ways of pixels, against
the cells of the same photo in the same run: the time from a key that moves the cursor until all
its bytes are written, 95th percentile, and their number; the time from a zoom until the whole is
written. Exits 1 where a key takes longer than 50 ms. A real terminal needs its own time for them.
"""

import asyncio
import os
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from PIL import Image
from textual.app import App
from textual.drivers.headless_driver import HeadlessDriver
from textual.events import Key

from atlas.catalogue.library import Library
from atlas.ui.app import AtlasApp
from atlas.ui.desk import Desk
from atlas.ui.photo_view import PhotoView
from atlas.ui.places import Place
from atlas.ui.terminal_graphics import Answer

WAYS = {
    "cells": "",
    "sixel": "\x1b[6;20;10t\x1b[?63;4;6c",
    "placeholders": "\x1b_Gi=31;OK\x1b\\\x1b[6;20;10t\x1b[?62c",
}
SIZES = [(80, 24), (120, 40), (200, 60)]
LIMIT = 50.0  # ms
written: list[tuple[float, int]] = []


def frame(self, screen, renderable):
    """What a frame sends, as a real driver would be given it."""
    # The application itself has told the screens by now.
    if hasattr(renderable, "render_segments"):
        written.append((time.perf_counter(), len(renderable.render_segments(self.console))))


def photo(folder):
    """Twelve million pixels with noise in all of them, as a camera's."""
    chance = np.random.default_rng(1)
    rough = Image.fromarray(chance.integers(0, 255, (60, 80, 3), dtype=np.uint8))
    smooth = np.asarray(rough.resize((4000, 3000), Image.Resampling.BICUBIC), dtype=float)
    noisy = (smooth + chance.normal(0, 8, smooth.shape)).clip(0, 255).astype(np.uint8)
    path = Path(folder) / "photo.jpg"
    Image.fromarray(noisy).save(path, quality=90)
    return path


async def quiet(seconds):
    """Wait until nothing was written for so long."""
    await asyncio.sleep(seconds)
    while written and time.perf_counter() - written[-1][0] < seconds:
        await asyncio.sleep(0.02)


async def measured(way, size, path):
    """Milliseconds from key to bytes, 95th percentile, and bytes; the same for a zoom."""
    app = AtlasApp(Desk(Library(Path(tempfile.mkdtemp()))), answer=Answer(WAYS[way]))
    async with app.run_test(size=size):
        app.go(Place("photo", str(path)))
        await asyncio.sleep(3.0)
        await quiet(0.5)
        view = app.screen.query_one(PhotoView)
        assert view.shows_pixels == (way != "cells")
        times, sizes = [], []
        for i in range(60):
            written.clear()
            start = time.perf_counter()
            app.post_message(Key(("right", "down", "shift+right", "shift+left")[i % 4], None))
            await quiet(0.08)
            times.append(1e3 * (written[-1][0] - start))
            sizes.append(sum(count for _, count in written))
        written.clear()
        start = time.perf_counter()
        view.action_zoom(2)
        await quiet(0.5)
        whole = 1e3 * (written[-1][0] - start), sum(count for _, count in written)
    return float(np.percentile(times, 95)), float(np.mean(sizes)), *whole


def main():
    """Measure, print, judge."""
    os.environ |= {"COLORTERM": "truecolor", "TERM": "xterm-256color"}
    App._display = frame
    HeadlessDriver.write = lambda self, text: written.append((time.perf_counter(), len(text)))
    slow = False
    with tempfile.TemporaryDirectory() as folder:
        path = photo(folder)
        for size in SIZES:
            for way in WAYS:
                key, count, zoom, much = asyncio.run(measured(way, size, path))
                slow |= key > LIMIT
                print(f"{size[0]} x {size[1]} {way:12}  key p95 {key:5.1f} ms {count / 1e3:6.1f} kB"
                      f"   zoom {zoom:5.0f} ms {much / 1e3:6.0f} kB")  # fmt: skip
    return int(slow)


if __name__ == "__main__":
    sys.exit(main())
