"""What ``--json`` prints, held against the schema that scripts rely on."""

import json
from importlib.resources import files

import pytest
from jsonschema import Draft202012Validator

SCHEMA = json.loads((files("atlas.cli") / "schema.json").read_text(encoding="utf-8"))


def hold(name: str, text: str) -> dict:
    document = json.loads(text)
    Draft202012Validator({**SCHEMA, "$ref": f"#/$defs/{name}"}).validate(document)
    return document


def test_the_schema_is_one():
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize(
    ("name", "arguments"),
    [
        ("find", ["find", "flat", "plate", "like", "an", "X", "behind", "the", "cradle"]),
        ("narrow", ["narrow", "--from", "bar across the front", "magnet=sticks"]),
        ("narrow", ["narrow"]),
        ("list", ["list"]),
        ("list", ["list", "--zone", "links"]),
        ("show", ["show", "rear-x-plate"]),
        ("calculators", ["calc"]),
        ("calc", ["calc", "column", "--samples", "200"]),
        ("calc", ["calc", "lap-order"]),
        ("calc", ["calc", "photo-scale", "--samples", "200", "--units", "imperial"]),
        ("cases", ["case", "list"]),
        ("compare", ["compare", "demo-pickup", "demo-city"]),
        ("vehicle-drawn", ["vehicle", "demo-city", "--view", "front", "--load", "racking"]),
        ("teardown", ["teardown"]),
        ("calibration", ["calibration"]),
        ("vehicles", ["vehicle"]),
        ("vehicle", ["vehicle", "demo-pickup", "--samples", "10"]),
        ("vehicle", ["vehicle", "demo-pickup", "--samples", "2", "--load", "all"]),
        ("sweep", ["vehicle", "demo-pickup", "--sweep"]),
    ],
    ids=lambda value: " ".join(value[:2]) if isinstance(value, list) else value,
)
def test_a_command_prints_what_the_schema_says(atlas, name, arguments):
    code, out, err = atlas(*arguments, "--json")
    assert (code, err) == (0, "")
    hold(name, out)


def test_nonsense_is_a_document_too(atlas):
    code, out, _ = atlas("find", "qwx", "zzzv", "--json")
    assert code == 1
    assert hold("find", out)["matches"] == []


def test_a_case_and_a_check_and_the_demo(atlas, tmp_path):
    name = hold("case", atlas("case", "new", "x", "--json")[1])["case"]["id"]
    atlas("case", "suspect", name, "rear-x-plate", "0.5", "--about", "brace")
    hold("case", atlas("case", "show", name, "--json")[1])
    archive = str(tmp_path / "case.zip")
    hold("packed", atlas("case", "pack", name, "--out", archive, "--json")[1])
    hold("unpacked", atlas("case", "unpack", archive, "--json")[1])
    atlas("case", "note", name, "gauge", "--measured", "2.5mm")
    for kind in ("cases", "patterns", "measurements"):
        hold("exported", atlas("export", kind, "--json")[1])
        file = str(tmp_path / f"{kind}.json")
        hold("written", atlas("export", kind, "--out", file, "--json")[1])
        assert hold("imported", atlas("import", file, "--json")[1])["there_already"]
    hold("check", atlas("check", "--no-presets", "--json")[1])
    code, out, _ = atlas("demo", "--output", str(tmp_path / "demo"), "--json")
    assert code == 0
    said = hold("demo", out)
    assert sum(one["right"] for one in said["structures"]) >= 3
    assert any(not one["guess_right"] for one in said["structures"])


def test_people_who_differ_and_verdicts_that_do(atlas, library):
    from atlas.casework.cases import Cases

    case = Cases(library, "AB").new("x")
    for who, share in (("AB", 0.4), ("CD", 0.2), ("AB", 0.7)):
        Cases(library, who).suspect(case.id, "rear-x-plate", share, about="plate")
    for who, pattern in (("AB", "rear-x-plate"), ("CD", "")):
        Cases(library, who).settle(case.id, pattern, about="plate", found="it", how="cut", known=())
    said = hold("case", atlas("case", "show", case.id, "--json")[1])
    (one,) = said["stated"]
    assert [(p["by"], p["probability"]) for p in one["people"]] == [("AB", 0.7), ("CD", 0.2)]
    assert [s["probability"] for s in one["people"][0]["course"]] == [0.4, 0.7]
    assert one["mean"] == pytest.approx(0.45) and said["in_dispute"] == ["plate"]
    assert hold("conflicts", atlas("sync", "--conflicts", "--json")[1])["conflicts"]
    assert hold("cases", atlas("case", "list", "--json")[1])["cases"][0]["in_dispute"] == ["plate"]


def test_each_score_and_probability_is_a_share(atlas):
    said = hold("narrow", atlas("narrow", "magnet=none", "--limit", "200", "--json")[1])
    total = sum(one["probability"] for one in said["candidates"]) + said["none_of_these"]
    assert total == pytest.approx(1, abs=1e-3)
