"""Marking a photo by keys and by mouse, and the way of its lengths."""

import numpy as np
import pytest
from PIL import Image

from atlas.casework.marks import Mark
from atlas.casework.photo_lengths import kept_marks
from atlas.drawing.photo import read_photo
from atlas.errors import Refused
from atlas.ui.app import AtlasApp
from atlas.ui.calculator_screen import CalculatorScreen
from atlas.ui.cases_screen import CasesScreen
from atlas.ui.dialog import Dialog, Field
from atlas.ui.file_names import Files
from atlas.ui.lengths_page import LengthsPage
from atlas.ui.mark_rows import MarkRow
from atlas.ui.page import Page
from atlas.ui.photo_forms import file_form
from atlas.ui.photo_screen import PhotoScreen
from atlas.ui.photo_view import PhotoView
from atlas.ui.places import Place
from tests.plate_picture import CORNERS, ENDS, camera, picture


@pytest.fixture(scope="session")
def plate(tmp_path_factory):
    """A picture of a plate in a file whose name looks like markup."""
    path = tmp_path_factory.mktemp("photos") / "plate [.png"
    picture().save(path)
    return path


async def opened(desk, wait, pilot_app, path, case=""):
    pilot_app.go(Place("photo", str(path), inputs=(("case", case),)))
    screen = await wait(
        lambda: isinstance(pilot_app.screen, PhotoScreen) and pilot_app.screen, "the photo"
    )
    view = await wait(lambda: screen.query_one(PhotoView), "the window")
    await wait(lambda: view.photo and view.view, "the picture")
    view.mode = "colour"
    view.action_whole()
    return screen, view


async def filled(app, pilot, wait, **values):
    dialog = await wait(lambda: isinstance(app.screen, Dialog) and app.screen, "the form")
    await pilot.pause()
    for name, value in values.items():
        dialog.query_one(f"#field-{name}").value = value
    await pilot.pause()
    await pilot.click("#do")
    await wait(lambda: app.screen is not dialog, "the form to close")


async def marked(app, pilot, wait, screen, view):
    """Marks on exact pixels, and the places of the plate's corners."""
    for x, y in [*camera(CORNERS), *camera(ENDS)]:
        view.point_at(float(x), float(y))
        await pilot.press("enter")
    await pilot.press("s")
    await filled(app, pilot, wait, kind="rectangle", first="700", second="300")
    return await wait(lambda: screen.query_one(LengthsPage).ready, "a length")


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)], ids=str)
async def test_marks_on_exact_pixels_give_the_true_length(desk, wait, text, plate, size):
    app = AtlasApp(desk)
    async with app.run_test(size=size) as pilot:
        screen, view = await opened(desk, wait, app, plate)
        view.action_loupe()
        measured = await marked(app, pilot, wait, screen, view)
        (one,) = measured.lengths
        assert one.low < 360 < one.high
        assert one.value == pytest.approx(360, rel=0.005)
        await pilot.press("f5")
        await wait(lambda: "360" in text(app), "the length on screen")
        await pilot.resize_terminal(100, 30)
        await wait(lambda: app.size.width == 100, "the new size")
        assert screen.query_one(LengthsPage).ready.lengths == measured.lengths
        assert list(screen.marks.labels) == ["1", "2", "3", "4", "A", "B"]


async def test_keys_alone_set_move_undo_and_delete_marks(desk, wait, text, plate):
    app = AtlasApp(desk)
    async with app.run_test(size=(120, 40)) as pilot:
        screen, view = await opened(desk, wait, app, plate)
        start = view.cursor
        await pilot.press("plus", "plus", "right", "right", "down")
        scale = view.view.scale
        assert view.cursor == pytest.approx((start[0] + 2 * scale, start[1] + scale))
        await pilot.press("enter", "shift+left", "w", "k")
        assert list(screen.marks.labels) == ["1", "2", "A"]
        assert screen.marks.labels["1"].coarse == pytest.approx(scale)
        first = screen.marks.labels["1"]
        await pilot.press("n", "n", "N")  # 2 -> A -> 1 -> A
        assert screen.current == "A"
        await pilot.press("n", "h", "up", "up")
        assert screen.marks.labels["1"].y == pytest.approx(first.y - 2 * scale)
        assert "held" in text(app)
        await pilot.press("escape")
        assert screen.marks.labels["1"] == first
        await pilot.press("h", "up", "enter")
        moved = screen.marks.labels["1"]
        assert moved.y < first.y
        await pilot.press("u")
        assert screen.marks.labels["1"] == first
        await pilot.press("U")
        assert screen.marks.labels["1"] == moved
        await pilot.press("x")
        assert list(screen.marks.labels) == ["1", "A"]
        await pilot.press("u", "u", "u", "u", "u", "u")
        assert not screen.marks.labels
        await pilot.press(*["U"] * 9)
        assert list(screen.marks.labels) == ["1", "A"]


async def test_a_mark_snaps_to_the_corner_that_it_was_set_near(desk, wait, plate):
    app = AtlasApp(desk)
    async with app.run_test(size=(120, 40)) as pilot:
        screen, view = await opened(desk, wait, app, plate)
        x, y = map(float, camera(CORNERS)[1])
        view.action_zoom(4)
        view.point_at(x + 5, y - 4)
        await pilot.press("enter")
        rough = screen.marks.labels["1"]
        assert rough.coarse > 1
        await pilot.press("g")
        mark = screen.marks.labels["1"]
        assert np.hypot(mark.x - x, mark.y - y) < 0.5
        assert mark.coarse == 0
        await pilot.press("u")
        assert screen.marks.labels["1"] == rough
        await pilot.press("right", "g", "k")
        again = screen.marks.labels["2"]
        assert (again.x, again.y) == pytest.approx((mark.x, mark.y), abs=0.01)
        view.point_at(60, 60)
        await pilot.press("g")
        assert any("stands out" in one.message for one in app._notifications)


async def test_the_mouse_points_sets_drags_pans_and_zooms(desk, wait, plate):
    app = AtlasApp(desk)
    async with app.run_test(size=(120, 40)) as pilot:
        screen, view = await opened(desk, wait, app, plate)
        await pilot.click(PhotoView, offset=(20, 18))
        at = view.cursor
        assert at == pytest.approx(view.view.point(19.5, 35.0), abs=view.view.scale * 2)
        await pilot.click(PhotoView, offset=(20, 18), times=2)
        await wait(lambda: screen.marks.labels, "a mark by a second click")
        (mark,) = screen.marks.labels.values()
        assert (mark.x, mark.y) == pytest.approx(at)
        assert mark.coarse > view.view.scale  # a cell is coarser than a dot
        await pilot.mouse_down(PhotoView, offset=(20, 18))
        for x in (22, 26, 30):
            await pilot.hover(PhotoView, offset=(x, 18))
        await pilot.mouse_up(PhotoView, offset=(30, 18))
        await wait(lambda: screen.marks.labels["1"].x > mark.x + 5, "the dragged mark")
        await pilot.press("u")
        assert screen.marks.labels["1"] == mark
        under = view.view.point(40.5, 31.0)
        before = view.view
        view.action_zoom(2, under)
        assert view.view.scale < before.scale
        assert view.view.dot(*under) == pytest.approx((40.5, 31.0)), "it stays under the pointer"
        middle = (view.view.x, view.view.y)
        await pilot.mouse_down(PhotoView, offset=(60, 8))
        for x in (58, 54):
            await pilot.hover(PhotoView, offset=(x, 8))
        await pilot.mouse_up(PhotoView, offset=(54, 8))
        assert view.view.x > middle[0]
        assert screen.marks.labels["1"] == mark


async def test_positions_places_and_names_are_typed(desk, wait, text, plate):
    app = AtlasApp(desk)
    async with app.run_test(size=(120, 40)) as pilot:
        screen, view = await opened(desk, wait, app, plate)
        await marked(app, pilot, wait, screen, view)
        before = screen.marks
        await pilot.press("N", "e")  # from B to A, and to its name
        await pilot.press(*"bar [/")
        await wait(lambda: screen.marks.wanted[0].name == "bar [/", "the name")
        page = screen.query_one(LengthsPage)
        await wait(lambda: "bar [/" in page.blocks[0].content.plain, "the name at its length")
        await pilot.press("shift+tab", "end", "ctrl+u")
        app.focused.insert_text_at_cursor("300, 200.5")
        await wait(lambda: screen.marks.labels["A"] == Mark(300.0, 200.5), "the position")
        row = next(row for row in screen.query(MarkRow) if row.shown.label == "A")
        await pilot.press("x", "y")
        await wait(lambda: row.has_class("-bad") and "cannot read" in text(app), "the refusal")
        assert screen.marks.labels["A"] == Mark(300.0, 200.5)
        await pilot.press("ctrl+u")
        app.focused.insert_text_at_cursor("5000,5")
        await wait(lambda: "outside the picture" in text(app), "what lies outside")
        await pilot.press("escape")
        await pilot.press("u", "u")  # the typing in one field is one step
        assert screen.marks == before


async def test_what_was_wrongly_ordered_is_said(desk, wait, text, plate):
    app = AtlasApp(desk)
    async with app.run_test(size=(120, 40)) as pilot:
        screen, view = await opened(desk, wait, app, plate)
        for x, y in [*camera(CORNERS)[[0, 2, 1, 3]], *camera(ENDS)]:
            view.point_at(float(x), float(y))
            await pilot.press("enter")
        await pilot.press("c")
        await wait(lambda: app._notifications, "what is lacking")
        await pilot.press("s")
        await filled(app, pilot, wait, first="700", second="300")
        await wait(lambda: "order" in text(app), "that the order is wrong")
        assert screen.query_one(LengthsPage).ready is None


async def test_lengths_go_to_a_case_and_the_marks_come_back(desk, wait, text, plate):
    case = desk.cases.new("plate on the bench")
    app = AtlasApp(desk)
    async with app.run_test(size=(120, 40)) as pilot:
        screen, view = await opened(desk, wait, app, plate, case.id)
        await marked(app, pilot, wait, screen, view)
        marks = screen.marks
        await pilot.press("a")
        await filled(app, pilot, wait, about="front bar")
        await wait(lambda: desk.cases.get(case.id).calculation, "the run in the case")
        found = desk.cases.get(case.id)
        assert [one.kind for one in found.evidence.values()] == ["photo", "point"]
        await pilot.press("f7", "down", "f4")
        await wait(lambda: isinstance(app.screen, CasesScreen) and app.screen._case, "the case")
        await wait(lambda: "360" in text(app), "the length in the case")
        await pilot.press("p")
        again = await wait(
            lambda: isinstance(app.screen, PhotoScreen) and app.screen.marks.labels and app.screen,
            "the photo with its marks",
        )
        sha = read_photo(plate).sha256
        assert again.marks.inputs() == kept_marks(found, sha).inputs() == marks.inputs()


async def test_lengths_go_into_a_calculator_tied_to_their_photo(desk, wait, plate):
    app = AtlasApp(desk)
    async with app.run_test(size=(120, 40)) as pilot:
        screen, view = await opened(desk, wait, app, plate)
        await marked(app, pilot, wait, screen, view)
        reading = screen.query_one(LengthsPage).ready.lengths[0].reading
        await pilot.press("c")
        await filled(app, pilot, wait, calculator="mass-est")
        await filled(app, pilot, wait, **{"length-0": "length"})
        form = await wait(
            lambda: isinstance(app.screen, CalculatorScreen) and app.screen, "the form"
        )
        assert form._given["length"] == reading
        outcome = await wait(lambda: form._outcome, "a result")
        assert any(driver.input.startswith("@photo-") for driver in outcome.drivers)
        await pilot.press("alt+left")
        again = await wait(lambda: isinstance(app.screen, PhotoScreen) and app.screen, "the photo")
        await wait(lambda: again.query_one(LengthsPage).ready, "the same lengths")
        assert again.marks == screen.marks


async def test_from_the_form_to_the_photo_and_back(desk, wait, plate):
    app = AtlasApp(desk)
    async with app.run_test(size=(120, 40)) as pilot:
        known = "; ".join(
            f"{x:.1f},{y:.1f}={a:g},{b:g}"
            for (x, y), (a, b) in zip(camera(CORNERS), CORNERS, strict=True)
        )
        (x0, y0), (x1, y1) = camera(ENDS)
        wanted = f"{x0:.1f},{y0:.1f} to {x1:.1f},{y1:.1f}"
        inputs = (("known", known), ("wanted", wanted))
        app.go(Place("calculator", "photo-scale", inputs=inputs))
        await wait(lambda: isinstance(app.screen, CalculatorScreen), "the form")
        await pilot.press("escape", "p")
        await filled(app, pilot, wait, path=str(plate))
        screen = await wait(lambda: isinstance(app.screen, PhotoScreen) and app.screen, "photo")
        measured = await wait(lambda: screen.query_one(LengthsPage).ready, "a length")
        assert measured.lengths[0].value == pytest.approx(360, rel=0.005)
        screen.query_one(PhotoView).focus()
        await pilot.press("f")
        form = await wait(
            lambda: isinstance(app.screen, CalculatorScreen) and app.screen, "the form again"
        )
        assert form._given["wanted"] == wanted


async def test_no_other_calculator_leads_to_a_photo(desk, wait):
    app = AtlasApp(desk)
    async with app.run_test(size=(120, 40)) as pilot:
        app.go(Place("calculator", "mass-estimate"))
        await wait(lambda: isinstance(app.screen, CalculatorScreen), "the form")
        await pilot.press("escape", "p")
        assert isinstance(app.screen, CalculatorScreen)


async def test_a_photo_that_moved_or_changed_is_said_by_name(desk, wait, text, plate, tmp_path):
    case = desk.cases.new("moved")
    here = tmp_path / "here.png"
    here.write_bytes(plate.read_bytes())
    desk.cases.note(case.id, "the plate", photo=str(here))
    there = tmp_path / "there.png"
    here.rename(there)
    app = AtlasApp(desk)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f7", "down", "f4")
        await wait(lambda: isinstance(app.screen, CasesScreen) and app.screen._case, "the case")
        await wait(lambda: "is missing" in text(app), "that it is missing")
        await pilot.press("p")
        other = tmp_path / "other.png"
        Image.new("RGB", (9, 9)).save(other)
        dialog = await wait(lambda: isinstance(app.screen, Dialog) and app.screen, "the question")
        await wait(lambda: dialog.query("#field-path"), "its field")
        dialog.query_one("#field-path").value = str(other)
        await pilot.pause()
        await pilot.click("#do")
        await wait(lambda: "another picture" in str(dialog.query_one("#dialog--error").content),
                   "the refusal of another picture")  # fmt: skip
        dialog.query_one("#field-path").value = str(there)
        dialog.query_one("#field-path").focus()
        await pilot.press("enter")
        await wait(lambda: isinstance(app.screen, PhotoScreen), "the photo")
        assert next(iter(desk.cases.get(case.id).evidence.values())).path == str(there)
        there.write_bytes(other.read_bytes())
        await pilot.press("f7", "down", "f4")
        await wait(lambda: "no longer the photo" in text(app), "that it changed")
        await pilot.press("p")
        await wait(lambda: isinstance(app.screen, PhotoScreen), "the changed photo")
        assert any(str(there) in one.message for one in app._notifications)


@pytest.mark.parametrize("what", ["missing.jpg", "words.jpg", ""])
async def test_what_is_no_photo_is_said_on_the_screen(desk, wait, text, tmp_path, what):
    path = tmp_path / what
    if what == "words.jpg":
        path.write_text("no picture")
    app = AtlasApp(desk)
    async with app.run_test(size=(120, 40)) as pilot:
        app.go(Place("photo", str(path)))
        await wait(lambda: isinstance(app.screen, PhotoScreen), "the screen")
        page = await wait(lambda: app.screen.query_one("#lengths", Page), "the page")
        await wait(lambda: page.blocks, "the reason")
        assert str(path) in page.blocks[0].content.plain
        await pilot.press("enter", "k", "w", "h", "n", "x", "a", "c", "y", "f", "plus", "z", "t",
                          "left", "pageup", "u", "U", "0", "b")  # fmt: skip
        await pilot.click(PhotoView)
        assert app.is_running


@pytest.mark.parametrize("mode", ["colour", "dots", "letters"])
async def test_marks_and_cursor_show_however_it_is_drawn(desk, wait, text, plate, mode):
    app = AtlasApp(desk, ascii_only=mode == "letters")
    async with app.run_test(size=(120, 40)) as pilot:
        screen, view = await opened(desk, wait, app, plate)
        view.mode = mode
        view.action_whole()
        for x, y in camera(CORNERS)[:2]:
            view.point_at(float(x), float(y))
            await pilot.press("enter")
        view.point_at(480, 400)
        await pilot.pause()
        shown = text(app)
        signs = {"colour": "╋─│", "dots": "╋─│┼", "letters": "#-|+"}[mode]
        for sign in (*signs, ">2", "1"):
            assert sign in shown
        if mode == "letters":
            lines = [line[1 : view.size.width] for line in shown.splitlines()[2:-2]]
            assert all(line.isascii() for line in lines)
        assert screen.marks.labels


async def test_the_picture_is_opened_from_the_palette(desk, wait, plate):
    app = AtlasApp(desk)
    async with app.run_test(size=(120, 40)) as pilot:
        app.action_photo()
        dialog = await wait(lambda: isinstance(app.screen, Dialog) and app.screen, "the form")
        field = await wait(lambda: dialog.query_one("#field-path"), "its field")
        suggested = await field.suggester.get_suggestion(str(plate)[:-4])
        assert suggested == str(plate)
        await filled(app, pilot, wait, path=str(plate))
        await wait(lambda: isinstance(app.screen, PhotoScreen), "the photo")


async def test_enter_goes_on_from_a_choice_and_its_meaning_is_said(app, wait, text):
    done = []
    fields = (Field("kind", "Kind", options={"ruler": "along an edge", "plate": "[/ corners"}),)
    async with app.run_test(size=(80, 24)) as pilot:
        app.push_screen(Dialog("Shape", fields, done.append, "Do"))
        await wait(lambda: "along an edge" in text(app), "the meaning of the first")
        await pilot.press("right")
        await wait(lambda: "[/ corners" in text(app), "the meaning of the second")
        await pilot.press("enter", "enter")
        assert done == [{"kind": "plate"}]


async def test_served_to_look_only_it_opens_no_file_by_name(desk, plate, monkeypatch):
    monkeypatch.setenv("ATLAS_READ_ONLY", "1")
    opened_ = []
    _, act = file_form(opened_.append)
    with pytest.raises(Refused, match="only the photos of cases"):
        act({"path": str(plate)})
    assert not opened_
    assert await Files().get_suggestion(str(plate)[:-4]) is None
