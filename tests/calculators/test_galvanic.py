"""The pair of metals, as a person uses it."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

PAIR = calculator("galvanic")


def ask(**given):
    return run(PAIR, given, samples=500)


def value(found, name):
    return found.results[name].value


def test_stainless_bolt_in_a_magnesium_casting_eats_the_casting():
    found = ask(metal="magnesium", partner="stainless-steel")
    assert value(found, "loses") == "the first metal"
    assert value(found, "attack") > 0
    assert any("magnesium is eaten" in line for line in found.findings)


def test_order_of_the_pair_does_not_matter():
    one = ask(metal="aluminium", partner="copper", area="5000", partner_area="3000")
    two = ask(metal="copper", partner="aluminium", area="3000", partner_area="5000")
    for name in ("difference", "attack", "area_ratio"):
        assert value(one, name) == pytest.approx(value(two, name), rel=0.02)


def test_small_noble_part_in_a_large_base_one_is_mild():
    """Common practice, no source: a small cathode in a large anode is the safe way round."""
    mild = ask(metal="aluminium", partner="stainless-steel", area="100000", partner_area="500")
    severe = ask(metal="aluminium", partner="stainless-steel", area="500", partner_area="100000")
    assert value(severe, "attack") > 1000 * value(mild, "attack")
    assert any("coat the stainless-steel" in line for line in severe.findings)


def test_isolation_stops_it():
    assert value(ask(partner="copper", isolated="1"), "attack") == pytest.approx(0)


def test_place_decides():
    assert value(ask(partner="stainless-steel", place="controlled"), "verdict") == "leave bare"
    assert value(ask(partner="stainless-steel", place="harsh"), "verdict") != "leave bare"


def test_same_metal_never_corrodes_itself():
    assert value(ask(metal="steel", partner="steel"), "difference") == 0


def test_figure_ranks_partners_against_the_limit():
    bars = ask(partner="copper").figure.bars
    assert any("this pair" in bar.name for bar in bars)
    assert all(bar.limit == pytest.approx(0.15) for bar in bars)


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"metal": "cheese"}, "metal"),
        ({"area": "0"}, "area"),
        ({"bare_share": "1.4"}, "bare_share"),
        ({"gauge": "nan"}, "gauge"),
        ({"oxygen_limit": "1e9"}, "oxygen_limit"),
    ],
)
def test_refusals_name_the_input(given, word):
    with pytest.raises(BadInput, match=word):
        ask(**given)


def test_aluminium_on_bare_steel_passes_the_index_and_is_isolated_all_the_same():
    """Common practice, no source: such laps are parted under a car whatever the index says."""
    found = ask(metal="aluminium", partner="steel", area="8000", partner_area="16000")
    assert value(found, "over_limit") < 0
    assert value(found, "verdict") == "isolate by practice"
    assert value(found, "attack") == pytest.approx(0)
    assert value(found, "attack_salt") > 0
    said = " ".join(found.findings)
    assert "by the index alone" in said and "Trade practice isolates" in said and "2 times" in said
    inside = ask(metal="aluminium", partner="steel", place="normal")
    assert value(inside, "verdict") == "leave bare"
    assert not any("practice" in line for line in inside.findings)
    assert "no isolation is needed" in inside.findings[0]
    assert "no isolation is needed" not in said


def test_wet_salt_takes_more_the_larger_the_steel():
    small, large = (ask(partner_area=area) for area in ("1000", "100000"))
    assert value(large, "attack_salt") == pytest.approx(100 * value(small, "attack_salt"), rel=0.02)
    assert value(ask(isolated="1"), "attack_salt") == 0


def test_a_metal_does_not_eat_itself():
    assert value(ask(metal="steel", partner="steel"), "attack_salt") == 0
