"""Invented vehicles against ranges of real ones: two open data sets, numbers only."""

import tomllib
from pathlib import Path

import pytest

from atlas.vehicles.loading import load_vehicle, vehicle_files

RANGES = tomllib.loads(
    (Path(__file__).parents[1] / "data" / "vehicle_ranges.toml").read_text(encoding="utf-8")
)
# Which size class each kind belongs to; pick-ups have none of their own there.
CLASSES = {
    "city": "mini", "hatchback": "small", "sports": "small", "saloon": "medium",
    "crossover": "medium-suv", "off-road": "large-suv", "pick-up": "large-suv", "van": "van",
}  # fmt: skip
# Wheels have moved towards the corners and masses have grown since 1985: common practice.
LONGER, HEAVIER = 1.12, 1.35


@pytest.fixture(params=vehicle_files())
def vehicle(request):
    return load_vehicle(request.param)


def test_proportions_are_those_of_cars(vehicle):
    size, known = vehicle.dimensions, RANGES["proportions"]
    low, high = known["wheelbase_over_length"]
    assert low <= size.wheelbase / size.length <= high * LONGER
    low, high = known["width_over_wheelbase"]
    assert low * 0.98 <= size.width / size.wheelbase <= high
    low, high = known["height_over_width"]
    if vehicle.kind not in ("van", "pick-up", "off-road"):  # of which the set has none
        assert low * 0.95 <= size.height / size.width <= high * 1.01
    low, high = known["mass_per_plan_area"]
    assert low <= size.mass / (size.length * size.width * 1e-6) <= high * HEAVIER


def test_frontal_area_is_that_of_its_class(vehicle):
    size = vehicle.dimensions
    low, high = RANGES["classes"][CLASSES[vehicle.kind]]["frontal_area"]
    outline = size.width * size.height * 1e-6
    # A front fills 0.80 to 0.88 of its outline: from memory.
    assert 0.80 * outline <= high and 0.88 * outline >= low, outline


def test_kerb_mass_is_more_than_the_glider_and_less_than_twice(vehicle):
    """A glider is the vehicle without drive train and energy store."""
    low, high = RANGES["classes"][CLASSES[vehicle.kind]]["glider"]
    assert low * 1.1 < vehicle.dimensions.mass < high * 1.9
    assert vehicle.dimensions.drive_unit_mass < 0.2 * vehicle.dimensions.mass


def test_parts_lie_inside_the_vehicle(vehicle):
    size = vehicle.dimensions
    ahead = max(x for x, _, _ in vehicle.nodes.values())
    behind = min(x for x, _, _ in vehicle.nodes.values())
    assert all(abs(y) < size.width / 2 for _, y, _ in vehicle.nodes.values())
    assert all(80 < z < size.height for _, _, z in vehicle.nodes.values())
    assert -size.wheelbase * 0.6 < behind < 0 < ahead < size.length - size.wheelbase
    # The tyre's outer side is the track and half a tyre, and still under the body.
    assert 0.9 * size.width < size.track + size.tyre_width <= 1.02 * size.width


def test_rails_clear_the_wheels_turned_straight(vehicle):
    inner = (vehicle.dimensions.track - vehicle.dimensions.tyre_width) / 2
    assert abs(vehicle.nodes[vehicle.points["rail-tip-l"]][1]) < inner
