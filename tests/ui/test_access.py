"""Colours that can be told apart, keys that terminals pass on, help that says what is so."""

import ast
import itertools
import re
from collections import Counter
from importlib import import_module
from pathlib import Path

import numpy as np
import pytest
from textual.binding import Binding
from textual.color import Color

from atlas.drawing.picture import STYLES
from atlas.ui import strings
from atlas.ui.app import AtlasApp
from atlas.ui.find_screen import FindScreen
from atlas.ui.form import WALK
from atlas.ui.help_screen import HelpScreen
from atlas.ui.page import Page
from atlas.ui.themes import DRAWN, DUSK, PAPER, STARK, THEMES
from atlas.ui.tour import TourScreen

UI = Path(strings.__file__).parent


def bound() -> list[type]:
    """Every class of the application that binds keys, whichever module it stands in."""
    found = {}
    for path in sorted(UI.glob("*.py")):
        for one in vars(import_module(f"atlas.ui.{path.stem}")).values():
            is_ours = isinstance(one, type) and one.__module__ == f"atlas.ui.{path.stem}"
            if is_ours and "BINDINGS" in one.__dict__:
                found[one] = None
    return list(found)


BOUND = bound()

# G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A Physiologically-based Model for Simulation
# of Color Vision Deficiency", IEEE TVCG 15 (2009), severity 1.0, applied to linear RGB.
VISION = {
    "normal": np.eye(3),
    "protan": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216],
         [-0.003882, -0.048116, 1.051998]]
    ),
    "deutan": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413],
         [-0.011820, 0.042940, 0.968881]]
    ),
    "tritan": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602],
         [0.004733, 0.691367, 0.303900]]
    ),
}  # fmt: skip


def linear(colour: str) -> np.ndarray:
    # IEC 61966-2-1 (sRGB): the transfer function and its knee.
    channel = np.array(Color.parse(colour).rgb) / 255
    return np.where(channel <= 0.04045, channel / 12.92, ((channel + 0.055) / 1.055) ** 2.4)


def luminance(colour: str) -> float:
    return float(linear(colour) @ [0.2126, 0.7152, 0.0722])


def contrast(one: str, other: str) -> float:
    # W3C Web Content Accessibility Guidelines 2.1, "contrast ratio".
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def lab(colour: str, vision: str) -> np.ndarray:
    # CIE 1976 L*a*b* under D65, from linear sRGB (IEC 61966-2-1).
    rgb = np.clip(VISION[vision] @ linear(colour), 0, 1)
    xyz = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    ) @ rgb / [0.9505, 1.0, 1.089]  # fmt: skip
    f = np.where(xyz > 216 / 24389, np.cbrt(xyz), (24389 / 27 * xyz + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


@pytest.mark.parametrize(("theme", "least"), [(DUSK, 4.5), (PAPER, 4.5), (STARK, 7.0)])
def test_text_stands_out(theme, least):
    # WCAG 2.1: 1.4.3 asks 4.5 for text, 1.4.6 asks 7.
    colours = [theme.foreground, theme.primary, theme.accent, theme.warning, theme.error]
    colours += [theme.variables["muted"], theme.variables["load"]]
    for colour in colours:
        assert contrast(colour, theme.background) >= least, colour
    assert contrast(theme.foreground, theme.variables["cursor"]) >= least


@pytest.mark.parametrize("theme", [DUSK, PAPER, STARK], ids=lambda t: t.name)
def test_lines_stand_out(theme):
    # WCAG 2.1, 1.4.11 asks 3 for graphics that carry meaning.
    names = ("own", "hidden", "joint", "load", "lit", "one", "two", "three", "four", "context",
             "ghost", "use-1", "use-2", "use-3", "use-4", "use-5")  # fmt: skip
    for name in names:
        assert contrast(theme.variables[f"draw-{name}"], theme.background) >= 3.0, name


@pytest.mark.parametrize("vision", VISION)
@pytest.mark.parametrize("theme", [DUSK, PAPER, STARK], ids=lambda t: t.name)
def test_curves_are_told_apart_by_any_eye(theme, vision):
    # A CIE76 difference of 10 is seen at a glance (common practice); dashes say it again.
    names = ("one", "two", "three", "four")
    for a, b in itertools.combinations(names, 2):
        first, second = (lab(theme.variables[f"draw-{n}"], vision) for n in (a, b))
        assert np.linalg.norm(first - second) > 10, (a, b)


@pytest.mark.parametrize("vision", VISION)
@pytest.mark.parametrize("theme", [DUSK, PAPER, STARK], ids=lambda t: t.name)
def test_neighbouring_bands_of_use_are_told_apart_by_any_eye(theme, vision):
    # As above; weight and dash of the lines say it again.
    for number in range(1, 5):
        names = (f"draw-use-{number}", f"draw-use-{number + 1}")
        first, second = (lab(theme.variables[name], vision) for name in names)
        assert np.linalg.norm(first - second) > 10, names


def test_every_style_of_a_drawing_has_a_look():
    assert {name for name in STYLES if name} == set(DRAWN)


def test_themes_define_the_same_colours():
    sets = [set(theme.variables) for theme in THEMES if not theme.ansi]
    wanted = {"muted", "load", "gain", "loss", "rule", "cursor", "cursor-blurred", "draw-band"}
    assert all(wanted <= names for names in sets)
    assert {theme.name for theme in THEMES} == set(strings.THEMES)


def bindings():
    for owner in BOUND:
        for one in Binding.make_bindings(owner.__dict__.get("BINDINGS", [])):
            yield owner, one


def test_bindings_can_be_remapped_and_explain_themselves():
    for owner, one in bindings():
        assert one.id, (owner, one)
        assert one.description, (owner, one)
        assert one.tooltip, (owner, one)


def test_a_name_for_remapping_means_one_binding():
    owners = {}
    for owner in BOUND:
        for one in owner.__dict__.get("BINDINGS", []):
            if one not in WALK:  # rows of every kind are walked by the same two
                owners.setdefault(one.id, []).append(owner.__name__)
    assert {name: who for name, who in owners.items() if len(who) > 1} == {}


def test_no_binding_is_a_key_that_terminals_keep_or_confuse():
    # ctrl+h, i, j and m are backspace, tab and enter (ECMA-48 control characters); ctrl+s and
    # ctrl+q pause the line (XON/XOFF, ISO/IEC 646 DC1 and DC3); F10 and F11 belong to desktops.
    kept = {"ctrl+h", "ctrl+i", "ctrl+j", "ctrl+m", "ctrl+s", "shift+enter", "ctrl+enter"}
    kept |= {"f10", "f11", "ctrl+a", "ctrl+b"}
    for owner, one in bindings():
        assert one.key not in kept, (owner, one)


def test_a_key_means_one_thing_in_a_screen():
    for owner in BOUND:
        keys = [one.key for o, one in bindings() if o is owner]
        assert len(keys) == len(set(keys)), owner


@pytest.mark.parametrize("theme", [theme.name for theme in THEMES])
async def test_every_theme_shows_the_screens(app, wait, text, theme):
    async with app.run_test(size=(120, 40)) as pilot:
        app.theme = theme
        await pilot.press(*"plate")
        await wait(lambda: "Crossed plate" in text(app), "matches")
        await pilot.press("f1")
        await wait(lambda: isinstance(app.screen, HelpScreen), "help")
        await pilot.press("escape", "f12")
        assert app.theme != theme


async def test_without_colour_the_cursor_still_shows(monkeypatch, desk, wait, text):
    monkeypatch.setenv("NO_COLOR", "1")
    app = AtlasApp(desk)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press(*"plate")
        await wait(lambda: "Crossed plate" in text(app), "matches")
        assert "▌" in text(app)  # the bar beside the block under the cursor


async def test_help_lists_the_keys_of_the_screen(app, wait):
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f1")
        page = await wait(lambda: app.screen.query_one("#help", Page), "help")
        words = "\n".join(block.content.plain for block in page.blocks)
        for one in FindScreen.BINDINGS:
            assert one.tooltip in words
        await pilot.click(page, offset=(9, 9))
        assert isinstance(app.screen, HelpScreen)
        await pilot.click(offset=(0, 0))
        assert isinstance(app.screen, FindScreen), "a click beside it closes it"


async def test_the_palette_knows_everything(app, desk, wait, text):
    desk.cases.new("grey hatchback")
    for words, found in (("crossed", "Crossed plate"), ("gusset", "gusset"),
                         ("mass-est", "mass-estimate"), ("grey", "grey hatchback")):  # fmt: skip
        async with AtlasApp(desk).run_test(size=(120, 40)) as pilot:
            await pilot.press("ctrl+p")
            await pilot.press(*words)
            await wait(lambda p=pilot, f=found: f in text(p.app), found)


async def test_the_palette_leads_there(app, wait, text):
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("ctrl+p")
        await pilot.press(*"long front")
        await wait(lambda: "Long front bar" in text(app), "the hit")
        await pilot.press("enter")
        await wait(lambda: app.trail.here.id == "long-bar", "the pattern")


async def test_the_tour_can_be_walked_and_left(desk, wait, text):
    from atlas.ui.memory import Memory

    memory = Memory(None)
    memory.now.toured = False
    app = AtlasApp(desk, memory)
    async with app.run_test(size=(100, 30)) as pilot:
        await wait(lambda: isinstance(app.screen, TourScreen), "the tour")
        await wait(lambda: "1/5" in text(app), "its first step")
        for _ in strings.TOUR_STEPS:
            await pilot.press("enter")
        await wait(lambda: isinstance(app.screen, FindScreen), "the end")
        app.action_tour()
        await pilot.pause()
        await pilot.press("escape")
        await wait(lambda: isinstance(app.screen, FindScreen), "the way out")
    assert memory.now.toured


async def test_the_glossary_finds_other_spellings_and_leads_on(app, wait, text):
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f9")
        await wait(lambda: "shear panel" in text(app), "all words")
        await pilot.press(*"knee")
        await wait(lambda: "shear panel" not in text(app) and "gusset" in text(app), "the gusset")
        await pilot.press("enter", "down", "enter")
        await wait(lambda: app.trail.here.id == "cross-plate", "the pattern it speaks of")


async def test_one_comes_back_to_where_one_was(desk, tmp_path, wait, text):
    from atlas.ui.memory import Memory

    path = tmp_path / "ui.json"
    Memory(path).save()
    memory = Memory(path)
    memory.now.toured = True
    async with AtlasApp(desk, memory).run_test(size=(120, 40)) as pilot:
        await pilot.press(*"crossed")
        await wait(lambda: pilot.app.screen.place.id == "cross-plate", "a pattern")
    app = AtlasApp(desk, Memory(path))
    async with app.run_test(size=(120, 40)):
        await wait(lambda: app.screen.place.id == "cross-plate", "the same pattern")
        assert app.screen.place.text == "crossed"


TEXTS = sorted(path.stem for path in UI.glob("*strings.py"))


def texts(module: str) -> list[str]:
    tree = ast.parse((UI / f"{module}.py").read_text(encoding="utf-8"))
    assigned = [node for node in tree.body if isinstance(node, ast.Assign)]
    return [target.id for node in assigned for target in node.targets]


@pytest.mark.parametrize("module", TEXTS)
def test_no_text_is_overwritten_by_another_of_the_same_name(module):
    assert [name for name, count in Counter(texts(module)).items() if count > 1] == []


@pytest.mark.parametrize("module", TEXTS)
def test_every_text_is_said_somewhere(module):
    tree = ast.parse((UI / f"{module}.py").read_text(encoding="utf-8"))
    said = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)
            and isinstance(node.ctx, ast.Load)}  # fmt: skip
    for path in UI.glob("*.py"):
        code = path.read_text(encoding="utf-8")
        renamed = re.search(rf"import {module} as (\w+)", code)
        name = renamed[1] if renamed else module
        said |= set(re.findall(rf"\b{name}\.([A-Z_]+)\b", code))
    assert texts(module)
    assert [name for name in texts(module) if name not in said] == []
