"""Vehicles in the application: list, drawing, members, load cases, patterns taken away."""

import re
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from textual.geometry import Offset

from atlas.drawing.terminal import point_at
from atlas.ui.app import AtlasApp
from atlas.ui.desk import Desk
from atlas.ui.form import ChoiceField
from atlas.ui.page import Page
from atlas.ui.places import Place
from atlas.ui.structure_view import StructureKey, StructureView
from atlas.ui.vehicle_screen import VehicleScreen
from atlas.ui.vehicle_study import SAMPLES, Asked, Setting, Solved, study
from atlas.ui.vehicles_screen import VehiclesScreen
from atlas.vehicles.carrying import carry
from atlas.vehicles.framing import frame_of
from atlas.vehicles.loading import load_vehicle
from atlas.vehicles.loads import load_cases

SMALL = Path(__file__).parents[1] / "data" / "small"
SIZES = [(80, 24), (120, 40), (200, 60)]


async def opened(app, pilot, wait, vehicle="demo-frame", **inputs):
    app.go(Place("vehicle", vehicle, inputs=tuple(inputs.items())))
    await wait(lambda: isinstance(app.screen, VehicleScreen), "the vehicle")
    await settled(app, wait)
    return app.screen


async def settled(app, wait):
    def done():
        screen = app.screen
        solved = screen._solved
        rows = screen._rows.get(screen._asked.load, {})
        names = {key.partition(":")[2] for key in keys(screen, "#patterns")}
        return solved.asked == screen._asked and solved.samples == SAMPLES and names <= set(rows)

    await wait(done, "the solution with its ranges and the patterns' table")


def keys(screen, page):
    return [b.key for b in screen.query_one(page, Page).blocks if b.key.startswith("pattern:")]


def words(screen, page) -> str:
    blocks = screen.query_one(page, Page).blocks
    return "\n".join(block.lead + block.content.plain for block in blocks)


async def test_the_list_leads_to_each_and_names_what_cannot_be_read(app, desk, wait, text):
    desk.library.vehicles.mkdir()
    (desk.library.vehicles / "broken.toml").write_text("id = 'broken'\n[nodes\n")
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.press("ctrl+o")
        await wait(lambda: isinstance(app.screen, VehiclesScreen), "the list")
        await wait(lambda: "Plain [test] frame" in text(app), "its lines")
        assert "broken.toml" in text(app)
        await pilot.press("enter")
        await wait(lambda: isinstance(app.screen, VehicleScreen), "the vehicle")
        await pilot.press("escape")
        await wait(lambda: isinstance(app.screen, VehiclesScreen), "the list again")


async def test_ticked_vehicles_are_set_side_by_side(app, desk, wait, text, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("atlas.reports.comparison._best", lambda *_: [])
    desk.library.vehicles.mkdir()
    file = SMALL / "demo_vehicles" / "demo-frame.toml"
    twin = file.read_text().replace('id = "demo-frame"', 'id = "my-twin"')
    (desk.library.vehicles / "my-twin.toml").write_text(twin)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.press("ctrl+o")
        await wait(lambda: "my-twin" in text(app), "both vehicles")
        await pilot.press("space", "c")
        await wait(lambda: any("2 to 8" in n.message for n in app._notifications), "the refusal")
        await pilot.press("down", "space")
        assert "2 ticked" in text(app)
        await pilot.press("c")
        path = tmp_path / "comparison-demo-frame-my-twin.html"
        await wait(path.is_file, "the page")
        await wait(lambda: "</html>" in path.read_text(encoding="utf-8"), "all of it")
        await pilot.press("space")
        assert "1 ticked" in text(app)


@pytest.mark.parametrize("size", SIZES)
async def test_each_pane_is_in_sight_or_one_key_away(app, wait, size):
    async with app.run_test(size=size) as pilot:
        screen = await opened(app, pilot, wait)
        for key, pane in (("f3", "#view-1"), ("f4", "#results"), ("f5", "#member"),
                          ("f6", "#patterns")):  # fmt: skip
            await pilot.press(key)
            assert screen.query_one(pane).region.area > 0, pane
        seen = [view for view in screen.query(StructureView) if view.region.area > 0]
        assert len(seen) == (3 if size[0] >= 120 else 0)


async def test_figures_are_those_of_the_model(app, wait):
    vehicle = load_vehicle("demo-frame")
    (carried,) = carry(frame_of(vehicle, (), SAMPLES), [load_cases()["corner"]], SAMPLES)
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        shown = words(screen, "#results")
        middle = float(np.median(carried.movement)) * 1e3
        found = re.search(r"movement\s+([\d.]+) mm  ([\d.]+) to ([\d.]+)", shown)
        assert float(found[1]) == pytest.approx(middle, rel=5e-3)
        assert float(found[2]) < middle < float(found[3])
        assert "kN/mm" in shown
        assert "Leaves out" in shown
        assert "proven by test" in shown
        key = screen.query_one(StructureKey)
        assert any("elastic limit" in line for line in key.grid().chars)


async def test_members_are_picked_by_keys_and_say_what_they_are(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        await pilot.press("right")
        worst = screen.shown.worst
        assert screen.shown.chosen == {worst}
        assert worst in words(screen, "#member")
        assert "MPa" in words(screen, "#member")
        assert "kN" in words(screen, "#member")
        seen = set()
        for key in ("down", "down", "left", "right", "up", "n", "n", "N"):
            await pilot.press(key)
            seen |= set(screen.shown.chosen)
        assert len(seen) >= 4
        lit = screen.query_one("#view-1", StructureView).grid().styles
        assert any("lit" in row for row in lit)
        await pilot.press("escape")
        assert not screen.shown.chosen


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_click_picks_the_nearest_member(app, wait, size):
    async with app.run_test(size=size) as pilot:
        screen = await opened(app, pilot, wait, moved="no")
        view = screen.query_one("#view-1", StructureView)
        regions = [None] * 6
        while len(set(regions)) > 1 or regions[0] is None:  # the key below takes its lines first
            await pilot.pause(0.03)
            regions = [*regions[1:], view.content_region]
        picture, grid = view.picture, view.grid()
        rail = next(i for i in picture.items if getattr(i, "mark", "") == "rail-2-r")
        middle = np.mean(rail.points, axis=0)
        cells = [(c, r) for r in range(grid.height) for c in range(grid.width)]
        near = min(cells, key=lambda cell: np.hypot(*(
            np.array(point_at(picture, view.size.width, grid.height, cell)) - middle)))  # fmt: skip
        at = view.content_region.offset + Offset(*near)
        await pilot.click(offset=at)
        await wait(lambda: screen.shown.chosen == {"rail-2-r"}, "the rail")
        assert "rail-2-r" in words(screen, "#member")
        await pilot.click(offset=view.content_region.offset + Offset(1, 1))
        assert screen.shown.chosen == {"rail-2-r"}, "a click beside everything changes nothing"


async def test_load_cases_turn_by_key_and_by_field(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        await pilot.press("l")
        await settled(app, wait)
        assert screen._solved.carried.case.id == "lift"
        assert "Half the front axle" in words(screen, "#results")
        assert "Lift at one rail" in words(screen, "#patterns")
        screen.query_one("#case-choice", ChoiceField).focus()
        await pilot.press("left")
        await settled(app, wait)
        assert screen._solved.carried.case.id == "corner"


async def test_a_pattern_is_taken_away_and_put_back(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        whole = float(np.median(screen._solved.carried.movement))
        row = screen._rows["corner"]["cross-plate"]
        assert row.ratio.low < row.ratio.value < row.ratio.high
        await pilot.press("f6", "home")
        page = screen.query_one("#patterns", Page)
        while page.current.key != "pattern:cross-plate":
            await pilot.press("down")
        await pilot.press("enter")
        await settled(app, wait)
        # The plate's front arms go; its rear ones are another pattern's as well and stay.
        assert screen._asked.without == ("cross-plate",)
        assert "sheet-f-l" not in screen.shown.framed.member_names
        assert float(np.median(screen._solved.carried.movement)) > whole
        assert "whole:" in words(screen, "#results")
        assert "taken away" in words(screen, "#patterns")
        assert any("taken away" in line for line in screen.query_one(StructureKey).grid().chars)
        await pilot.press("u")
        await settled(app, wait)
        assert screen._asked.without == ()
        await pilot.press("enter")
        await settled(app, wait)
        await pilot.press("b")
        await settled(app, wait)
        assert float(np.median(screen._solved.carried.movement)) == pytest.approx(whole)


async def test_the_table_agrees_with_taking_it_away_by_hand(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        screen.toggle("cross-plate")
        await settled(app, wait)
        solved, row = screen._solved, screen._rows["corner"]["cross-plate"]
        by_hand = np.median(solved.whole.stiffness / solved.carried.stiffness)
        assert row.ratio.value == pytest.approx(float(by_hand), rel=1e-9)


async def test_a_pattern_that_only_shares_takes_what_it_shares(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        screen.toggle("v-plate")  # its only members are also the crossed plate's
        await settled(app, wait)
        gone = set(screen._solved.whole.framed.member_names)
        gone -= set(screen._solved.carried.framed.member_names)
        shared = {n for n, one in screen.vehicle.members.items() if "v-plate" in one.patterns}
        assert gone == shared and gone
        screen.toggle("v-plate")
        await settled(app, wait)
        assert screen._asked.without == ()


async def test_a_mechanism_is_said_and_drawn_without_a_load(app, wait, text):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        # Nothing of the shipped model gives way so; the rails are made a pattern's for this.
        from msgspec.structs import replace

        members = {
            name: replace(one, patterns=("long-bar",)) if "rail-2" in name or "sheet-r" in name
            else one
            for name, one in screen.vehicle.members.items()
        }  # fmt: skip
        screen.vehicle = replace(screen.vehicle, members=members)
        screen.toggle("long-bar")
        await wait(lambda: screen._solved and screen._solved.error, "the reason")
        assert "mechanism" in words(screen, "#results")
        assert "Long front bar" in words(screen, "#results")
        assert screen.query_one("#results", Page).blocks[0].lead == "! "
        assert not screen.shown.use
        assert screen.query_one("#view-1", StructureView).grid() is not None
        await pilot.press("u")
        await wait(lambda: screen._solved.error is None, "the whole again")


async def test_the_moved_shape_and_the_views_turn(app, wait):
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await opened(app, pilot, wait)
        view = screen.query_one("#view-1", StructureView)
        moved = view.grid()
        await pilot.press("d")
        assert view.grid() != moved
        assert screen.place.inputs[-1] == ("moved", "no")
        await pilot.press("v")
        assert view.view == "side"
        whole = view.grid()
        await pilot.press("right", "+", "+")
        assert view.window is not None
        assert view.grid() != whole
        await pilot.press("0")
        assert view.window is None


async def test_coming_back_finds_everything_as_it_was(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        await pilot.press("l", "right", "d", "v")
        screen.toggle("cross-plate")
        await settled(app, wait)
        before = screen.place
        await pilot.press("f9")
        await wait(lambda: app.trail.here.kind == "glossary", "the glossary")
        await pilot.press("alt+left")
        await wait(lambda: isinstance(app.screen, VehicleScreen), "the vehicle again")
        assert app.screen.place == before
        await settled(app, wait)
        assert app.screen._solved.asked.without == ("cross-plate",)


async def test_a_resize_loses_nothing(app, wait):
    async with app.run_test(size=(200, 60)) as pilot:
        screen = await opened(app, pilot, wait)
        await pilot.press("right", "v", "l")
        await settled(app, wait)
        before = screen.place
        for size in ((80, 24), (20, 6), (120, 40), (60, 15), (200, 60)):
            await pilot.resize_terminal(*size)
            await pilot.pause()
        assert app.screen is screen
        assert screen.place == before
        assert screen.query_one("#view-1", StructureView).region.area > 0


async def test_a_pattern_opens_from_its_member_and_from_the_table(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        screen.choose_member("sheet-r-l")
        await pilot.press("o")
        await wait(lambda: app.trail.here.id == "cross-plate", "its page")
        await pilot.press("alt+left")
        await wait(lambda: isinstance(app.screen, VehicleScreen), "the vehicle again")
        await settled(app, wait)
        await pilot.press("f6", "end", "o")
        await wait(lambda: app.trail.here.kind == "find", "a page")


async def test_what_was_overtaken_is_not_shown(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        for _ in range(7):
            await pilot.press("l")
        screen.toggle("cross-plate")
        await settled(app, wait)
        solved = screen._solved
        assert solved.carried.case.id == screen._asked.load
        late = Solved(Asked("corner"), solved.framed, solved.carried, solved.whole)
        assert late.asked != screen._asked
        screen.post_message(late)  # from a thread that had not seen yet that it was overtaken
        await pilot.pause()
        assert screen._solved is solved


def test_a_study_stops_when_it_is_overtaken(small):
    vehicle, case = load_vehicle("demo-frame"), load_cases()["corner"]
    asked = Asked("corner")
    steps = study(vehicle, case, asked, True, lambda: True)
    assert [type(step) for step in steps] == [Solved]


def test_a_setting_forgets_what_is_not_there_any_more(small):
    vehicle = load_vehicle("demo-frame")
    given = {"load": "gone", "without": "cross-plate gone", "member": "gone", "moved": "no"}
    setting = Setting.of(given, vehicle, ["corner", "lift"])
    assert (setting.load, setting.without, setting.member) == ("corner", ("cross-plate",), "")
    assert Setting.of(dict(setting.inputs), vehicle, ["corner"]) == setting


async def test_the_palette_leads_to_a_vehicle(app, wait, text):
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("ctrl+p")
        await pilot.press(*"demo-fr")
        await wait(lambda: "demo-frame" in text(app), "the hit")
        await pilot.press("enter")
        await wait(lambda: isinstance(app.screen, VehicleScreen), "the vehicle")


async def test_a_vehicle_that_is_gone_is_said(app, wait):
    async with app.run_test(size=(80, 24)):
        app.go(Place("vehicle", "nope"))
        await wait(lambda: app._notifications, "a notice")
        assert app.trail.here.kind == "find"


async def test_the_sheet_is_written_with_its_key(app, wait, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, wait)
        await pilot.press("right", "w")
        path = tmp_path / "demo-frame-plan.svg"
        await wait(path.is_file, "the sheet")
        root = ElementTree.fromstring(path.read_text(encoding="utf-8"))
        said = {e.text for e in root.iter("{http://www.w3.org/2000/svg}text")}
        assert any("moved shape" in (line or "") for line in said)


async def test_the_report_is_written_beside_what_is_there(app, wait, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("atlas.reports.vehicle.SAMPLES", 10)
    (tmp_path / "demo-frame-corner.html").write_text("somebody else's")
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, wait)
        await pilot.press("r")
        path = tmp_path / "demo-frame-corner-2.html"
        await wait(path.is_file, "the report")
        await wait(lambda: "</html>" in path.read_text(encoding="utf-8"), "all of it")
    assert (tmp_path / "demo-frame-corner.html").read_text() == "somebody else's"


async def test_ascii_terminals_are_served(desk, wait, text):
    app = AtlasApp(desk, ascii_only=True)
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        await pilot.press("right")
        for view in screen.query(StructureView):
            assert all(line.isascii() for line in view.grid().chars)
        assert all(line.isascii() for line in screen.query_one(StructureKey).grid().chars)


async def test_shipped_vehicles_open_with_the_shipped_catalogue(library, wait):
    app = AtlasApp(Desk(library, "ab"))
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait, "demo-pickup")
        assert app.desk.title("rear-x-plate") != "rear-x-plate"
        assert app.desk.title("rear-x-plate") in words(screen, "#patterns")
        downward = keys(screen, "#patterns").index("pattern:rear-x-plate") * ["down"]
        await pilot.press("f6", "home", *downward)
        await wait(lambda: "Open its page" in words(screen, "#member"), "the plate's own pane")
        own = {n for n, m in screen.vehicle.members.items() if "rear-x-plate" in m.patterns}
        await wait(lambda: own and screen.shown.chosen == own, "the plate's members brought out")
