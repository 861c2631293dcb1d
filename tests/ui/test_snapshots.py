"""What each screen looks like, as text, at three sizes.

``ATLAS_SNAPSHOTS=write pytest tests/ui/test_snapshots.py`` writes them anew; read them before
they are kept.
"""

import os
import re
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest

from atlas.calculators.declare import Calculator, Choice, Number, Output
from atlas.calculators.figure import Axis, Curve, Figure
from atlas.casework.cases import Cases
from atlas.casework.reference_shapes import rectangle
from atlas.catalogue.drafting import described
from atlas.catalogue.drafts import Drafts
from atlas.ui.calculator_screen import CalculatorScreen
from atlas.ui.draft_page import DraftPage
from atlas.ui.lengths_page import LengthsPage
from atlas.ui.page import Page
from atlas.ui.photo_view import PhotoView
from atlas.ui.places import Place
from atlas.ui.vehicle_screen import VehicleScreen
from tests.plate_picture import CORNERS, ENDS, camera, picture

FOLDER = Path(__file__).parents[1] / "snapshots"
SIZES = [(80, 24), (120, 40), (200, 60)]


async def zones(app, pilot, wait):
    await pilot.press("enter", "down", "enter", "down")
    await wait(lambda: app.screen.place.id, "a pattern")


async def matches(app, pilot, wait):
    await pilot.press(*"plate")
    page = app.screen.query_one("#matches", Page)
    await wait(lambda: any("v-plate" in b.key for b in page.blocks), "matches")
    question = app.screen.query_one("#question", Page)
    await wait(lambda: any("arms" in b.key for b in question.blocks), "the question")
    await pilot.press("enter")


async def pattern(app, pilot, wait):
    await matches(app, pilot, wait)
    await pilot.press("enter", *["down"] * 6)


async def sketch(app, pilot, wait):
    await matches(app, pilot, wait)
    await pilot.press("f5")


SMALL = Calculator(
    id="mass-estimate",
    title="Mass of a strip",
    question="What does the strip weigh?",
    inputs=(
        Number("length", "mm", "900+-15", 10, 5000, "along the part"),
        Number("gauge", "mm", "2.2..2.8", 0.3, 60, "sheet thickness"),
        Choice("material", "steel", {"steel": "any steel"}, "what it is made from"),
    ),
    outputs=(Output("mass", "kg", "mass of the strip"),),
    evaluate=lambda length, gauge, material: {"mass": length * gauge * 0.1 * 7850.0},
    findings=lambda s: ["Put it on a scale."],
    figure=lambda s: Figure(
        "Mass against gauge", Axis("gauge", "mm"), Axis("mass", "kg"),
        curves=(Curve("mass", X, 0.7 * X, 0.6 * X, 0.8 * X),),
    ),
    leaves_out="holes",
    cautions=("Lift it with two people.",),
    sources=("arithmetic",),
)  # fmt: skip
X = np.linspace(1.0, 4.0, 30)


async def calculator(app, pilot, wait):
    app.push_screen(CalculatorScreen(app.desk, SMALL))
    await wait(lambda: isinstance(app.screen, CalculatorScreen), "the form")
    await wait(lambda: app.screen._outcome, "a result")


async def case(app, pilot, wait):
    cases = Cases(app.desk.library, "ab", lambda: datetime(2026, 3, 2, 9, tzinfo=UTC))
    made = cases.new("Grey hatchback, front underside", vehicle="Halden 3", place="lift 2")
    cases.note(made.id, "flat sheet, four arms", about="rear brace")
    cases.suspect(made.id, "cross-plate", 0.7, about="rear brace", why="four arms")
    cases.suspect(made.id, "v-plate", 0.2, about="rear brace")
    cases.settle(made.id, "cross-plate", about="rear brace", found="one pressing", how="cut")
    await pilot.press("f7", "down", "f4")
    await wait(lambda: app.screen._case, "the case")


async def decision(app, pilot, wait):
    app.desk.today = lambda: date(2026, 3, 2)
    content = described("Twisted plate", "rear", "a plate, one arm twisted")
    name = Drafts(app.desk.library).begin(content)
    app.go(Place("append", f"draft:{name}"))
    await wait(lambda: app.screen.query(DraftPage), "the page")
    page = app.screen.query_one(DraftPage)
    await wait(lambda: any(b.key.startswith("variant:") for b in page.blocks), "the nearest")
    await pilot.press("f4", "down")


async def draft(app, pilot, wait):
    await decision(app, pilot, wait)
    await pilot.press("down", "enter")
    page = app.screen.query_one(DraftPage)
    await wait(lambda: any(b.key.startswith("wrong:") for b in page.blocks), "what is missing")
    near = app.screen.query_one("#near", Page)
    await wait(lambda: near.blocks and near.blocks[0].key.startswith("pattern:"), "the nearest")
    await pilot.press("home", "f")


async def photo(app, pilot, wait):
    path = app.desk.library.root / "plate.png"
    picture().save(path)
    app.go(Place("photo", str(path)))
    view = await wait(lambda: app.screen.query_one(PhotoView), "the window")
    await wait(lambda: view.photo and view.view, "the picture")
    view.mode = "dots"
    view.action_loupe()
    for x, y in [*camera(CORNERS), *camera(ENDS)]:
        view.point_at(float(x), float(y))
        await pilot.press("enter")
    view.action_whole()
    screen = app.screen
    screen._change(screen.marks.shaped(rectangle(700, 300)))
    await wait(lambda: screen.query_one(LengthsPage).ready, "a length")


async def glossary(app, pilot, wait):
    await pilot.press("f9")
    page = app.screen.query_one("#terms", Page)
    await wait(lambda: len(page.blocks) > 2, "the words")


async def help_(app, pilot, wait):
    await pilot.press("f1")
    await wait(lambda: app.screen.query("#help"), "help")


async def calculators(app, pilot, wait):
    await pilot.press("f8")
    await wait(lambda: len(app.screen.query_one(Page).blocks) > 20, "the calculators")


async def marks(app, pilot, wait):
    await pattern(app, pilot, wait)
    await pilot.press("m", "M")
    await wait(lambda: type(app.screen).__name__ == "MarksScreen", "the marks")
    app.clear_notifications()


async def to_case(app, pilot, wait):
    Cases(app.desk.library, "ab", lambda: datetime(2026, 3, 2, 9, tzinfo=UTC)).new("Grey hatchback")
    await pattern(app, pilot, wait)
    await pilot.press("a")
    await wait(lambda: type(app.screen).__name__ == "Dialog", "the form")


async def tour(app, pilot, wait):
    app.action_tour()
    await wait(lambda: type(app.screen).__name__ == "TourScreen", "the tour")
    await wait(lambda: app._find.answered_words, "the tour's words")


async def palette(app, pilot, wait):
    await pilot.press("ctrl+p", *"brace")
    await wait(lambda: "brace" in app.screen.query_one("Input").value, "what was typed")


async def vehicles(app, pilot, wait):
    await pilot.press("ctrl+o")
    await wait(lambda: len(app.screen.query_one(Page).blocks) > 1, "the vehicles")


async def vehicle(app, pilot, wait):
    app.go(Place("vehicle", "demo-frame", inputs=(("member", "rail-1-l"),)))
    await wait(lambda: isinstance(app.screen, VehicleScreen), "the vehicle")
    await wait(lambda: "v-plate" in app.screen._rows["corner"], "what its patterns buy")
    await wait(lambda: app.screen._solved.samples, "ranges")


async def away(app, pilot, wait):
    await vehicle(app, pilot, wait)
    await pilot.press("l")
    app.screen.toggle("cross-plate")
    await wait(lambda: "v-plate" in app.screen._rows["lift"], "what its patterns buy")
    await wait(lambda: app.screen._solved.samples, "ranges")
    await pilot.press("f6", "home")


async def studying(app, pilot, wait):
    """A learner in the middle of it: something known, something taken for something else."""
    from atlas.study.items import item_id
    from atlas.study.progress import Learner

    app.desk.today = lambda: date(2026, 3, 4)
    learner = Learner(app.desk.library, "ab", lambda: datetime(2026, 3, 2, 9, tzinfo=UTC))
    rows = (("cross-plate", "v-plate", 0.8), ("v-plate", "v-plate", 0.6), ("long-bar", "", None))
    for name, said, sure in rows:
        learner.answer(item_id("pattern", name), app.desk.catalogue.patterns.zone(name), name, said,
                       sure, cues=1, of=2, day=date(2026, 3, 2))  # fmt: skip
    learner.step("cross-plate", "cross-plate", True, day=date(2026, 3, 2))
    await pilot.press("ctrl+t")
    await wait(lambda: app.screen._sitting, "what there is to study")
    await wait(lambda: len(app.screen.query_one("#card", Page).blocks) > 3, "the card")


async def study(app, pilot, wait):
    await studying(app, pilot, wait)
    await pilot.press("f4")


async def cues(app, pilot, wait):
    await studying(app, pilot, wait)
    await pilot.press("space")
    await wait(lambda: app.screen._sitting.doing == "asking", "an item")
    await pilot.press("space")
    await wait(lambda: app.screen._sitting.shown == 2, "the next cue")


async def answer(app, pilot, wait):
    await cues(app, pilot, wait)
    await pilot.press("a", *"plat", "down")


async def reasons(app, pilot, wait):
    await answer(app, pilot, wait)
    await pilot.press("enter", *"70", "enter")
    page = app.screen.query_one("#card", Page)
    await wait(lambda: any(b.key.startswith("told") for b in page.blocks), "the reasons")


async def path(app, pilot, wait):
    await studying(app, pilot, wait)
    await pilot.press("f3", "end", "enter", "down", "enter")
    await wait(lambda: app.screen._sitting.doing == "reading", "the pattern")


@pytest.mark.parametrize("size", SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
@pytest.mark.parametrize(
    "steps", [
        study, cues, answer, reasons, path,
        zones, matches, pattern, sketch, calculator, calculators, case, to_case, glossary, marks,
        help_, tour, palette, vehicles, vehicle, away, photo, decision, draft,
    ],
    ids=lambda f: f.__name__.strip("_"),
)  # fmt: skip
async def test_screens_look_as_they_were_accepted(app, wait, text, steps, size):
    name = f"{steps.__name__.strip('_')}-{size[0]}x{size[1]}.txt"
    async with app.run_test(size=size) as pilot:
        await steps(app, pilot, wait)
        # Until nothing has moved for longer than the keys' rest, on a busy machine as well.
        seen = [""] * 14
        while len(set(seen)) > 1 or not seen[0]:
            await pilot.pause(0.05)
            seen = [*seen[1:], text(app)]
        shown = re.sub(r"underside-[0-9a-f]{4}", "underside-####", seen[0]) + "\n"
        # The hash of a picture's file changes with the library that packed it.
        shown = re.sub(r"@photo-[0-9a-f]{6}", "@photo-######", shown)
    path = FOLDER / name
    if os.environ.get("ATLAS_SNAPSHOTS") == "write":
        path.parent.mkdir(exist_ok=True)
        path.write_text(shown, encoding="utf-8")
    assert shown == path.read_text(encoding="utf-8")
