"""The page of a comparison: complete, self-contained, harmless, and the same in every form."""

import re
from html.parser import HTMLParser

import numpy as np
import pytest
from msgspec import structs

from atlas.drawing.structure_shape import magnified
from atlas.errors import BadInput
from atlas.reports.comparison import CAUTIONS, SOURCES, _shown, comparison_report, tables
from atlas.reports.structures import drawings
from atlas.vehicles.comparing import compare
from atlas.vehicles.loading import load_vehicle
from atlas.vehicles.loads import load_cases

ODD = "A <b>van</b> | [/] `x` \x1b[2J"


@pytest.fixture(scope="module")
def found():
    odd = structs.replace(load_vehicle("demo-van"), title=ODD)
    cases = [load_cases()[name] for name in ("corner", "racking", "drive-torque")]
    return compare([load_vehicle("demo-pickup"), odd], cases, 40)


@pytest.fixture(scope="module")
def pages(found):
    return {form: comparison_report(found, str.upper, form).decode() for form in ("html", "md")}


class Words(HTMLParser):
    """The words of a page without its drawings, and what is left open."""

    def __init__(self):
        super().__init__()
        self.words, self.open, self.drawn = [], [], 0

    def handle_starttag(self, tag, attrs):
        self.drawn += tag == "svg"
        if tag not in ("meta", "br", "circle", "path", "rect"):
            self.open.append(tag)

    def handle_endtag(self, tag):
        if self.open and self.open[-1] == tag:
            self.open.pop()

    def handle_data(self, data):
        self.words.append(data)


def test_page_one_answers_what_how_sure_why_and_what_next(pages, found):
    html = pages["html"]
    first = html[html.index('class="first"') : html.index("</dl>")]
    for question in ("What it is", "How sure", "Why they differ", "What next"):
        assert question in first
    assert "5 to 95 %" in first
    assert "kN/mm" in first
    assert f"{found.samples} draws" in first


def test_the_page_fetches_nothing_and_runs_nothing(pages):
    html = pages["html"]
    assert "<script" not in html
    assert "<b>van" not in html
    assert "\x1b" not in html
    assert not re.search(r'(?:src|href)="(?!#)', html)
    assert "@import" not in html
    assert "url(http" not in html
    reader = Words()
    reader.feed(html)
    assert reader.open == []
    assert reader.drawn == 2 * 3 + 1, "two vehicles, three views, one key"


def test_every_figure_has_a_unit_a_range_and_the_page_its_sources(pages, found):
    for text in pages.values():
        plain = text.replace("\\", "").replace("&#39;", "'")
        for line in (*CAUTIONS, *SOURCES):
            assert line in plain
        assert "Screening, not sign-off" in plain
        for case in found.cases:
            assert case.title in plain
            assert case.leaves_out.rstrip(".") in plain
    for table in tables(found):
        for label, cells in table.rows:
            if table.title.startswith("Stiffness"):
                assert all(re.search(r"mm \([\d.,]+ to [\d.,]+\)", cell) for cell in cells), label


def test_all_patterns_stand_in_the_table_with_who_has_them(pages, found):
    for text in pages.values():
        for name in found.patterns:
            assert name.upper() in text.replace("\\", "")
    html = pages["html"]
    for name, holders in found.patterns.items():
        row = html[html.index(f"<tr><td>{name.upper()}</td>") :]
        row = row[: row.index("</tr>")]
        assert row.count("●") == len(holders)
        for side in found.sides:  # mounts and bolts weigh nothing here, and are there all the same
            if side.vehicle.id in holders and not side.pattern_mass(name):
                assert "<td>●</td>" in row
    assert any(not side.pattern_mass(name) for side in found.sides for name in side.patterns)


def test_structures_are_drawn_to_one_scale_and_one_factor(pages, found):
    html = pages["html"]
    (stated,) = re.findall(r"moved shape drawn ×([\d.]+)", html)
    shown = _shown(found, "corner")
    assert {one.factor for one in shown} == {float(stated)}
    assert len({magnified(one.size, one.largest) for one in shown}) == 2, "each alone has its own"
    # The scale bar of 500 mm is as long on every drawing.
    bars = re.findall(r'd="M0,[\d.]+ v2 M0,[\d.]+ H([\d.]+) ', html)
    assert len(bars) == 6
    per_view = [set(bars[i : i + 2]) for i in range(0, 6, 2)]
    assert all(len(lengths) == 1 for lengths in per_view)


def test_drawings_fill_their_room_and_keep_within_it(found):
    shown = _shown(found, "corner")
    for room in ((80.0, 70.0), (40.0, 200.0)):
        sizes = []
        for one in drawings(shown, "side", room):
            found_size = re.search(r'width="([\d.]+)mm" height="([\d.]+)mm"', one.svg)
            sizes.append([float(found_size[1]), float(found_size[2])])
        wide, tall = np.max(sizes, axis=0)
        assert wide <= room[0] + 2.1 and tall <= room[1] + 8  # an edge; the scale bar stands below
        assert wide > 0.98 * room[0] or tall > 0.98 * room[1]


def test_markdown_shows_markup_from_people_as_it_is(pages):
    text = pages["md"]
    assert r"A \<b\>van\</b\> \|" in text
    assert "\x1b" not in text
    assert text.startswith("# ")
    assert "\n\n\n" not in text
    rows = [line for line in text.splitlines() if line.startswith("|") and "---" not in line]
    assert rows
    assert {len(re.findall(r"(?<!\\)\|", row)) for row in rows} == {4}


def test_an_unknown_form_is_refused(found):
    with pytest.raises(BadInput, match="html, md, pdf"):
        comparison_report(found, str, "doc")


@pytest.fixture
def unpriced(monkeypatch):
    """Leaves out what each pattern buys, which takes most of the time."""
    monkeypatch.setattr("atlas.reports.comparison._best", lambda *_: [])


def test_pdf_where_its_library_is_there(found, unpriced):
    pytest.importorskip("weasyprint")
    assert comparison_report(found, str, "pdf").startswith(b"%PDF")


@pytest.mark.parametrize(("count", "views"), [(3, 3), (5, 2)])
def test_several_fit_the_page(unpriced, count, views):
    cases = [load_cases()["corner"]]
    city = load_vehicle("demo-city")
    some = [structs.replace(city, id=f"twin-{i}") for i in range(count)]
    html = comparison_report(compare(some, cases, 10), str, "html").decode()
    widths = [float(w) for w in re.findall(r'<svg [^>]*width="([\d.]+)mm"', html)]
    assert max(widths[:-1]) <= 176 / 3
    assert len(widths) == count * views + 1
