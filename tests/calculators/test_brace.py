"""The brace calculator, as a person uses it."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

BRACE = calculator("brace")


def ask(**given):
    return run(BRACE, given, samples=400)


def value(found, name):
    return found.results[name].value


def test_a_plate_is_stiffer_than_straps_that_only_pull():
    """Common practice, no source: an X plate works in both arms, straps in one."""
    plate, straps = ask(), ask(form="x-straps", arm="flat", action="tension-only")
    assert value(plate, "stiffness_with") > 1.2 * value(straps, "stiffness_with")
    assert any("Only the pulled arm" in line for line in straps.findings)


def test_a_thin_flat_strap_goes_slack_and_a_tube_does_not():
    """Common practice, no source: flat straps only pull, tubes work both ways."""
    strap = ask(form="x-straps", arm="flat", arm_width="40", gauge="2.5", load="9")
    tube = ask(form="x-straps", arm="round-tube", arm_width="30", gauge="2", load="9")
    assert value(strap, "slack_share") == 1 and value(tube, "slack_share") == 0
    assert any("slack" in line for line in strap.findings)


def test_a_joined_crossing_quadruples_elastic_buckling():
    """Source: Euler, half the free length."""
    one = ask(form="x-straps", arm="flat", gauge="2", bay_width="800", bay_length="500")
    two = ask(form="x-plate", arm="flat", gauge="2", bay_width="800", bay_length="500")
    assert value(two, "buckling_load") == pytest.approx(4 * value(one, "buckling_load"), rel=0.05)


def test_a_panel_is_stiffest_and_thin_sheet_buckles():
    panel = ask(form="panel", material="aluminium", gauge="1.0", pitch="60", load="8")
    assert value(panel, "mode") == "sheet buckles"
    assert 0 < value(panel, "load_share") < 1
    assert value(panel, "stiffness_with") > value(ask(form="v"), "stiffness_with")


def test_rubber_mounts_are_short_circuited():
    found = ask(mount_stiffness="1..2")
    assert any("rubber" in line for line in found.findings)
    assert value(found, "gain") > 4


@pytest.mark.parametrize("form", ["x-plate", "x-straps", "v", "panel"])
def test_shares_and_gains_are_consistent(form):
    s = ask(form=form).sampled
    assert (s["gain"] > 1).all()
    assert ((s["load_share"] > 0) & (s["load_share"] < 1)).all()
    assert s["shift"] == pytest.approx(s.inputs["load"] / s["stiffness_with"], rel=1e-9)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"gauge": "-1"}, "gauge"), ({"bay_width": "nan"}, "bay_width"),
        ({"corner_fixity": "0", "mount_fixity": "0"}, "mechanism"),
        ({"leg_gauge": "18", "leg_width": "20"}, "gauge"), ({"load": "1e9"}, "load"),
        ({"form": "k"}, "form"), ({"arm": "round-tube", "arm_width": "6", "gauge": "5"}, "gauge"),
    ],
)  # fmt: skip
def test_refusals_are_named(given, words):
    with pytest.raises(BadInput, match=words):
        ask(**given)


def test_the_figure_shows_with_and_without():
    figure = ask().figure
    assert [curve.name for curve in figure.curves] == ["with brace", "open frame"]
    assert figure.curves[0].low is not None
