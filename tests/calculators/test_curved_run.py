"""The curved-run calculator, as a person uses it."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

RUN = calculator("curved-run")


def ask(**given):
    return run(RUN, given, samples=300)


def value(found, name):
    return found.results[name].value


def test_a_tie_at_the_crown_stabilises_the_leg():
    """Common practice, no source: a brace at the crown, triangulated, stabilises the whole leg."""
    crown, mount = ask(tie_at="0.5"), ask(tie_at="0.08")
    assert value(crown, "gain") > 2 > 1.5 > value(mount, "gain")
    assert any("stabilises" in line for line in crown.findings)
    assert 0.35 < value(crown, "best_place") < 0.65


def test_a_bowed_leg_is_soft_along_its_chord_and_the_more_so_the_higher_it_rises():
    low, high = ask(rise="60"), ask(rise="200")
    assert value(high, "softness") > 3 * value(low, "softness") > 3


@pytest.mark.parametrize("load", ["chord", "sideways", "vertical"])
def test_every_load_case_gives_a_figure_and_findings(load):
    found = ask(load=load, tie_slope="40")
    assert value(found, "gain") >= 1
    assert len(found.findings) >= 2
    assert found.figure.curves[0].low is not None


def test_a_vertical_tie_helps_against_vertical_load():
    flat, steep = ask(load="vertical", tie_slope="0"), ask(load="vertical", tie_slope="70")
    assert value(flat, "gain") < 1.05 < value(steep, "gain")
    assert any("hardly matters" in line for line in flat.findings)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"rise": "1500", "chord": "900"}, "rise over chord"), ({"leg_gauge": "-2"}, "leg_gauge"),
        ({"tie_width": "5", "tie_gauge": "20"}, "gauge"), ({"chord": "nan"}, "chord"),
        ({"force": "1e9"}, "force"), ({"load": "twist"}, "load"), ({"tie_at": "1.2"}, "tie_at"),
    ],
)  # fmt: skip
def test_refusals_are_named(given, words):
    with pytest.raises(BadInput, match=words):
        ask(**given)
