"""Vehicles side by side: masses, arms, who has what, and when an order may be stated."""

import numpy as np
import pytest
from msgspec import structs

from atlas.errors import BadInput
from atlas.vehicles.comparing import compare
from atlas.vehicles.loading import load_vehicle
from atlas.vehicles.loads import load_cases

CORNER = [load_cases()["corner"]]


@pytest.fixture(scope="module")
def three():
    names = ["demo-pickup", "demo-city", "demo-off-road"]
    return compare(
        [load_vehicle(name) for name in names], [load_cases()[c] for c in ("corner", "racking")], 40
    )


def test_masses_add_up_every_way(three):
    for side in three.sides:
        whole = sum(side.member_mass.values())
        assert sum(side.metals.values()) == pytest.approx(whole)
        assert sum(side.processes.values()) == pytest.approx(whole)
        assert side.mass.low < whole < side.mass.high
        assert sum(side.joints.values()) == len(side.vehicle.members)


def test_a_solid_bar_weighs_what_arithmetic_says(three):
    # 40 x 25 mm of steel at 7,850 kg/m3 (EN 1991-1-1:2002, table A.4: 77 to 78.5 kN/m3,
    # from memory), 1,000 mm between the legs and 200 mm to each side.
    (pickup, *_) = three.sides
    by_hand = 0.040 * 0.025 * 1.0 * 7850
    assert pickup.member_mass["bar"] == pytest.approx(by_hand, rel=0.02)
    ends = pickup.pattern_mass("overlap-wide-front-bar") - pickup.member_mass["bar"]
    assert ends == pytest.approx(0.4 * by_hand, rel=0.02)


def test_who_has_what_covers_everything_once(three):
    ids = [side.vehicle.id for side in three.sides]
    for side in three.sides:
        name = side.vehicle.id
        assert set(three.only(name)) == {
            p for p in side.patterns
            if all(p not in other.patterns for other in three.sides if other is not side)
        }  # fmt: skip
        others = [set(other.patterns) for other in three.sides if other is not side]
        assert set(three.lacks(name)) == set.intersection(*others) - set(side.patterns)
    assert set(three.shared) == set.intersection(*(set(side.patterns) for side in three.sides))
    assert three.shared and any(map(three.lacks, ids)), "else nothing was compared"


def test_arms_stand_where_the_nodes_do(three):
    (pickup, *_) = three.sides
    nodes, points = pickup.vehicle.nodes, pickup.vehicle.points
    front, rear = nodes[points["pivot-front-l"]], nodes[points["pivot-rear-l"]]
    assert pickup.arms["pivots apart, fore and aft"].value == front[0] - rear[0]
    assert pickup.arms["front pivot ahead of the wheel centre"].value == front[0]
    assert pickup.arms["rear pivot behind the wheel centre"].value == -rear[0]
    assert pickup.arms["pivots above the ground"].value == pytest.approx((front[2] + rear[2]) / 2)
    inboard = pickup.vehicle.dimensions.track / 2 - front[1]
    assert pickup.arms["pivots inboard of the wheel's middle"].value == pytest.approx(inboard)


def test_what_hangs_in_rubber_and_what_is_bolted_through_is_counted(three):
    """By hand from the files: four stiff ties; six soft ones and two rubber mounts of the frame."""
    pickup, _, off_road = three.sides
    assert pickup.held == {"bolted through": 4}
    assert off_road.held == {"rubber": 8}


def test_an_order_is_stated_only_where_ranges_do_not_meet(three):
    (pickup, *_) = three.sides
    stiffness = three.stiffness("corner")
    ranked = sorted(stiffness.values(), key=lambda r: -r.value)
    assert three.told_apart("corner") == (ranked[0].low > ranked[1].high)
    twin = structs.replace(pickup.vehicle, id="twin")
    same = compare([pickup.vehicle, twin], CORNER, 40)
    assert not same.told_apart("corner")
    assert set(same.shared) == set(pickup.patterns)
    assert same.only("twin") == same.lacks("twin") == ()


@pytest.mark.parametrize("count", [0, 1, 9])
def test_two_to_eight(count):
    pickup = load_vehicle("demo-pickup")
    some = [structs.replace(pickup, id=f"twin-{i}") for i in range(count)]
    with pytest.raises(BadInput, match="2 to 8"):
        compare(some, CORNER, 10)


def test_the_same_vehicle_twice_is_one(three):
    pickup = three.sides[0].vehicle
    with pytest.raises(BadInput, match="1 vehicle"):
        compare([pickup, pickup], CORNER, 10)


def test_a_case_with_nowhere_to_stand_is_left_out_for_that_one_only():
    pickup = load_vehicle("demo-pickup")
    bare = structs.replace(pickup, id="bare", points={
        role: node for role, node in pickup.points.items() if not role.startswith("jack")
    })  # fmt: skip
    found = compare([pickup, bare], [*CORNER, load_cases()["jacking"]], 10)
    assert set(found.stiffness("jacking")) == {"demo-pickup"}
    assert not found.told_apart("jacking")
    assert set(found.stiffness("corner")) == {"demo-pickup", "bare"}


def test_draws_repeat(three):
    again = compare([side.vehicle for side in three.sides], CORNER, 40)
    for side, twin in zip(three.sides, again.sides, strict=True):
        assert np.array_equal(side.of("corner").stiffness, twin.of("corner").stiffness)
