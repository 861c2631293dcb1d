"""A photo in pixels: what the terminal is sent is what is to be seen, and no more than changed."""

import re

import numpy as np
import pytest
from rich.cells import cell_len
from textual._compositor import CompositorUpdate
from textual.app import App
from textual.drivers.headless_driver import HeadlessDriver
from textual.events import MouseDown, MouseUp
from textual.geometry import Region

from atlas.ui.app import AtlasApp
from atlas.ui.dialog import Dialog
from atlas.ui.photo_view import PhotoView
from atlas.ui.places import Place
from atlas.ui.terminal_graphics import Answer
from tests.drawing.test_placeholders import COUNTING, messages, picture_of
from tests.plate_picture import picture
from tests.sixel_reader import decoded

CELL = (10, 20)
SIXEL = "\x1b[6;20;10t\x1b[?63;4;6c"
FEW = SIXEL + "\x1b[?1;0;256S\x1b[?2;0;1000;1000S\x1bP>|XTerm(379)\x1b\\" + SIXEL
PLACEHOLDERS = "\x1b_Gi=31;OK\x1b\\\x1b[6;20;10t\x1b[?62c"


@pytest.fixture(scope="module")
def plate(tmp_path_factory):
    path = tmp_path_factory.mktemp("photos") / "plate.png"
    picture().save(path)
    return path


@pytest.fixture(autouse=True)
def colours(monkeypatch):
    monkeypatch.setenv("COLORTERM", "truecolor")
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setattr("atlas.ui.terminal_graphics.cell_size", lambda: None)
    monkeypatch.setattr("atlas.ui.photo_window.cell_size", lambda: None)


@pytest.fixture
def sent(monkeypatch):
    """All that goes to the terminal: frames, and pictures past the compositor."""
    texts = []

    def frame(self, screen, renderable):
        if isinstance(renderable, CompositorUpdate) and not self._batch_count:
            texts.append(renderable.render_segments(self.console))

    monkeypatch.setattr(App, "_display", frame)
    monkeypatch.setattr(HeadlessDriver, "write", lambda self, text: texts.append(text))
    return texts


_SENT = re.compile(
    r"\x1b7|\x1b8|(?P<picture>\x1bP[^\x1b]*\x1b\\)|\x1b_G[^\x1b]*\x1b\\"
    r"|\x1b\[(?P<numbers>[\d;?]*)(?P<control>[A-Za-z])|(?P<sign>[^\x1b])"
)


class Sheet:
    """A screen of cells: sixels are painted over them, text takes the pixels of its cell away."""

    def __init__(self, columns, rows):
        self.pixels = np.full((rows * CELL[1], columns * CELL[0], 3), -1)
        self.count = 0  # pixels painted

    def take(self, texts):
        """What the terminal was sent; only what is needed for the text that Textual sends."""
        row = column = 0
        kept = 0, 0
        for found in _SENT.finditer("".join(texts)):
            if found["picture"]:
                self.paint(found["picture"], row, column)
            elif found["control"] == "H":
                row, column = (int(number) - 1 for number in found["numbers"].split(";"))
            elif found["control"] == "C":
                column += int(found["numbers"])
            elif found["sign"] == "\n":
                row, column = row + 1, 0
            elif found["sign"]:
                wide = cell_len(found["sign"])
                y, x = row * CELL[1], column * CELL[0]
                self.pixels[y : y + CELL[1], x : x + wide * CELL[0]] = -1
                column += wide
            elif found[0] == "\x1b7":
                kept = row, column
            elif found[0] == "\x1b8":
                row, column = kept
        texts.clear()

    def paint(self, picture, row, column):
        y, x = row * CELL[1], column * CELL[0]
        pixels, where = decoded(picture)
        self.pixels[y : y + len(pixels), x : x + len(pixels[0])][where] = pixels[where]
        self.count += int(where.sum())

    def cells(self, region):
        top, left = region.y * CELL[1], region.x * CELL[0]
        return self.pixels[top : region.bottom * CELL[1], left : region.right * CELL[0]]

    def window(self, view):
        return self.cells(view.content_region)

    def only_in(self, *regions):
        """Whether no pixels lie beyond these."""
        rest = self.pixels.copy()
        for region in regions:
            rest[region.y * CELL[1] : region.bottom * CELL[1],
                 region.x * CELL[0] : region.right * CELL[0]] = -1  # fmt: skip
        return (rest == -1).all()


def pictures(texts):
    """What was sent of pixels."""
    return [text for text in texts if "\x1bP" in text or "\x1b_Ga=T" in text]


async def opened(desk, wait, app, path):
    app.go(Place("photo", str(path)))
    view = await wait(lambda: app.screen.query_one(PhotoView), "the window")
    await wait(lambda: settled(view), "the pixels")
    return view


def settled(view):
    return view._feed is not None and view._feed.pixels.settled and not view._feed._at_work


def wanted(view):
    """What is to be seen, in hundredths: the photo by Pillow alone, at the size of the window."""
    from PIL import Image

    image = Image.open(view.photo.path)
    window = view.view
    left, top = window.point(0, 0)
    right, bottom = window.point(window.columns, window.rows)
    size = (window.columns, window.rows)
    part = image.transform(size, Image.Transform.EXTENT, (left, top, right, bottom),
                           Image.Resampling.BILINEAR)  # fmt: skip
    return np.asarray(part, dtype=float) / 2.55


def agrees(view, sheet):
    """Whether nearly all of it is the photo: what is not are marks, edges and few colours."""
    window, (x, y) = sheet.window(view), view.view.dot(0, 0)
    inside = np.s_[max(int(y) + 1, 0) : int(view.view.dot(0, view.photo.height)[1]) - 1,
                   max(int(x) + 1, 0) : int(view.view.dot(view.photo.width, 0)[0]) - 1]  # fmt: skip
    off = np.abs(window[inside] - wanted(view)[inside]).max(axis=2)
    return (window >= 0).all() and (off <= 4).mean() > 0.93


async def test_sixels_show_the_photo_and_follow_zoom_and_pan(desk, wait, sent, plate):
    app, sheet = AtlasApp(desk, answer=Answer(SIXEL)), Sheet(80, 24)
    async with app.run_test(size=(80, 24)) as pilot:
        view = await opened(desk, wait, app, plate)
        sheet.take(sent)
        assert agrees(view, sheet)
        for keys in (["plus", "plus"], ["pageup"], ["b", "b", "b", "b"], ["0"]):
            before = sheet.count
            await pilot.press(*keys)
            await wait(lambda: settled(view), "the pixels")
            sheet.take(sent)
            assert agrees(view, sheet)
            assert sheet.count > before


async def test_the_cursor_and_marks_send_only_what_they_change(desk, wait, sent, plate):
    app, sheet = AtlasApp(desk, answer=Answer(SIXEL)), Sheet(100, 30)
    async with app.run_test(size=(100, 30)) as pilot:
        view = await opened(desk, wait, app, plate)
        sheet.take(sent)
        whole = sheet.window(view)[..., 0].size
        for key in ("right", "shift+down", "enter", "left", "w", "shift+left", "w", "h", "up"):
            before = sheet.count
            await pilot.press(key)
            await wait(lambda: settled(view), "the pixels")
            sheet.take(sent)
            assert (key == "h") or 0 < sheet.count - before < whole / 8, key
            assert (sheet.window(view) >= 0).all(), key
        # The same at once, as somebody gets it who comes back.
        after = sheet.window(view).copy()
        view.refresh()
        await pilot.pause()
        await wait(lambda: settled(view), "the pixels")
        sheet.take(sent)
        assert np.array_equal(after, sheet.window(view))


async def test_nothing_is_left_in_a_dialog_a_notice_or_another_screen(desk, wait, sent, plate):
    app, sheet = AtlasApp(desk, answer=Answer(SIXEL)), Sheet(80, 24)
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        view = await opened(desk, wait, app, plate)
        sheet.take(sent)
        assert (sheet.window(view) >= 0).all()
        await pilot.press("s")
        await wait(lambda: isinstance(app.screen, Dialog), "the form")
        view.point_at(10, 10)  # as a late message would
        await pilot.pause(0.3)
        sheet.take(sent)
        assert (sheet.pixels == -1).all()
        await pilot.press("escape")
        await pilot.pause()
        await wait(lambda: settled(view), "the pixels")
        sheet.take(sent)
        assert agrees(view, sheet)
        await pilot.press("c")
        toast = (await wait(lambda: app.screen.query_one("Toast"), "the notice")).region
        await pilot.press("enter")  # all is laid out anew
        view.refresh()
        await pilot.pause(0.3)
        sheet.take(sent)
        assert (sheet.cells(toast) == -1).all()
        assert (sheet.cells(Region(view.content_region.x, 3, 70, 10)) >= 0).all()
        app.clear_notifications()
        await pilot.pause(0.1)
        await wait(lambda: settled(view), "the pixels")
        sheet.take(sent)
        assert (sheet.window(view) >= 0).all()
        assert sheet.only_in(view.content_region)
        await pilot.press("f4")  # the other pane, where there is room for one
        await pilot.pause(0.2)
        sheet.take(sent)
        assert (sheet.pixels == -1).all()
        await pilot.press("f3")
        await pilot.pause(0.1)
        await wait(lambda: settled(view), "the pixels")
        sheet.take(sent)
        assert (sheet.window(view) >= 0).all()
        await pilot.press("f2")
        await pilot.pause(0.3)
        sheet.take(sent)
        assert (sheet.pixels == -1).all()


async def test_a_terminal_given_back_gets_all_of_it(desk, wait, sent, plate):
    app, sheet = AtlasApp(desk, answer=Answer(SIXEL)), Sheet(80, 24)
    async with app.run_test(size=(80, 24)) as pilot:
        view = await opened(desk, wait, app, plate)
        sent.clear()
        app.app_resume_signal.publish(app)
        app.refresh(layout=True)
        await pilot.pause(0.1)
        await wait(lambda: settled(view), "the pixels")
        sheet.take(sent)
        assert (sheet.window(view) >= 0).all()


async def test_a_resized_window_is_filled(desk, wait, sent, plate):
    app = AtlasApp(desk, answer=Answer(SIXEL))
    async with app.run_test(size=(80, 24)) as pilot:
        view = await opened(desk, wait, app, plate)
        for size in ((120, 40), (31, 12), (100, 30)):
            await pilot.resize_terminal(*size)
            await pilot.pause(0.1)
            await wait(lambda: settled(view), "the pixels")
            sheet = Sheet(*size)
            sheet.take(sent)
            assert (sheet.window(view) >= 0).all()
            assert sheet.only_in(view.content_region)


async def test_a_terminal_that_forgets_pictures_gets_the_whole_before_it_does(
    desk, wait, sent, plate, monkeypatch
):
    monkeypatch.setattr("atlas.ui.photo_feed._IDLE", 0.05)
    app = AtlasApp(desk, answer=Answer(FEW))
    async with app.run_test(size=(80, 24)) as pilot:
        view = await opened(desk, wait, app, plate)
        await pilot.press(*["right"] * 40)
        await wait(lambda: settled(view) and not view._feed.pixels.patched, "all of it anew")
        slots = []  # as XTerm 379 does it, tried: of 16, a new one drives out the uppermost
        for number, text in enumerate(pictures(sent)):
            place = tuple(map(int, re.match(r"\x1b7\x1b\[(\d+);(\d+)H", text).groups()))
            if len(slots) == 16:
                slots.remove(min(slots))
            slots.append((*place, number, text))
        sheet = Sheet(80, 24)
        sheet.take([text for *_, text in sorted(slots, key=lambda slot: slot[2])])
        assert (sheet.window(view) >= 0).all()


async def test_placeholders_show_the_photo(desk, wait, sent, plate):
    app = AtlasApp(desk, answer=Answer(PLACEHOLDERS))
    async with app.run_test(size=(80, 24)) as pilot:
        view = await opened(desk, wait, app, plate)
        await pilot.pause(0.2)
        await pilot.press("right", "enter")
        await wait(lambda: settled(view), "the pixels")
        by_number = {}
        for text in pictures(sent):
            for about, _ in messages(text)[:1]:
                by_number[int(about["i"])] = picture_of(text)
        rows = app.screen._compositor.render_strips()
        region = view.content_region
        sheet = np.full((24 * 20, 80 * 10, 3), -1.0)
        for y, strip in enumerate(rows):
            x = 0
            for segment in strip:
                signs = re.findall("\U0010eeee(.)(.)", segment.text)
                for i, (row, column) in enumerate(signs):
                    red, green, blue = segment.style.color.triplet
                    tile = by_number[red << 16 | green << 8 | blue]
                    r, c = (COUNTING.index(f"{ord(sign):04X}") for sign in (row, column))
                    cell = tile[r * 20 : r * 20 + 20, c * 10 : c * 10 + 10]
                    sheet[y * 20 : y * 20 + 20, (x + i) * 10 : (x + i) * 10 + 10] = cell / 2.55
                x += segment.cell_length
            assert x == 80
        window = sheet[region.y * 20 : region.bottom * 20, region.x * 10 : region.right * 10]
        assert (window >= 0).all()
        numbers = set(by_number)
        sent.clear()
        await pilot.press("s")  # under a dialog there are cells
        await wait(lambda: isinstance(app.screen, Dialog), "the form")
        await pilot.pause(0.1)
        lines = app.screen._compositor.render_strips()
        assert not any("\U0010eeee" in segment.text for strip in lines for segment in strip)
        await pilot.press("escape")
        await pilot.press("f2")
        await wait(lambda: not app.screen.query(PhotoView), "another screen")
        gone = {int(about["i"]) for text in sent for about, _ in messages(text)
                if about["a"] == "d"}  # fmt: skip
        assert numbers <= gone


@pytest.mark.parametrize("answer", [SIXEL, PLACEHOLDERS], ids=["sixel", "placeholders"])
async def test_cells_are_drawn_where_pixels_are_not_wanted(desk, wait, sent, plate, text, answer):
    app = AtlasApp(desk, answer=Answer(answer))
    async with app.run_test(size=(80, 24)) as pilot:
        view = await opened(desk, wait, app, plate)
        assert view.shows_pixels
        sent.clear()
        for way in ("colour", "dots", "letters"):
            await pilot.press("t")
            assert view.mode == way
            await pilot.press("right")
            assert not pictures(sent)
        await pilot.press("t")
        await wait(lambda: settled(view), "the pixels")
        await pilot.pause(0.1)
        sheet = Sheet(80, 24)
        sheet.take(sent)
        assert (sheet.window(view) >= 0).all() == (answer == SIXEL)
        app.photos.choose("cells", app)
        await pilot.pause(0.1)
        sheet.take(sent)
        assert (sheet.pixels == -1).all()
        assert "\U0010eeee" not in text(app)
        assert not view.shows_pixels
        assert app.memory.now.photos == "cells"
        app.photos.choose("auto", app)
        assert view.shows_pixels
        app.theme = "terminal"
        await pilot.pause()
        assert not view.shows_pixels
        app.theme = "dusk"
        svg = app.photos.screenshot(app)  # which has cells only
        assert "▀" in svg
        assert "\U0010eeee" not in svg
    app = AtlasApp(desk, answer=Answer(answer), ascii_only=True)
    async with app.run_test(size=(80, 24)) as pilot:
        app.go(Place("photo", str(plate)))
        view = await wait(lambda: app.screen.query_one(PhotoView), "the window")
        await wait(lambda: view.photo, "the photo")
        sent.clear()
        await pilot.press("right", "enter")
        assert not view.shows_pixels
        assert not pictures(sent)
        assert text(app).isascii() or "▀" not in text(app)


async def clicked(desk, wait, plate, answer):
    """Where a mark comes to lie that was set with a double click, and how large a cell is [px]."""
    app = AtlasApp(desk, answer=Answer(answer))
    async with app.run_test(size=(100, 30)) as pilot:
        app.go(Place("photo", str(plate)))
        view = await wait(lambda: app.screen.query_one(PhotoView), "the window")
        await wait(lambda: view.photo and view.view, "the picture")
        await pilot.pause()
        await pilot.click(PhotoView, offset=(20, 10), times=2)
        await wait(lambda: app.screen.marks.labels, "a mark")
        before = view.cursor
        await pilot.press("right")
        assert view.cursor[0] - before[0] == pytest.approx(view.coarse())
        return app.screen.marks.labels["1"], view.view.scale * view.grain()[0]


async def test_the_same_marks_come_of_the_same_clicks_with_both(desk, wait, sent, plate):
    in_cells, wide = await clicked(desk, wait, plate, "")
    in_pixels, wide_too = await clicked(desk, wait, plate, SIXEL)
    assert wide == pytest.approx(wide_too, rel=0.02)
    assert in_cells.x == pytest.approx(in_pixels.x, abs=0.6 * wide)
    assert in_cells.y == pytest.approx(in_pixels.y, abs=1.2 * wide)
    assert in_pixels.coarse == pytest.approx(2 * wide, rel=0.02)  # a cell's height, in both


async def test_a_pointer_that_tells_its_pixel_sets_marks_to_the_pixel(desk, wait, sent, plate):
    app = AtlasApp(desk, answer=Answer(SIXEL))
    async with app.run_test(size=(100, 30)) as pilot:
        view = await opened(desk, wait, app, plate)
        region = view.content_region
        x, y = region.x + 20.35, region.y + 10.8  # as Textual makes it of SGR pixel reports
        for kind in (MouseDown, MouseUp):
            event = kind(None, x, y, 0, 0, 1, False, False, False, screen_x=x, screen_y=y)
            app.post_message(event)
        await wait(lambda: view.cursor != (480, 270), "the cursor")
        expected = view.view.point(20.35 * CELL[0], 10.8 * CELL[1])
        assert view.cursor == pytest.approx(expected)
        assert view.coarse("pixel") == pytest.approx(view.view.scale)
        await pilot.pause()
