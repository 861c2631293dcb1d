import errno
import os

import pytest

from atlas.casework.cases import Cases
from atlas.errors import BadInput, NotThere
from atlas.ui.case_forms import pattern_named
from atlas.ui.case_page import case_blocks
from atlas.ui.cases_screen import CasesScreen
from atlas.ui.dialog import Dialog
from atlas.ui.page import Page


async def fill(app, pilot, wait, **values):
    dialog = await wait(lambda: isinstance(app.screen, Dialog) and app.screen, "the form")
    await pilot.pause()
    for name, value in values.items():
        dialog.query_one(f"#field-{name}").value = value
    await pilot.pause()
    await pilot.click("#do")
    return dialog


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_loop_from_a_new_case_to_its_verdict(app, desk, wait, text, size):
    async with app.run_test(size=size) as pilot:
        await pilot.press("f7")
        await wait(lambda: isinstance(app.screen, CasesScreen), "the cases")
        await pilot.press("n")
        await fill(app, pilot, wait, title="Grey [b]hatchback[/", vehicle="Halden 3")
        case = await wait(lambda: app.screen._case, "the case")
        await pilot.press("e")
        await fill(app, pilot, wait, text="flat sheet, four arms", about="rear brace",
                   value="3.1 mm")  # fmt: skip
        await wait(lambda: app.screen._case.evidence, "the evidence")
        await pilot.press("s")
        await fill(app, pilot, wait, pattern="crossed", probability="70%", why="four arms")
        await wait(lambda: app.screen._case.suspicion, "the suspicion")
        await pilot.press("o")
        await fill(app, pilot, wait, text="One sheet?", look="mirror at the waist")
        await wait(lambda: app.screen._case.question, "the question")
        await pilot.press("x")
        await fill(app, pilot, wait, found="one pressing", how="cut")
        await wait(lambda: app.screen._case.status == "settled", "the verdict")
        stored = Cases(desk.library).get(case.id)
        assert stored.head.title == "Grey [b]hatchback[/"
        assert next(iter(stored.evidence.values())).value == 3.1
        assert stored.verdict_on("rear brace").pattern == "cross-plate"
        await pilot.press("f4")
        await wait(lambda: "was right" in text(app), "how the suspicion fared")
        await pilot.press("u")
        await wait(lambda: app.screen._case.status == "open", "the verdict taken back")
        assert Cases(desk.library).get(case.id).status == "open"


async def test_a_form_that_is_refused_stays_open_and_says_why(app, desk, wait):
    desk.cases.new("one")
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f7", "down", "s")
        dialog = await fill(app, pilot, wait, pattern="no such thing", probability="2")
        await wait(lambda: str(dialog.query_one("#dialog--error").content), "the reason")
        assert app.screen is dialog
        await pilot.press("escape")  # what was filled in is not lost by one stray key
        await wait(lambda: "esc again" in str(dialog.query_one("#dialog--error").content), "a word")
        assert app.screen is dialog
        await pilot.press("escape")
        await wait(lambda: isinstance(app.screen, CasesScreen), "the cases again")
        assert not desk.cases.get(app.screen._case.id).suspicion


async def test_the_pattern_on_screen_goes_into_a_new_case(app, desk, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press(*"crossed")
        page = app.screen.query_one("#page", Page)
        await wait(lambda: page.current and page.current.key == "head", "the pattern")
        await pilot.press("enter", "a")
        await fill(app, pilot, wait, title="From the find screen", probability="0.6")
        rows = await wait(lambda: desk.cases.rows()[0], "the case")
        case = desk.cases.get(rows[0].id)
        assert [one.probability for one in case.suspicion.values()] == [0.6]
        assert next(iter(case.suspicion.values())).why == "crossed"


async def test_a_run_goes_into_a_case_and_is_opened_from_it(app, desk, wait):
    from atlas.ui.calculator_screen import CalculatorScreen
    from atlas.ui.places import Place

    case = desk.cases.new("with a sum")
    async with app.run_test(size=(120, 40)) as pilot:
        app.go(Place("calculator", "mass-estimate", inputs=(("gauge", "3.3"),)))
        await wait(lambda: isinstance(app.screen, CalculatorScreen), "the form")
        await wait(lambda: app.screen._outcome, "a result")
        await pilot.press("f4", "a")
        await fill(app, pilot, wait, about="brace")
        await wait(lambda: desk.cases.get(case.id).calculation, "the run in the case")
        await pilot.press("f7", "down", "f4")
        page = app.screen.query_one("#case", Page)
        await wait(lambda: any(b.key.startswith("calculation") for b in page.blocks), "its line")
        for _ in range(12):
            if page.current.key.startswith("calculation"):
                break
            await pilot.press("down")
        await pilot.press("enter")
        await wait(lambda: isinstance(app.screen, CalculatorScreen), "the form again")
        assert app.screen._given["gauge"] == "3.3"


async def test_a_run_for_a_pattern_is_filed_under_it_and_a_bad_reading_says_why(app, desk, wait):
    from textual.widgets import Input

    from atlas.ui.calculator_screen import CalculatorScreen
    from atlas.ui.desk import Preset
    from atlas.ui.form import Row
    from atlas.ui.places import Place

    case = desk.cases.new("with a sum")
    async with app.run_test(size=(120, 40)) as pilot:
        preset = Preset("x", "Crossed plate", "How heavy?", ())
        app._show(Place("calculator", "mass-estimate"), preset)
        await wait(lambda: isinstance(app.screen, CalculatorScreen), "the form")
        await wait(lambda: app.screen._outcome, "a result")
        row = next(row for row in app.screen.query(Row) if row.one.name == "gauge")
        good = row.value
        row.value = "70-110"
        await wait(lambda: app.screen._error, "the refusal")
        await pilot.press("f4", "a")
        await wait(lambda: any("70..110" in n.message for n in app._notifications), "why")
        row.value = good
        await wait(lambda: app.screen._error is None and app.screen._outcome, "a result")
        await pilot.press("f4", "a")
        dialog = await wait(lambda: isinstance(app.screen, Dialog) and app.screen, "the form")
        await pilot.press("down", "down")
        assert app.focused is dialog.query_one("#field-about", Input)
        await pilot.press("up")
        assert app.focused is dialog.query_one("#field-title", Input)
        await pilot.click("#do")
        await wait(lambda: desk.cases.get(case.id).calculation, "the run in the case")
        (record,) = desk.cases.get(case.id).calculation.values()
        assert record.about == "Crossed plate"


async def test_a_report_is_written_beside_the_case(app, desk, wait):
    case = desk.cases.new("to hand over")
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f7", "down", "r")
        path = desk.library.cases / f"{case.id}.html"
        await wait(path.is_file, "the report")


async def test_a_damaged_case_is_named_and_the_others_open(app, desk, wait, text):
    desk.cases.new("whole")
    (desk.library.cases / "broken.json").write_text("{")
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f7")
        await wait(lambda: "whole" in text(app) and "broken.json" in text(app), "both")


async def test_without_a_library_the_way_to_cases_says_so(small, wait):
    from atlas.ui.app import AtlasApp

    app = AtlasApp()
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f7")
        await wait(lambda: app._notifications, "the notice")
        assert not isinstance(app.screen, CasesScreen)


def test_a_pattern_is_named_by_id_by_title_or_by_part_of_it(desk):
    assert pattern_named(desk, "v-plate") == "v-plate"
    assert pattern_named(desk, "crossed PLATE") == "cross-plate"
    assert pattern_named(desk, "front") == "long-bar"
    with pytest.raises(BadInput, match="could be"):
        pattern_named(desk, "plate")
    with pytest.raises(NotThere, match="Long front bar"):
        pattern_named(desk, "lang frunt bar")


def test_a_case_shows_all_of_its_records(desk):
    cases = desk.cases
    case = cases.new("all", place="lift")
    cases.note(case.id, "seen", about="brace")
    cases.suspect(case.id, "v-plate", 0.4, about="brace")
    cases.ask(case.id, "why?", "look")
    case = cases.settle(case.id, "", about="brace", found="a casting", how="look")
    words = "\n".join(block.content.plain for block in case_blocks(case, desk.title))
    for part in ("lift", "seen", "V plate [/", "40%", "why?", "was not", "none of the catalogue"):
        assert part in words


@pytest.mark.parametrize(
    ("number", "words"),
    [(errno.ENOSPC, "disk is full"), (errno.EROFS, "read-only"), (errno.EACCES, "no permission")],
)
async def test_a_medium_that_refuses_costs_nothing_of_what_was_typed(
    app, desk, wait, text, monkeypatch, number, words
):
    case = desk.cases.new("one")
    desk.cases.note(case.id, "kept")

    def refuse(handle):
        raise OSError(number, os.strerror(number))

    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f7", "down", "e")
        with monkeypatch.context() as medium:
            medium.setattr(os, "fsync", refuse)
            dialog = await fill(app, pilot, wait, text="long and carefully typed", about="bar")
            said = await wait(lambda: str(dialog.query_one("#dialog--error").content), "the reason")
            assert words in said and app.screen is dialog
            assert dialog.values["text"] == "long and carefully typed"
        button = dialog.query_one("#do")  # which takes no second click while it is lit
        await wait(lambda: not button.has_class("-active"), "the button to be free")
        await pilot.click("#do")
        await wait(lambda: len(desk.cases.get(case.id).evidence) == 2, "the note, once it went")
        with monkeypatch.context() as medium:
            medium.setattr(os, "fsync", refuse)
            await pilot.press("u")
            await wait(lambda: words in notices(app), "a notice")
            await pilot.press("r")
            await pilot.pause()
        assert len(desk.cases.get(case.id).evidence) == 2
        assert not [*desk.library.root.rglob("*.part")]


def notices(app):
    return " ".join(one.message for one in app._notifications)


async def test_ten_times_more_cases_than_are_shown_at_once(app, desk, wait, monkeypatch):
    monkeypatch.setattr("atlas.ui.cases_screen._SHOWN", 3)
    names = [desk.cases.new(f"case {i}").id for i in range(8)]
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f7")
        page = await wait(lambda: app.screen.query_one("#list", Page), "the list")
        await wait(lambda: page.blocks, "the cases")

        def shown():
            return [block.key for block in page.blocks if block.key.startswith("case:")]

        assert len(shown()) == 3 and page.blocks[-1].key == "older"
        await pilot.press("end", "enter")
        await wait(lambda: len(shown()) == 6, "older ones")
        assert page.current is not None and page.current.key == shown()[3]
        await pilot.press("end", "enter")
        await wait(lambda: len(shown()) == 8, "the oldest")
        assert page.blocks[-1].key != "older"
        assert set(shown()) == {f"case:{name}" for name in names}


async def test_what_others_write_into_the_folder_is_shown_and_not_undone_unseen(
    app, desk, wait, text
):
    case = desk.cases.new("shared")
    desk.cases.note(case.id, "mine", about="plate")
    other = Cases(desk.library, "CD")
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f7")
        await wait(lambda: isinstance(app.screen, CasesScreen), "the cases")
        await pilot.press("down")
        await wait(lambda: app.screen._case is not None, "the case")
        other.note(case.id, "theirs", about="plate")
        await pilot.press("u")  # meant for what is on screen, which is no longer the latest
        await wait(lambda: "CD noted text" in text(app), "the new state")
        assert {e.text for e in desk.cases.get(case.id).evidence.values()} == {"mine", "theirs"}
        other.settle(case.id, "cross-plate", about="plate", found="it", how="cut")
        await wait(lambda: "settled plate" in text(app), "what the other wrote, unasked")
        await pilot.press("u")
        await wait(lambda: not desk.cases.get(case.id).verdict, "what was seen, taken back")
