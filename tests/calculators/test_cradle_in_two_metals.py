"""A welded cradle of aluminium extrusions beside a stamped steel one, by three calculators.

Common practice, no source: at comparable geometry the welded one can be heavier and far dearer;
about 25 kg is heavy for it. What welding leaves of the alloy is published: EN 1999-1-1:2007,
Table 3.2b. The steel cradle's 20 kg is our own invention.
"""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run

STEEL = "20"  # kg
SWAP = {"old": "hsla-steel", "new": "aluminium-6082-t6", "demand": "strength", "mass": STEEL}
SEAMS = {"first_seam": "4..6", "second_seam": "9..13"}


def ask(name, **given):
    return run(calculator(name), given, samples=300)


def value(found, name):
    return found.results[name].value


@pytest.fixture(scope="module")
def masses():
    """Of the aluminium cradle in the same space: welded, fastened, and welded but free to grow."""
    return {
        "welded": value(ask("material-swap", case="package", joint="welded", **SWAP), "new_mass"),
        "fastened": value(
            ask("material-swap", case="package", joint="fastened", **SWAP), "new_mass"
        ),
        "grown": value(ask("material-swap", case="beam", joint="welded", **SWAP), "new_mass"),
    }


def cost(mass, **given):
    return ask("process-cost", first_mass=STEEL, second_mass=repr(mass), **SEAMS, **given)


def test_in_the_same_space_the_welded_one_is_heavier_and_far_dearer(masses):
    assert 22 < masses["welded"] < 29
    at_volume = cost(masses["welded"], per_year="60000")
    assert at_volume.results["cost_ratio"].high < 0.5  # steel over aluminium
    assert value(at_volume, "cheaper") == "first is cheaper"


def test_the_weld_is_why(masses):
    """Without the softened zone the same space is filled with about half the metal."""
    light, steel = (ask("weld", seam="butt", alloy=one) for one in ("6082-t6", "steel"))
    lost = value(light, "zone_over_parent") / value(steel, "zone_over_parent")
    assert lost < 0.65
    assert masses["fastened"] / masses["welded"] < lost
    assert masses["fastened"] < 0.65 * float(STEEL)
    welded = ask("material-swap", case="package", joint="welded", **SWAP)
    assert any("Welding leaves 50% of aluminium-6082-t6" in line for line in welded.findings)


def test_metal_and_seams_are_what_it_costs_more(masses):
    found = cost(masses["welded"], per_year="60000")
    more = {
        kind: value(found, f"second_{kind}") - value(found, f"first_{kind}")
        for kind in ("metal", "tools", "time", "seams")
    }
    assert more["metal"] > more["seams"] > more["time"] > 0 > more["tools"]
    assert more["metal"] > 0.6 * value(found, "difference")


def test_it_turns_round_in_mass_where_nothing_is_welded_or_the_section_may_grow(masses):
    assert masses["fastened"] < float(STEEL) < masses["welded"]
    assert masses["grown"] < float(STEEL)


def test_it_turns_round_in_cost_where_few_are_made(masses):
    few = cost(masses["welded"], per_year="500", years="3")
    assert value(few, "cheaper") == "second is cheaper"
    # The lighter it can be made, the longer it stays the cheaper one.
    assert value(cost(masses["fastened"]), "crossover") > 1.3 * value(
        cost(masses["welded"]), "crossover"
    )
