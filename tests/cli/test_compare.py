"""``atlas compare`` in every form."""

import csv
import io
import json

import pytest

PAIR = ["compare", "demo-pickup", "demo-city"]


def test_table_csv_json_and_pages_say_the_same(atlas, tmp_path, monkeypatch):
    said = json.loads(atlas(*PAIR, "--json")[1])
    pickup = said["vehicles"]["demo-pickup"]
    code, out, err = atlas(*PAIR)
    assert (code, err) == (0, "")
    assert "overlap-wide-front-bar" in out
    assert "ONLY DEMO-PICKUP" in out
    rows = {row[0]: row[1:] for row in csv.reader(io.StringIO(atlas(*PAIR, "--format", "csv")[1]))}
    assert rows[""] == ["demo-pickup", "demo-city"]
    stiffness = float(rows["stiffness: Corner hit, narrow overlap"][0].split()[0])
    assert stiffness == pytest.approx(pickup["stiffness"]["corner"]["value"], rel=0.01)
    assert rows["pattern: overlap-wide-front-bar"][1] == ""
    monkeypatch.setattr("atlas.reports.comparison._best", lambda *_: [])
    path = tmp_path / "both.html"
    code, out, _ = atlas(*PAIR, "--format", "html", "--output", str(path))
    assert (code, out.strip()) == (0, str(path))
    assert "Wide cradle front bar" in path.read_text(encoding="utf-8")


def test_a_page_keeps_its_letters_where_the_terminal_lacks_them(atlas, monkeypatch):
    from atlas.cli.main import status

    monkeypatch.setattr("atlas.reports.comparison._best", lambda *_: [])
    there = atlas(*PAIR, "--format", "md")[1]
    assert not there.isascii()
    narrow = io.TextIOWrapper(io.BytesIO(), encoding="ascii", errors="replace")
    monkeypatch.setattr("sys.stdout", narrow)
    assert status([*PAIR, "--format", "md"]) == 0
    assert narrow.buffer.getvalue().decode("utf-8") == there


def test_csv_and_json_go_to_files_too(atlas, tmp_path):
    for form in ("json", "csv"):
        path = tmp_path / f"both.{form}"
        assert atlas(*PAIR, "--format", form, "--output", str(path))[0] == 0
        assert "demo-city" in path.read_text(encoding="utf-8")
    assert json.loads((tmp_path / "both.json").read_text())["shared"]


@pytest.mark.parametrize(
    ("arguments", "status", "names"),
    [
        (["demo-pickup"], 2, "2 to 8"),
        (["demo-pickup", "demo-pickup"], 2, "2 to 8"),
        (["demo-pickup", "nope"], 1, "nope"),
        (["demo-pickup", "demo-city", "--load", "nope"], 2, "corner"),
        (["demo-pickup", "demo-city", "--format", "pdf"], 2, "--output"),
        (["demo-pickup", "demo-city", "--output", "x.txt"], 2, "--format"),
        (["demo-pickup", "demo-city", "--format", "html", "--output", "/nope/x"], 2, "/nope"),
    ],
)
def test_refusals_are_one_line(atlas, arguments, status, names):
    code, _, err = atlas("compare", *arguments)
    assert (code, err.count("\n")) == (status, 1)
    assert names in err


def test_plain_has_no_columns(atlas):
    code, out, _ = atlas(*PAIR, "--plain")
    assert code == 0
    assert "  " not in out
    assert "cradle; demo-pickup " in out
