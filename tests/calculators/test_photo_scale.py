import numpy as np
import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

PHOTO = calculator("photo-scale")
SQUARE = "0,0=0,0; 1000,0=500,0; 1000,1000=500,500; 0,1000=0,500"


def test_a_square_on_picture_has_one_scale():
    outcome = run(
        PHOTO, {"known": SQUARE, "wanted": "100,100 to 400,500", "scatter": 0, "reference": 1}
    )
    assert outcome.results["length"].value == pytest.approx(250.0)  # a 3-4-5 triangle, 0.5 mm/px
    assert outcome.results["per_pixel"].value == pytest.approx(0.5)
    assert outcome.results["misfit"].value == pytest.approx(0, abs=1e-9)


def test_scatter_of_the_ends_alone_follows_from_hand_statics():
    # Far inside a square of exact scale, both ends scatter by s: the length by about s sqrt(2)
    # times the scale, and the known points add some more.
    outcome = run(
        PHOTO, {"known": SQUARE, "wanted": "200,500 to 800,500", "scatter": 1, "reference": 1}
    )
    sd = float(np.std(outcome.sampled["length"]))
    assert 0.5 * np.sqrt(2) < sd < 0.5 * np.sqrt(2) * 1.5
    names = [driver.input for driver in outcome.drivers[:2]]
    assert sorted(names) == ["end 1 x", "start 1 x"]


def test_a_line_needs_three_points_and_gives_lengths_along_it():
    outcome = run(
        PHOTO,
        {"on": "line", "known": "50,0=0; 130,0=100; 230,0=250", "wanted": "50,0 to 300,0",
         "scatter": 0, "reference": 1},
    )  # fmt: skip
    # Cross ratio worked by hand (see test_photogrammetry).
    assert outcome.results["length"].value == pytest.approx(376.506, rel=1e-6)


def test_a_wrong_mark_shows_as_misfit():
    known = SQUARE + "; 500,540=250,250"
    outcome = run(PHOTO, {"known": known, "wanted": "100,100 to 400,500", "scatter": 1})
    assert any("marked or measured wrong" in finding for finding in outcome.findings)
    fair = run(PHOTO, {"known": SQUARE + "; 500,500=250,250", "wanted": "100,100 to 400,500"})
    assert not any("marked or measured wrong" in finding for finding in fair.findings)


def test_two_lengths_of_one_photo_are_correlated():
    wanted = "100,100 to 900,100; 100,900 to 900,900"
    outcome = run(
        PHOTO, {"known": SQUARE, "wanted": wanted, "scatter": 0.1, "reference": "1+-0.05"}
    )
    a, b = outcome.sampled["length"], outcome.sampled["length_2"]
    assert np.corrcoef(a, b)[0, 1] > 0.95
    assert "length_3" not in outcome.results


@pytest.mark.parametrize(
    ("given", "names"),
    [
        ({"known": ""}, "known"),
        ({"known": "1,2=3,4; nonsense"}, "nonsense"),
        ({"known": "0,0=0,0; 1,0=1,0; 1,1=1,1"}, "at least 4"),
        ({"known": "0,0=0,0; 1,0=1,0; 2,0=2,0; 3,0=3,0"}, "one line"),
        ({"wanted": "5,5 to 5,5", "scatter": 0}, "same point"),
        ({"wanted": ""}, "wanted"),
        ({"wanted": "; ".join(["1,1 to 2,2"] * 7)}, "at most 6"),
        ({"on": "line", "known": "0,0=0; 100,100=50; 200,0=100"}, "line"),
        ({"scatter": -1}, "scatter"),
    ],
)
def test_refusals_name_the_input(given, names):
    with pytest.raises(BadInput, match=names):
        run(PHOTO, given)


@pytest.mark.parametrize(
    ("known", "wanted", "match"),
    [
        # Two places swapped: four points fit any order exactly, so no misfit would show it.
        ("0,0=0,0; 1000,0=500,500; 1000,1000=500,0; 0,1000=0,500", "1,1 to 9,9", "another order"),
        ("0,0=0,0; 900,100=500,500; 1000,1000=500,0; 100,800=0,500", "1,1 to 9,9", "too wide"),
        ("0,0=0,0; 500,0=250,0; 1000,0=500,0; 0,1000=0,500", "1,1 to 9,9", "one line"),
        ("0,0=0,0; 500,4=250,2; 1000,0=500,0; 0,1000=0,500", "1,1 to 9,9", "one line"),
        # A square on the floor, seen from ahead: its far edge is half as long as its near edge.
        ("0,100=0,0; 100,100=500,0; 75,50=500,500; 25,50=0,500", "50,90 to 50,-20", "horizon"),
    ],
    ids=["crossed", "crossed askew", "on one line", "nearly on one line", "beyond the horizon"],
)  # fmt: skip
def test_marks_that_no_camera_could_see_are_refused(known, wanted, match):
    with pytest.raises(BadInput, match=match):
        run(PHOTO, {"known": known, "wanted": wanted, "scatter": 0.1}, 50)


def test_a_picture_seen_from_behind_measures_the_same():
    """By hand: half a millimetre a pixel, and a diagonal of 800 pixels either way round."""
    mirrored = "0,0=0,0; 1000,0=0,500; 1000,1000=500,500; 0,1000=500,0"
    found = run(PHOTO, {"known": mirrored, "wanted": "100,100 to 900,900", "scatter": 0.1}, 50)
    assert found.results["length"].value == pytest.approx(400 * np.sqrt(2), rel=1e-3)
    assert found.results["misfit"].high == 0  # no point is spare, and rounding is no misfit


def test_poorly_placed_marks_are_named():
    flat = "0,0=0,0; 500,30=250,15; 1000,0=500,0; 500,900=250,450"
    found = " ".join(run(PHOTO, {"known": flat, "wanted": "400,100 to 600,100"}, 200).findings)
    assert "nearly on one line" in found
    beyond = run(PHOTO, {"known": SQUARE, "wanted": "10,10 to 90,10; 10,10 to 1300,10"}, 200)
    found = " ".join(beyond.findings)
    assert "Length 2 reaches outside the known points" in found
    assert "nearly on one line" not in found


def test_the_tie_it_advises_gives_the_correlation_back():
    from atlas.calculators.ties import tied_readings
    from atlas.calculators.values import read_value

    wanted = "200,200 to 800,200; 200,800 to 800,800"
    sampled = run(PHOTO, {"known": SQUARE, "wanted": wanted, "reference": "1+-0.004"}).sampled
    rows = np.array([sampled["length"], sampled["length_2"]])
    one, two = (read_value(text, "mm", "x") for text in tied_readings(rows, "mm", "photo"))
    assert one.follows * two.follows == pytest.approx(np.corrcoef(rows)[0, 1], abs=0.02)
    assert one.sd == pytest.approx(rows[0].std(), rel=0.03)


def test_a_line_may_lie_aslant_in_the_picture():
    """By hand: 1,000 px along and 1,000 px down are 500 mm, so that a fifth of it is 100 mm."""
    ruler = "0,0=0; 500,500=250; 1000,1000=500"
    found = run(PHOTO, {"on": "line", "known": ruler, "wanted": "100,100 to 300,300"}, 50)
    assert found.results["length"].value == pytest.approx(100, rel=0.02)
