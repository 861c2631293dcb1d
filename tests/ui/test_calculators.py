import pytest
from textual.widgets import Input

from atlas.calculators.declare import Number
from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.ui.calculator_screen import CalculatorScreen
from atlas.ui.form import ChoiceField, Row
from atlas.ui.outcome_page import outcome_blocks, plain_text, result_words
from atlas.ui.page import Page
from atlas.ui.places import Place
from atlas.ui.steps import slider, stepped, widened

WALL = Number("gauge", "mm", "2.5", 0.3, 60, "wall")


@pytest.mark.parametrize(
    ("text", "steps", "moved"),
    [
        ("2.5", 1, "2.6"),
        ("2.5", -30, "0.3"),
        ("59.9", 10, "60"),
        ("2.2..2.8", 10, "3.2..3.8"),
        ("2.2..2.5..2.8", 1, "2.3..2.6..2.9"),
        ("2.5+-0.2", 2, "2.7+-0.2"),
        ("2.5@photo", 1, "2.6@photo"),
    ],
)
def test_a_reading_moves_and_keeps_its_kind(text, steps, moved):
    assert stepped(text, WALL, steps) == moved


@pytest.mark.parametrize(
    ("text", "steps", "wider"),
    [("2.5", 2, "2.3..2.7"), ("2.4..2.6", -1, "2.5"), ("0.3..0.5", 3, "0.3..0.6")],
)
def test_a_range_widens_within_its_validity(text, steps, wider):
    low, high = widened(text, WALL, steps), wider
    assert low == high or low.startswith("0.3")


def test_counts_move_by_one():
    bolts = Number("bolts", "", "4", 1, 40, "how many", whole=True)
    assert stepped("4", bolts, 1) == "5"


@pytest.mark.parametrize("text", ["", "about two", "2.5 kN", "1..", "[/"])
def test_what_is_no_reading_has_no_slider(text):
    assert slider(text, WALL, 20) == ""


async def opened(app, pilot, wait, name="mass-estimate", **inputs):
    app.go(Place("calculator", name, inputs=tuple(inputs.items())))
    await wait(lambda: isinstance(app.screen, CalculatorScreen), "the form")
    await wait(lambda: app.screen._outcome, "a result")
    return app.screen


def row(screen, name: str) -> Row:
    return next(one for one in screen.query(Row) if one.one.name == name)


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)])
async def test_the_form_answers_as_the_command_does(app, wait, size):
    expected = run(calculator("mass-estimate"), {"gauge": "2.5"}).results["mass"]
    async with app.run_test(size=size) as pilot:
        screen = await opened(app, pilot, wait, gauge="2.5")
        assert screen._outcome.results["mass"] == expected
        words = "".join(block.content.plain for block in screen.query_one("#results", Page).blocks)
        assert result_words(expected) in words
        for key, pane in (("f3", "inputs"), ("f4", "results"), ("f5", "plot")):
            await pilot.press(key)
            assert screen.query_one(f"#{pane}").region.area > 0


async def test_results_follow_the_keys(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait, length="900", perimeter="260", gauge="2",
                              holes="0", extras="0")  # fmt: skip
        before = screen._outcome.results["mass"].value
        row(screen, "gauge").query_one(Input).focus()
        await pilot.press("pageup")
        await wait(lambda: screen._outcome.results["mass"].value > before, "a heavier part")
        await pilot.press("shift+up")
        await wait(lambda: screen._outcome.drivers, "a range, and what causes it")
        assert row(screen, "gauge").value == "2..2.2"
        await pilot.press("ctrl+z")
        await wait(lambda: row(screen, "gauge").value == "2.1", "the step before")


async def test_walking_through_the_rows_changes_nothing_and_typing_replaces(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        entered = [one.value for one in screen.query(Row)]
        for key in (*["down"] * 8, *["up"] * 9, *["down"] * 8):
            await pilot.press(key)
        assert [one.value for one in screen.query(Row)] == entered
        gauge = row(screen, "gauge")
        while gauge.query_one(Input) is not screen.focused:
            await pilot.press("up")
        await pilot.press(*"2.2..2.8")
        assert gauge.value == "2.2..2.8"


async def test_a_bad_reading_is_named_and_the_last_result_stays(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        field = row(screen, "gauge").query_one(Input)
        field.focus()
        field.value = "9 furlongs [/"
        await wait(lambda: row(screen, "gauge").has_class("-bad"), "the row marked")
        words = [block.content.plain for block in screen.query_one("#results", Page).blocks]
        assert "gauge" in words[0]
        assert len(words) > 5
        field.value = "2.5"
        await wait(lambda: not row(screen, "gauge").has_class("-bad"), "the row at ease")
        await pilot.pause()


async def test_a_choice_turns_with_the_arrow_keys(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        field = row(screen, "form").query_one(ChoiceField)
        field.focus()
        await pilot.press("right")
        assert field.value == "plate"
        await pilot.press("left")
        assert field.value == "profile"


async def test_a_held_setting_is_compared_with(app, wait, text):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait, gauge="2")
        await pilot.press("f6")
        row(screen, "gauge").query_one(Input).value = "4"
        await wait(lambda: "%" in text(app) and "held" in text(app), "the comparison")
        await pilot.press("f6")
        await wait(lambda: screen._held is None, "the held one let go")


async def test_a_pattern_s_preset_fills_the_form_and_others_are_offered(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        app.go(Place("find", "cross-plate"))
        page = app.screen.query_one("#page", Page)
        await wait(lambda: any(b.key == "sum:0" for b in page.blocks), "the pattern's page")
        for _ in range(60):
            if page.current.key == "sum:0":
                break
            await pilot.press("down")
        await pilot.press("enter")
        await wait(lambda: isinstance(app.screen, CalculatorScreen), "the form")
        screen = app.screen
        await wait(lambda: screen._outcome, "a result")
        assert row(screen, "form").value == "plate"
        preset = screen.query_one("#preset", ChoiceField)
        await wait(lambda: len(preset.options) == 4, "the other patterns' presets")
        preset.focus()
        await pilot.press("left")
        await wait(lambda: row(screen, "form").value == "profile", "the usual values")
        await pilot.press("f4", "escape")
        await wait(lambda: app.screen.id is None and app.trail.here.kind == "find", "the way back")


async def test_coming_back_finds_what_was_entered(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        row(screen, "gauge").query_one(Input).value = "3.3"
        await pilot.pause()
        await pilot.press("f9")
        await wait(lambda: app.trail.here.kind == "glossary", "the glossary")
        await pilot.press("alt+left")
        await wait(lambda: isinstance(app.screen, CalculatorScreen), "the form again")
        await wait(lambda: row(app.screen, "gauge").value == "3.3", "the reading")


async def test_the_list_leads_to_each(app, wait):
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f8")
        page = await wait(lambda: app.screen.query_one("#calculators", Page), "the list")
        await wait(lambda: any(b.key for b in page.blocks), "its lines")
        await pilot.press("enter")
        await wait(lambda: isinstance(app.screen, CalculatorScreen), "a form")
        await wait(lambda: app.screen._outcome, "its result")


def test_every_number_has_a_range_a_unit_and_a_source():
    outcome = run(calculator("mass-estimate"), {})
    words = "\n".join(block.content.plain for block in outcome_blocks(outcome, None))
    assert " to " in words
    assert "kg" in words
    for line in (*outcome.calculator.sources, *outcome.calculator.cautions):
        assert line in words
    copied = plain_text(outcome, {})
    assert "seed 1" in copied
    assert outcome.calculator.leaves_out in copied


async def test_a_plot_with_curves_follows_too(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait, "column")
        before = await wait(lambda: screen.query_one("#plot").grid(), "the plot")
        field = row(screen, "length").query_one(Input)
        field.value = "700"
        await wait(lambda: screen.query_one("#plot").grid() != before, "the new plot")
        last = screen._outcome
        field.value = "720"
        await wait(lambda: screen._outcome is not last, "the run after that")


async def test_results_are_written_to_a_file_of_their_own(app, wait, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mass-estimate.txt").write_text("somebody else's")
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot, wait)
        await pilot.press("f4", "w")
        path = tmp_path / "mass-estimate-2.txt"
        await wait(path.is_file, "the file")
        assert "kg" in path.read_text(encoding="utf-8")
    assert (tmp_path / "mass-estimate.txt").read_text() == "somebody else's"


async def test_copying_sends_the_results(app, wait, monkeypatch):
    sent = []
    async with app.run_test(size=(120, 40)) as pilot:
        monkeypatch.setattr(app, "copy_to_clipboard", sent.append)
        await opened(app, pilot, wait)
        await pilot.press("f4", "y")
        assert "kg" in sent[0]
