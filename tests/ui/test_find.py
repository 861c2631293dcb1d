from types import SimpleNamespace

import pytest
from textual.widgets import Input

from atlas.ui.page import Page
from atlas.ui.sketch_view import SketchView

SIZES = [(80, 24), (104, 30), (120, 40), (200, 60)]


def keys(page: Page) -> list[str]:
    return [block.key for block in page.blocks if block.key]


async def typed(pilot, words: str) -> None:
    await pilot.press(*("space" if c == " " else c for c in words))


@pytest.mark.parametrize("size", SIZES)
async def test_words_lead_to_a_pattern_without_a_mouse(app, wait, text, size):
    async with app.run_test(size=size) as pilot:
        await typed(pilot, "plate")
        matches = app.screen.query_one("#matches", Page)
        await wait(lambda: "pattern:v-plate" in keys(matches), "both plates")
        assert "pattern:long-bar" not in keys(matches)
        await pilot.press("enter", "down", "enter")
        await wait(lambda: app.trail.here.id == "v-plate", "the V plate in the trail")
        await wait(lambda: "V plate [/" in text(app), "its title, brackets and all")
        shown = app.screen.query_one("#page", Page)
        assert shown.has_focus
        words = "".join(block.content.plain for block in shown.blocks)
        assert "[mm], [N/mm] and [/ at the end" in words
        assert "'plate' [met] the cue" in words


@pytest.mark.parametrize("size", SIZES)
async def test_every_pane_is_seen_at_once_or_one_key_apart(app, wait, text, size):
    async with app.run_test(size=size) as pilot:
        await typed(pilot, "plate")
        await wait(lambda: "Crossed plate" in text(app), "a match")
        await pilot.press("escape", "enter")
        for key, pane in (("f3", "matches"), ("f4", "page"), ("f5", "sketch"), ("f6", "question")):
            await pilot.press(key)
            await wait(lambda p=pane: app.focused and app.focused.id == p, pane)
            widget = app.screen.query_one(f"#{pane}")
            assert widget.region.area > 0
            if size[0] >= 120:
                for other in ("matches", "page", "sketch", "question"):
                    assert app.screen.query_one(f"#{other}").region.area > 0


async def test_a_cue_lights_up_in_the_sketch(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        await typed(pilot, "crossed")
        await wait(lambda: app.screen.query_one(SketchView).picture, "a sketch")
        await pilot.press("enter", "enter")
        page, sketch = app.screen.query_one("#page", Page), app.screen.query_one(SketchView)
        await wait(lambda: page.has_focus, "the page")
        for _ in range(12):
            if page.current.key == "cue:1":
                break
            await pilot.press("down")
        await wait(lambda: sketch.lit == {"feet"}, "the feet")
        assert any("lit" in row for row in sketch.grid().styles)


async def test_a_look_alike_shows_its_own_sketch_and_opens(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        await typed(pilot, "crossed")
        await wait(lambda: app.screen.query_one(SketchView).picture, "a sketch")
        await pilot.press("enter", "enter")
        page = app.screen.query_one("#page", Page)
        await wait(lambda: page.has_focus, "the page")
        for _ in range(16):
            if page.current.key == "pattern:v-plate":
                break
            await pilot.press("down")
        await pilot.press("enter")
        await wait(lambda: app.trail.here.id == "v-plate", "the look-alike")
        await pilot.press("[")
        await wait(lambda: app.trail.here.id == "cross-plate", "the way back")
        await wait(lambda: app.screen.place.id == "cross-plate", "its page")
        await pilot.press("]")
        await wait(lambda: app.screen.place.id == "v-plate", "forward again")


async def test_answers_narrow_and_can_be_withdrawn(app, wait, text):
    async with app.run_test(size=(120, 40)) as pilot:
        await typed(pilot, "plate")
        question = app.screen.query_one("#question", Page)
        await wait(lambda: "How many arms" in text(app), "the question")
        await pilot.press("f6", "down", "down", "enter")
        matches = app.screen.query_one("#matches", Page)
        await wait(lambda: "answer" in str(matches.border_title), "answers in the title")
        await wait(lambda: keys(matches)[0] == "pattern:cross-plate", "the crossed plate first")
        assert any(block.key == "withdraw:arms" for block in question.blocks)
        assert "none of these" in text(app)
        await pilot.press("u")
        await wait(lambda: app.screen._answers == {}, "no answers")


async def test_a_question_can_be_passed_over(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        await typed(pilot, "plate")
        question = app.screen.query_one("#question", Page)
        await wait(lambda: "skip:arms" in keys(question), "the first question")
        await pilot.press("f6", "end", "up", "enter")
        await wait(lambda: "answer:magnet=sticks" in keys(question), "the second")
        await pilot.press("u")
        await wait(lambda: "answer:arms=two" in keys(question), "the first again")


async def test_zones_open_and_close(app, wait):
    async with app.run_test(size=(80, 24)) as pilot:
        matches = app.screen.query_one("#matches", Page)
        await pilot.press("enter", "down", "enter")
        await wait(lambda: "pattern:cross-plate" in keys(matches), "the zone's patterns")
        await pilot.press("enter")
        await wait(lambda: "pattern:cross-plate" not in keys(matches), "a closed zone")


async def test_search_stays_in_a_zone_when_asked(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        await typed(pilot, "plate bar")
        matches = app.screen.query_one("#matches", Page)
        await wait(lambda: "pattern:long-bar" in keys(matches), "all three")
        await pilot.press("enter", "end", "z")
        await wait(lambda: "pattern:long-bar" not in keys(matches), "one zone")
        await pilot.press("z")
        await wait(lambda: "pattern:long-bar" in keys(matches), "all zones again")


async def test_newer_words_overtake_older_ones(app, desk, wait):
    desk.search.pause = 0.05
    async with app.run_test(size=(120, 40)) as pilot:
        await typed(pilot, "plate")
        app.screen.query_one("#words", Input).value = "bar"
        matches = app.screen.query_one("#matches", Page)
        await wait(lambda: keys(matches) == ["pattern:long-bar"], "the newest words' match")


@pytest.mark.parametrize("words", ["zzz", "[/", "[q]", "\x07", "a" * 5000, "终端"])
async def test_words_that_match_nothing_say_so(app, wait, words):
    async with app.run_test(size=(120, 40)):
        app.screen.query_one("#words", Input).value = words
        matches = app.screen.query_one("#matches", Page)
        await wait(
            lambda: any("Nothing" in block.content.plain for block in matches.blocks), "the refusal"
        )


@pytest.mark.parametrize("there", [(80, 24), (200, 60)])
async def test_nothing_is_lost_on_resize(app, wait, there):
    async with app.run_test(size=(120, 40)) as pilot:
        await typed(pilot, "plate")
        matches = app.screen.query_one("#matches", Page)
        await wait(lambda: "pattern:v-plate" in keys(matches), "matches")
        await pilot.press("enter", "down", "enter")
        before = (app.screen.place, matches.cursor, keys(matches))
        await pilot.resize_terminal(*there)
        await pilot.resize_terminal(120, 40)
        assert (app.screen.place, matches.cursor, keys(matches)) == before


async def test_everything_is_done_by_mouse_as_well(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.click("#words")
        await typed(pilot, "plate")
        matches = app.screen.query_one("#matches", Page)
        await wait(lambda: "pattern:v-plate" in keys(matches), "matches")
        await pilot.click("#matches", offset=(6, 2))
        await wait(lambda: app.trail.here.id, "the pattern that was clicked")
        await pilot.click("#sketch")
        view = app.screen.query_one(SketchView)
        await wait(lambda: view.view == 1, "the second view")
        await pilot.click("#question", offset=(6, 2))
        await wait(lambda: app.screen._answers, "an answer")


async def test_the_sketch_zooms_and_moves(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        await typed(pilot, "plate")
        view = app.screen.query_one(SketchView)
        await wait(lambda: view.picture, "a sketch")
        await pilot.press("f5", "+", "+")
        assert view.zoom == pytest.approx(2.25)
        left = view.window[0]
        await pilot.press("right")
        assert view.window[0] > left
        await pilot.press("0")
        assert view.window is None
        await pilot.press("v")
        assert view.view == 1


async def test_patterns_are_marked_and_found_again(app, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        await typed(pilot, "crossed")
        matches = app.screen.query_one("#matches", Page)
        await wait(lambda: keys(matches) == ["pattern:cross-plate"], "a match")
        await pilot.press("enter", "m")
        await wait(lambda: app.memory.now.marks == ["cross-plate"], "the mark")
        await pilot.press("f3", "M")
        await wait(lambda: app.screen.query("#marks"), "the marks")
        await pilot.press("enter")
        await wait(lambda: app.screen.place.id == "cross-plate", "the marked pattern")


async def test_the_top_bar_is_clicked_through(app, wait, text):
    async with app.run_test(size=(120, 40)) as pilot:
        for kind in ("cases", "calculators", "vehicles", "glossary", "study", "find"):
            await wait(lambda k=kind: k.title() in text(app), "the bar")
            column = text(app).splitlines()[0].index(kind.title())
            await pilot.click("TopBar", offset=(column + 1, 0))
            await wait(lambda k=kind: app.trail.here.kind == k, kind)


async def test_without_words_the_open_zone_is_asked_about(app, desk, wait):
    asked = []
    given = desk.narrow.given
    desk.narrow.given = lambda prior, answers: asked.append(prior) or given(prior, answers)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("enter", "down", "enter")
        await wait(lambda: {"cross-plate", "v-plate"} in [set(p or ()) for p in asked], "its prior")


async def test_words_that_escape_took_away_come_back(app, wait):
    async with app.run_test(size=(80, 24)) as pilot:
        await typed(pilot, "crossed plate")
        await pilot.press("escape")
        line = app.screen.query_one("#words", Input)
        await wait(lambda: not line.value, "an empty line")
        await pilot.press("ctrl+z")
        await wait(lambda: line.value == "crossed plate", "the words again")


async def test_every_key_of_the_top_bar_leads_there_from_every_place(app, wait):
    from atlas.ui.top_bar import TABS

    keys = {kind: key.lower().replace("^", "ctrl+") for kind, _, key in TABS}
    async with app.run_test(size=(120, 40)) as pilot:
        # Every step of one, two and three places onward: each key from three other screens.
        kinds = list(keys)
        for stride in (1, 2, 3):
            for place in range(len(kinds)):
                kind = kinds[place * stride % len(kinds)]
                await pilot.press(keys[kind])
                await wait(lambda k=kind: app.trail.here.kind == k, f"{app.trail.here} to {kind}")
        await pilot.press("f7", "f2")
        await wait(lambda: app.focused is not None and app.focused.id == "words", "the words")


def test_a_chance_short_of_certainty_does_not_claim_it():
    from atlas.ui.lists import match_blocks

    one = SimpleNamespace(pattern_id="x", title="X", score=0.9996)
    (block,) = match_blocks(SimpleNamespace(matches=(one,)))
    assert ">99%" in block.lead and "100%" not in block.lead
