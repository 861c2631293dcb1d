"""Processes and volumes, as a person uses it."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

COST = calculator("process-cost")


def ask(**given):
    return run(COST, given, samples=500)


def value(found, name):
    return found.results[name].value


def test_a_welded_aluminium_cradle_is_far_dearer_than_a_stamped_steel_one_at_volume():
    """Common practice, no source: a welded cradle of extrusions and plate can be heavier and far
    dearer than a stamped steel weldment; at small volumes it turns round."""
    volume = ask(per_year="60000")
    small = ask(per_year="500", years="3")
    assert volume.results["cost_ratio"].high < 0.6
    assert value(volume, "saved_mass") < 0
    assert value(small, "cheaper") == "second is cheaper"
    assert any("They cross near" in line for line in volume.findings)


def test_parts_of_the_cost_add_up():
    found = ask(
        first_mass="18",
        first_seam="5",
        first_level="1",
        steel_price="1.2",
        weld_speed="10",
        weld_rate="120",
        aluminium_price="5",
    )
    parts = sum(value(found, f"first_{k}") for k in ("metal", "tools", "time", "seams"))
    assert parts == pytest.approx(value(found, "first_cost"))
    assert value(found, "first_seams") == pytest.approx(5000 / 10 / 3600 * 120)


def test_at_the_crossover_both_cost_the_same():
    sharp = {
        "first_mass": "18",
        "second_mass": "20",
        "first_seam": "5",
        "second_seam": "11",
        "first_level": "1",
        "second_level": "1",
        "steel_price": "1.2",
        "aluminium_price": "4.5",
        "weld_speed": "10",
        "weld_rate": "120",
    }
    even = value(ask(**sharp), "crossover")
    there = ask(**sharp, per_year=str(even))
    assert value(there, "cost_ratio") == pytest.approx(1.0, rel=1e-3)


def test_same_process_never_crosses():
    found = ask(
        second="stamped-steel",
        first_mass="18",
        second_mass="18",
        first_seam="5",
        second_seam="5",
        first_level="1",
        second_level="1",
    )
    assert value(found, "crosses") == "never"
    assert value(found, "difference") == pytest.approx(0)


def test_figure_is_cost_over_volume_on_decades():
    figure = ask().figure
    assert figure.x.log
    assert len(figure.curves) == 2


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"per_year": "0"}, "per_year"),
        ({"first": "whittled"}, "first"),
        ({"first_mass": "nan"}, "first_mass"),
        ({"steel_price": "-1"}, "steel_price"),
        ({"per_year": "1e9"}, "per_year"),
    ],
)
def test_refusals_name_the_input(given, word):
    with pytest.raises(BadInput, match=word):
        ask(**given)
