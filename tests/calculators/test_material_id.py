"""Naming the material, as a person uses it."""

import pytest

from atlas.calculators.models.material_id import FAMILIES
from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

ID = calculator("material-id")


def ask(**given):
    return run(ID, given, samples=300)


def value(found, name):
    return found.results[name].value


def test_probabilities_add_up():
    found = ask(magnet="none", skin="bare and smooth")
    keys = [name for name in found.results if name.startswith("p_")]
    assert len(keys) == len(FAMILIES)
    total = sum(found.sampled[key] for key in keys)
    assert total == pytest.approx(1.0)


def test_a_magnet_and_red_rust_settle_steel():
    found = ask(magnet="sticks", rust="red rust", form="pressed sheet", trust="1")
    assert value(found, "family") == "carbon steel"
    assert value(found, "top_probability") > 0.98
    assert any("Take it as carbon steel" in line for line in found.findings)


def test_weighing_tells_magnesium_from_aluminium_under_paint():
    looks = {"part": "cross-car or carrier", "magnet": "none", "form": "ribs, varying wall"}
    before = ask(**looks)
    after = ask(**looks, weigh="yes", density="1750..1850", density_error="0.05")
    assert value(before, "top_probability") < 0.8
    assert value(after, "family") == "magnesium casting"
    assert any("swarf burns" in line for line in after.findings)


def test_the_magnet_comes_first_and_is_not_asked_twice():
    assert value(ask(), "next_test") == "magnet"
    assert value(ask(magnet="none"), "next_test") != "magnet"


def test_distrusted_evidence_moves_less():
    sure, photo = ask(magnet="none", trust="1"), ask(magnet="none", trust="0.3")
    assert value(photo, "p_carbon_steel") > 2 * value(sure, "p_carbon_steel")


def test_conductivity_parts_sheet_from_casting_less_than_from_steel():
    found = ask(conduct="yes", conductivity="25..27", part="unknown")
    assert value(found, "p_carbon_steel") < 0.01
    assert value(found, "p_aluminium_casting") > 0.05


def test_figure_ranks_families():
    bars = ask(magnet="none").figure.bars
    assert [bar.value for bar in bars] == sorted((bar.value for bar in bars), reverse=True)


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"magnet": "maybe"}, "magnet"),
        ({"density": "-1"}, "density"),
        ({"density": "1e9"}, "density"),
        ({"trust": "nan"}, "trust"),
        ({"part": "spoiler"}, "part"),
    ],
)
def test_refusals_name_the_input(given, word):
    with pytest.raises(BadInput, match=word):
        ask(**given)
