"""Vehicles on the command line: solve, take away, compare, start one's own."""

import json

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
        (["demo-pickup", "--load", "nope"], 1, "corner"),
        (["demo-pickup", "--without", "nope"], 2, "rear-x-plate"),
        (["demo-pickup", "--without", "cradle-extruded-weldment"], 2, "mechanism"),
        (["demo-pickup", "width=3"], 2, "width=3"),
    ],
)
def test_refusals_are_one_line(atlas, arguments, status, names):
    code, _, err = atlas("vehicle", *arguments)
    assert (code, err.count("\n")) == (status, 1)
    assert names in err


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
