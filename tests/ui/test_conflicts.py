"""Conflicts side by side, and one choice that settles each."""

import pytest
from msgspec.structs import replace

from atlas.casework.cases import Cases
from atlas.casework.conflicts import TAKEN_OUT, keep_clashes, open_conflicts
from atlas.casework.merging import Clash
from atlas.ui.cases_screen import CasesScreen
from atlas.ui.conflicts_screen import ConflictsScreen, set_off, version_blocks
from atlas.ui.page import Page


@pytest.fixture
def disputed(desk):
    case = desk.cases.new("Grey [b]hatchback[/")
    for who, pattern, found in (
        ("AB", "cross-plate", "one [red]sheet[/], four arms \x1b[31m"),
        ("CD", "", "two sheets, four arms"),
    ):
        mine = Cases(desk.library, who)
        mine.suspect(case.id, "cross-plate", 0.4, about="brace", why=f"{who} said")
        mine.settle(case.id, pattern, about="brace", found=found, how="cut", known=())
    return case


async def opened(app, pilot, wait):
    await pilot.press("f7")
    await wait(lambda: isinstance(app.screen, CasesScreen), "the cases")
    await pilot.press("c")
    screen = await wait(lambda: isinstance(app.screen, ConflictsScreen) and app.screen, "conflicts")
    await wait(lambda: screen.current or "Nothing waits" in str(screen.query_one("#which").content),
               "what waits")  # fmt: skip
    return screen


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["small", "wide"])
async def test_two_verdicts_stand_side_by_side_and_one_is_kept(
    app, desk, disputed, wait, text, size
):
    async with app.run_test(size=size) as pilot:
        screen = await opened(app, pilot, wait)
        shown = [page for page in screen.query(Page) if page.display]
        assert len(shown) == 2
        await pilot.pause()
        for part in ("Who: AB", "Who: CD", "one [red]sheet[/]", "two sheets", "by cutting"):
            assert part in text(app), part
        assert "\x1b" not in text(app)
        if size[0] >= 100:
            assert shown[0].region.y == shown[1].region.y, "side by side"
        await pilot.press("2", "end", "enter")
        await wait(lambda: not open_conflicts(desk.library)[0], "the choice")
        await wait(lambda: "Nothing waits" in text(app), "that none is left")
        await pilot.press("escape")
        await wait(lambda: isinstance(app.screen, CasesScreen), "the cases")
        case = desk.cases.get(disputed.id)
        assert case.status == "settled" and case.verdict_on("brace").pattern == ""
        await pilot.press("f3", "end", "f4")
        await wait(lambda: "not chosen (by ab" in " ".join(text(app).split()), "the other told")
        await pilot.press("u")
        await wait(lambda: desk.cases.get(disputed.id).in_dispute, "the choice taken back")


async def test_the_list_says_how_many_wait_and_the_case_leads_there(
    app, desk, disputed, wait, text
):
    quiet = desk.cases.new("another")
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f7")
        await wait(lambda: "1 waiting for a choice" in text(app), "the count")
        assert "in dispute" in text(app)
        app.screen.open(disputed.id)
        await pilot.press("f4")
        page = app.screen.query_one("#case", Page)
        await wait(lambda: any(b.key == "conflicts" for b in page.blocks), "the dispute")
        lines = " ".join(text(app).split())
        assert "mean of 2 people" in lines and "AB 40%" in lines and "CD 40%" in lines
        while page.current.key != "conflicts":
            await pilot.press("down")
        await pilot.press("enter")
        screen = await wait(
            lambda: isinstance(app.screen, ConflictsScreen) and app.screen.current and app.screen,
            "the conflict",
        )
        assert screen.current.record == f"cases/{disputed.id}.json" != f"cases/{quiet.id}.json"


async def test_fields_too_and_the_way_from_one_to_the_next(app, desk, disputed, wait, text):
    record = f"cases/{disputed.id}.json"
    case = desk.cases.get(disputed.id)
    head = replace(case.head, place="bay 3")
    desk.cases.replace(case.id, "head", 1, head, revision=case.revision)
    keep_clashes(desk.library, record, [Clash(("head", "1", "place"), ("bay 2", "bay 3"), 1)])
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        await pilot.press("n")
        await wait(lambda: "head.1.place" in text(app), "the next")
        assert "2 of 2" in text(app) and "holds this one" in text(app)
        await pilot.press("end", "enter")
        await wait(lambda: len(open_conflicts(desk.library)[0]) == 1, "the field's choice")
        assert desk.cases.get(disputed.id).head.place == "bay 2"
        await wait(lambda: screen.current and screen.current.verdicts, "the one that is left")


async def test_a_case_that_one_took_out_is_asked_for_as_such(app, desk, wait, text):
    case = desk.cases.new("kept by one")
    keep_clashes(desk.library, f"cases/{case.id}.json", [TAKEN_OUT])
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, wait)
        await pilot.pause()
        assert "One took it out" in text(app) and "Take it out" in text(app)
        await pilot.press("1", "end", "enter")
        await wait(lambda: not desk.cases.rows()[0], "the case taken out")
        await pilot.press("escape")
        await wait(lambda: "kept by one" not in text(app), "the list without it")


async def test_without_conflicts_it_says_so(app, wait, text):
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, wait)
        assert "Nothing waits for a choice" in text(app)
        await pilot.press("n", "b", "1", "9", "enter", "escape")
        await wait(lambda: isinstance(app.screen, CasesScreen), "the cases")


async def test_one_who_is_overtaken_is_told(app, desk, disputed, wait, text):
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot, wait)
        mine = Cases(desk.library, "EF")
        mine.settle(disputed.id, "v-plate", about="brace", found="looked again", how="look")
        await pilot.press("end", "enter")
        await wait(lambda: "Nothing waits" in text(app), "the new state")
        assert desk.cases.get(disputed.id).verdict_on("brace").found == "looked again"


def test_what_differs_is_set_off_by_more_than_colour(desk, disputed):
    (one,), _ = open_conflicts(desk.library)
    blocks = version_blocks(one, 1, desk.title)
    (found,) = [b.content for b in blocks if b.content.plain.startswith("Found")]
    marked = {found.plain[s.start : s.end] for s in found.spans if "underline" in str(s.style)}
    assert marked == {"two", "sheets,"}
    assert set_off("a b", []).plain == "a b" and not set_off("a b", ["a b"]).spans
    long = "word " * 5000
    assert set_off(long, [long + "x"]).plain == long, "too long to compare, shown whole"
