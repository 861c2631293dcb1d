"""``atlas photo`` with typed positions."""

import json
import os

import numpy as np
import pytest
from PIL import Image

from tests.cli.test_schema import hold

KNOWN = "100,100=0,0; 700,120=600,0; 680,520=600,400; 120,500=0,400"
WANTED = "200,200 to 500,210; 300,200 to 300,420"


@pytest.fixture
def picture(tmp_path):
    rng = np.random.default_rng(1)
    path = tmp_path / "plate.png"
    Image.fromarray(rng.integers(0, 255, (600, 800, 3), dtype=np.uint8)).save(path)
    return path


def test_lengths_agree_with_the_calculator(atlas, picture):
    code, out, err = atlas("photo", str(picture), "--known", KNOWN, "--wanted", WANTED,
                           "--name", "bar", "--json")  # fmt: skip
    assert (code, err) == (0, "")
    said = hold("photo", out)
    code, out, _ = atlas("calc", "photo-scale", f"known={KNOWN}", f"wanted={WANTED}", "--json")
    theirs = json.loads(out)["results"]
    one, two = said["lengths"]
    assert one["value"] == pytest.approx(theirs["length"]["value"])
    assert two["high"] == pytest.approx(theirs["length_2"]["high"])
    assert (one["label"], one["name"], two["label"]) == ("A–B", "bar", "C–D")
    # And the reading goes into any calculator as it stands.
    code, _, err = atlas("calc", "mass-estimate", f"length={one['reading']}", "--json")
    assert (code, err) == (0, "")


def test_what_is_kept_on_a_case_comes_back_without_typing(atlas, picture):
    case = json.loads(atlas("case", "new", "plate", "--json")[1])["case"]["id"]
    code, _, err = atlas("photo", str(picture), "--case", "plate", "--known", KNOWN,
                         "--wanted", WANTED, "--keep", "--about", "brace", "--plain")  # fmt: skip
    assert (code, err) == (0, "")
    said = hold("photo", atlas("photo", str(picture), "--case", case, "--json")[1])
    assert said["marks"]["wanted"] == WANTED
    assert len(said["lengths"]) == 2
    held = hold("photos", atlas("photo", "--case", case, "--json")[1])
    assert [one["state"] for one in held["photos"]] == ["there"]
    text = atlas("case", "show", case)[1]
    assert "mm (" in text
    assert atlas("case", "calc", case, "--rerun")[0] == 0
    picture.unlink()
    code, out, _ = atlas("photo", "--case", case)
    assert code == 1
    assert "plate.png is missing" in " ".join(out.split())


def test_a_photo_alone_is_described(atlas, picture):
    said = hold("photo", atlas("photo", str(picture), "--json")[1])
    assert (said["photo"]["width"], said["photo"]["height"]) == (800, 600)
    assert said["missing"] == "mark 4 more known points"
    code, out, _ = atlas("photo", str(picture))
    assert code == 0
    assert "800 x 600" in " ".join(out.split())


@pytest.mark.parametrize(
    ("arguments", "says", "status"),
    [
        (["{p}", "--known", "1,2=5"], "known: cannot read '5'; write two numbers in mm", 2),
        (["{p}", "--known", "1,2"], "mark 3 more known points", 2),
        (["{p}", "--known", KNOWN], "mark both ends of a length", 2),
        (["{p}", "--wanted", WANTED], "mark 4 more known points", 2),
        (["{p}", "--known", KNOWN, "--wanted", "1,1 to 900,1"], "mark B: 900,1 lies outside", 2),
        (["{p}", "--known", KNOWN, "--wanted", WANTED, "--scatter", "much"], "scatter", 2),
        (["{p}", "--keep"], "--keep: no case was named", 2),
        (["{p}", "--case", "nowhere"], "no case 'nowhere'", 1),
        (["{p}.gone.jpg"], "gone.jpg", 1),
        ([], "FILE: no photo was named", 2),
        (["/"], "/: is a folder", 2),
        (["/dev/null"], "is no regular file", 2),
    ],
)
def test_bad_input_gets_one_line(atlas, picture, arguments, says, status):
    code, out, err = atlas("photo", *(one.format(p=picture) for one in arguments))
    assert (code, out) == (status, "")
    assert says in err
    assert err.count("\n") == 1


def test_a_pipe_is_not_waited_for(atlas, tmp_path):
    os.mkfifo(tmp_path / "pipe.jpg")
    code, _, err = atlas("photo", str(tmp_path / "pipe.jpg"))
    assert code == 2
    assert "no regular file" in err
