"""Vehicles on the command line: solve, take away, compare, start one's own."""

import json
import re

import pytest

from atlas.vehicles.templates import CRADLES


def test_a_vehicle_is_solved_with_its_patterns_worth(atlas):
    code, out, _ = atlas("vehicle", "demo-pickup", "--samples", "20", "--json")
    said = json.loads(out)
    assert code == 0
    assert said["results"]["stiffness"]["unit"] == "kN/mm"
    rows = {row["pattern"]: row for row in said["patterns"]}
    # Common practice, no source: taking a brace away softens the corner and saves its mass.
    assert rows["rear-x-plate"]["stiffness_ratio"]["value"] > 1
    assert rows["rear-x-plate"]["mass"]["value"] > 1
    assert "mechanism" in rows["cradle-extruded-weldment"]["fault"]


def test_without_a_plate_the_corner_moves_more(atlas):
    line = ["vehicle", "demo-pickup", "--samples", "20", "--no-worth", "--json"]
    whole = json.loads(atlas(*line)[1])["results"]["movement"]["value"]
    bare = json.loads(atlas(*line, "--without", "rear-x-plate")[1])["results"]["movement"]["value"]
    assert bare > whole


@pytest.mark.parametrize(
    ("arguments", "status", "names"),
    [
        (["nope"], 1, "nope"),
        (["demo-pickup", "--load", "nope"], 2, "corner"),
        (["demo-pickup", "--load", "pothole", "--sweep"], 2, "--load corner"),
        (["demo-pickup", "--without", "nope"], 2, "rear-x-plate"),
        (["demo-pickup", "--without", "cradle-extruded-weldment"], 2, "mechanism"),
        (["demo-pickup", "width=3"], 2, "width=3"),
        (["demo-pickup", "--load", "all", "--samples", "20000"], 2, "2,000"),
    ],
)
def test_refusals_are_one_line(atlas, arguments, status, names):
    code, _, err = atlas("vehicle", *arguments)
    assert (code, err.count("\n")) == (status, 1)
    assert names in err


@pytest.mark.parametrize(
    ("arguments", "names"),
    [
        (["x"], "--output x.toml"),
        (["My Van.toml"], "--output my-van.toml"),
        (["wdth=3"], "wheelbase"),
        (["width=wide"], "millimetres"),
        (["--cradle", "round"], "h-plan"),
        (["--kind", "banana"], "hatchback"),
        (["--output", "My Van.toml"], "my-vehicle.toml"),
    ],
)
def test_a_new_vehicle_refuses_in_one_line_with_what_would_be_right(
    atlas, tmp_path, monkeypatch, arguments, names
):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "my-vehicle.toml").touch()  # must not be what the first message is about
    code, _, err = atlas("vehicle", "new", *arguments)
    assert (code, err.count("\n")) == (2, 1)
    assert names in err


def test_a_lost_load_path_has_no_factor_and_a_moved_load_is_named(atlas):
    line = ["vehicle", "demo-pickup", "--samples", "5", "--load", "all", "--json"]
    rows = {row["pattern"]: row["cases"] for row in json.loads(atlas(*line)[1])["patterns"]}
    hung = rows["cradle-stand-off"]["drive-torque"]
    assert hung["load_path"] == "lost"
    assert "stiffness_ratio" not in hung and "per_kilogram" not in hung
    assert "less than a 10th" in hung["notes"][0]
    gone = rows["overlap-wide-front-bar"]["corner"]
    assert gone["load_path"] == "moved" and "the load stands on beam-end-l" in gone["notes"][0]
    text = atlas("vehicle", "demo-pickup", "--samples", "5", "--load", "drive-torque")[1]
    assert "load path lost" in text
    assert "load moved" in atlas("vehicle", "demo-pickup", "--samples", "5")[1]
    loads = [one["value"] for one in json.loads(
        atlas("vehicle", "demo-pickup", "--samples", "2", "--no-worth", "--json")[1]
    )["mounts"].values()]  # fmt: skip
    assert loads == sorted(loads, reverse=True)


def test_a_file_is_read_wherever_it_lies(atlas, tmp_path):
    path = tmp_path / "my-van.toml"
    assert atlas("vehicle", "new", "--output", str(path))[0] == 0
    assert atlas("vehicle", str(path), "--samples", "3", "--no-worth")[0] == 0
    code, _, err = atlas("vehicle", str(tmp_path / "other.toml"))
    assert code == 1 and "no such file" in err


def test_of_all_cases_those_without_a_foothold_are_left_out_and_named(atlas, library):
    library.vehicles.mkdir()
    path = library.vehicles / "my-van.toml"
    assert atlas("vehicle", "new", "--output", str(path))[0] == 0
    text = path.read_text(encoding="utf-8").replace('tower-l = "upper-b-l"\n', "")
    path.write_text(text, encoding="utf-8")
    code, out, err = atlas("vehicle", "my-van", "--load", "all", "--samples", "3", "--json")
    said = json.loads(out)
    assert code == 0 and "pothole" not in said["cases"] and "cornering" in said["cases"]
    assert "load case pothole has nothing to stand on" in err
    assert atlas("vehicle", "my-van", "--load", "pothole")[0] == 1


def test_a_sweep_is_a_map_of_signs(atlas):
    code, out, _ = atlas("vehicle", "demo-pickup", "--sweep")
    assert code == 0
    lines = {line.split()[0]: line for line in out.splitlines() if line[:1].isdigit()}
    cells = re.split(r" {2,}", lines["614"])
    assert cells[:2] == ["614", "bar-end-l"]
    assert cells[2].startswith("pull") and cells[-1].startswith("push")
    assert "passes by" in lines["920"]
    assert max(map(len, lines.values())) <= 80


def test_a_study_stopped_by_hand_ends_in_one_line(atlas, monkeypatch):
    import atlas.vehicles.worth as module

    def stopped(*_):
        yield from ()
        raise KeyboardInterrupt

    monkeypatch.setattr(module, "worths", stopped)
    code, out, err = atlas("vehicle", "demo-pickup", "--samples", "5")
    assert (code, out) == (130, "")
    assert err == "atlas: stopped after 0 of 23 patterns\n"


@pytest.mark.parametrize("cradle", CRADLES)
def test_ten_readings_make_a_vehicle_that_stands(atlas, library, cradle):
    path = library.vehicles / f"my-{cradle}.toml"
    library.vehicles.mkdir()
    line = ["vehicle", "new", "width=1850", "nose=800", "--cradle", cradle]
    assert atlas(*line, "--output", str(path))[0] == 0
    assert atlas(*line, "--output", str(path))[0] == 2, "never over a file that is there"
    code, out, _ = atlas("vehicle", f"my-{cradle}", "--no-worth", "--samples", "10", "--json")
    assert code == 0
    assert json.loads(out)["results"]["stiffness"]["value"] > 0


def test_vehicles_side_by_side(atlas, library):
    library.vehicles.mkdir()
    atlas("vehicle", "new", "--output", str(library.vehicles / "my-van.toml"), "--kind", "van")
    code, out, _ = atlas("compare", "demo-pickup", "my-van", "--json")
    said = json.loads(out)
    assert code == 0
    assert "overlap-wide-front-bar" in said["vehicles"]["demo-pickup"]["only_here"]
    table = atlas("compare", "demo-pickup", "my-van", "--format", "csv")[1]
    assert table.splitlines()[0] == ",demo-pickup,my-van"
    assert atlas("compare", "demo-pickup")[0] == 2


def test_what_belongs_to_several_is_told_for_one_case_and_for_all(atlas):
    for load in ("racking", "all"):
        status, out, _ = atlas("vehicle", "demo-crossover", "--load", load, "--samples", "2")
        assert status == 0
        told = " ".join(out.split())
        assert "torque-box: what goes belongs to rail-root-three-leg as well" in told, load
