"""Append: from what was seen to a reviewed pattern, on the screen."""

import contextlib
from datetime import date

import msgspec
import pytest
from msgspec.structs import replace
from textual.widgets import TextArea

from atlas.casework.cases import Cases
from atlas.casework.reviews import Reviews
from atlas.catalogue.appending import change_pattern, drafted
from atlas.catalogue.drafts import Drafts
from atlas.catalogue.load import load
from atlas.ui.append_screen import AppendScreen
from atlas.ui.dialog import Dialog
from atlas.ui.draft_page import DraftPage
from atlas.ui.find_screen import FindScreen
from atlas.ui.own_editor import Edited, edited
from atlas.ui.own_page import OwnPage
from atlas.ui.page import Page
from atlas.ui.places import Place
from atlas.ui.shelf_page import ShelfPage
from atlas.ui.text_screen import TextScreen


async def fill(app, pilot, wait, **values):
    dialog = await wait(lambda: isinstance(app.screen, Dialog) and app.screen, "the form")
    await pilot.pause()
    for name, value in values.items():
        widget = dialog.query_one(f"#field-{name}")
        if isinstance(widget, TextArea):
            widget.text = value
        else:
            widget.value = value
    await pilot.press("ctrl+g")
    return dialog


async def at_append(app, pilot, wait, key=""):
    app.go(Place("append", key))
    await wait(
        lambda: isinstance(app.screen, AppendScreen) and app.screen.query(OwnPage), "the screen"
    )
    return app.screen


async def choose(page, pilot, wait, key):
    """Stand on the line of that key and choose it."""
    place = await wait(
        lambda: next((i + 1 for i, b in enumerate(page.blocks) if b.key == key), 0), key
    )
    page.focus()
    page.stand_at(place - 1)
    await pilot.press("enter")


def said(page):
    return "\n".join(str(block.content) for block in page.blocks)


async def described(app, pilot, wait):
    """A draft on which it is still to be decided what it is."""
    screen = await at_append(app, pilot, wait)
    await pilot.press("n")
    await fill(
        app, pilot, wait, title="Twisted plate", zone="rear", seen="a plate, one arm twisted"
    )
    page = screen.query_one(DraftPage)
    await wait(lambda: any(b.key == "variant:cross-plate" for b in page.blocks), "the nearest")
    return page


REST = {
    "does": "Keeps the opening square.",
    "rationale": "The twist brings both feet into the planes of their flanges.",
    "load_cases": [{"case": "Racking", "force": "8 kN", "path": "foot, arm, foot"}],
    "trade_offs": [{"axis": "cost", "effect": "worse", "why": "one more press step"}],
    "builds": [{"material": "DC04", "process": "pressed", "joint": "M8"}],
    "settle": [{"by": "measure", "do": "Lay a straight edge on it.", "decides": "2 mm: twisted"}],
    "sources": [{"kind": "memory", "text": "from memory"}],
}


async def test_from_words_to_a_reviewed_pattern(app, desk, wait, text):
    async with app.run_test(size=(160, 60)) as pilot:
        page = await described(app, pilot, wait)
        assert "Is it one of these?" in text(app)
        await choose(page, pilot, wait, "fresh")
        await wait(lambda: "To mend" in text(app), "the empty page")
        drafts = Drafts(desk.library)
        content = drafts.read("twisted-plate")
        drafts.change("twisted-plate", content, {**content, **REST})
        page.open("twisted-plate")
        await choose(page, pilot, wait, "edit:summary:")
        await fill(app, pilot, wait, summary="A sheet with a twist.")
        await choose(page, pilot, wait, "add:look_alikes:")
        await fill(app, pilot, wait, id="crossed", separates="look along the arm")
        await wait(lambda: any(b.key == "edit:look_alikes:0" for b in page.blocks), "the entry")
        await choose(page, pilot, wait, "add:likelihoods:")
        await fill(app, pilot, wait, observable="magnet")
        # The question leads on to how likely its answers are; what is left blank shares the rest.
        await fill(app, pilot, wait, sticks="90%", **{"does-not": ""})
        shares = drafts.read("twisted-plate")["likelihoods"]
        assert shares == {"magnet": {"sticks": 0.9, "does-not": 0.1}}
        await wait(lambda: "it can be appended" in said(page), "a complete page")
        page.focus()
        await pilot.press("a")
        await fill(app, pilot, wait, who="AB")
        own = app.screen.query_one(OwnPage)
        await wait(lambda: own.display and own.blocks and "draft, written by AB" in text(app), "it")
        catalogue = load(desk.library)
        assert catalogue.pattern("twisted-plate").provenance.author == "AB"
        back = catalogue.pattern("cross-plate").look_alikes[-1]
        assert (back.id, back.separates) == ("twisted-plate", "look along the arm")
        assert drafts.names() == []
        assert "twisted-plate" in desk.catalogue.patterns, "the application knows it at once"
        await pilot.press("c")
        await fill(app, pilot, wait, text="[b]which way?[/", who="CD")
        await wait(lambda: "which way?" in text(app), "the comment")
        await pilot.press("y")
        dialog = await fill(app, pilot, wait, who="AB")
        await wait(lambda: "AB wrote" in str(dialog.query_one("#dialog--error").content), "a no")
        await fill(app, pilot, wait, who="CD")
        await wait(lambda: "reviewed by CD" in text(app), "the review")
        assert load(desk.library).pattern("twisted-plate").provenance.status == "reviewed"
        assert [one.by for one in Reviews(desk.library).comments("twisted-plate")] == ["CD"]


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_nearest_are_shown_before_anything_is_written(app, desk, wait, text, size):
    async with app.run_test(size=size) as pilot:
        page = await described(app, pilot, wait)
        await wait(lambda: page.current and page.current.key.startswith("near:"), "the first")
        await choose(page, pilot, wait, "variant:cross-plate")
        await wait(lambda: "variant of Crossed plate" in said(page), "the variant")
        assert page.current.key == "edit:look_alikes:0", "what separates them is written first"
        draft = Drafts(desk.library).read("twisted-plate")
        assert draft["provenance"]["variant_of"] == "cross-plate"
        await pilot.press("u")
        await wait(lambda: any(b.key == "fresh" for b in page.blocks), "the choice again")


async def test_the_same_goes_into_a_case_and_not_into_the_catalogue(app, desk, wait):
    case = desk.cases.new("one")
    desk.cases.note(case.id, "a plate with four arms", about="rear plate")
    desk.cases.settle(case.id, "", about="rear plate", found="odd", how="cut")
    async with app.run_test(size=(120, 40)) as pilot:
        app.go(Place("cases", case.id))
        await wait(lambda: app.screen.place.kind == "cases" and app.screen._case, "the case")
        await pilot.press("a")
        await wait(lambda: isinstance(app.screen, AppendScreen), "the screen")
        shelf = app.screen.query_one(ShelfPage)
        await choose(shelf, pilot, wait, f"case:{case.id}:rear plate")
        await fill(app, pilot, wait, zone="rear")
        page = app.screen.query_one(DraftPage)
        await choose(page, pilot, wait, "same:cross-plate")
        await fill(app, pilot, wait, found="one sheet", how="cut")
        await wait(lambda: not Drafts(desk.library).names(), "the draft gone")
        assert Cases(desk.library).get(case.id).verdict_on("rear plate").pattern == "cross-plate"
        assert not list(desk.library.patterns.glob("*/*.toml"))


async def test_the_draft_as_text_is_taken_over_or_says_where_it_breaks(app, desk, wait, text):
    async with app.run_test(size=(120, 40)) as pilot:
        page = await described(app, pilot, wait)
        await choose(page, pilot, wait, "fresh")
        page.focus()
        await pilot.press("t")
        screen = await wait(lambda: isinstance(app.screen, TextScreen) and app.screen, "the text")
        area = screen.query_one(TextArea)
        whole = area.text
        area.text = whole.replace("Twisted plate", "Twisted \x1b[31m plate")
        await pilot.press("ctrl+g")
        await wait(lambda: "not TOML" in text(app) or "control" in text(app), "a no")
        area.text = whole + "\nsummary = "
        await pilot.press("ctrl+g")
        await wait(lambda: "line" in str(screen.query_one("#text--note").content), "the line")
        await pilot.press("escape")
        assert app.screen is screen, "one stray key drops nothing"
        await wait(lambda: "esc again" in str(screen.query_one("#text--note").content), "a word")
        await pilot.press("escape")
        await wait(lambda: app.screen is not screen, "the way out")
        assert Drafts(desk.library).text("twisted-plate") == whole
        await pilot.press("t")
        screen = await wait(lambda: isinstance(app.screen, TextScreen) and app.screen, "the text")
        area = screen.query_one(TextArea)
        await pilot.press("escape")
        await wait(lambda: app.screen is not screen, "the way out of what is as it was")
        await pilot.press("t")
        screen = await wait(lambda: isinstance(app.screen, TextScreen) and app.screen, "the text")
        area = screen.query_one(TextArea)
        area.text = 'summary = "written as text"\n' + whole
        await pilot.press("ctrl+g")
        await wait(lambda: "written as text" in text(app), "the summary")
        page.focus()
        await pilot.press("u")
        await wait(lambda: "summary" not in Drafts(desk.library).read("twisted-plate"), "undone")


async def test_a_file_that_is_no_toml_can_be_mended_as_text(app, desk, wait, text):
    drafts = Drafts(desk.library)
    drafts.begin({"id": "broken", "title": "Broken"})
    drafts.path("broken").write_text("title = [", encoding="utf-8")
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await at_append(app, pilot, wait, "draft:broken")
        page = screen.query_one(DraftPage)
        await wait(lambda: "cannot be read as it stands" in text(app), "the notice")
        page.focus()
        await pilot.press("t")
        inner = await wait(lambda: isinstance(app.screen, TextScreen) and app.screen, "the text")
        inner.query_one(TextArea).text = 'id = "broken"\ntitle = "Mended"'
        await pilot.press("ctrl+g")
        await wait(lambda: drafts.read("broken")["title"] == "Mended", "the title")


async def test_the_chosen_editor_writes_the_draft(app, desk, wait, monkeypatch):
    monkeypatch.setattr(
        "atlas.ui.own_editor.edited",
        lambda _, name, whole: Edited(whole.replace("Twisted", "Turned")),
    )
    async with app.run_test(size=(120, 40)) as pilot:
        page = await described(app, pilot, wait)
        page.focus()
        await pilot.press("e")
        await wait(
            lambda: Drafts(desk.library).read("twisted-plate")["title"] == "Turned plate", "it"
        )
        await pilot.press("u")
        await wait(
            lambda: Drafts(desk.library).read("twisted-plate")["title"] == "Twisted plate", "undone"
        )


class Terminal:
    """An application that can stand aside."""

    suspend = contextlib.nullcontext


@pytest.mark.parametrize(
    ("script", "made"),
    [
        ('echo "b = 2" >> "$1"', Edited("a = 1\nb = 2\n")),
        ("true", Edited("a = 1\n")),
        ('echo "b = 2" >> "$1"; exit 3', Edited("a = 1\nb = 2\n", False)),
        ('rm "$1"', Edited("a = 1\n", False)),
        ('rm "$1"; mkdir "$1"', Edited("a = 1\n", False)),
        ('rm "$1"; mkfifo "$1"', Edited("a = 1\n", False)),
        ("printf 'a = 1\\377\\n' > \"$1\"", Edited("a = 1\ufffd\n", False)),
    ],
    ids=["writes", "leaves", "fails", "deletes", "folder", "pipe", "latin-1"],
)
def test_whatever_an_editor_does_to_its_file_is_told(script, made, tmp_path, monkeypatch):
    editor = tmp_path / "editor of mine"
    editor.write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
    editor.chmod(0o755)
    monkeypatch.delenv("VISUAL", raising=False)
    monkeypatch.setenv("EDITOR", f"'{editor}'")
    assert edited(Terminal(), "x.toml", "a = 1\n") == made


@pytest.mark.parametrize("named", ["", "  ", "no-such-editor", "vi 'never closed"])
def test_an_editor_that_does_not_open_is_none(named, monkeypatch):
    monkeypatch.delenv("VISUAL", raising=False)
    monkeypatch.setenv("EDITOR", named)
    assert edited(Terminal(), "x.toml", "a = 1\n") is None


@pytest.mark.parametrize(
    ("whole", "added", "said"),
    [(True, "\nodd = [", "not TOML"), (False, "\nodd = 1", "Look through"),
     (True, "\nodd = 1", "read-only")],
)  # fmt: skip
async def test_what_was_written_in_an_editor_is_not_lost(
    app, desk, wait, monkeypatch, whole, added, said
):
    monkeypatch.setattr(
        "atlas.ui.own_editor.edited", lambda _, name, text: Edited(text + added, whole)
    )
    async with app.run_test(size=(120, 40)) as pilot:
        page = await described(app, pilot, wait)
        if said == "read-only":
            monkeypatch.setenv("ATLAS_READ_ONLY", "1")
        page.focus()
        await pilot.press("e")
        screen = await wait(lambda: isinstance(app.screen, TextScreen) and app.screen, "the text")
        await wait(lambda: said in str(screen.query_one("#text--note").content), "why")
        assert screen.query_one(TextArea).text.endswith(added)
        await pilot.press("escape")
        assert app.screen is screen, "one stray key drops nothing"
        assert "odd" not in Drafts(desk.library).text("twisted-plate")


@pytest.mark.parametrize(
    "wrong",
    ["cues = 5", "cues = [[1]]", 'likelihoods = "x"', "provenance = 7", "calculations = [1]",
     'builds = [{gauge_mm = ["a"]}]', "signature = {part = [5]}", "provenance = {seen_in = 5}"],
)  # fmt: skip
async def test_a_table_of_the_wrong_shape_is_mended_as_text(app, desk, wait, text, wrong):
    drafts = Drafts(desk.library)
    drafts.begin({"id": "odd", "title": "Odd"})
    drafts.path("odd").write_text(f'id = "odd"\ntitle = "Odd"\n{wrong}', encoding="utf-8")
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await at_append(app, pilot, wait, "draft:odd")
        page = screen.query_one(DraftPage)
        await wait(lambda: wrong.split()[0] in said(page), "which field")
        page.focus()
        await pilot.press("a", "u", "x", "f", "t")
        inner = await wait(lambda: isinstance(app.screen, TextScreen) and app.screen, "the text")
        inner.query_one(TextArea).text = 'id = "odd"\ntitle = "Mended"'
        await pilot.press("ctrl+g")
        await wait(lambda: drafts.read("odd")["title"] == "Mended", "the title")


async def test_an_undo_does_not_take_back_what_another_wrote(app, desk, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        page = await described(app, pilot, wait)
        await choose(page, pilot, wait, "fresh")
        drafts = Drafts(desk.library)
        here = await wait(lambda: (d := drafts.read("twisted-plate"))["provenance"] and d, "it")
        drafts.change("twisted-plate", here, {**here, "does": "by another"})
        page.focus()
        await pilot.press("u")
        page.open("twisted-plate")
        await pilot.press("u")
        await pilot.pause()
        assert drafts.read("twisted-plate")["does"] == "by another"


async def test_an_answer_to_no_question_is_named_and_can_be_taken_out(app, desk, wait):
    drafts = Drafts(desk.library)
    drafts.begin({"id": "odd", "title": "Odd", "provenance": {"status": "draft"},
                  "likelihoods": {"no.such": {"x": 0.5}, "magnet": {"sticks": 7}}})  # fmt: skip
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await at_append(app, pilot, wait, "draft:odd")
        page = screen.query_one(DraftPage)
        await choose(page, pilot, wait, "edit:likelihoods:no.such")
        await wait(lambda: app._notifications, "the notice")
        await choose(page, pilot, wait, "wrong:likelihoods:magnet")
        await fill(app, pilot, wait, sticks="50%", **{"does-not": ""})
        await wait(lambda: drafts.read("odd")["likelihoods"]["magnet"]["sticks"] == 0.5, "mended")
        page.focus()
        page.stand_at(next(i for i, b in enumerate(page.blocks) if "no.such" in b.key))
        await pilot.press("x")
        await wait(lambda: list(drafts.read("odd")["likelihoods"]) == ["magnet"], "it gone")


async def test_escape_sequences_in_a_text_are_shown_and_not_sent(app, desk, wait, text):
    drafts = Drafts(desk.library)
    drafts.begin({"id": "odd", "title": "Odd", "provenance": {"status": "draft"},
                  "summary": "a\x1b[31mb\u202ec"})  # fmt: skip
    drafts.begin({"id": "raw", "title": "Raw"})
    drafts.path("raw").write_text('title = "\x1b]0;x\x07', encoding="utf-8")
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await at_append(app, pilot, wait, "draft:odd")
        page = screen.query_one(DraftPage)
        await choose(page, pilot, wait, "edit:summary:")
        await wait(lambda: isinstance(app.screen, Dialog), "the form")
        await pilot.pause()
        assert not {"\x1b", "\u202e"} & set(text(app))
        await pilot.press("escape")
        page.open("raw")
        page.focus()
        await pilot.press("t")
        await wait(lambda: isinstance(app.screen, TextScreen), "the text")
        await pilot.pause()
        assert not {"\x1b", "\x07"} & set(text(app))


async def test_without_an_editor_the_text_opens_here(app, wait, monkeypatch):
    monkeypatch.delenv("VISUAL", raising=False)
    monkeypatch.delenv("EDITOR", raising=False)
    async with app.run_test(size=(120, 40)) as pilot:
        page = await described(app, pilot, wait)
        page.focus()
        await pilot.press("e")
        await wait(lambda: isinstance(app.screen, TextScreen), "the text")


async def test_an_entry_is_removed_and_brought_back(app, desk, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        page = await described(app, pilot, wait)
        await choose(page, pilot, wait, "variant:cross-plate")
        await wait(lambda: any(b.key == "edit:cues:0" for b in page.blocks), "the cues")
        drafts = Drafts(desk.library)
        before = drafts.read("twisted-plate")["cues"]
        page.stand_at(next(i for i, b in enumerate(page.blocks) if b.key == "edit:cues:0"))
        await pilot.press("delete")
        await wait(lambda: drafts.read("twisted-plate")["cues"] == before[1:], "one less")
        await pilot.press("u")
        await wait(lambda: drafts.read("twisted-plate")["cues"] == before, "all again")


async def test_what_another_wrote_meanwhile_is_not_overwritten(app, desk, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        page = await described(app, pilot, wait)
        await choose(page, pilot, wait, "fresh")
        drafts = Drafts(desk.library)
        here = await wait(lambda: (d := drafts.read("twisted-plate"))["provenance"] and d, "it")
        drafts.change("twisted-plate", here, {**here, "does": "by another"})
        await choose(page, pilot, wait, "edit:summary:")
        dialog = await fill(app, pilot, wait, summary="by me")
        said = await wait(lambda: str(dialog.query_one("#dialog--error").content), "a no")
        assert "somebody else" in said
        assert drafts.read("twisted-plate")["does"] == "by another"


async def ready(app, desk, pilot, wait):
    """A complete draft with its form of appending open; the page and its content."""
    page = await described(app, pilot, wait)
    await choose(page, pilot, wait, "fresh")
    drafts = Drafts(desk.library)
    await wait(lambda: drafts.read("twisted-plate").get("provenance"), "the choice")
    content = drafts.read("twisted-plate")
    whole = {**content, **REST, "summary": "Twisted.",
             "look_alikes": [{"id": "cross-plate", "separates": "the twist"}],
             "likelihoods": {"magnet": {"sticks": 0.9, "does-not": 0.1}}}  # fmt: skip
    now = drafts.change("twisted-plate", content, whole)
    page.open("twisted-plate")
    await wait(lambda: "it can be appended" in said(page), "a complete page")
    page.focus()
    await pilot.press("a")
    await wait(lambda: isinstance(app.screen, Dialog), "the form")
    return now


async def test_what_another_wrote_before_the_form_was_done_is_not_dropped(app, desk, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        now = await ready(app, desk, pilot, wait)
        drafts = Drafts(desk.library)
        drafts.change("twisted-plate", now, {**now, "does": "by another"})
        dialog = await fill(app, pilot, wait, who="AB")
        await wait(lambda: "else changed" in str(dialog.query_one("#dialog--error").content), "no")
        assert drafts.read("twisted-plate")["does"] == "by another"
        assert "twisted-plate" not in load(desk.library).patterns


async def test_appended_it_is_though_a_look_alike_was_changed_meanwhile(app, desk, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        await ready(app, desk, pilot, wait)
        plate = desk.catalogue.pattern("cross-plate")
        change_pattern(desk.library, plate, replace(plate, summary="by another"))
        await fill(app, pilot, wait, who="AB")
        await wait(lambda: "twisted-plate" in load(desk.library).patterns, "it appended")
        await wait(
            lambda: any("Not named in return" in one.title for one in app._notifications), "why not"
        )
        assert load(desk.library).pattern("cross-plate").summary == "by another"
        assert not Drafts(desk.library).names()


async def test_a_pattern_changed_meanwhile_is_taken_over_into_its_draft(app, desk, wait):
    plate = drafted(desk.catalogue.pattern("cross-plate"), "AB", date(2026, 3, 2))
    change_pattern(desk.library, desk.catalogue.pattern("cross-plate"), plate)
    drafts = Drafts(desk.library)
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await at_append(app, pilot, wait, "own:cross-plate")
        await choose(screen.query_one(OwnPage), pilot, wait, "work")
        page = screen.query_one(DraftPage)
        await choose(page, pilot, wait, "edit:does:")
        await fill(app, pilot, wait, does="Mine.")
        change_pattern(desk.library, plate, replace(plate, summary="Theirs."))
        page.focus()
        await pilot.press("a")
        await wait(lambda: drafts.read("cross-plate")["summary"] == "Theirs.", "theirs")
        assert drafts.read("cross-plate")["does"] == "Mine."
        assert not isinstance(app.screen, Dialog), "it is looked through before it is appended"
        await wait(lambda: "Theirs." in said(page), "it on the page")
        await pilot.press("a")
        await fill(app, pilot, wait, who="AB")
        await wait(lambda: not drafts.names(), "it appended")
        assert load(desk.library).pattern("cross-plate").does == "Mine."


async def test_a_changed_pattern_keeps_its_id(app, desk, wait):
    plate = desk.catalogue.pattern("cross-plate")
    drafts = Drafts(desk.library)
    drafts.begin(msgspec.to_builtins(plate, builtin_types=(date,)), plate)
    drafts.rewrite("cross-plate", text := drafts.text("cross-plate"),
                   text.replace('id = "cross-plate"', 'id = "v-plate"', 1))  # fmt: skip
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await at_append(app, pilot, wait, "draft:cross-plate")
        page = screen.query_one(DraftPage)
        await wait(lambda: page.blocks, "the page")
        page.focus()
        await pilot.press("a")
        await wait(lambda: isinstance(app.screen, Dialog) or app._notifications, "an answer")
        if isinstance(app.screen, Dialog):
            dialog = await fill(app, pilot, wait, who="AB")
            await wait(lambda: "keeps its id" in str(dialog.query_one("#dialog--error").content),
                       "a no")  # fmt: skip
        assert not list(desk.library.patterns.glob("*/*.toml"))


async def test_only_counts_that_were_shown_are_written(app, desk, wait, text):
    def look():
        case = desk.cases.new("one")
        desk.cases.note(case.id, "it sticks", about="plate", observable="magnet", state="sticks")
        desk.cases.settle(case.id, "cross-plate", about="plate", found="f", how="look")

    look()
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await at_append(app, pilot, wait, "learn")
        shelf = screen.query_one(ShelfPage)
        await wait(lambda: "seen 1" in text(app), "the counts")
        look()
        await choose(shelf, pilot, wait, "learn:cross-plate")
        await wait(lambda: "seen 2" in text(app), "them anew")
        assert not list(desk.library.patterns.glob("*/*.toml")), "nothing silently"
        await choose(shelf, pilot, wait, "learn:cross-plate")
        await wait(lambda: len(load(desk.library).pattern("cross-plate").provenance.counted) == 2,
                   "both")  # fmt: skip


async def test_a_case_that_is_gone_is_named(app, desk, wait):
    case = desk.cases.new("one")
    desk.cases.note(case.id, "a plate", about="rear: plate\nof two: lines")
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await at_append(app, pilot, wait, "cases")
        shelf = screen.query_one(ShelfPage)
        key = (await wait(lambda: [b.key for b in shelf.blocks if b.key], "the line"))[0]
        await choose(shelf, pilot, wait, key)
        await fill(app, pilot, wait, title="Odd", zone="rear")
        await wait(lambda: Drafts(desk.library).names() == ["odd"], "the draft")
        assert Drafts(desk.library).read("odd")["cues"][0]["see"] == "a plate"
        shelf.open("cases")
        await wait(lambda: any(b.key == key for b in shelf.blocks), "the line")
        for path in (desk.library.root / "cases").rglob("*.json"):
            path.unlink()
        shelf.post_message(shelf.Chosen(shelf, next(b for b in shelf.blocks if b.key == key)))
        await wait(lambda: app._notifications, "a notice")


async def test_a_draft_is_given_up_only_by_its_name(app, desk, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        await described(app, pilot, wait)
        app.screen.query_one("#drafts", Page).focus()
        await pilot.press("delete")
        dialog = await fill(app, pilot, wait, name="no")
        await wait(lambda: "given up" in str(dialog.query_one("#dialog--error").content), "a no")
        assert Drafts(desk.library).names() == ["twisted-plate"]
        await fill(app, pilot, wait, name="twisted-plate")
        await wait(lambda: not Drafts(desk.library).names(), "it gone")


async def test_what_cases_teach_is_shown_with_counts_and_written_on_a_choice(app, desk, wait, text):
    for _ in range(3):
        case = desk.cases.new("one")
        desk.cases.note(case.id, "it sticks", about="plate", observable="magnet", state="sticks")
        desk.cases.settle(case.id, "cross-plate", about="plate", found="f", how="look")
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await at_append(app, pilot, wait, "learn")
        shelf = screen.query_one(ShelfPage)
        await wait(lambda: "seen 3" in text(app), "the counts")
        assert not list(desk.library.patterns.glob("*/*.toml")), "nothing silently"
        await choose(shelf, pilot, wait, "learn:cross-plate")
        await wait(lambda: load(desk.library).pattern("cross-plate").provenance.counted, "them")
        await wait(lambda: "counted yet" in text(app), "nothing more to learn")


async def test_a_reviewed_pattern_is_taken_into_work_and_waits_again(app, desk, wait, text):
    async with app.run_test(size=(120, 40)) as pilot:
        await described(app, pilot, wait)
        await choose(app.screen.query_one(DraftPage), pilot, wait, "variant:cross-plate")
        drafts = Drafts(desk.library)
        await wait(lambda: drafts.read("twisted-plate").get("look_alikes"), "the variant")
        page = app.screen.query_one(DraftPage)
        await choose(page, pilot, wait, "edit:look_alikes:0")
        await fill(app, pilot, wait, separates="the twist")
        await choose(page, pilot, wait, "add:likelihoods:")
        await fill(app, pilot, wait, observable="magnet")
        await fill(app, pilot, wait, sticks="60%", **{"does-not": ""})
        page.focus()
        await pilot.press("a")
        await fill(app, pilot, wait, who="AB", back="no")
        own = app.screen.query_one(OwnPage)
        await choose(own, pilot, wait, "work")
        await wait(lambda: "changes what the library has" in said(page), "it in work")
        assert drafts.before("twisted-plate").id == "twisted-plate"
        await choose(page, pilot, wait, "edit:summary:")
        await fill(app, pilot, wait, summary="Said anew.")
        page.focus()
        await pilot.press("a")
        await fill(app, pilot, wait, who="CD", back="no")
        await wait(
            lambda: load(desk.library).pattern("twisted-plate").summary == "Said anew.", "it"
        )
        assert load(desk.library).pattern("twisted-plate").provenance.author == "CD"


async def test_one_replaces_another_and_links_keep_working(app, desk, wait):
    plate = desk.catalogue.pattern("cross-plate")
    change_pattern(desk.library, plate, drafted(plate, "AB", date(2026, 3, 2)))
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await at_append(app, pilot, wait, "own:cross-plate")
        await choose(screen.query_one(OwnPage), pilot, wait, "replace")
        dialog = await fill(app, pilot, wait, pattern="no such")
        await wait(lambda: str(dialog.query_one("#dialog--error").content), "a no")
        await fill(app, pilot, wait, pattern="v-plate")
        catalogue = await wait(
            lambda: (c := load(desk.library)).pattern("cross-plate").provenance.superseded_by and c,
            "the link",
        )
        assert "Crossed plate" in catalogue.pattern("v-plate").other_names


async def test_the_find_screen_knows_what_was_appended(app, desk, wait):
    async with app.run_test(size=(120, 40)) as pilot:
        await described(app, pilot, wait)
        await pilot.press("f2")
        await wait(lambda: isinstance(app.screen, FindScreen), "find")
        await pilot.press("ctrl+n")
        await wait(lambda: isinstance(app.screen, AppendScreen), "back")
        assert Drafts(desk.library).names() == ["twisted-plate"]
