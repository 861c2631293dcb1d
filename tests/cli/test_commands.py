"""The command line as scripts rely on it."""

import json

import pytest

WHERE = ["rear-x-plate", "overlap-wide-front-bar"]


def only_line(text):
    lines = text.strip().splitlines()
    assert len(lines) == 1, text
    assert lines[0].startswith("atlas: ")
    return lines[0]


@pytest.mark.parametrize(
    ("arguments", "status", "names"),
    [
        (["show", "rear-x-plat"], 1, ["rear-x-plat", "did you mean 'rear-x-plate'"]),
        (["fnd", "x"], 2, ["fnd", "find"]),
        (["list", "--zone", "nowhere"], 2, ["nowhere", "rear-mount"]),
        (["list", "--zoned"], 2, ["--zoned"]),
        (["find"], 2, ["TEXT"]),
        (["find", " "], 2, ["TEXT"]),
        (["calc", "no-such"], 1, ["no-such"]),
        (["calc", "mass-estimate", "gauge=-1"], 2, ["gauge", "0.3 to 60 mm"]),
        (["calc", "mass-estimate", "gage=1"], 2, ["gage", "did you mean 'gauge'"]),
        (["calc", "mass-estimate", "gauge=3kN"], 2, ["gauge", "kN"]),
        (["calc", "mass-estimate", "gauge=nan"], 2, ["gauge", "nan"]),
        (["calc", "mass-estimate", "gauge=1e9"], 2, ["gauge"]),
        (["calc", "mass-estimate", "gauge="], 2, ["gauge"]),
        (["calc", "mass-estimate", "gauge"], 2, ["gauge"]),
        (["calc", "mass-estimate", "gauge=3..2"], 2, ["gauge", "rise"]),
        (["calc", "mass-estimate", "form=lump"], 2, ["form", "profile"]),
        (["calc", "mass-estimate", "gauge=1", "gauge=2"], 2, ["gauge", "twice"]),
        (["calc", "mass-estimate", "--samples", "0"], 2, ["--samples"]),
        (["case", "show", "2026-01-01-none"], 1, ["2026-01-01-none"]),
        (["case", "show", "../etc/passwd"], 2, ["passwd"]),
        (["case", "new", " "], 2, ["title"]),
        (["check", "/no/such/file.toml"], 1, ["/no/such/file.toml"]),
        (["narrow", "magnet"], 2, ["magnet"]),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else str(value),
)
def test_errors_are_one_line_with_the_right_status(atlas, arguments, status, names):
    code, out, err = atlas(*arguments)
    line = only_line(err)
    assert code == status
    assert out == ""
    for name in names:
        assert name in line


def test_a_named_library_that_is_missing_is_refused(atlas, tmp_path):
    code, _, err = atlas("list", "--library", str(tmp_path / "typo"))
    assert code == 1
    assert "mkdir" in only_line(err)


@pytest.mark.parametrize(
    "arguments",
    [["list"], ["show", "rear-x-plate"], ["calc"], ["calc", "mass-estimate"], ["case", "list"]],
    ids=" ".join,
)
def test_every_command_prints_one_json_document(atlas, arguments):
    code, out, err = atlas(*arguments, "--json")
    assert (code, err) == (0, "")
    json.loads(out)


def test_calc_answers_in_the_documented_shape(atlas):
    _, out, _ = atlas("calc", "mass-estimate", "gauge=2.2..2.8", "--samples", "500", "--json")
    said = json.loads(out)
    assert said["inputs"]["gauge"] == {"value": 2.5, "unit": "mm", "low": 2.2, "high": 2.8}
    mass = said["results"]["mass"]
    assert mass["unit"] == "kg"
    assert mass["low"] < mass["value"] < mass["high"]
    assert {"input", "share"} <= said["drivers"][0].keys()
    assert said["findings"] and said["cautions"] and said["sources"]


def test_the_same_seed_gives_the_same_document(atlas):
    line = ["calc", "mass-estimate", "--samples", "300", "--json", "--seed", "7"]
    assert atlas(*line)[1] == atlas(*line)[1]
    assert atlas(*line)[1] != atlas(*line[:-1], "8")[1]


def test_imperial_results_on_request(atlas):
    _, out, _ = atlas("calc", "mass-estimate", "gauge=2.5", "--json")
    _, imperial, _ = atlas("calc", "mass-estimate", "gauge=2.5", "--json", "--units", "imperial")
    kilograms = json.loads(out)["results"]["mass"]["value"]
    pounds = json.loads(imperial)["results"]["mass"]
    assert pounds["unit"] == "lb"
    # 1 lb = 0.45359237 kg exactly (international yard and pound agreement, 1959).
    assert pounds["value"] * 0.45359237 == pytest.approx(kilograms, rel=1e-12)


def test_imperial_readings_stand_beside_imperial_results(atlas):
    line = ["calc", "mass-estimate", "gauge=0.1in", "--units", "imperial"]
    gauge = json.loads(atlas(*line, "--json")[1])["inputs"]["gauge"]
    assert gauge["unit"] == "in"
    assert gauge["value"] == pytest.approx(0.1, rel=1e-12)
    out = atlas(*line)[1]
    assert " kg [" in out and " lb]" in out and "gauge, in" in out


def test_a_seed_below_zero_is_refused_by_name(atlas):
    code, _, err = atlas("calc", "mass-estimate", "--seed", "-5")
    assert code == 2
    assert err.startswith("atlas: --seed: seed -5")


def test_a_report_without_a_known_ending_names_its_own_option(atlas, tmp_path):
    code, _, err = atlas("show", "rear-x-plate", "--report", str(tmp_path / "page.doc"))
    assert code == 2
    assert "--report" in err and "--format" not in err


def test_the_glossary_begins_with_the_term_that_was_asked_for(atlas):
    assert atlas("glossary", "wishbone")[1].startswith("control arm:")


def test_the_demo_takes_plain_like_all_others(atlas, tmp_path):
    code, out, _ = atlas("demo", "--plain", "--output", str(tmp_path / "demo"))
    assert code == 0
    assert "Handed over:" in out


def test_a_case_from_suspicion_to_report(atlas, tmp_path):
    _, out, _ = atlas("case", "new", "Van", "on", "lift", "--by", "AB", "--json")
    name = json.loads(out)["case"]["id"]
    assert atlas("case", "note", name, "four feet", "--about", "brace")[0] == 0
    assert atlas("case", "note", name, "--measured", "2.5mm", "gauge")[0] == 0
    assert atlas("case", "suspect", name, "rear-x-plate", "60%", "--about", "brace")[0] == 0
    assert atlas("case", "calc", name, "mass-estimate", "gauge=2.5", "--about", "brace")[0] == 0
    assert atlas("case", "calc", name, "--rerun")[0] == 0
    assert atlas("case", "settle", name, "rear-x-plate", "--found", "four feet")[0] == 0
    _, out, _ = atlas("case", "show", name, "--json")
    said = json.loads(out)
    assert said["status"] == "settled"
    assert said["suspicion"][0]["probability"] == 0.6
    for form, head in (("html", b"<!DOCTYPE html>"), ("md", b"# Van on lift")):
        path = tmp_path / f"r.{form}"
        assert atlas("case", "report", name, "--format", form, "--output", str(path))[0] == 0
        assert path.read_bytes().startswith(head)


def test_settling_asks_which_structure_where_there_are_two(atlas):
    _, out, _ = atlas("case", "new", "two", "--json")
    name = json.loads(out)["case"]["id"]
    for about in ("brace", "bar"):
        atlas("case", "suspect", name, "rear-x-plate", "0.5", "--about", about)
    code, _, err = atlas("case", "settle", name, "rear-x-plate", "--found", "x")
    assert code == 2
    assert "brace; bar" in only_line(err)


@pytest.mark.parametrize(
    "evil", ["\x1b[31mred\x1b]0;t\x07", "a\u202egnp.exe", "\x9b2J", "[/b] [@click]x"]
)
def test_text_from_people_is_shown_never_obeyed(atlas, tmp_path, evil):
    _, out, _ = atlas("case", "new", "evil", "--json")
    name = json.loads(out)["case"]["id"]
    atlas("case", "note", name, evil)
    report = tmp_path / "r.html"
    atlas("case", "report", name, "--output", str(report))
    plain = atlas("case", "show", name)[1]
    document = atlas("case", "show", name, "--json")[1]
    for text in (plain, document, report.read_text(encoding="utf-8")):
        for sign in "\x1b\x07\u202e\x9b":
            assert sign not in text
    assert json.loads(document)["evidence"][0]["text"] == evil


def test_markup_in_a_case_stays_text_in_html(atlas, tmp_path):
    _, out, _ = atlas("case", "new", "<script>alert(1)</script>", "--json")
    name = json.loads(out)["case"]["id"]
    report = tmp_path / "r.html"
    atlas("case", "report", name, "--output", str(report))
    assert "<script>" not in report.read_text(encoding="utf-8")


def test_a_case_is_named_by_any_part_of_its_id_that_no_other_has(atlas):
    first = atlas("case", "new", "Crossover")[1].strip()
    assert first in atlas("case", "show", first.rsplit("-", 1)[1])[1]
    atlas("case", "new", "Van")
    status, _, told = atlas("case", "note", first[:10], "words")
    assert status == 2
    assert "2 case ids" in told and first in told
    assert atlas("case", "show", "")[0] == 2
    assert "no command 'attach'" in only_line(atlas("case", "attach", first)[2])
