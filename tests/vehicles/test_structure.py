"""Demo vehicles through the front-frame calculator."""

import numpy as np
import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.catalogue.shipped import shipped
from atlas.errors import BadInput
from atlas.mechanics.bar_in_structure import bar_part
from atlas.mechanics.front_carrying import carry
from atlas.mechanics.front_frames import without
from atlas.vehicles.carrying import carry as vehicle_carry
from atlas.vehicles.framing import frame_of
from atlas.vehicles.loading import load_vehicle, read_vehicle, vehicle_files
from atlas.vehicles.loads import load_cases
from atlas.vehicles.readings import resolve
from atlas.vehicles.worth import worths


@pytest.fixture(scope="module")
def pickup():
    _, subject = resolve(calculator("front-frame"), {"vehicle": "demo-pickup"}, None)
    return subject


def test_the_wide_bar_stiffens_the_corner_and_not_the_rail(pickup):
    """Common practice, no source: a wide front bar works in a corner hit."""
    gains = {}
    for case in ("corner", "one-sided"):
        found = run(calculator("front-frame"), {"case": case}, samples=50, subject=pickup)
        gains[case] = found.results["gain"].value
    assert gains["corner"] > 1.2 > 1.05 > gains["one-sided"]


def test_every_load_case_has_its_points(pickup):
    assert set(pickup.cases) == {"one-sided", "corner", "cornering", "tower", "racking"}
    for case in pickup.cases:
        assert np.isfinite(carry(pickup, case, np.ones(1)).movement).all()


def test_taking_a_pattern_away_never_stiffens(pickup):
    for part in pickup.patterns:
        rest = without(pickup, part)
        for case in rest.cases:
            try:
                bare = abs(carry(rest, case, np.ones(1)).movement[0])
            except ValueError as error:
                assert "mechanism" in str(error)
                continue
            assert bare >= abs(carry(pickup, case, np.ones(1)).movement[0]) * (1 - 1e-9), part


@pytest.mark.parametrize("name", sorted(n for n in vehicle_files() if n.startswith("demo-")))
def test_a_symmetric_load_leaves_no_shift_between_the_rails(name):
    """By symmetry; a rounding of 1e-16 mm was shown as a movement before."""
    framed = frame_of(load_vehicle(name))
    cases = load_cases()
    full, racking = vehicle_carry(framed, [cases["full-width"], cases["racking"]])
    spacing, shift = full.rails()
    assert shift[0] == 0.0 != spacing[0]
    spacing, shift = racking.rails()  # opposite on the two sides: no growth of the spacing
    assert spacing[0] == 0.0 != shift[0]


@pytest.mark.parametrize("name", sorted(n for n in vehicle_files() if n.startswith("demo-")))
def test_the_front_bar_that_a_vehicle_names_is_the_one_that_is_read(name):
    """The hatchback's is its lower beam; the bumper beam was taken for it."""
    _, subject = resolve(calculator("front-bar"), {"vehicle": name}, None)
    vehicle = load_vehicle(name)
    assert bar_part(subject) == vehicle.members[vehicle.front_bar].patterns[0]
    given = {"model": "vehicle", "vehicle": name}
    inputs, subject = resolve(calculator("front-bar"), given, None)
    found = run(calculator("front-bar"), inputs, samples=20, subject=subject)
    assert np.isfinite(found.results["axial"].value)


def test_a_calculator_that_the_vehicle_has_nothing_for_is_refused():
    """Else it would run on its own defaults in the vehicle's name."""
    with pytest.raises(BadInput, match=r"no readings for mass-estimate.*front-bar"):
        resolve(calculator("mass-estimate"), {"vehicle": "demo-pickup"}, None)


def test_a_front_bar_that_is_no_member_is_refused_by_name(tmp_path):
    text = (shipped("demo_vehicles") / "demo-city.toml").read_text()
    path = tmp_path / "demo-city.toml"
    path.write_text(text.replace('front_bar = "beam"', 'front_bar = "beem"'))
    with pytest.raises(BadInput, match="no member 'beem'") as refused:
        read_vehicle(path)
    assert "beam" in refused.value.remedy


@pytest.mark.parametrize("name", sorted(n for n in vehicle_files() if n.startswith("demo-")))
def test_taking_away_never_stiffens_against_racking_or_torque(name):
    """By the minimum of potential energy; one mount alone moves less once its opposite is loose."""
    cases = [load_cases()["racking"], load_cases()["drive-torque"]]
    for row in worths(load_vehicle(name), cases):
        for case, gain in row.gains.items():
            # Where rubber is exchanged for bolts, nothing is taken away.
            if gain.comparable and row.pattern != "cradle-isolated":
                low = 1 - 1e-9 if case == "racking" else 0.99  # the pivots do not carry it alone
                assert gain.ratio[0] >= low, (row.pattern, case)
