"""The swap of metals, as a person uses it."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

SWAP = calculator("material-swap")


def ask(**given):
    return run(SWAP, given, samples=500)


def value(found, name):
    return found.results[name].value


def test_welded_aluminium_of_the_same_size_is_heavier_than_stamped_steel():
    """Common practice, no source: at comparable geometry a welded cradle of extrusions can be
    heavier than a stamped steel weldment; free of welds, or free to grow, it turns round."""
    common = {"old": "hsla-steel", "new": "aluminium-6082-t6", "demand": "strength", "mass": "20"}
    welded = ask(case="package", joint="welded", **common)
    fastened = ask(case="package", joint="fastened", **common)
    grown = ask(case="beam", joint="fastened", **common)
    assert welded.results["mass_ratio"].low > 1.0
    assert value(fastened, "mass_ratio") < 0.65
    assert value(grown, "mass_ratio") < 0.6
    assert any("Welding leaves 50%" in line for line in welded.findings)


def test_aluminium_metal_costs_more_and_starts_with_more_carbon():
    found = ask()
    assert found.results["extra_cost"].low > 0
    assert found.results["extra_carbon"].low > 0


def test_the_panel_is_where_light_metal_pays():
    found = ask(case="panel", old="mild-steel", new="aluminium-5754-sheet")
    assert 0.45 < value(found, "mass_ratio") < 0.55
    assert any("saves" in line for line in found.findings)


def test_same_metal_changes_nothing():
    found = ask(new="hsla-steel", case="package")
    assert value(found, "mass_ratio") == pytest.approx(1.0, rel=1e-3)
    assert value(found, "extra_cost") == pytest.approx(0.0, abs=0.02)


def test_a_small_package_cannot_reach_the_demand():
    found = ask(case="package", width="20", height="20", gauge="6", new="magnesium-casting")
    assert value(found, "reached") < 1
    assert any("cannot do it" in line for line in found.findings)


def test_the_least_gauge_holds():
    found = ask(
        case="panel",
        old="aluminium-5754-sheet",
        new="press-hardened-steel",
        gauge="1",
        least_gauge="1.2",
    )
    assert value(found, "new_gauge") == pytest.approx(1.2)


def test_every_grade_is_ranked_in_the_figure():
    found = ask()
    assert len(found.figure.bars) == 10
    values = [bar.value for bar in found.figure.bars]
    assert values == sorted(values)


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"case": "package", "gauge": "40"}, "gauge"),
        ({"mass": "-1"}, "mass"),
        ({"mass": "nan"}, "mass"),
        ({"new": "unobtainium"}, "new"),
        ({"steel_price": "1e9"}, "steel_price"),
        ({"gauge": "2 kg"}, "gauge"),
    ],
)
def test_refusals_name_the_input(given, word):
    with pytest.raises(BadInput, match=word):
        ask(**given)
