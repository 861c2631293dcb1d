"""Hostile text in every field, through every output: shown harmlessly or refused, never obeyed.

References: ECMA-48 (control sequences), Unicode Standard Annex #9 (directional controls), the HTML
standard's parsing through ``html.parser``, CommonMark through markdown-it-py, RFC 4180 through
``csv``, RFC 8259 through ``json``; which cells a spreadsheet takes for formulas: OWASP, "CSV
Injection" (=, +, -, @, tab, carriage return).
"""

import csv
import io
import json
import re
import unicodedata
from html.parser import HTMLParser

import pytest
from markdown_it import MarkdownIt

from atlas.casework.cases import Cases
from atlas.casework.conflicts import file_of, rows_of
from atlas.casework.merging import Clash, dump
from atlas.casework.model import Calculation
from atlas.casework.reviews import Reviews
from atlas.catalogue.appending import as_toml
from atlas.catalogue.load import load
from atlas.catalogue.shipped import shipped
from atlas.errors import BadInput

STEERING = (
    "a\x1b]0;owned\x07\x1b[31mred\x1b[2J\x1b[6nb \x9b31m\x9d0;owned\x9c\x90q"
    " safe\b\b\x7f\x0eevil\x0f\x00"
    " \u202egnp.\u2066exe\u2069\u202c\u200f\u061c \u2028b\u2029c\x85d\x0be\x0cf"
    " \ufeff\ufffe\U000e0041\ue000\U0010ffff\u0301\u0301 end"
)
MARKUP = (
    "a[bold]x[/bold][/][link=file:///etc][@click=app.quit]y[/ [[ ]"
    "<script>alert(1)</script><img src=x onerror=alert(1)>&lt;b&gt;\"'`</style>"
    "{{7*7}}{% include 'x' %}{#${7*7}%s%(x)s {0}"
    "\n# heading\n- list\n1. list\n> quote\n[x](javascript:alert(1))|y|\n```\n<b>\n---"
    '","b\r\n"""c;d'
)
TEXTS = {"steering": STEERING, "markup": MARKUP}
STARTS = {"tab": "\t=1", "list": "- 1", "number": "1. x"}  # which Markdown may take for more
CELLS = {"formula": "=1+1|cmd' /C calc'!A0", "plus": "+1", "at": "@SUM(A1)", "tab": "\t=1",
         "return": "\r=1\r\n=2", **TEXTS}  # fmt: skip
# Besides what ``visible`` leaves: the line ends that the outputs themselves write.
_LINE_ENDS = {"\n", "\t", "\r"}


def harmless(text):
    """Nothing in it that a terminal obeys or that reorders a line."""
    bad = [
        sign for sign in text
        if sign not in _LINE_ENDS and unicodedata.category(sign) in ("Cc", "Cf", "Cs", "Zl", "Zp")
    ]  # fmt: skip
    assert not bad, bad


class Tags(HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.seen, self.words, self._quiet = [], [], 0
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attributes):
        self.seen.append((tag, tuple(name for name, _ in attributes)))
        self._quiet += tag in ("style", "script")

    def handle_endtag(self, tag):
        self._quiet -= tag in ("style", "script")

    def handle_data(self, data):
        if not self._quiet:
            self.words.append(data)


def outside(path, marker, text):
    """Put a text into all fields of a file, as somebody might who edits it by hand."""
    content = path.read_text(encoding="utf-8")
    quoted = json.dumps(text, ensure_ascii=True)[1:-1]
    if path.suffix == ".toml":  # which writes signs beyond the first plane in one piece
        quoted = "".join(
            sign if sign.isascii() and sign.isprintable() and sign not in "\"\\"
            else f"\\U{ord(sign):08X}" for sign in text
        )  # fmt: skip
    assert marker in content
    path.write_text(content.replace(marker, quoted), encoding="utf-8")


def case_full_of(library, text):
    cases = Cases(library, "MARK")
    case = cases.new("MARK", vehicle="MARK", place="MARK", people=("MARK",))
    about = "MARK"
    cases.note(case.id, "MARK", about=about)
    cases.note(case.id, "MARK", about=about, kind="point", value=3.0, unit="MARK")
    cases.note(case.id, "MARK", about=about, kind="look", observable="MARK", state="MARK")
    cases.suspect(case.id, "rear-x-plate", 0.7, about=about, why="MARK")
    cases.suspect(case.id, "MARK", 0.2, about=about, why="MARK")
    cases.ask(case.id, "MARK", "MARK", about=about)
    record = Calculation(
        "MARK", {"MARK": "MARK"}, 10, 1, {"MARK": {"value": 1.0, "unit": "MARK", "low": 1.0,
        "high": 1.0, "share": 0.0}}, ("MARK",), "", "", about, "MARK", "MARK",
    )  # fmt: skip
    cases.calculate(case.id, record)
    cases.settle(case.id, "rear-x-plate", about=about, found="MARK", how="cut")
    outside(cases.path(case.id), "MARK", text)
    return case.id


def pattern_full_of(library, text):
    from msgspec import convert, to_builtins

    def filled(value, key=""):
        if isinstance(value, dict):
            return {k: filled(v, k) for k, v in value.items()}
        if isinstance(value, list):
            return [filled(v, key) for v in value]
        prose = key in (
            "title", "summary", "does", "rationale", "see", "separates", "case", "force", "path",
            "why", "material", "process", "joint", "do", "decides", "text", "question", "author",
            "other_names", "cautions", "seen_in", "reviewer",
        )  # fmt: skip
        return "MARK" if prose and isinstance(value, str) else value

    plate = load(cached=False).pattern("rear-x-plate")
    changed = convert(filled(to_builtins(plate)), type(plate))
    path = library.patterns / plate.zone / "rear-x-plate.toml"
    path.parent.mkdir(parents=True)
    path.write_text(as_toml(changed), encoding="utf-8")
    outside(path, "MARK", text)
    Reviews(library).comment("rear-x-plate", "MARK", "MARK")
    outside(library.root / "reviews" / "rear-x-plate.json", "MARK", text)


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS.keys())
def test_a_case_full_of_it_in_every_output(library, atlas, text, tmp_path):
    name = case_full_of(library, text)
    clash = Clash(("head", "1", "title"), (text, f"{text}2"), 1)
    place = library.root / file_of(f"cases/{name}.json")
    place.parent.mkdir(parents=True)
    rows = rows_of(f"cases/{name}.json", [clash], {text: text})
    place.write_bytes(dump("conflicts/x.json", {"conflict": rows}))
    for words in (
        ["case", "show", name], ["case", "list"], ["teardown"], ["calibration"],
        ["sync", "--conflicts"], ["case", "calc", name, "--rerun"],
    ):  # fmt: skip
        for form in ([], ["--plain"], ["--json"]):
            status, out, err = atlas(*words, *form)
            assert status in (0, 1), err
            assert "internal" not in err and "set aside" not in err
            harmless(out)
            harmless(err)
            if form == ["--json"] and out:
                json.loads(out)
    document = json.loads(atlas("case", "show", name, "--json")[1])
    assert document["case"]["title"] == text, "JSON loses nothing"
    assert document["verdict"][0]["found"] == text


@pytest.mark.parametrize("text", [*TEXTS.values(), *STARTS.values()], ids=[*TEXTS, *STARTS])
def test_a_report_full_of_it_brings_no_markup_of_its_own(library, atlas, text, tmp_path):
    name = case_full_of(library, text)
    plain = {}
    for form in ("html", "md"):
        for of, case in (("hostile", name), ("tame", tame(library, name))):
            path = tmp_path / f"{of}.{form}"
            status, _, err = atlas("case", "report", case, "--format", form, "--output", str(path))
            assert status == 0, err
            plain[of, form] = path.read_text(encoding="utf-8")
        harmless(plain["hostile", form])
    hostile, tame_one = Tags(plain["hostile", "html"]), Tags(plain["tame", "html"])
    assert hostile.seen == tame_one.seen, "it brought no tag and no attribute of its own"
    rendered = [
        Tags(MarkdownIt("commonmark", {"html": True}).enable("table").render(plain[of, "md"])).seen
        for of in ("hostile", "tame")
    ]
    if text == text.strip():
        assert rendered[0] == rendered[1]
    assert set(rendered[0]) <= set(rendered[1])  # blanks at its ends undo what would be bold


def tame(library, name):
    """The same case with a harmless word in every place."""
    other = case_full_of(library, "word")
    return other


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS.keys())
def test_pages_of_the_application_hold_it_as_text(library, text):
    from atlas.ui.case_page import case_blocks
    from atlas.ui.pattern_page import pattern_blocks

    name = case_full_of(library, text)
    pattern_full_of(library, text)
    catalogue = load(library)
    case = Cases(library).get(name)
    page = case_blocks(case, lambda one: one)
    page += pattern_blocks(
        catalogue.patterns["rear-x-plate"], catalogue.patterns.title, frozenset()
    )
    for block in page:
        harmless(block.content.plain)
        harmless(block.lead)
    if text == MARKUP:  # nothing of it was taken for markup
        assert any("[bold]x[/bold][/][link=file:///etc]" in block.content.plain for block in page)


def test_a_vehicle_full_of_it_in_every_output(library, atlas, tmp_path):
    source = shipped("demo_vehicles") / "demo-city.toml"
    lines = []
    for line in source.read_text(encoding="utf-8").splitlines():
        key = line.split(" = ")[0]
        lines.append(f'{key} = "MARK"' if key in ("title", "about", "described") else line)
    library.vehicles.mkdir(parents=True)
    path = library.vehicles / "own.toml"
    path.write_text("\n".join(lines).replace('"demo-city"', '"own"', 1), encoding="utf-8")
    outside(path, "MARK", MARKUP + STEERING)
    report = tmp_path / "v.html"
    own = ["vehicle", "own", "--no-worth", "--samples", "1"]
    for words in (
        ["vehicle"], ["vehicle", "--plain"], ["vehicle", "--json"], [*own, "--json"],
        [*own, "--report", str(report)],
    ):  # fmt: skip
        status, out, err = atlas(*words)
        assert status == 0, err
        harmless(out + err)
        if "--json" in words:
            json.loads(out)
    harmless(report.read_text(encoding="utf-8"))
    assert not {"script", "img"} & {tag for tag, _ in Tags(report.read_text()).seen}
    assert "onerror" not in {name for _, names in Tags(report.read_text()).seen for name in names}


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS.keys())
def test_a_pattern_full_of_it_in_every_output(library, atlas, text, tmp_path):
    pattern_full_of(library, text)
    assert load(library).pattern("rear-x-plate").does == text
    for words in (
        ["show", "rear-x-plate"], ["list"], ["find", "crossed plate under the motor"],
        ["review", "rear-x-plate"],
    ):  # fmt: skip
        for form in ([], ["--plain"], ["--json"]):
            status, out, err = atlas(*words, *form)
            assert status in (0, 1), err
            assert "internal" not in err
            harmless(out)
            harmless(err)
            if form == ["--json"]:
                json.loads(out)
    path = library.patterns / "rear-mount" / "rear-x-plate.toml"
    for form in ([], ["--json"]):
        status, out, err = atlas("add", str(path), *form)
        assert status == 2 and "internal" not in err
        harmless(out + err)


@pytest.mark.parametrize("text", CELLS.values(), ids=CELLS.keys())
def test_tables_hold_it_as_text(library, atlas, text):
    case_full_of(library, text)
    pattern_full_of(library, text)
    for kind in ("cases", "patterns", "measurements"):
        status, out, err = atlas("export", kind, "--format", "csv")
        assert status == 0, err
        harmless(out)
        rows = list(csv.reader(io.StringIO(out, newline="")))
        assert len({len(row) for row in rows}) == 1
        for row in rows[1:]:
            for cell in row:
                number = re.fullmatch(r"-?[0-9.]+(e[-+]?[0-9]+)?", cell)
                assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n")) or number, cell
        status, out, err = atlas("export", kind, "--format", "json")
        assert status == 0, err
        json.loads(out)
        harmless(out)


FIELDS = {
    "title": lambda c, i, t: c.new(t),
    "vehicle": lambda c, i, t: c.new("x", vehicle=t),
    "place": lambda c, i, t: c.new("x", place=t),
    "people": lambda c, i, t: c.new("x", people=(t,)),
    "initials": lambda c, i, t: Cases(c.library, t),
    "note": lambda c, i, t: c.note(i, t),
    "about": lambda c, i, t: c.note(i, "x", about=t),
    "unit": lambda c, i, t: c.note(i, "x", unit=t),
    "state": lambda c, i, t: c.note(i, "x", observable="magnet", state=t),
    "photo": lambda c, i, t: c.note(i, "x", photo=t),
    "why": lambda c, i, t: c.suspect(i, "rear-x-plate", 0.5, about="x", why=t),
    "pattern": lambda c, i, t: c.suspect(i, t, 0.5, about="x"),
    "question": lambda c, i, t: c.ask(i, t, "x"),
    "look": lambda c, i, t: c.ask(i, "x", t),
    "found": lambda c, i, t: c.settle(i, "rear-x-plate", about="x", found=t, how="cut"),
    "verdict": lambda c, i, t: c.settle(i, t, about="x", found="x", how="cut"),
    "input": lambda c, i, t: c.calculate(i, Calculation("section", {"t": t}, 1, 1, {}, (), "", "")),
    "comment": lambda c, i, t: Reviews(c.library).comment("rear-x-plate", "CD", t),
}


@pytest.mark.parametrize("write", FIELDS.values(), ids=FIELDS.keys())
@pytest.mark.parametrize(
    "text",
    ["a\0b", "half \ud800 of it", "x" * 10_000_000],
    ids=["nul", "surrogate", "10 MB"],
)
def test_what_cannot_be_kept_is_refused_in_every_field(library, write, text):
    cases = Cases(library, "AB")
    case = cases.new("x")
    before = cases.path(case.id).read_bytes()
    with pytest.raises(BadInput) as caught:
        write(cases, case.id, text)
    assert len(str(caught.value)) < 10_300
    assert cases.path(case.id).read_bytes() == before
    assert [row.id for row in cases.rows()[0]] == [case.id]
