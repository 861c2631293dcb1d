from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from atlas.catalogue.model import Shape, Sketch
from atlas.catalogue.reading import read_table
from atlas.drawing.sketch import picture_of
from atlas.drawing.svg import NARROW, WIDE, to_svg
from atlas.drawing.terminal import draw

SMALL = Path(__file__).parents[1] / "data" / "small" / "patterns" / "rear" / "cross-plate.toml"


def sketch(*shapes: Shape, width: float = 300, height: float = 200, scale_bar: float = 0):
    return Sketch("plan", "a view", width, height, shapes, scale_bar)


def label(text: str, at, to=None, mark: str = "") -> Shape:
    return Shape("label", text=text, at=at, to=to, mark=mark)


@pytest.fixture
def cross() -> Sketch:
    import msgspec

    return msgspec.convert(read_table(SMALL)["sketches"], tuple[Sketch, ...])[0]


@pytest.mark.parametrize("size", [(30, 10), (60, 20), (110, 40)])
def test_labels_neither_overlap_nor_vanish(size):
    texts = ["front bar", "cradle leg", "sleeve", "ring weld", "rail above", "bolt"]
    shapes = [label(text, (150, 100), (140 + 4 * i, 100)) for i, text in enumerate(texts)]
    shapes.append(Shape("polygon", points=((20, 20), (280, 20), (280, 180), (20, 180)), fill=True))
    grid = draw(picture_of(sketch(*shapes)), *size)
    shown = grid.text()
    for text in texts:
        assert text in shown


def test_labels_that_find_no_room_are_numbered_and_explained(cross):
    grid = draw(picture_of(cross), 24, 8)
    assert grid.key == ("1 leg", "2 sheet") or "leg" in grid.text()


def test_the_cue_in_hand_lights_up_its_shapes_and_no_others(cross):
    picture = picture_of(cross)
    dark = draw(picture, 60, 20)
    bright = draw(picture, 60, 20, lit={"feet"})
    lit = {(r, c) for r, row in enumerate(bright.styles) for c, s in enumerate(row) if s == "lit"}
    bolts = {(r, c) for r, row in enumerate(dark.chars) for c, ch in enumerate(row) if ch == "⊕"}
    assert lit == bolts
    assert not any("lit" in row for row in dark.styles)
    assert picture.marks == {"arms", "feet"}


def test_roles_are_told_apart_without_colour():
    def one(role):
        shape = Shape("line", role=role, points=((10, 100), (290, 100)))
        return "".join(draw(picture_of(sketch(shape)), 60, 20).chars)

    assert len({one(role) for role in ("context", "own", "hidden", "centre")}) == 4


@pytest.mark.parametrize("kind", ["bolt", "rivet", "spot-weld"])
def test_fasteners_have_a_sign_each(kind):
    grid = draw(picture_of(sketch(Shape(kind, at=(150, 100)))), 40, 12)
    ascii_grid = draw(picture_of(sketch(Shape(kind, at=(150, 100)))), 40, 12, ascii_only=True)
    assert len("".join(grid.chars).strip()) == 1
    assert len("".join(ascii_grid.chars).strip()) == 1


def test_ascii_is_ascii(cross):
    assert draw(picture_of(cross), 70, 24, ascii_only=True).text().isascii()


def test_a_sketch_keeps_its_proportions():
    square = Shape("polygon", points=((50, 50), (150, 50), (150, 150), (50, 150)))
    grid = draw(picture_of(sketch(square, width=200, height=200)), 80, 20)
    inked = [(r, c) for r, row in enumerate(grid.chars) for c, ch in enumerate(row) if ch != " "]
    tall = max(r for r, _ in inked) - min(r for r, _ in inked) + 1
    wide = max(c for _, c in inked) - min(c for _, c in inked) + 1
    assert wide == pytest.approx(2 * tall, abs=2)  # a cell is twice as high as wide


def test_zoom_shows_a_part():
    shapes = [Shape("circle", at=(50, 50), radius=20), Shape("circle", at=(250, 150), radius=20)]
    picture = picture_of(sketch(*shapes))
    near = draw(picture, 40, 14, window=(0, 0, 100, 100))
    far = draw(picture, 40, 14, window=(100, 0, 200, 100))
    assert any(row.strip() for row in near.chars)
    assert not any(row.strip() for row in far.chars)


def test_the_scale_bar_is_as_long_as_it_says():
    grid = draw(picture_of(sketch(Shape("rivet", at=(1, 1)), scale_bar=100)), 60, 20)
    bar = grid.chars[-1].split(" mm")[0]
    cells = bar.index("┤") - bar.index("├") + 1
    # 20 rows of 4 dots show 200 mm, so 100 mm are 39.5 dots or about 20 cells.
    assert cells == pytest.approx(20, abs=1)


@pytest.mark.parametrize("text", ["[b]bold[/b]", "[/", "a\x1b[31mb", "r\u202etl", "終", '<&">'])
def test_text_is_data(text):
    if not text:
        return
    picture = picture_of(sketch(label(text, (150, 100), (10, 10))))
    grid = draw(picture, 60, 20)
    assert all(len(row) == 60 for row in grid.chars)
    assert not any(ord(ch) < 32 or ch in "\u202e" for row in grid.chars for ch in row)
    ElementTree.fromstring(to_svg(picture))


def test_svg_is_well_formed_and_holds_every_label(cross):
    svg = to_svg(picture_of(cross), title=True)
    root = ElementTree.fromstring(svg)
    words = [node.text for node in root.iter("{http://www.w3.org/2000/svg}text")]
    assert {"leg", "sheet", "100 mm", "From above"} <= set(words)
    width = float(root.get("width").removesuffix("mm"))
    height = float(root.get("height").removesuffix("mm"))
    # A4 is 210 by 297 mm (ISO 216); printers need about 15 mm of margin (common practice).
    assert width <= 210 - 30
    assert height <= 297 - 30


def test_wide_lines_are_twice_as_wide_as_narrow_ones():
    # ISO 128-2: the widths of extra-wide, wide and narrow lines stand as 4:2:1 (from memory).
    assert WIDE == 2 * NARROW


@pytest.mark.parametrize("size", [(1, 1), (2, 1), (3, 3), (300, 100)])
def test_any_size_is_drawn(cross, size):
    grid = draw(picture_of(cross), *size)
    assert (grid.width, grid.height) == size


def test_a_row_is_read_off_in_stretches_of_one_style(cross):
    grid = draw(picture_of(cross), 60, 20)
    for row in range(grid.height):
        runs = list(grid.runs(row))
        assert "".join(text for text, _ in runs) == grid.chars[row]
        styles = [style for _, style in runs]
        assert all(a != b for a, b in pairwise(styles))
