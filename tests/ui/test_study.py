from datetime import date, timedelta

import pytest
from textual import events
from textual.widgets import Input
from textual.widgets._footer import FooterKey

from atlas.study.items import item_id
from atlas.study.progress import Learner
from atlas.ui import strings
from atlas.ui.app import AtlasApp
from atlas.ui.cases_screen import CasesScreen
from atlas.ui.desk import Desk
from atlas.ui.find_screen import FindScreen
from atlas.ui.page import Page
from atlas.ui.places import Place
from atlas.ui.study_answer import AnswerPane
from atlas.ui.study_screen import StudyScreen

SIZES = [(80, 24), (120, 40), (200, 60)]
DAY = date(2026, 3, 2)


@pytest.fixture
def day(desk, monkeypatch):
    monkeypatch.setattr("atlas.study.practice.all_vehicles", lambda library: ({}, ()))
    now = [DAY]
    desk.today = lambda: now[0]
    return now


@pytest.fixture
def learner(desk):
    return Learner(desk.library, "ab")


async def opened(app, pilot, wait):
    await pilot.press("ctrl+t")
    await wait(lambda: isinstance(app.screen, StudyScreen), "the place of study")
    await wait(lambda: app.screen._sitting is not None, "what there is to study")
    await wait(lambda: app.screen.query_one("#card", Page).blocks, "the zone's card")
    return app.screen


def doing(app):
    return app.screen._sitting.doing


def card(app):
    return "\n".join(block.content.plain for block in app.screen.query_one("#card", Page).blocks)


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_practice_by_keys_from_the_first_cue_to_the_reasons(
    app, desk, learner, wait, day, text, size
):
    async with app.run_test(size=size) as pilot:
        screen = await opened(app, pilot, wait)
        await pilot.press("enter", "enter")
        await wait(lambda: doing(app) == "asking", "an item")
        item = screen._sitting.item
        title = desk.title(item.pattern)
        assert title not in text(app) or size[0] >= 100  # the choices name it, with all others
        assert title not in card(app)
        assert item.cues[0].text in card(app)
        assert item.cues[1].text not in card(app)
        await pilot.press("space")
        await wait(lambda: item.cues[1].text in card(app), "the next cue")
        await pilot.press("a")
        await wait(lambda: app.focused.id == "guess", "the line for the name")
        await pilot.press(*title[:6].lower().replace(" ", ""), "enter")
        await wait(lambda: app.focused.id == "sure", "the line for the probability")
        await pilot.press(*"80", "enter")
        await wait(lambda: doing(app) == "answered", "the answer")
        await wait(lambda: "Why it is built so" in card(app), "the reasons")
        assert screen.query_one("#card", Page).current.key == "next", "the cursor stays"
        assert "80% sure" in card(app)
        assert "back on 2026-03-04" in card(app)
        (given,) = learner.get().answers
        assert (given.right, given.sure, given.cues) == (True, 0.8, 2)
        await pilot.press("space")
        await wait(lambda: doing(app) == "asking", "the next item")
        assert screen._sitting.item.id != item.id


async def test_a_wrong_answer_shows_what_separates_it(app, desk, wait, day):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        app.go(Place("study", "rear", "practise"))
        screen = app.screen
        await wait(lambda: screen._sitting and screen._sitting.doing == "asking", "an item")
        item = screen._sitting.item
        wrong = next(n for n in screen._sitting.study.choices("rear") if n != item.pattern)
        screen.query_one(AnswerPane).post_message(AnswerPane.Given(wrong, 0.9))
        await wait(lambda: "What separates it" in card(app), "the reasons")
        assert desk.title(wrong) in card(app)
        assert screen.query_one("#sketch").picture is not None
        page = screen.query_one("#card", Page)
        for _ in range(20):
            if page.current.key.startswith("pattern:"):
                break
            await pilot.press("down")
        await pilot.press("enter")
        await wait(lambda: isinstance(app.screen, FindScreen), "the look-alike's page")
        await pilot.press("alt+left")
        await wait(lambda: isinstance(app.screen, StudyScreen), "study again")


async def test_by_mouse_alone(app, desk, learner, wait, day):
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("escape", "escape")
        bar = app.screen.query_one("TopBar")
        at = bar.content.plain.index("Study")
        await pilot.click("TopBar", offset=(at + 1, 0))
        await wait(lambda: isinstance(app.screen, StudyScreen), "the place of study")
        await wait(lambda: app.screen._sitting is not None, "what there is to study")
        await wait(lambda: "Practise" in card(app), "the zone's card")

        async def click(page, key):
            widget = app.screen.query_one(page, Page)
            index = next(i for i, b in enumerate(widget.blocks) if b.key.startswith(key))
            widget._lay_out()
            await pilot.click(page, offset=(6, widget._tops[index] + (page == "#card")))

        await click("#card", "practise")
        await wait(lambda: doing(app) == "asking", "an item")
        await click("#card", "more")
        await wait(lambda: app.screen._sitting.shown == 2, "the next cue")
        await click("#choices", "pass")
        await wait(lambda: doing(app) == "answered", "the answer")
        assert learner.get().answers[0].said == ""
        await click("#card", "next")
        await wait(lambda: doing(app) == "asking", "the next item")
        await click("#choices", "pattern:")
        sure = app.screen.query_one("#sure", Input)
        for turn, percent in (("Up", "50%"), ("Up", "55%"), ("Down", "50%"), ("Down", "45%")):
            kind = getattr(events, f"MouseScroll{turn}")
            await pilot._post_mouse_events([kind], widget=sure)
            assert sure.value == percent
        await wait(lambda: app.screen.query(FooterKey), "the footer")
        (key,) = [key for key in app.screen.query(FooterKey) if key.action == "give"]
        await pilot.click(key)
        await wait(lambda: doing(app) == "answered", "the answer")
        assert learner.get().answers[1].sure == 0.45


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_a_path_by_keys(app, desk, learner, wait, day, size):
    async with app.run_test(size=size) as pilot:
        screen = await opened(app, pilot, wait)
        await pilot.press("down", "down")
        zone = screen._sitting.zone
        await wait(lambda: any(b.key == "path" for b in screen.query_one("#card").blocks), "path")
        await pilot.press("enter", "down", "enter")
        await wait(lambda: doing(app) == "reading", "the first pattern")
        step = screen._sitting.step
        assert step == screen._sitting.study.paths[zone][0]
        assert desk.title(step) in card(app)
        await pilot.press("f6")
        await wait(lambda: app.focused.id == "sketch", "the sketch")
        await pilot.press("escape", "space")
        asked = screen._sitting.question
        await wait(lambda: doing(app) == "questioned", "the question")
        for _ in asked.options:
            if doing(app) == "stepped":
                break
            await pilot.press("enter")
            await pilot.pause()
            await pilot.press("down")
            await pilot.pause()
        await wait(lambda: doing(app) == "stepped", "the right answer")
        assert step in learner.get().read
        await pilot.press("escape")
        await wait(lambda: doing(app) == "", "the zone again")
        assert f"Patterns read: 1 of {len(screen._sitting.study.paths[zone])}" in card(app)


async def test_one_leaves_at_any_moment_and_comes_back_where_one_was(app, desk, wait, day):
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        await pilot.press("enter", "enter")
        await wait(lambda: doing(app) == "asking", "an item")
        left = screen._sitting.item.id
        await pilot.press("space")
        await wait(lambda: screen._sitting.shown == 2, "the next cue")
        await pilot.press("f7")
        await wait(lambda: isinstance(app.screen, CasesScreen), "cases")
        await pilot.press("alt+left")
        await wait(lambda: isinstance(app.screen, StudyScreen), "study again")
        await wait(lambda: app.screen._sitting and doing(app) == "asking", "the item again")
        assert (app.screen._sitting.item.id, app.screen._sitting.shown) == (left, 2)
        await pilot.press("escape")
        await wait(lambda: doing(app) == "", "the zones")
        assert "1 begun" in card(app)
    later = AtlasApp(Desk(desk.library, "ab", desk.search, desk.narrow, desk.today))
    async with later.run_test(size=(80, 24)) as pilot:
        await opened(later, pilot, wait)
        await pilot.press("space")
        await wait(lambda: doing(later) == "asking", "the item in the next session")
        assert (later.screen._sitting.item.id, later.screen._sitting.shown) == (left, 2)


async def test_what_is_due_comes_back_on_its_day(app, desk, learner, wait, day):
    one = item_id("pattern", "cross-plate")
    learner.answer(one, "rear", "cross-plate", "v-plate", 0.6, cues=1, of=2, day=DAY)
    day[0] = DAY + timedelta(days=1)
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot, wait)
        assert "1 due today" in card(app)
        assert "taken for" in card(app)
        await pilot.press("space")
        await wait(lambda: doing(app) == "asking", "an item")
        assert screen._sitting.item.id == one
        assert "box 1" in card(app)


async def test_a_refused_probability_says_why_and_loses_nothing(app, learner, wait, day):
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot, wait)
        app.go(Place("study", "rear", "practise"))
        screen = app.screen
        await wait(lambda: screen._sitting and screen._sitting.doing == "asking", "an item")
        await pilot.press("a", *"crossed", "enter")
        await wait(lambda: app.focused.id == "sure", "the line for the probability")
        for sure, named in (("150%", "150%"), ("x", "cannot read"), ("", "cannot read")):
            screen.query_one("#sure").value = sure
            await pilot.pause()
            await pilot.press("enter")
            await wait(lambda n=named: n in str(screen.query_one("#refusal").content), "why")
        assert not learner.get().answers
        await pilot.press("up", "up")
        assert screen.query_one("#sure").value == "55%"
        await pilot.press("enter")
        await wait(lambda: learner.get().answers, "the answer")


async def test_nonsense_fits_nothing_and_harms_nothing(app, learner, wait, day):
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await opened(app, pilot, wait)
        await pilot.press("space")
        await wait(lambda: doing(app) == "asking", "an item")
        await pilot.press("a")
        for typed in ("[/", "[b]", "\u202e", "qqqqqq", "终端", "("):
            screen.query_one("#guess").value = typed
            await pilot.pause()
            screen.query_one("#sure").focus()
            await pilot.press(*"50", "enter")
            await wait(lambda: app.focused.id == "guess", "the name is asked for first")
            assert "first" in str(screen.query_one("#refusal").content)
        assert not learner.get().answers


async def test_a_damaged_record_is_named_and_left_alone(app, learner, wait, day, text):
    learner.path.parent.mkdir()
    learner.path.write_text('{"answer": 7}')
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("ctrl+t")
        await wait(lambda: "ab.json" in text(app), "its name")
        await pilot.press("space", "a", "r", "enter", "down", "f4", "f5", "f6", "escape")
        assert app.is_running
    assert learner.path.read_text() == '{"answer": 7}'


async def test_the_report_is_written_beside_the_record(app, learner, wait, day):
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot, wait)
        await pilot.press("r")
        await wait(learner.path.with_suffix(".html").is_file, "the report")


async def test_the_palette_leads_there(app, wait, day, text):
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("ctrl+p")
        await pilot.press(*"study")
        await wait(lambda: strings.STUDY_TIP in text(app), "the hit")
        await pilot.press("enter")
        await wait(lambda: isinstance(app.screen, StudyScreen), "the place of study")


async def test_without_a_library_the_way_there_says_so(small, wait):
    app = AtlasApp()
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("ctrl+t")
        await wait(lambda: app._notifications, "the notice")
        assert not isinstance(app.screen, StudyScreen)


async def test_a_resize_loses_nothing(app, wait, day):
    async with app.run_test(size=(200, 60)) as pilot:
        screen = await opened(app, pilot, wait)
        await pilot.press("space")
        await wait(lambda: doing(app) == "asking", "an item")
        await pilot.press("a", *"plate")
        for size in ((80, 24), (104, 30), (20, 6), (120, 40)):
            await pilot.resize_terminal(*size)
            assert screen.query_one("#guess").value == "plate"
            assert doing(app) == "asking"
