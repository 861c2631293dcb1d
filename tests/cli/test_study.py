"""``atlas study``, typed, piped and as documents."""

import errno
import io
import json
import os
import re
import unicodedata
from datetime import date, timedelta
from importlib.resources import files

import msgspec
import pytest
from jsonschema import Draft202012Validator

from atlas.casework.cases import Cases
from atlas.catalogue.load import load
from atlas.study.concealing import names_of
from atlas.study.items import item_id
from atlas.study.progress import Learner
from atlas.vehicles.loading import load_vehicle

SCHEMA = json.loads((files("atlas.cli") / "schema.json").read_text(encoding="utf-8"))
PLATE = item_id("vehicle", "demo-pickup", "rear plate")
DAY = date(2026, 3, 2)


def hold(name: str, text: str) -> dict:
    document = json.loads(text)
    Draft202012Validator({**SCHEMA, "$ref": f"#/$defs/{name}"}).validate(document)
    return document


@pytest.fixture(scope="module")
def shipped():
    return load(cached=False), {"demo-pickup": load_vehicle("demo-pickup")}


@pytest.fixture(autouse=True)
def day(monkeypatch, shipped):
    """A day that the test moves, one vehicle, and a catalogue that is read once."""
    monkeypatch.setattr("atlas.cli.study.load", lambda library: shipped[0])
    monkeypatch.setattr("atlas.study.practice.all_vehicles", lambda library: (shipped[1], ()))
    monkeypatch.setenv("ATLAS_INITIALS", "AB")
    now = [DAY]
    monkeypatch.setattr("atlas.cli.study.today", lambda: now[0])
    return now


@pytest.fixture
def typed(monkeypatch):
    def give(*lines):
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))

    give()
    return give


def first(atlas, zone="rear-mount"):
    return hold("study", atlas("study", zone, "--json")[1])["item"]


# ------------------------------------------------------------------------------------ documents
def test_the_next_item_gives_nothing_away(atlas, typed):
    code, out, err = atlas("study", "rear-mount", "--json")
    assert (code, err) == (0, "")
    item = hold("study", out)["item"]
    assert item["id"] == PLATE
    assert len(item["cues"]) == 1
    assert item["of"] == 6
    assert first(atlas)["cues"] == item["cues"], "asking again shows no more"
    code, out, _ = atlas("study", "rear-mount", "--json", "--cues", "3")
    assert len(hold("study", out)["item"]["cues"]) == 3
    assert len(first(atlas)["cues"]) == 3, "it is where one left it"
    assert len(hold("study", atlas("study", "--json", "--cues", "99")[1])["item"]["cues"]) == 6


def test_no_item_names_its_answer_before_it_is_given(atlas, typed, shipped):
    catalogue = shipped[0]
    for _ in range(5):
        _, out, _ = atlas("study", "--json", "--cues", "9")
        found = hold("study", out)
        item = found["item"]
        said = hold("study-answer", atlas("study", "answer", item["id"], "--pass", "--json")[1])
        shown = json.dumps({**item, "cues": item["cues"]}).casefold()
        for name in names_of(catalogue.pattern(said["pattern"])):
            assert not re.search(rf"\b{re.escape(name.casefold())}\b", shown), (item, name)
        assert said["pattern"] in {one["id"] for one in found["choices"]}


def test_an_answer_moves_the_item_and_gives_the_reasons(atlas, typed, day):
    code, out, _ = atlas("study", "answer", PLATE[:8], "rear-v-brace", "--sure", "80%", "--json")
    said = hold("study-answer", out)
    assert code == 0
    assert (said["right"], said["pattern"], said["box"]) == (False, "rear-x-plate", 1)
    assert said["due"] == "2026-03-03"
    assert said["separations"][0]["taken"]
    assert first(atlas)["id"] != PLATE
    day[0] += timedelta(days=1)
    assert first(atlas)["id"] == PLATE
    _, out, _ = atlas("study", "answer", PLATE, "rear-x-plate", "--sure", "0.9", "--json")
    said = hold("study-answer", out)
    assert (said["right"], said["box"], said["due"]) == (True, 2, "2026-03-05")
    found = hold("study-progress", atlas("study", "progress", "--json")[1])
    assert (found["all"]["answers"], found["all"]["right"], found["all"]["seen"]) == (2, 1, 1)
    assert found["all"]["brier"] == pytest.approx((0.64 + 0.01) / 2)


def test_a_path_is_walked_by_documents(atlas, typed):
    _, out, _ = atlas("study", "path", "shield", "--json")
    found = hold("study-path", out)
    count = len(found["steps"])
    assert not any(step["read"] for step in found["steps"])
    for _ in range(count):
        options = [one["id"] for one in found["question"]["options"]]
        codes = []
        for option in options:
            code, out, _ = atlas("study", "path", "shield", "--answer", option, "--json")
            codes.append(code)
            found = hold("study-path", out)
            if found["right"]:
                break
        assert codes[-1] == 0
        assert set(codes[:-1]) <= {1}
    assert found["next"] is None
    code, _, err = atlas("study", "path", "shield", "--answer", "skid-plate-metal")
    assert code == 1
    assert "walked to its end" in err


# ------------------------------------------------------------------------------------ line by line
def test_practice_line_by_line(atlas, typed):
    typed("", "", "plate", "x plate", "70")
    code, out, err = atlas("study", "rear-mount")
    assert (code, err) == (0, "")
    assert "1 of 6" in out and "3 of 6" in out and "4 of 6" not in out
    assert "Say its number" in out, "several are called plate"
    assert "Right: X-shaped rear brace plate" in out
    assert "You were 70% sure" in out
    assert "Found: 3 mm pressed steel" in out
    assert "prop the cradle" in out
    assert "comes back on 2026-03-04" in out
    assert "1 of 1 right" in out


def test_before_the_answer_nothing_says_it(atlas, typed):
    typed("", "", "", "", "", "q")
    _, out, _ = atlas("study", "rear-mount")
    assert "6 of 6" in out
    assert "X-shaped" not in out
    assert "Found:" not in out


def test_one_may_think_again_and_may_pass(atlas, typed):
    typed("skid plate", "", "PASS")
    _, out, _ = atlas("study", "rear-mount")
    assert "It is: X-shaped rear brace plate" in out
    assert "0 of 1 right" in out
    assert hold("study-progress", atlas("study", "progress", "--json")[1])["all"]["brier"] is None


def test_a_person_is_asked_and_reads_before_the_next_item_comes(atlas, monkeypatch):
    class Terminal(io.StringIO):
        def isatty(self):
            return True

    monkeypatch.setattr("sys.stdin", Terminal("\nx plate\n70\nq\n"))
    code, out, _ = atlas("study", "rear-mount")
    assert code == 0
    assert "enter: next cue, or what is it? >" in out
    assert "how sure?" in out
    assert out.index("comes back on") < out.index("enter: next, q leaves")
    assert "1 of 1 right" in out


HOSTILE = (
    "a\x1b]0;owned\x07\x1b[31mred\x1b[2J \x9b31m safe\b\b\x7f \u202egnp.\u2066exe\u2069 \u2028x",
    "a[bold]x[/bold][/][@click=app.quit]y[/ <script>alert(1)</script><img src=x onerror=alert(1)>"
    "{{7*7}}{% include 'x' %}\n# heading\n- list\n[x](javascript:alert(1))|y|\n```\n<b>",
)


@pytest.mark.parametrize("text", HOSTILE, ids=["steering", "markup"])
def test_hostile_text_is_shown_and_never_obeyed(atlas, typed, library, tmp_path, text):
    """ECMA-48 controls, Unicode Annex 9 directions, HTML and Markdown, in case and progress."""
    cases = Cases(library, "AB")
    case = cases.new("x", vehicle="x")
    cases.note(case.id, "MARK", about="MARK")
    cases.suspect(case.id, "rear-v-brace", 0.4, about="MARK")
    cases.settle(case.id, "rear-x-plate", about="MARK", found="MARK", how="cut")
    learner = Learner(library, "AB")
    for number in range(2):
        learner.answer(f"i{number}", "MARK", "MARK", "MARK", 0.5, cues=1, of=2, day=DAY)
    learner.answer("i3", "rails", "rear-x-plate", "MARK", 0.5, cues=1, of=2, day=DAY)
    for path in (cases.path(case.id), learner.path):
        quoted = json.dumps(text, ensure_ascii=True)[1:-1]
        path.write_text(path.read_text().replace("MARK", quoted))
    (mine,) = [one for one in _items(library) if one.kind == "case"]
    typed("", "pass", "q")
    outputs = []
    for words in (
        ["study", "rear-mount"], ["study", "progress"], ["study", "path", "rear-mount", "--list"],
        ["study", "answer", mine.id, "rear-v-brace", "--sure", "70%"],
    ):  # fmt: skip
        for form in ([], ["--plain"], ["--json"]):
            code, out, err = atlas(*words, *form)
            assert code in (0, 1), err
            assert "internal" not in err
            outputs.append(out + err)
    for form in ("html", "md"):
        target = tmp_path / f"study.{form}"
        assert atlas("study", "report", "--out", str(target))[0] == 0
        outputs.append(target.read_text())
        assert not re.search(r"(?<!\\)<(script|img|b)\b", outputs[-1])
    for out in outputs:
        bad = [
            s for s in out if s not in "\n" and unicodedata.category(s) in ("Cc", "Cf", "Zl", "Zp")
        ]
        assert not bad, bad


def _items(library):
    from atlas.casework.settled import settled
    from atlas.study.items import items_of

    return items_of(load(), (), settled(library)[0]).values()


@pytest.mark.parametrize(
    "line", ["[/", "\x1b[31m", "\u202ex", "0", "99", "-1", "qqqqqq", "?", "1e9", "终端", "x" * 5000]
)
def test_nonsense_is_answered_and_never_obeyed(atlas, typed, line):
    typed(line, "2", "no number", "150%", "-1", "nan", "inf", "0.6")
    code, out, err = atlas("study", "rear-mount")
    assert (code, err) == (0, "")
    assert "\x1b" not in out and "\u202e" not in out
    assert re.search("[012] of [12] right", out)


def test_the_path_line_by_line(atlas, typed):
    typed("1", "2", "3", "4", "q")
    code, out, _ = atlas("study", "path", "rear-mount")
    assert code == 0
    assert "1 OF 10: X-SHAPED REAR BRACE PLATE" in out
    assert "WHY IT IS BUILT SO" in out
    assert "Right." in out
    assert "2 OF 10" in out
    _, out, _ = atlas("study", "path", "rear-mount", "--list")
    assert "1 of 10 read" in out


def test_plain_output_draws_nothing(atlas, typed):
    typed("q")
    _, out, _ = atlas("study", "path", "rear-mount", "--plain")
    assert not re.search("[\u2800-\u28ff]", out)
    assert "What one sees:" in out


def test_one_person_has_one_name_in_both_front_ends(monkeypatch):
    from atlas.cli.case import initials

    assert (initials(None), initials("CD")) == ("AB", "CD")
    monkeypatch.delenv("ATLAS_INITIALS")
    assert initials(None)


# ------------------------------------------------------------------------------------ refusals
@pytest.mark.parametrize(
    ("arguments", "code", "named"),
    [
        (["study", "reer-mount"], 1, "rear-mount"),
        (["study", "progres"], 1, "progress"),
        (["study", "path", "nowhere"], 1, "zones are"),
        (["study", "answer", "zz", "rear-x-plate", "--sure", "1"], 1, "no item"),
        (["study", "answer", PLATE], 2, "nothing was answered"),
        (["study", "answer", PLATE, "rear-x-plate"], 2, "--sure"),
        (["study", "answer", PLATE, "rear-x-plate", "--sure", "170"], 2, "70%"),
        (["study", "answer", PLATE, "rear-x-plte", "--sure", "70%"], 1, "rear-x-plate"),
        (["study", "answer", PLATE, "rear-x-plate", "--sure", "70%", "--pass"], 2, "--pass"),
        (["study", "answer", PLATE, "rear-x-plate", "--sure", "1", "--cues", "0"], 2, "cues"),
        (["study", "--by", "x" * 50], 2, "--by"),
        (["study", "report", "--out", "x.doc"], 2, ".html"),
        (["study", "report", "--out", "/nowhere/x.html"], 2, "no folder /nowhere"),
        (["study", "--nonsense"], 2, "nonsense"),
    ],
)
def test_bad_input_gets_one_line(atlas, typed, arguments, code, named):
    found, out, err = atlas(*arguments)
    assert (found, out) == (code, "")
    assert named in err
    assert len(err.strip().splitlines()) == 1


def test_a_damaged_record_is_named_and_left(atlas, typed, library):
    path = library.root / "study" / "ab.json"
    path.parent.mkdir()
    path.write_text('{"answer": {"7": {"item": 3}}}')
    for arguments in (["study"], ["study", "progress"], ["study", "path", "rails", "--list"]):
        code, _, err = atlas(*arguments)
        assert code == 2
        assert "ab.json" in err
    assert atlas("study", "progress", "--by", "CD")[0] == 0
    assert path.read_text() == '{"answer": {"7": {"item": 3}}}'


def test_a_medium_that_refuses_is_named(atlas, typed, library, monkeypatch):
    def refuse(handle):
        raise OSError(errno.EROFS, os.strerror(errno.EROFS))

    with monkeypatch.context() as medium:
        medium.setattr(os, "fsync", refuse)
        code, out, err = atlas("study", "answer", PLATE, "--pass")
    assert (code, out) == (2, "")
    assert "read-only" in err and err.count("\n") == 1
    assert not [*library.root.rglob("*.json")], "nothing of the answer is left"


def test_when_nothing_is_left_it_says_so(atlas, typed, monkeypatch):
    monkeypatch.setattr("atlas.study.practice.items_of", lambda *_: {})
    code, out, _ = atlas("study", "rails")
    assert code == 1
    assert "Nothing is due" in out
    code, out, _ = atlas("study", "--json")
    assert code == 1
    assert hold("study", out)["item"] is None


# ------------------------------------------------------------------------------------ report
def test_the_report_is_complete_self_contained_and_harmless(atlas, typed, library, tmp_path):
    cases = Cases(library, "AB")
    case = cases.new("<script>alert(1)</script> [van](http://x)")
    cases.note(case.id, "four feet", about="<b>brace</b>")
    cases.settle(case.id, "rear-x-plate", about="<b>brace</b>", found="x", how="cut")
    mine = item_id("case", case.id, "<b>brace</b>")
    atlas("study", "answer", PLATE, "rear-v-brace", "--sure", "80%")
    atlas("study", "answer", mine, "rear-v-brace", "--sure", "60%")
    for form in ("html", "md"):
        target = tmp_path / f"study.{form}"
        code, out, _ = atlas("study", "report", "--out", str(target))
        assert (code, out.strip()) == (0, str(target))
        text = target.read_text()
        assert not re.search(r"(?<!\\)<(script|b)>", text)
        for part in ("X-shaped rear brace plate", "Count feet", "Leitner", "1 of", "80%"):
            assert part in text, part
    html = (tmp_path / "study.html").read_text()
    page = html[html.index('class="first"') : html.index("</dl>")]
    for word in ("What", "How sure", "Why", "What next"):
        assert f"<dt>{word}</dt>" in page
    assert html.count("<figure><svg") >= 3, "the plot and both sides of the confusion"
    plot = html[html.index("<h2>Stated against right</h2>") :]
    ticks = re.findall(r">(\d+)</text>", plot[: plot.index("</svg>")])
    assert ticks.count("0") == ticks.count("100") == 2 and max(map(int, ticks)) == 100
    assert not re.search(r'(?:src|href)="(?!#)', html)
    assert "url(http" not in html and "@import" not in html


def test_a_report_before_the_first_answer(atlas, typed, tmp_path):
    target = tmp_path / "study.html"
    assert atlas("study", "report", "--out", str(target), "--json")[0] == 0
    assert "Nothing was practised yet" in target.read_text()


def test_the_plot_sets_what_was_right_over_what_was_stated(monkeypatch):
    from atlas.casework.calibration import Statement, score
    from atlas.drawing.plot import plot
    from atlas.reports import study

    seen = []
    monkeypatch.setattr(
        study, "plot", lambda figure, *size: seen.append(figure) or plot(figure, *size)
    )
    given = [(0.85, True), (0.85, False), (0.85, True), (0.85, True), (0.3, False)]
    said = [Statement("x", "", "a", "", sure, right, "b") for sure, right in given]
    study._reliability(score(said))
    (points,) = seen[0].points
    assert sorted(zip(points.x, points.y, strict=True)) == [(30, 0), (85, 75)]
    (line,) = seen[0].curves
    assert list(line.x) == list(line.y) == [0, 100]


def test_a_pattern_without_a_sketch_has_words_alone():
    from atlas.reports.study import _side

    pattern = load().pattern("rear-x-plate")
    assert _side(pattern).drawing is not None
    side = _side(msgspec.structs.replace(pattern, sketches=()))
    assert side.drawing is None and side.cue
