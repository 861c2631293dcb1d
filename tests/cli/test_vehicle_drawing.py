"""``atlas vehicle`` drawn and written."""

import json
from xml.etree import ElementTree

import pytest

CITY = ["vehicle", "demo-city"]


@pytest.mark.parametrize("view", ["plan", "side", "front"])
def test_a_view_is_printed_with_its_key(atlas, view):
    code, out, err = atlas(*CITY, "--view", view, "--load", "pothole")
    assert (code, err) == (0, "")
    assert "kN" in out
    assert "elastic limit" in out
    assert "moved shape drawn" in out
    assert all(len(line) <= 100 for line in out.splitlines())


def test_what_is_taken_away_shows(atlas):
    out = atlas(*CITY, "--view", "plan", "--without", "rear-v-brace")[1]
    assert "without rear-v-brace" in " ".join(out.split())
    assert "taken away" in out


def test_a_screen_reader_gets_words(atlas):
    out = atlas(*CITY, "--view", "plan", "--plain")[1]
    assert not any(0x2800 <= ord(char) <= 0x28FF for char in out)
    assert "member" in out
    assert "Largest movement" in out


@pytest.mark.parametrize("form", [[], ["--plain"]])
def test_what_passes_its_limit_is_said_below_the_drawing(atlas, form):
    strike = ["vehicle", "demo-saloon", "--view", "plan", "--load", "ground-strike", *form]
    assert "Note: past the elastic limit: panel-" in " ".join(atlas(*strike)[1].split())
    assert "Note:" not in atlas("vehicle", "demo-saloon", "--view", "plan", *form)[1]


def test_the_sheet_is_written(atlas, tmp_path):
    path = tmp_path / "city.svg"
    code, out, _ = atlas(*CITY, "--svg", str(path), "--view", "side")
    assert (code, out.strip()) == (0, str(path))
    ElementTree.fromstring(path.read_text(encoding="utf-8"))
    assert "side, forward to the left" in path.read_text(encoding="utf-8")


def test_a_folder_s_name_steers_nothing(atlas, tmp_path):
    folder = tmp_path / "a\x1b[31m\nb"
    folder.mkdir()
    code, out, _ = atlas(*CITY, "--svg", str(folder / "city.svg"))
    assert code == 0 and (folder / "city.svg").is_file()
    assert "\x1b" not in out and out.count("\n") == 1


@pytest.mark.parametrize("ending", ["html", "md"])
def test_the_report_is_written(atlas, tmp_path, monkeypatch, ending):
    monkeypatch.setattr("atlas.reports.vehicle.SAMPLES", 10)
    path = tmp_path / f"city.{ending}"
    assert atlas(*CITY, "--report", str(path), "--load", "racking")[0] == 0
    text = path.read_text(encoding="utf-8")
    assert "Racking of the four mounts" in text
    assert "What each pattern buys" in text


def test_drawing_and_report_are_both_written_where_both_are_asked_for(atlas, tmp_path, monkeypatch):
    monkeypatch.setattr("atlas.reports.vehicle.SAMPLES", 10)
    svg, page = tmp_path / "a.svg", tmp_path / "a.md"
    words = (*CITY, "--load", "racking", "--svg", str(svg), "--report", str(page))
    code, out, _ = atlas(*words)
    assert code == 0 and svg.exists() and page.exists()
    assert out.split() == [str(page), str(svg)]
    svg.unlink()
    said = json.loads(atlas(*words, "--json")[1])
    assert (said["svg"], said["report"]) == (str(svg), str(page)) and svg.exists()


@pytest.mark.parametrize(
    ("arguments", "status", "names"),
    [
        (["--view", "top"], 2, "plan"),
        (["--svg", "/nope/x.svg"], 2, "/nope"),
        (["--report", "x.doc"], 2, ".html"),
        (["--report", "x"], 2, ".html"),
        (["--view", "plan", "--load", "nope"], 2, "corner"),
        (["--view", "plan", "--without", "nope"], 2, "rear-v-brace"),
    ],
)
def test_refusals_are_one_line(atlas, arguments, status, names):
    code, _, err = atlas(*CITY, *arguments)
    assert (code, err.count("\n")) == (status, 1)
    assert names in err
