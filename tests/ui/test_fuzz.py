"""A user who presses and clicks anything: no traceback, and nothing acknowledged is lost.

``ATLAS_FUZZ_EVENTS=20000 pytest tests/ui/test_fuzz.py`` runs the long form.
"""

import contextlib
import os
import random
from datetime import date

import msgspec
import pytest
from textual.errors import NoWidget
from textual.widgets import Input, TextArea

from atlas.casework.cases import Cases
from atlas.catalogue.drafts import Drafts
from atlas.ui.app import AtlasApp
from atlas.ui.places import Place
from tests.plate_picture import picture

EVENTS = int(os.environ.get("ATLAS_FUZZ_EVENTS", "200"))
KEYS = [
    *"abcdefghijklmnopqrstuvwxyzALMNSV0123456789[]/?+-=.%@",
    "f1", "f2", "f3", "f4", "f5", "f6", "f7", "f8", "f9", "f12",
    "ctrl+o", "ctrl+t", "ctrl+n", "ctrl+g",
    "up", "down", "left", "right", "home", "end", "pageup", "pagedown", "tab", "shift+tab",
    "enter", "escape", "space", "backspace", "delete", "ctrl+p", "ctrl+z", "alt+left", "alt+right",
    "shift+up", "shift+down",
]  # fmt: skip
WORDS = ["plate", "[/", "[b]x[/b]", "\u202eabc", "2.2..2.8", "9e99", "终端", "no such thing", "70%"]
SIZES = [(80, 24), (120, 40), (200, 60), (60, 15), (104, 30), (20, 6)]


@pytest.mark.parametrize(
    ("seed", "start"),
    [
        (1, Place("find")),
        (2, Place("vehicle", "demo-frame")),
        (3, Place("photo", "plate.png")),
        (4, Place("append", "draft:twisted")),
    ],
)
async def test_anything_may_be_pressed(desk, seed, start, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)  # the w key writes files

    async def stay(self):
        """The palette offers to leave, which would end the run early."""

    monkeypatch.setattr(AtlasApp, "action_quit", stay)
    picture().save("plate.png")
    rng = random.Random(seed)
    case = desk.cases.new("before the storm")
    desk.cases.note(case.id, "must still be there")
    desk.cases.note(case.id, "the plate", photo="plate.png")
    plate = msgspec.to_builtins(desk.catalogue.pattern("cross-plate"), builtin_types=(date,))
    Drafts(desk.library).begin({**plate, "id": "twisted"})
    app = AtlasApp(desk)
    async with app.run_test(size=(120, 40)) as pilot:
        app.go(start)
        for _ in range(EVENTS // 2):
            what = rng.random()
            if what < 0.80:
                key = rng.choice(KEYS)
                await pilot.press("left_square_bracket" if key == "[" else key)
            elif what < 0.93:
                width, height = app.size
                at = (rng.randrange(max(width, 1)), rng.randrange(max(height, 1)))
                with contextlib.suppress(NoWidget):  # a screen that is not laid out yet
                    await pilot.click(offset=at)
            elif what < 0.97:
                focused = app.focused
                if isinstance(focused, Input):
                    focused.insert_text_at_cursor(rng.choice(WORDS))
                elif isinstance(focused, TextArea):
                    focused.insert(rng.choice(WORDS))
                await pilot.pause()
            else:
                await pilot.resize_terminal(*rng.choice(SIZES))
        assert app.is_running
        assert app._exception is None
    kept = Cases(desk.library).get(case.id)
    notes = [edit.after for change in kept.history.values() for edit in change.edits if edit.after]
    assert any(note.get("text") == "must still be there" for note in notes)
    rows, problems = Cases(desk.library).rows(cached=False)
    assert rows
    assert not problems
