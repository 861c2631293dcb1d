"""The crush can, as a person uses it."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

CAN = calculator("crush-can")


def ask(**given):
    return run(CAN, given, samples=500)


def value(found, name):
    return found.results[name].value


@pytest.mark.parametrize("shape", ["box", "multi-cell", "round", "two-shell"])
def test_energy_is_force_times_stroke_for_every_shape(shape):
    found = ask(
        shape=shape,
        width="80",
        height="80",
        length="150",
        gauge="2.5",
        yield_strength="210",
        tensile_strength="250",
        trigger="0.8",
        energy_share="0.8",
        rail_force="200",
    )
    assert value(found, "energy") == pytest.approx(
        value(found, "mean_force") * value(found, "stroke") / 1e3, rel=1e-6
    )
    assert value(found, "stroke_used") * value(found, "mean_force") / 1e3 == pytest.approx(
        value(found, "demand"), rel=1e-6
    )
    assert value(found, "peak_force") >= value(found, "mean_force")


def test_demand_is_kinetic_energy():
    """Source: mechanics: 1700 kg at 15 km/h carries 14.8 kJ."""
    found = ask(mass="1700", speed="15", energy_share="1")
    assert value(found, "demand") == pytest.approx(14.76, rel=1e-3)


def test_webs_raise_force_per_kilogram():
    """Common practice, no source: cans are extruded with inner webs for energy per mass."""
    plain = ask(shape="box", width="80", height="80", gauge="2.5")
    webbed = ask(
        shape="multi-cell", width="80", height="80", gauge="2.0", cells_wide="2", cells_high="2"
    )
    assert value(webbed, "specific_energy") > 1.2 * value(plain, "specific_energy")


def test_taper_lifts_the_force_toward_the_rail():
    straight, tapered = ask(rear_scale="1"), ask(rear_scale="1.4")
    assert value(tapered, "rear_force") > 1.03 * value(tapered, "front_force")
    assert value(straight, "rear_force") == pytest.approx(value(straight, "front_force"))
    assert any("taper" in line for line in tapered.findings)


def test_rate_matters_more_for_stainless_than_for_aluminium():
    """Source: N. Jones, Structural Impact (Cowper-Symonds constants, from memory)."""
    assert value(ask(material="stainless"), "rate_factor") > 1.15 * value(ask(), "rate_factor")


def test_a_weak_can_bottoms_out_and_a_weak_rail_gives_way():
    weak = ask(
        gauge="1.5", speed="20", rail_force="400", yield_strength="120", tensile_strength="160"
    )
    assert any("bottoms out" in line for line in weak.findings)
    assert value(weak, "state") == "bottoms out"
    rail = ask(rail_force="40")
    assert value(rail, "state") == "rail gives way first"


def test_a_long_thin_can_may_tip():
    found = ask(width="40", height="40", length="450", gauge="2", rail_force="500", speed="8")
    assert value(found, "state") == "may tip over and bend"


def test_figure_shows_force_over_stroke_with_its_band():
    curve = ask().figure.curves[0]
    assert curve.low is not None
    assert curve.x[-1] == pytest.approx(value(ask(), "stroke"))


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"gauge": "8", "width": "20", "height": "20"}, "gauge|side"),
        ({"tensile_strength": "150"}, "tensile_strength"),
        ({"gauge": "0.5", "width": "200", "height": "200"}, "over gauge"),
        ({"shape": "round", "width": "20", "gauge": "4"}, "over gauge"),
        ({"length": "nan"}, "length"),
        ({"speed": "-3"}, "speed"),
        ({"mass": "1e9"}, "mass"),
    ],
)
def test_refusals_name_the_input(given, word):
    with pytest.raises(BadInput, match=word):
        ask(**given)
