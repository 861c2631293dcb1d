import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput
from atlas.mechanics.overlap import banded, barrier_edge, covered, recession, travel_to_clear
from tests.validation import Check

OVERLAP = calculator("overlap-geometry")
PROTOCOL = "offset barrier crash test protocol, version III, June 1996"


def value(name, **given):
    return float(run(OVERLAP, {"width": 2000, "mass": 1800, **given}).results[name].value)


CHECKS = [
    Check("overlap.moderate-edge", "overlap-geometry", f"{PROTOCOL}: edge at 10 % of the width",
          0.1, 1e-9, lambda: float(barrier_edge(1.0, 0.4)), "of the width"),
    Check("overlap.moderate-speed", "overlap-geometry", f"{PROTOCOL}: 40 mph = 64.4 km/h",
          0.5 * 1800 * (40 * 0.44704) ** 2 / 1e3, 1e-3, lambda: value("energy", test="moderate"),
          "kJ"),
    Check("overlap.full-speed", "overlap-geometry",
          "US Federal Register 2008-07-11, full frontal at 35 mph",
          0.5 * 1800 * (35 * 0.44704) ** 2 / 1e3, 1e-3, lambda: value("energy", test="full"), "kJ"),
    Check("overlap.narrow-width", "overlap-geometry",
          "common practice, no source: the narrow test engages a quarter of the width", 500, 1e-9,
          lambda: value("overlap_width"), "mm"),
    Check("overlap.research-width", "overlap-geometry",
          "SAE Int. J. Trans. Safety 2(2) (2014) 268-278, abstract: 20 % overlap", 400, 1e-9,
          lambda: value("overlap_width", test="own", overlap=0.2), "mm"),
    Check("overlap.energy", "overlap-geometry", "1800 kg at 64.4 km/h, worked by hand", 288.011,
          1e-4, lambda: value("energy"), "kJ"),
]  # fmt: skip


@settings(max_examples=100, deadline=None)
@given(st.floats(0.01, 1), st.floats(0.2, 1.2), st.floats(0, 0.4))
def test_the_corner_is_a_circle_tangent_to_the_face(radius, edge, into):
    back = float(recession(edge + into, edge, radius))
    assert 0 <= back <= radius + 1e-12
    if into <= radius:
        assert (radius - into) ** 2 + (radius - back) ** 2 == pytest.approx(radius**2)
    else:
        assert back == 0


def test_more_overlap_never_covers_less():
    edges = barrier_edge(1.9, np.linspace(0.05, 1, 40))
    share = covered(0.45, 0.55, edges)
    assert np.all(np.diff(share) >= 0)
    assert (share[0], share[-1]) == (0, 1)


def test_the_rail_is_missed_by_a_narrow_barrier_and_met_by_a_moderate_one():
    rail = {"rail_outer": 540, "rail_width": 80, "width": 2200}
    assert value("rail_gap", **rail) == pytest.approx(10)
    assert value("rail_covered", **rail) == 0
    assert value("rail_covered", test="moderate", **rail) == pytest.approx(100)


def test_what_is_met_first_follows_reach_and_distance():
    short = {"beam_end": 400, "bar_end": 420, "rail_outer": 450}
    assert run(OVERLAP, {"width": 2000, **short}).results["first"].value == "tyre"
    wide = {**short, "bar_end": 700}
    assert run(OVERLAP, {"width": 2000, **wide}).results["first"].value == "front bar"
    assert run(OVERLAP, {"width": 2000, **wide, "beam_end": 800}).results["first"].value == (
        "bumper beam"
    )


def test_findings_decide_and_say_when_they_cannot():
    clear = run(OVERLAP, {"width": 2200, "rail_outer": 500}).findings[0]
    assert "passes the rail with 50 mm" in clear
    open_ = run(OVERLAP, {"width": "2000..2200", "rail_outer": "500..550"}).findings[0]
    assert "open" in open_ and "width" in open_


@pytest.mark.parametrize(
    ("given", "names"),
    [
        ({"rail_outer": 1100}, "rail_outer"),
        ({"width": 1000, "tyre_outer": 900}, "must lie within"),
        ({"overlap": 0}, "overlap"),
        ({"test": "wide"}, "test"),
        ({"beam_low": 600, "beam_high": 500}, "beam_high must lie above beam_low"),
    ],
)
def test_refusals_name_the_input(given, names):
    with pytest.raises(BadInput, match=names):
        run(OVERLAP, given)


def test_a_deflector_clears_blocks_or_falls_short():
    """By hand: 45 deg carries the car as far aside as it comes forward; square faces do not."""
    wide = {"blocker_end": 600, "blocker_at": 200, "tyre_at": 500, "blocker_face": 45}
    found = run(OVERLAP, {"width": 2000, **wide})
    assert found.results["blocker_reach"].value == pytest.approx(100)
    assert found.results["deflect_travel"].value == pytest.approx(100)
    assert any("past before the wheel is met" in line for line in found.findings)
    late = run(OVERLAP, {"width": 2000, **wide, "blocker_face": 15})
    assert any("in time in only 0%" in line for line in late.findings)
    square = run(OVERLAP, {"width": 2000, **wide, "blocker_face": 85})
    assert square.results["sticks"].value == "sticks"
    assert any("too square to slide" in line for line in square.findings)
    short = run(OVERLAP, {"width": 2000, **wide, "blocker_end": 480})
    assert any("20 mm short of the barrier" in line for line in short.findings)
    assert "blocker_reach" not in run(OVERLAP, {"width": 2000}).results
    assert len(found.figure.curves) == len(run(OVERLAP, {}).figure.curves) + 1


def test_what_is_not_there_is_not_met():
    bare = {"test": "full", "beam_end": 0, "bar_end": 0, "blocker_end": 0, "blocker_at": 0}
    assert run(OVERLAP, bare).results["first"].value == "rail"


@given(st.floats(0.01, 0.4), st.floats(0.1, 1.5), st.floats(0, 1.5))
def test_a_face_that_sticks_never_clears(into, face, friction):
    travel = float(travel_to_clear(into, face, friction))
    assert np.isinf(travel) == (np.tan(face) * friction >= 1)
    if np.isfinite(travel):
        assert travel * np.tan(face) == pytest.approx(into)


def test_a_low_front_bar_passes_under_a_high_barrier():
    """By hand: a bar from 220 to 300 mm lies wholly under a barrier that begins at 405 mm."""
    given = {"width": 2000, "beam_end": 700, "bar_end": 950, "bar_low": 220, "bar_high": 300}
    corner = run(OVERLAP, {**given, "test": "bumper-corner", "beam_low": 450, "beam_high": 550})
    assert corner.results["bar_face"].value == 0
    assert corner.results["beam_face"].value == pytest.approx(55)
    bare = {**given, "test": "bumper-corner", "beam_end": 0}
    assert run(OVERLAP, bare).results["first"].value == "tyre"
    assert run(OVERLAP, {**bare, "bar_high": 450}).results["first"].value == "front bar"
    assert any("front bar's height faces" in line for line in corner.findings)
    narrow = run(OVERLAP, given)
    assert narrow.results["bar_face"].value == pytest.approx(100)
    assert not any("height faces" in line for line in narrow.findings)


@given(st.floats(0, 1), st.floats(0.01, 1), st.floats(0, 1), st.floats(0.01, 1))
def test_the_shares_of_the_two_heights_meet_in_one_length(low, tall, edge, high):
    mine = float(banded(low, low + tall, edge, edge + high)) * tall
    theirs = float(banded(edge, edge + high, low, low + tall)) * high
    assert mine == pytest.approx(theirs, abs=1e-9)


def test_the_energy_is_that_of_the_test_s_speed():
    """By hand: 2,000 kg at 64.4 km/h, 17.89 m/s, hold 320 kJ."""
    found = run(OVERLAP, {"test": "narrow", "mass": 2000})
    assert found.results["energy"].value == pytest.approx(320.0, rel=1e-3)
    assert run(OVERLAP, {"test": "low-speed", "mass": 2000}).results[
        "energy"
    ].value == pytest.approx(2000 * (15 / 3.6) ** 2 / 2e3)


def test_the_deformable_face_begins_at_200_mm():
    """Lower edge of the moderate test's face from memory; a bar from 100 to 300 mm by hand."""
    found = run(OVERLAP, {"test": "moderate", "bar_low": 100, "bar_high": 300})
    assert found.results["bar_face"].value == pytest.approx(50)
